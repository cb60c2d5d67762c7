"""Arches of a barrel that an opening cuts, while the work is built: they lean on its box.

The box stands on props and is braced across the span, tight between both cut edges: it hands the push
of one cut arch to the other, within the thickness of the shell, as the tiles did that are not there.
Its own props are not counted on to push up. It is not glued, so no tension crosses its sides. Once
the ring has cured the box is taken away, and the strips beside must carry what the trimmers hand them
(:mod:`timbrel.statics.trimmed`): layers alone, and layers with the kerb.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from timbrel.bond.ring import trim_opening
from timbrel.job.model import Job
from timbrel.shape.opened import PlacedOpening, place_openings
from timbrel.shape.vault import Barrel
from timbrel.statics.actions import StripActions, fill_levels
from timbrel.statics.building.section import ShellSection
from timbrel.statics.building.state import State, StateAnswer
from timbrel.statics.maturity import BondStrength
from timbrel.statics.trimmed import sides_of
from timbrel.verdict import Check, Verdict, judge
from timbrel.words import Message, say

BARE = ("layers", "backing")
"""Permanent loads that lie there when a box is taken away; fill and floor come later."""
STANDS = 1 - 1e-6
NEAR = 1e-9


@dataclass(frozen=True)
class OpenedArches:
    """An opening while the barrel is built.

    opening: where it lies. answers: of the cut arches on the box; none where the centring stays under
    them. struck: share of what lies there,
    without and with the kerb, that the strips beside carry when the box is away, the lesser.
    """

    opening: PlacedOpening
    answers: tuple[StateAnswer, ...]
    struck: float


def opened_section(section: ShellSection, opening: PlacedOpening) -> ShellSection:
    """A section with the box of an opening in its place: nothing lies between the joints that just take
    the opening in."""
    low, high = opening.u
    first = int(np.floor(low * section.pieces + NEAR))
    last = int(np.ceil(high * section.pieces - NEAR))
    weight = section.weight.copy()
    weight[:, first:last] = 0.0
    return replace(section, weight=weight, box=(first, last))


def on_box(state: State, opening: PlacedOpening) -> State:
    """A state of a whole arch as one of the arches that an opening cuts."""
    return replace(
        state,
        key=f"openings.{opening.number}.{state.key}",
        title=say("cut by {name}, on its box: {state}", name=opening.name, state=state.title),
    )


def share_without_box(job: Job, vault: Barrel, opening: PlacedOpening) -> float:
    """The least share of shell, and of shell and kerb, that stands round an opening without its box."""
    top = fill_levels(job, vault)
    every = place_openings(job, vault)
    trimmed = trim_opening(job, vault, opening)
    shares = []
    for side in sides_of(job, vault, opening, every, trimmed, top):
        bare = replace(side, acts=_bare(side.acts), cut=_bare(side.cut))
        unloaded = replace(bare, kerb=replace(bare.kerb, permanent=0.0))
        shares += [one.program().share_of_dead() for one in (bare, unloaded)]
    return min(shares)


def _bare(acts: StripActions) -> StripActions:
    return replace(acts, permanent=tuple(p for p in acts.permanent if p.key in BARE))


def opened_checks(
    found: Sequence[OpenedArches], strength: BondStrength | None, untested: Message, limit: float
) -> list[Check]:
    """Cut arches on the box of each opening, and the opened shell without it."""
    checks: list[Check] = []
    for one in found:
        checks += [_on_box(one, strength, untested, limit), _without_box(one)]
    return checks


def _on_box(
    one: OpenedArches, strength: BondStrength | None, untested: Message, limit: float
) -> Check:
    name = one.opening.name
    key = f"building.openings.{one.opening.number}.box"
    title = say("Arches that {name} cuts, on its box: share of the bond", name=name)
    if not one.answers:
        return judge(
            key,
            say("Arches that {name} cuts, on the centring: share of the bond", name=name),
            0.0,
            limit,
            kind="ratio",
            at_least=False,
            reason=say(
                "The centring stays under them until the ring has cured "
                "(openings.{number}.trimmer.until_cured): nothing is asked of the bond.",
                number=one.opening.number,
            ),
            source="stated in the job",
            led=True,
        )
    worst = max(one.answers, key=lambda a: (a.verdict is Verdict.FAILS, a.ratio or 0.0, a.tension))
    known = strength is not None or worst.line is not None
    buckles = worst.verdict is Verdict.FAILS and worst.line is not None
    told = say(
        "{state}: {reason}; the box is braced across and hands the push of one cut arch to the other. "
        'Where the bond is not there, keep the centring under them (until_cured = "centring").',
        state=worst.state.title,
        reason=worst.reason,
    )
    return judge(
        key,
        title,
        float("inf") if buckles else (worst.ratio if known else None),
        limit,
        kind="ratio",
        at_least=False,
        reason=told if known else untested,
        source="thrust line across the box (safe theorem, Heyman 1966); elastic arch hinged at its "
        "sides (Karnovsky 2012)",
    )


def _without_box(one: OpenedArches) -> Check:
    return judge(
        f"building.openings.{one.opening.number}.struck",
        say("Box of {name} taken away, ring cured: share carried round it", name=one.opening.name),
        one.struck,
        STANDS,
        kind="percent",
        reason=say(
            "All layers, with and without the kerb, no fill and no floor; cut arches on their "
            "trimmers, and the strips beside."
        ),
        source="safe theorem, Heyman 1966; effective width by 45 degrees (common practice, no source)",
        led=True,
    )
