"""What is compared of each planned option: thrust, walls, headroom, tiles, days, price."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from timbrel.bond.layout import Piece
from timbrel.plan import Plan, SurfacePlan
from timbrel.shape.barrel import Barrel
from timbrel.statics.net_actions import net_actions
from timbrel.statics.net_supports import NetSupports, net_supports
from timbrel.statics.net_vaults import solid_of
from timbrel.verdict import Check, Verdict, governing_first, overall


@dataclass(frozen=True)
class Push:
    """What an option puts on what carries it. wall_least, wall_greatest: on a metre of wall, N/m, of
    the wall that gets most; corner_least, corner_greatest: on a pier at a corner, level, N. None
    where there is none, or where nothing bounds it."""

    wall_least: float | None = None
    wall_greatest: float | None = None
    corner_least: float | None = None
    corner_greatest: float | None = None


@dataclass(frozen=True)
class Figures:
    """What is compared. family. coarse: the statics are a coarse net's, which the whole proof has to
    bear out. load_factor: the least found, None without a line or net; infinite when the imposed
    load is not bounded. more: it was followed no further, the vault carries more. push: on walls and
    corners. walls: the check on walls or piers that governs, None when there is none. headroom: at
    the crown, m. spare: of the level budget, m. rise, thickness: m. layers, tiles (bought), cuts
    (halves among them). days: of the crew; calendar: with the waits. price: likely, in the job's
    currency, without what has no price."""

    family: str
    coarse: bool
    verdict: Verdict
    fails: int
    not_judged: int
    governs: Check | None
    walls: Check | None
    load_factor: float | None
    more: bool
    push: Push
    headroom: float
    spare: float
    rise: float
    thickness: float
    layers: int
    tiles: int
    cuts: int
    days: float
    calendar: int
    price: float
    left_out: int


def figures_of(plan: Plan) -> Figures:
    """The figures that are compared."""
    checks, push, factor = _judged(plan)
    answer = plan.statics.answer if isinstance(plan, SurfacePlan) else None
    order = governing_first(checks)
    walls = [c for c in order if c.name.startswith(("walls.", "piers.", "supports."))]
    levels = {c.name: c.value for c in plan.levels.checks}
    return Figures(
        family=plan.vault.family,
        coarse=isinstance(plan, SurfacePlan),
        verdict=overall(checks),
        fails=sum(c.verdict is Verdict.FAILS for c in checks),
        not_judged=sum(c.verdict is Verdict.NOT_JUDGED for c in checks),
        governs=order[0] if order else None,
        walls=walls[0] if walls else None,
        load_factor=factor,
        more=answer is not None and answer.more,
        push=push,
        headroom=levels["levels.crown"] or 0.0,
        spare=plan.levels.spare,
        rise=rise_of(plan),
        thickness=plan.vault.thickness,
        layers=len(plan.job.layers),
        tiles=sum(nest.bought for nest in plan.bond.cuts.nests),
        cuts=sum(group.count for group in plan.bond.cuts.groups if group.kind != Piece.WHOLE),
        days=plan.site.programme.days,
        calendar=plan.site.programme.calendar,
        price=plan.takeoff.quote.likely.total,
        left_out=len(plan.takeoff.quote.left_out),
    )


def _judged(plan: Plan) -> tuple[tuple[Check, ...], Push, float | None]:
    """All checks, the push and the load factor; of a net those of the coarse one."""
    if not isinstance(plan, SurfacePlan):
        ranges = plan.statics.thrusts
        push = Push(greater(r.least for r in ranges), greater(r.greatest for r in ranges))
        factors = [p.static for s in plan.statics.stations for p in s.answer.patterns]
        return plan.checks, push, min(factors) if factors else None
    acts = net_actions(plan.job, solid_of(plan.vault), plan.statics.net.grid)
    supports = net_supports(plan.job, plan.vault, plan.statics.net, acts)
    return (*plan.checks, *supports.checks), _push_of(supports), plan.statics.factor


def _push_of(supports: NetSupports) -> Push:
    """The greatest of all supports, in the states of least and of greatest thrust."""

    def most(pier: bool, bound: str) -> float | None:
        found = []
        for push in supports.pushes:
            if (push.force is None) == pier and push.case.bound == bound:
                level = push.force.level if push.force else float(np.hypot(*push.total[:2]))
                found.append(abs(level))
        return max(found, default=None)

    return Push(most(False, "least"), most(False, "greatest"), most(True, "least"),
                most(True, "greatest"))  # fmt: skip


def rise_of(plan: Plan) -> float:
    """Rise of the intrados at the near end; of another vault, its crown over its springing."""
    if isinstance(plan.vault, Barrel):
        return plan.vault.near.rise
    return plan.levels.level("crown") - plan.levels.level("springing")


def greater(values: Iterable[float | None]) -> float | None:
    """The greatest that is known."""
    found = [v for v in values if v is not None]
    return max(found) if found else None
