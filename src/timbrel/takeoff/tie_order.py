"""What the ties of a job add to the order: bars or flats, plates, nuts."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from timbrel.job.model import Job
from timbrel.job.supports import Ties
from timbrel.shape.surface import Surface
from timbrel.statics.tie_lines import TieLine, tie_lines
from timbrel.statics.ties import gross_area, section_of
from timbrel.takeoff.quantities import Line
from timbrel.takeoff.steel import STEEL, steel_line
from timbrel.words import say

NUTS = 2
"""On each end of a bar, the second to lock the first (common practice, no source)."""
NUT_HEIGHT, NUT_WIDTH = 0.8, 1.5
"""Of a hexagon nut over its bar, ISO 4032 in round figures (from memory)."""
OVER_NUTS = 0.5
"""How far a bar stands out of its last nut, over its diameter (common practice, no source)."""
STEP = 0.05
"""In which pieces are ordered, m; they are cut on the wall (common practice, no source)."""


def tie_order(job: Job, vault: Surface) -> Iterator[Line]:
    """Lines of the order; none where the job states no ties."""
    ties = job.walls.ties
    if ties is None:
        return
    lines = tie_lines(job, vault)
    yield from _lengths(job, ties, lines)
    ends = sum(0 if line.ring else 2 for line in lines)
    if ends and ties.anchor is not None:
        plate = ties.anchor
        yield steel_line(
            "ties.plates",
            say(
                "Anchor plates of the ties, {side:length} square, {thickness:length} thick: "
                "{count:count}",
                side=plate.side,
                thickness=plate.thickness,
                count=ends,
            ),
            ends * plate.side**2 * plate.thickness * STEEL,
            job,
        )
    if ends and ties.kind == "bar":
        assert ties.diameter is not None
        yield steel_line(
            "ties.nuts",
            say(
                "Nuts for bars of {diameter:length}, two on each end: {count:count}",
                diameter=ties.diameter,
                count=NUTS * ends,
            ),
            NUTS * ends * nut_mass(ties.diameter),
            job,
        )


def ordered_length(ties: Ties, line: TieLine) -> float:
    """Of one piece: from back to back of its plates, and what its ends need beyond them, m."""
    if line.ring or ties.anchor is None:
        return line.length
    beyond = ties.anchor.thickness
    if ties.kind == "bar":
        assert ties.diameter is not None
        beyond += (NUTS * NUT_HEIGHT + OVER_NUTS) * ties.diameter
    return line.length + 2 * beyond


def nut_mass(diameter: float) -> float:
    """Of a hexagon nut, kg, its thread taken as a smooth hole."""
    across = NUT_WIDTH * diameter
    face = math.sqrt(3) / 2 * across**2 - math.pi * diameter**2 / 4
    return STEEL * face * NUT_HEIGHT * diameter


def _lengths(job: Job, ties: Ties, lines: tuple[TieLine, ...]) -> Iterator[Line]:
    """One line of the order for each length, in steps: a room out of square asks for no two alike."""
    pieces = Counter(math.ceil(ordered_length(ties, line) / STEP - 1e-6) * STEP for line in lines)
    for number, (length, count) in enumerate(sorted(pieces.items()), 1):
        values = {"section": section_of(ties), "count": count, "length": length}
        if lines[0].ring:
            title = say("Ring tie, {section}, {length:metres} round", **values)
        else:
            title = say("Ties, {section}: {count:count} of {length:metres}", **values)
        yield steel_line(
            "ties" if number == 1 else f"ties.{number}",
            title,
            count * length * gross_area(ties) * STEEL,
            job,
        )
