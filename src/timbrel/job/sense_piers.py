"""Does a pier stand under the corner of the vault that it carries?"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.carried import Walls
from timbrel.job.measured import Curve
from timbrel.job.refusals import Fault
from timbrel.words import say


def pier_faults(walls: Walls, curve: Curve) -> Iterator[Fault]:
    """A distance out of the room where there is no such pier, or with nothing under the corner."""
    for name, wall in (("left", walls.left), ("right", walls.right)):
        given, key = wall.pier_out, f"walls.{name}.pier_out"
        if given is None:
            continue
        if wall.pier is None or not curve.on_corners:
            yield Fault(
                key,
                say(
                    "{key} is {given:length}, but no corner of the vault comes down on a pier; "
                    "accepted: only beside walls.{name}.pier, under a vault that stands on its "
                    "corners.",
                    key=key,
                    given=given,
                    name=name,
                ),
            )
        elif given > wall.pier / 2 + 1e-9:
            yield Fault(
                key,
                say(
                    "{key} is {given:length} and leaves no pier under the corner of the room; "
                    "accepted: 0 to {most:length}, half of the pier.",
                    key=key,
                    given=given,
                    most=wall.pier / 2,
                ),
            )
