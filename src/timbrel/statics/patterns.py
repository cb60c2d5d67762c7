"""Arrangements of what moves: imposed load on all or half of the span, a line load walked across."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from timbrel.job.model import Loads
from timbrel.statics.floor import Floor
from timbrel.statics.strip import Array, StripLoad
from timbrel.words import say

WALKED = 20  # places of the line load along the span
PatternKind = Literal["full", "half", "line", "placed"]
KINDS: tuple[PatternKind, ...] = ("full", "half", "line", "placed")


@dataclass(frozen=True)
class Pattern:
    """One arrangement of the imposed load; x is where a line load stands, m."""

    kind: PatternKind
    load: StripLoad
    x: float | None = None


def imposed_patterns(loads: Loads, floor: Floor, imposed: float) -> tuple[Pattern, ...]:
    """Full, either half, and the line load walked across, as the job asks."""
    found: list[Pattern] = []
    left, right = floor.whole
    if imposed > 0 and "full" in loads.patterns:
        load = StripLoad("full", say("Imposed, full span"), *floor.pressed(imposed, left, right))
        found.append(Pattern("full", load))
    if imposed > 0 and "half" in loads.patterns:
        halves = (
            ("half.left", say("Imposed, left half"), (left, floor.middle)),
            ("half.right", say("Imposed, right half"), (floor.middle, right)),
        )
        for key, title, (start, end) in halves:
            load = StripLoad(key, title, *floor.pressed(imposed, start, end))
            found.append(Pattern("half", load))
    if loads.line > 0 and "line" in loads.patterns:
        found += [_line(floor, loads.line, i, x) for i, x in enumerate(_walk(floor))]
    return tuple(found)


def _walk(floor: Floor) -> Array:
    """Where the line load is set down: on each sleeper wall, or at even steps."""
    if len(floor.walls):
        return np.asarray(floor.walls.mean(axis=1))
    left, right = floor.whole
    return left + (right - left) * (np.arange(WALKED) + 0.5) / WALKED


def _line(floor: Floor, load: float, index: int, x: float) -> Pattern:
    spot = np.array([x])
    title = say("Line load {x:length} from the left springing", x=x)
    down = StripLoad(f"line.{index}", title, *floor.gather(spot, np.array([load]), spot))
    return Pattern("line", down, x)
