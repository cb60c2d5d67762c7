"""The fast binder on the day: when it starts to set, and whether it may be used here at all."""

from __future__ import annotations

import math
from itertools import pairwise

from timbrel.job.model import Binder, SetTimes, Site
from timbrel.verdict import Check, Verdict
from timbrel.words import Message, TimbrelError, say

COLDEST_C = 5.0
"""Stop under it (common practice, no source)."""
WARM_C = 30.0
"""Shade tiles, water and work over it (common practice, no source)."""


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


def _answer(name: str, title: Message, good: bool, reason: Message) -> Check:
    verdict = Verdict.HOLDS if good else Verdict.FAILS
    return Check(name, title, verdict, None, None, "", True, reason, "common practice, no source")


def place_check(name: str, binder: Binder, site: Site) -> Check:
    """May this binder be used in this place? Gypsum only indoors and dry."""
    dry_only = binder.kind == "gypsum" or not binder.outdoors
    exposed = site.damp or not site.indoors
    if dry_only and exposed:
        reason = say(
            "{binder} softens and swells in the damp and rusts bare steel: use it only indoors "
            "and dry, or take a natural quick cement.",
            binder=name,
        )
    elif dry_only:
        reason = say("{binder} is for dry work indoors, and so is this place.", binder=name)
    else:
        reason = say("{binder} may be used here.", binder=name)
    title = say("Binder {binder} in this place", binder=name)
    return _answer(f"site.binder.{name}.place", title, not (dry_only and exposed), reason)


def weather_check(site: Site) -> Check:
    """Is it too cold to set anything today; must the work be shaded?"""
    day = site.temperature_c
    if day < COLDEST_C:
        reason = say(
            "It is {day:degc}: stop under {least:degc}, mortar and fast binder take no strength.",
            day=day,
            least=COLDEST_C,
        )
    elif day > WARM_C:
        reason = say(
            "It is {day:degc}: over {warm:degc} shade tiles, water, powder and work, and wet the "
            "layer below twice.",
            day=day,
            warm=WARM_C,
        )
    else:
        reason = say("{day:degc} needs neither heating nor shade.", day=day)
    verdict = Verdict.HOLDS if day >= COLDEST_C else Verdict.FAILS
    return Check(
        "site.temperature",
        say("Warm enough to lay"),
        verdict,
        day,
        COLDEST_C,
        "degc",
        True,
        reason,
        "common practice, no source",
    )
