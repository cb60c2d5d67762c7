"""How much strength the vault needs: the least strength at which a block of stress finds room.

Every strength either leaves a thrust line or not, and more strength never leaves less; so it is
closed in on by halving, always from the side that stands.
"""

from __future__ import annotations

import math

import numpy as np

from timbrel.statics.strip import Array, Strip
from timbrel.statics.thrust_program import ThrustProgram

WEAKEST, STRONGEST = 1 / 256, 16.0  # times the stated strength, the range that is searched
CLOSE = 1.04
STEP = 1.6


def needed_strength(strip: Strip, loads: Array, *, over: float = 0.0) -> float:
    """Least crushing strength (N/m2) at which a strip carries loads ((n, 3) wrenches).

    over: strengths under this one are of no interest. Infinite when no strength in the searched
    range (16 times the strip's own) would do. Met within 4 % on the safe side.
    """
    if strip.crushing is None:
        raise ValueError("the strip has no strength to start from")
    low = max(strip.crushing * WEAKEST, over)
    high = strip.crushing * STRONGEST
    if _stands(strip, loads, low):
        return low
    low, high = _bracket(strip, loads, low, high)
    while math.isfinite(high) and high / low > CLOSE:
        middle = math.sqrt(low * high)
        if _stands(strip, loads, middle):
            high = middle
        else:
            low = middle
    return high


def _bracket(strip: Strip, loads: Array, low: float, high: float) -> tuple[float, float]:
    """A strength that does not do and one, at most STEP times as great, that does; or infinite.

    What is needed is most often a good part of what there is: the search starts there.
    """
    tried = min(max(strip.crushing or low, low * STEP), high)
    if _stands(strip, loads, tried):
        while tried / STEP > low and _stands(strip, loads, tried / STEP):
            tried /= STEP
        return max(tried / STEP, low), tried
    while tried < high:
        low, tried = tried, min(tried * STEP, high)
        if _stands(strip, loads, tried):
            return low, tried
    return math.inf, math.inf


def _stands(strip: Strip, loads: Array, strength: float) -> bool:
    trial = Strip(strip.inner, strip.outer, strip.friction, strength)
    program = ThrustProgram(trial, loads, np.zeros((0, strip.voussoirs, 3)))
    return program.least_thrust() is not None
