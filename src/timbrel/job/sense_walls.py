"""Can what is stated of a wall be true together: its load, openings, buttress, footing and ties?

What needs the wall's true length or its leaves is judged where its profile is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from timbrel.job.carried import Wall
from timbrel.job.model import Job
from timbrel.job.refusals import Fault
from timbrel.job.supports import Buttress
from timbrel.words import say

SAME = 1e-6  # m


def wall_faults(job: Job) -> Iterator[Fault]:
    """Faults of each wall that the job states."""
    room = job.room
    sides = {"left": room.DA, "right": room.BC, "near": room.AB, "far": room.CD}
    for name, side in sides.items():
        wall: Wall | None = getattr(job.walls, name)
        if wall is None:
            continue
        # A drum goes round the room and is longer than any side of it.
        length = None if job.curve.family == "dome" else side
        yield from _offset(wall, name)
        yield from _overlap(wall, name)
        yield from _footing(wall, name)
        if wall.buttress is not None:
            yield from _buttress(wall, wall.buttress, name, length)
        if job.curve.family != "dome":
            yield from _tie_height(job, wall, name)


def _offset(wall: Wall, name: str) -> Iterator[Fault]:
    if wall.thickness is not None and abs(wall.load_offset) > wall.thickness / 2:
        yield Fault(
            f"walls.{name}.load_offset",
            say(
                "walls.{name}.load_offset is {given:length}; accepted: {most:length} at most "
                "to either side, half of the wall.",
                name=name,
                given=wall.load_offset,
                most=wall.thickness / 2,
            ),
        )


def _overlap(wall: Wall, name: str) -> Iterator[Fault]:
    """Openings at the same height with no masonry between them."""
    for (i, one), (j, other) in combinations(enumerate(wall.openings, 1), 2):
        level = min(one.head, other.head) - max(one.sill, other.sill)
        pier = max(one.start, other.start) - min(one.start + one.width, other.start + other.width)
        if level > SAME and pier <= SAME:
            yield Fault(
                f"walls.{name}.openings.{j - 1}.start",
                say(
                    "walls.{name}.openings.{second} starts {start:length} along the wall and "
                    "openings.{first} runs from {low:length} to {high:length} at the same height; "
                    "accepted: openings with masonry between them.",
                    name=name,
                    second=j,
                    first=i,
                    start=other.start,
                    low=one.start,
                    high=one.start + one.width,
                ),
            )


def _footing(wall: Wall, name: str) -> Iterator[Fault]:
    """A footing narrower than what acts over it, or with its toe so far out that the wall hangs in."""
    if wall.thickness is None:
        return
    acting = _acting(wall)
    ground = wall.ground
    footing = wall.thickness if ground.footing is None else ground.footing
    if footing < acting - SAME:
        yield Fault(
            f"walls.{name}.ground.footing",
            say(
                "walls.{name}.ground.footing is {given:length} under a wall of {thickness:length}; "
                "accepted: a footing at least as wide as the wall.",
                name=name,
                given=footing,
                thickness=acting,
            ),
        )
    elif wall.buttress is None and (ground.toe or 0.0) > footing - acting + SAME:
        yield Fault(
            f"walls.{name}.ground.toe",
            say(
                "walls.{name}.ground.toe is {given:length}, and the footing of {footing:length} "
                "goes out under a wall of {thickness:length}; accepted: {most:length} at most.",
                name=name,
                given=ground.toe,
                footing=footing,
                thickness=acting,
                most=footing - acting,
            ),
        )


def _acting(wall: Wall) -> float:
    """Thickness of the leaves up to the first that is not bonded, m."""
    total = 0.0
    for place, leaf in enumerate(wall.leaves):
        if place and not leaf.bonded:
            break
        total += leaf.thickness
    return total or wall.thickness or 0.0


def _buttress(wall: Wall, buttress: Buttress, name: str, length: float | None) -> Iterator[Fault]:
    key = f"walls.{name}.buttress"
    if length is not None and buttress.spacing > length + SAME:
        yield Fault(
            f"{key}.spacing",
            say(
                "{key} is {given:length} on a wall of {length:length}; accepted: up to the length "
                "of the wall, which is then the part that one buttress serves.",
                key=f"{key}.spacing",
                given=buttress.spacing,
                length=length,
            ),
        )
    if buttress.depth_top is not None and buttress.depth_top > buttress.depth + SAME:
        yield Fault(
            f"{key}.depth_top",
            say(
                "{key} is {given:length} and the base {depth:length} deep; accepted: a head no "
                "deeper than the base.",
                key=f"{key}.depth_top",
                given=buttress.depth_top,
                depth=buttress.depth,
            ),
        )
    height = buttress.height or wall.height
    steps = sum(step.height for step in buttress.steps)
    if height is not None and buttress.steps and steps > height - SAME:
        yield Fault(
            f"{key}.steps",
            say(
                "{key} are {steps:length} high together and the buttress {height:length}; "
                "accepted: steps that leave some height to its base.",
                key=f"{key}.steps",
                steps=steps,
                height=height,
            ),
        )


def _tie_height(job: Job, wall: Wall, name: str) -> Iterator[Fault]:
    """A tie where the wall that should hold its plate has no masonry."""
    ties = job.walls.ties
    if ties is None or wall.height is None:
        return
    if not -wall.height < ties.over_springing <= wall.above + SAME:
        yield Fault(
            "walls.ties.over_springing",
            say(
                "walls.ties.over_springing is {given:length}, where walls.{name} is not: it goes "
                "down {height:length} and up {above:length} from the springing; accepted: a height "
                "within it.",
                given=ties.over_springing,
                name=name,
                height=wall.height,
                above=wall.above,
            ),
        )
