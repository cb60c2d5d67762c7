"""Does a pier stand under the corner of the vault that it carries, and clear of the next?"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.carried import Wall, Walls
from timbrel.job.measured import Curve
from timbrel.job.model import Job
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


def crowded_piers(job: Job) -> Iterator[Fault]:
    """Piers that stand so far into the room that two of them meet along a side."""
    if not job.curve.on_corners:
        return
    walls, room = job.walls, job.room
    into = {"left": _into(walls.left), "right": _into(walls.right)}
    sides = (
        ("DA", room.DA, "left", "left"),
        ("BC", room.BC, "right", "right"),
        ("AB", room.AB, "left", "right"),
        ("CD", room.CD, "right", "left"),
    )
    for side, length, one, other in sides:
        if into[one] + into[other] >= length:
            wall = walls.left if one == "left" else walls.right
            yield Fault(
                f"walls.{one}.pier",
                say(
                    "walls.{name}.pier is {given:length} with its middle {out:length} out of the room, "
                    "and meets the next pier on {side}, {length:length} long; accepted: piers with "
                    "room between them.",
                    name=one,
                    given=wall.pier,
                    out=wall.pier_out,
                    side=side,
                    length=length,
                ),
            )
            return


def _into(wall: Wall) -> float:
    """How far the piers of a wall stand into the room along its sides, m; 0 unless it says so."""
    if wall.pier is None or wall.pier_out is None:
        return 0.0
    return wall.pier / 2 - wall.pier_out
