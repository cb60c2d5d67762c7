"""Is what is stated of the drum under a dome stated once, and of a drum?

A dome stands on one drum, told in ``walls.left``. What another wall says otherwise would be passed
over in silence, and a drum has no corners for piers.
"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.carried import Wall
from timbrel.job.model import Job
from timbrel.job.refusals import Fault
from timbrel.words import say

OF_PIERS = ("pier", "pier_out")


def drum_faults(job: Job) -> Iterator[Fault]:
    """Walls that differ from the drum, and piers under a dome."""
    if job.curve.family != "dome":
        return
    drum = job.walls.left
    for side in ("left", "right", "near", "far"):
        wall: Wall | None = getattr(job.walls, side)
        if wall is None:
            continue
        stated = sorted(wall.model_fields_set, key=list(Wall.model_fields).index)
        for name in stated:
            given = getattr(wall, name)
            key = f"walls.{side}.{name}"
            if name in OF_PIERS and given is not None:
                yield Fault(
                    key,
                    say(
                        "{key} is {given:length} under a dome, whose drum goes all round and has no "
                        "corners; accepted: no pier.",
                        key=key,
                        given=given,
                    ),
                )
            elif given != getattr(drum, name):
                yield _otherwise(key, name, given, getattr(drum, name))
                break


def _otherwise(key: str, name: str, given: object, drum: object) -> Fault:
    if name in ("thickness", "height", "above") and isinstance(drum, float):
        return Fault(
            key,
            say(
                "{key} is {given:length}, but the drum of a dome is told in walls.left, where it is "
                "{drum:length}; accepted: the same, or walls.left alone.",
                key=key,
                given=given,
                drum=drum,
            ),
        )
    return Fault(
        key,
        say(
            "{key} is not as in walls.left, where the drum of a dome is told; accepted: the same, or "
            "walls.left alone.",
            key=key,
        ),
    )
