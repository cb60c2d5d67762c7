"""Comfort of a stair: two rises and a going make one step of a walking person.

Blondel 1675, "Cours d'architecture" (from memory): 2 r + g between 600 and 640 mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.verdict import Check, Verdict, judge
from timbrel.words import say

PACE_LEAST = 0.600
PACE_MOST = 0.640
LEAST_RISE = 0.100
"""No riser of a stair is lower, m (common practice, no source)."""
SOURCE = "Blondel 1675, from memory"


@dataclass(frozen=True)
class Stair:
    """Equal steps between two landings: one going less than risers, the top riser ends on the
    landing. rise, going: m."""

    risers: int
    rise: float
    going: float

    @property
    def pace(self) -> float:
        return pace(self.rise, self.going)


def pace(rise: float, going: float) -> float:
    """2 r + g, m."""
    return 2.0 * rise + going


def steps_between(height: float, run: float) -> Stair:
    """The equal steps over a height and a run whose pace lies nearest to the middle of the rule."""
    counts = range(2, max(3, math.ceil(height / LEAST_RISE)) + 1)
    tried = [Stair(n, height / n, run / (n - 1)) for n in counts]
    return min(tried, key=lambda stair: abs(stair.pace - (PACE_LEAST + PACE_MOST) / 2))


def comfort_check(rise: float, going: float, name: str = "site.stair.comfort") -> Check:
    """Is the pace of a stair inside the rule? The nearer limit governs."""
    step = pace(rise, going)
    low = step < (PACE_LEAST + PACE_MOST) / 2
    check = judge(
        name,
        say("Pace of the stair, two rises and a going"),
        step,
        PACE_LEAST if low else PACE_MOST,
        kind="length",
        at_least=low,
        reason=say(
            "Rise {rise:length}, going {going:length}; the rule wants {least:length} to "
            "{most:length}.",
            rise=rise,
            going=going,
            least=PACE_LEAST,
            most=PACE_MOST,
        ),
        source=SOURCE,
    )
    assert check.verdict is not Verdict.NOT_JUDGED
    return check
