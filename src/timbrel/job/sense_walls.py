"""Can what is stated of a wall be true together: its load, openings, buttress, footing and ties?

What needs the wall's true length or its leaves is judged where its profile is made.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

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
        yield from _set_offs(wall, name)
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


def _set_offs(wall: Wall, name: str) -> Iterator[Fault]:
    """Set-offs out of order or under the base; a wall over the springing that stands off its own."""
    under = [0.0, *(s.under for s in wall.setoffs)]
    out = [0.0, *(s.out for s in wall.setoffs)]
    rising = all(b > a for a, b in pairwise(under)) and all(b > a for a, b in pairwise(out))
    if not rising or (wall.height is not None and under[-1] >= wall.height):
        yield Fault(
            f"walls.{name}.setoffs",
            say(
                "walls.{name}.setoffs lie {under} mm under the springing and stand out {out} mm; "
                "accepted: set-offs from the top down, over the base, each further out than the one "
                "above.",
                name=name,
                under=", ".join(f"{1e3 * u:g}" for u in under[1:]),
                out=", ".join(f"{1e3 * o:g}" for o in out[1:]),
            ),
        )
    thick, inset = wall.above_thickness, wall.above_inset
    if wall.thickness is None or (thick is None and inset is None):
        return
    if (thick or 0.0) + (inset or 0.0) > wall.thickness + SAME or thick is None:
        yield Fault(
            f"walls.{name}.above_inset" if inset is not None else f"walls.{name}.above_thickness",
            say(
                "walls.{name}.above_thickness is {thick} and above_inset {inset} on a wall of "
                "{thickness:length}; accepted: a thickness over the springing which with its inset "
                "stands on the wall.",
                name=name,
                thick=_or_none(thick),
                inset=_or_none(inset),
                thickness=wall.thickness,
            ),
        )


def _or_none(length: float | None) -> str:
    return "none" if length is None else f"{1e3 * length:g} mm"


def _footing(wall: Wall, name: str) -> Iterator[Fault]:
    """A footing narrower than what acts over it, or with its toe so far out that the wall hangs in."""
    if wall.thickness is None:
        return
    acting = _acting(wall) + max((s.out for s in wall.setoffs), default=0.0)
    ground = wall.ground
    footing = acting if ground.footing is None else ground.footing
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
