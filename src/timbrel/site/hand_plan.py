"""A page that an engineer can follow with a pencil, of a vault on a plan, beside the net's answer.

Two states of equilibrium hem the thrust in. *Pieces*: cut along its creases (a dome into lunes) and
turned about their springings, they ask the support for at least M/(f + t), M the moment of the
load about the springing, f + t the highest that the pieces can lean on each other. *Strips*: a way
to carry the load that a pencil finds; no least thrust can be greater than that of any such way.

    groin     half of it about two corners: H = M/rise, the line from f + t to f - t, both ends known
    sail on   half of it about two corners: H = M/rise, the rise from that of the edge arch to that of
    corners   the crown
    cloister  strips down each web along the shell: H = V cot a, w L^2/(8 f) at the middle of a wall
              on a parabola, falling straight to nothing in the corners
    sail      strips both ways, half of the load each: H = M/(2 f), on a paraboloid w L^2/(16 f)
    dome      the membrane: H = V cot a, N = V/sin a (self weight of a sphere: w R/(1 + cos a))

A sphere under its own weight presses its rings down to 51.83 degrees from the crown. Where a shell
springs more steeply the thrust that has come down to there stays as it is: H = V cot 51.83 of the
load above, when that is more.
Sources: moments and membranes, any text on statics and on shells; safe theorem, Heyman 1966.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.plan import SIDES
from timbrel.site.hand_laws import corner_cases, dome_case, girth, plan_area, walls_case
from timbrel.site.hand_states import PlanHandCase
from timbrel.site.hand_weights import HandWeight, hand_weights
from timbrel.statics.net import Net
from timbrel.statics.net_actions import NetActions
from timbrel.statics.support_push import SupportPush
from timbrel.verdict import Check, judge
from timbrel.words import say

EXPLAINED_ON_PLAN = 0.01
"""What lumping the loads at the nodes may explain, share of the thrust (derived: rises from a tenth to
four tenths of the span, square and out of square, bare and filled, never left the hand's range)."""

SAIL_ON_CORNERS = "sail on corners"
"""What the pencil does to a sail with open edges is not what it does to one on walls."""


def pencil_of(vault: Any) -> str:
    """What the pencil takes a vault for: its family, or SAIL_ON_CORNERS."""
    return SAIL_ON_CORNERS if vault.family == "sail" and vault.on_corners else str(vault.family)


@dataclass(frozen=True)
class PlanHandCheck:
    """The figures of the page. family: of vaults, or SAIL_ON_CORNERS. area: of the plan, m2. girth: of
    its springing, m. thickness: of the shell, m. weights: what makes up the dead load, by hand and
    as the net has it. cases: dead load, and imposed everywhere, of what stands on corners both ways."""

    family: str
    area: float
    girth: float
    thickness: float
    weights: tuple[HandWeight, ...]
    cases: tuple[PlanHandCase, ...]

    @property
    def weight_explained(self) -> float:
        """What the net's edge explains: it stands up to half the thickness outside the springing."""
        return self.girth * self.thickness / 2 / self.area

    @property
    def weight_apart(self) -> float:
        """Share by which the net's dead load differs from the hand's."""
        by_hand = sum(weight.by_hand for weight in self.weights)
        return abs(sum(weight.program for weight in self.weights) / by_hand - 1)


def hand_check_on_plan(
    job: Job, vault: Any, net: Net, acts: NetActions, pushes: tuple[SupportPush, ...]
) -> PlanHandCheck | None:
    """The page for a groin, a cloister, a sail on its four walls or corners, or a dome; None without a
    state of compression, or for a sail on walls with free sides, which carries one way only."""
    found: list[PlanHandCase] = []
    kinds = {support.name for support in net.grid.supports}
    if vault.family == "sail" and not vault.on_corners and kinds != set(SIDES):
        return None
    loads = {"dead": np.asarray(acts.dead.weight)}
    for pattern in acts.patterns:
        if pattern.key == "full":
            loads["full"] = loads["dead"] + np.asarray(pattern.weight)
    for key, weight in loads.items():
        mine = [push for push in pushes if push.case.load == key]
        if not any(push.case.bound == "least" for push in mine):
            continue
        if vault.on_corners:
            found += corner_cases(vault, net, weight, mine)
        elif vault.family == "dome":
            found.append(dome_case(vault, net, weight, mine))
        else:
            found.append(walls_case(vault, net, weight, mine))
    if not found:
        return None
    return PlanHandCheck(
        pencil_of(vault),
        plan_area(vault),
        girth(vault),
        vault.thickness,
        hand_weights(job, vault, acts),
        tuple(found),
    )


def plan_hand_checks(found: PlanHandCheck | None) -> tuple[Check, ...]:
    """Does the net agree with the pencil, in the thrust and in the weight that it carries?"""
    return _thrust_check(found), _weight_check(found)


def _thrust_check(found: PlanHandCheck | None) -> Check:
    apart = None
    if found is None:
        reason = say(
            "No thrust to compare: the net carries nothing, or two sides of a sail are free."
        )
    else:
        worst = max(found.cases, key=lambda case: case.apart)
        apart = worst.apart
        told = (
            say(
                "{title}, {where}: the net's least {least:force} lies between {low:force} and "
                "{way:force} by hand.",
                title=worst.title,
                where=worst.where,
                least=worst.least,
                low=worst.low,
                way=worst.way,
            ),
            say(
                "{title}, {where}: the net's {least:force} to {greatest:force} leave {low:force} to "
                "{way:force} by hand by more than the approximation explains: look at the loads "
                "and the curve before relying on either.",
                title=worst.title,
                where=worst.where,
                least=worst.least,
                greatest=worst.least if worst.greatest is None else worst.greatest,
                low=worst.low,
                way=worst.way,
            ),
        )
        reason = told[apart > EXPLAINED_ON_PLAN]
    return judge(
        "site.hand-check",
        say("Net against hand check: thrust outside what the hand allows"),
        apart,
        EXPLAINED_ON_PLAN,
        kind="percent",
        at_least=False,
        reason=reason,
        source="moments about the springing; membrane; safe theorem",
    )


def _weight_check(found: PlanHandCheck | None) -> Check:
    reason = say("There is no hand check.")
    if found is not None:
        reason = say(
            "{hand:force} by hand, {net:force} on the net, which may stand half the thickness "
            "outside its springing all round.",
            hand=sum(weight.by_hand for weight in found.weights),
            net=sum(weight.program for weight in found.weights),
        )
    return judge(
        "site.hand-check.weight",
        say("Net against hand check: dead load"),
        found.weight_apart if found else None,
        found.weight_explained if found else None,
        kind="percent",
        at_least=False,
        reason=reason,
        source="area and volume times unit weight",
    )
