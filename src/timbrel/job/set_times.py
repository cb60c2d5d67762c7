"""When a fast binder starts to set on the day, from its own times."""

from __future__ import annotations

import math
from itertools import pairwise

from timbrel.job.model import Binder, SetTimes
from timbrel.words import TimbrelError, say


def set_start(times: SetTimes, temperature_c: float, *, key: str = "") -> float | None:
    """Start of set (s) at a temperature, interpolated on its logarithm; None outside the data.

    A set time falls by about the same share for each degree (Arrhenius), so its logarithm is
    close to a straight line between two neighbouring measurements. Nothing is guessed beyond the
    coldest or the warmest of them. Raises TimbrelError when the two lists do not pair up, are not
    in rising order of temperature, or hold a time of nothing.
    """
    degrees, starts = times.degrees_c, times.minutes
    if len(degrees) != len(starts):
        raise TimbrelError(
            say(
                "{key}: {degrees:count} temperatures and {starts:count} times were given; "
                "give one time for each temperature.",
                key=key or "set",
                degrees=len(degrees),
                starts=len(starts),
            ),
            key=key,
        )
    if any(b <= a for a, b in pairwise(degrees)) or min(starts) <= 0:
        raise TimbrelError(
            say(
                "{key}: temperatures {degrees} were given; list them from cold to warm, each "
                "once, with a time over zero.",
                key=key or "set",
                degrees=list(degrees),
            ),
            key=key,
        )
    if not degrees[0] <= temperature_c <= degrees[-1]:
        return None
    for (cold, slow), (warm, quick) in pairwise(zip(degrees, starts, strict=True)):
        if temperature_c <= warm:
            share = (temperature_c - cold) / (warm - cold)
            return math.exp(math.log(slow) + share * (math.log(quick) - math.log(slow)))
    return None


def temperature_for(times: SetTimes, start: float) -> float | None:
    """The warmest temperature of the data at which the set still starts no sooner than `start`."""
    found: float | None = None
    if times.minutes[0] >= start:
        found = times.degrees_c[0]
    for (cold, slow), (warm, quick) in pairwise(zip(times.degrees_c, times.minutes, strict=True)):
        if quick >= start:
            found = warm
        elif slow >= start:
            share = math.log(slow / start) / math.log(slow / quick)
            found = cold + share * (warm - cold)
    return found


def times_in_use(binder: Binder) -> SetTimes | None:
    """The set times that count: with the retarder when it is used."""
    return binder.set_retarded if binder.use_retarder else binder.set
