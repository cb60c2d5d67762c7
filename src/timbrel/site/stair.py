"""Comfort of a stair: two rises and a going make one step of a walking person.

Blondel 1675, "Cours d'architecture" (from memory): 2 r + g between 600 and 640 mm.
"""

from __future__ import annotations

from timbrel.verdict import Check, Verdict, judge
from timbrel.words import say

PACE_LEAST = 0.600
PACE_MOST = 0.640
SOURCE = "Blondel 1675, from memory"


def pace(rise: float, going: float) -> float:
    """2 r + g, m."""
    return 2.0 * rise + going


def even_risers(height: float, wanted_rise: float) -> tuple[int, float]:
    """How many equal risers make a height, nearest to a wanted rise, and their rise."""
    count = max(1, round(height / wanted_rise))
    return count, height / count


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
