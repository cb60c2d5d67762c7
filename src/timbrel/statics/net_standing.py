"""Do the supports of a vault on a plan stand under given pushes: what a search asks many times over.

Piers that are alike are asked once: the one that a block of its shape would bear least, under the
combinations that a block would bear least of (all of them but in the case of overturning, which is
dear).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net_carrying import (
    beside_plan_ties,
    carried_piers,
    carried_walls,
    push_rows,
)
from timbrel.statics.net_support_factor import PierBears, bears_of, figures, thrust_of
from timbrel.statics.net_tie_checks import net_tie_checks
from timbrel.statics.net_ties import net_ties
from timbrel.statics.support_push import SupportPush
from timbrel.verdict import Verdict

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_solid import Support
    from timbrel.statics.net_states import CombinedPush

DEAR = 2  # combinations of every pier that the cracked factor is worked for


@dataclass(frozen=True)
class Supported:
    """A job and its vault, the net whose supports it stands on, and what every combination puts on
    them, ties left out."""

    job: Job
    vault: Any
    net: Net
    pushed: tuple[CombinedPush, ...]


def thrust_most(pushed: tuple[CombinedPush, ...]) -> float | None:
    """Greatest characteristic thrust on any support: N a metre of wall, N on a pier."""
    found = [
        thrust_of(push)
        for c in pushed
        if c.combination.situation == "characteristic"
        for push in c.pushes
    ]
    return max(found, default=None)


def supports_stand(case: Supported) -> bool:
    """Do all supports stay up under every EQU combination; the rest is not asked. Piers are taken as
    blocks, which is not safe: only to rule out what falls even so."""
    for support in case.net.grid.supports:
        bears = bears_of(case.job, support.name, support.kind, float(support.length.sum()))
        rows = _equilibrium(case, support)
        if bears is None or not rows:
            return False
        # Pushes are factored as a whole: over the factor on the dead load they are as they are asked.
        dead = np.array([factor for factor, _ in rows])
        push = np.array([figures(p) for _, p in rows])
        push[:, : 5 if isinstance(bears, PierBears) else 3] /= dead[:, None]
        if isinstance(bears, PierBears):
            falls = bears.blocks(push, np.ones(len(rows))) < 1
        else:
            falls = bears.falls(push, dead)
        if falls.any():
            return False
    return True


def _equilibrium(case: Supported, support: Support) -> list[tuple[float, SupportPush]]:
    return [
        (c.combination.dead, push)
        for c in case.pushed
        if c.combination.situation == "EQU"
        for push in c.pushes
        if push.support == support.name
    ]


def supports_reserve(case: Supported) -> float | None:
    """Least factor of all supports against overturning; None when a verdict on any support or tie
    fails, or the net has no state under any combination."""
    if not case.pushed:
        return None
    tied = net_ties(case.job, case.vault, case.net, push_rows(case.pushed), lost=False)
    left = beside_plan_ties(case.job, case.vault, case.pushed, tied)
    found: list[Any] = [
        *carried_walls(case.job, case.net, left, tied),
        *_piers(replace(case, pushed=left)),
    ]
    checks = [c for one in found for c in one.checks] + list(net_tie_checks(case.job, tied))
    if not found or any(c.verdict is Verdict.FAILS for c in checks):
        return None
    return float(min(one.overturning.value for one in found))


def _piers(case: Supported) -> list[Any]:
    """Of every set of piers that are alike the one that bears least."""
    ranked: dict[tuple[Any, ...], tuple[float, Support, list[str]]] = {}
    for support in case.net.grid.supports:
        bears = bears_of(case.job, support.name, support.kind, float(support.length.sum()))
        if not isinstance(bears, PierBears):
            continue
        rows = _equilibrium(case, support)
        push = np.array([figures(p) for _, p in rows])
        push[:, :5] /= np.array([factor for factor, _ in rows])[:, None]
        factors = bears.blocks(push, np.ones(len(rows)))
        alike = (bears.wall, len(bears.shape.leanings))
        least = float(factors.min())
        if alike not in ranked or least < ranked[alike][0]:
            order = np.argsort(factors, kind="stable")[:DEAR]
            dear = [rows[i][1].case.load for i in order]
            ranked[alike] = (least, support, dear)
    found: list[Any] = []
    for _, support, dear in ranked.values():
        alone = replace(case.net, grid=replace(case.net.grid, supports=(support,)))
        asked = tuple(
            c for c in case.pushed if c.combination.situation != "EQU" or c.combination.key in dear
        )
        found += carried_piers(case.job, alone, asked)
    return found
