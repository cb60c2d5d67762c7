"""The proof by a strut net in figures, for plan.json, tables and sheets.

The states themselves (struts, forces, lines) stand in the certificates beside the plan.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.mechanism_figures import MechanismFigures, mechanism_figures
from timbrel.statics.net_carrying import NetCarrying
from timbrel.statics.net_factors import NetFactor
from timbrel.statics.net_hooks import NetHook
from timbrel.statics.net_solid import Array
from timbrel.statics.net_statics import NetStatics
from timbrel.statics.net_supports import RingTie
from timbrel.statics.net_thrusts import SupportThrust
from timbrel.statics.support_push import SupportPush
from timbrel.words import Message


@dataclass(frozen=True)
class FactorRow:
    """The load factor of one pattern. static: of the net, null where nothing bounds it; more: it
    carries more but was followed no further; rigid: with the strength left out; steps: fineness
    of the net; coarser: of the next coarser net, null where the coarsest was enough, and
    difference: of the two; kinematic: of the least mechanism, null without one; gap: of the
    bounds over the static one, both with or both without the strength; mechanism: its kind;
    reason: what it is, or why there is none. alike: the pattern whose mirror image it is.
    residual: of its certificate, over the load; sound: without a fault; sagitta: most that a
    strut may rise between two samples (m). overshoot: depth (m) that the worst block of stress
    lacks, at most zero where it has room, and lacking: the same as the re-read certificate has
    it. struts: that carry. motion: the least mechanism as it is drawn."""

    pattern: str
    title: Message
    static: float | None
    more: bool
    rigid: float | None
    steps: int
    coarser: float | None
    difference: float | None
    kinematic: float | None
    gap: float | None
    mechanism: str | None
    reason: Message
    alike: str | None
    residual: float
    sound: bool
    sagitta: float | None
    overshoot: float | None
    lacking: float | None
    struts: int
    motion: MechanismFigures | None


@dataclass(frozen=True)
class SpotRow:
    """Greatest load (N) on one spot of the plan (x, y), beside the dead load."""

    place: Array
    load: float | None


@dataclass(frozen=True)
class NetFigures:
    """quick: load factor of the coarse net, null where it has none. The rest is null or empty until
    the whole proof has been made. steps: fineness of the net. geometric: thickness over the least
    that stands. tension, shear: least that the beds must carry (N/m2) in the state with that load
    factor (beds_factor). limited: the least load factor within the job's limits on the beds, null
    without. pushes: every support in the states of least and greatest thrust. carried: every
    combination followed into walls, piers and ground. hooks: what the net carries of each."""

    quick: float | None
    steps: int | None
    nodes: int | None
    share_of_dead: float | None
    factors: tuple[FactorRow, ...]
    spots: tuple[SpotRow, ...]
    thrusts: tuple[SupportThrust, ...]
    pushes: tuple[SupportPush, ...]
    ring: RingTie | None
    carried: NetCarrying | None
    geometric: float | None
    tension: float | None
    shear: float | None
    beds_factor: float | None
    limited: float | None
    symmetries: int | None
    wording: Message | None
    hooks: tuple[NetHook, ...]


def net_figures(statics: NetStatics) -> NetFigures:
    """The statics of a vault on a plan in figures."""
    proof, supports = statics.proof, statics.supports
    if proof is None:
        return NetFigures(
            statics.factor, None, None, None, (), (), (), (), None, None, None, None, None, None,
            None, None, None, (),
        )  # fmt: skip
    return NetFigures(
        quick=statics.factor,
        steps=proof.steps,
        nodes=proof.net.grid.size,
        share_of_dead=proof.share_of_dead,
        factors=tuple(_row(f) for f in proof.factors),
        spots=tuple(SpotRow(s.place, _finite(s.load)) for s in proof.spots),
        thrusts=proof.thrusts,
        pushes=supports.pushes if supports else (),
        ring=supports.ring if supports else None,
        carried=statics.carried,
        geometric=proof.thickness.factor if proof.thickness else None,
        tension=proof.beds.demand.tension if proof.beds else None,
        shear=proof.beds.demand.shear if proof.beds else None,
        beds_factor=proof.beds.factor if proof.beds else None,
        limited=_finite(proof.limited),
        symmetries=proof.symmetries,
        wording=proof.wording,
        hooks=statics.hooks,
    )


def _row(factor: NetFactor) -> FactorRow:
    mechanism = factor.upper.mechanism
    return FactorRow(
        factor.pattern,
        factor.title,
        _finite(factor.static),
        factor.more,
        _finite(factor.rigid),
        factor.steps,
        _finite(factor.coarser),
        _finite(factor.difference),
        _finite(factor.kinematic),
        _finite(factor.gap),
        mechanism.kind if mechanism else None,
        factor.upper.reason,
        factor.alike,
        factor.report.residual,
        factor.report.sound,
        factor.report.sagitta,
        factor.overshoot,
        factor.report.lacking,
        len(factor.certificate.force),
        mechanism_figures(mechanism),
    )


def _finite(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else float(value)
