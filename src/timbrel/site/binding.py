"""The fast binder on the day: when it starts to set, and whether it may be used here at all."""

from __future__ import annotations

from timbrel.job.model import Binder, Site
from timbrel.verdict import Check, judge
from timbrel.words import say

COLDEST_C = 5.0
"""Stop under it (common practice, no source)."""
WARM_C = 30.0
"""Shade tiles, water and work over it (common practice, no source)."""


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
    return judge(
        f"site.binder.{name}.place",
        say("Rules of place broken by {binder}", binder=name),
        float(dry_only and exposed),
        0.0,
        kind="count",
        at_least=False,
        reason=reason,
        source="common practice, no source",
    )


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
    return judge(
        "site.temperature",
        say("Warm enough to lay"),
        day,
        COLDEST_C,
        kind="degc",
        reason=reason,
        source="common practice, no source",
    )
