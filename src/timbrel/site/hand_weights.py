"""The dead load of a vault on a plan, added up by hand beside what the net was given."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from timbrel.job.model import Job
from timbrel.site.fill import plan_fill
from timbrel.statics.floor import UNIT_WEIGHT
from timbrel.statics.net_actions import NetActions, layer_weights
from timbrel.statics.net_vaults import solid_of
from timbrel.words import Message


@dataclass(frozen=True)
class HandWeight:
    """One cause of dead load. quantity: how much of it (m2 of shell or plan, m3 of fill), unit:
    weight of one, N; None where the hand takes the plan's figure. by_hand, program: N."""

    key: str
    title: Message
    quantity: float | None
    unit: float | None
    by_hand: float
    program: float


def hand_weights(job: Job, vault: Any, acts: NetActions) -> tuple[HandWeight, ...]:
    """Area, volume or plan times the weight of one; what has no such product as the plan has it."""
    return tuple(_weight(job, vault, load.key, load.title, load.total) for load in acts.permanent)


def _weight(job: Job, vault: Any, key: str, title: Message, program: float) -> HandWeight:
    quantity: float | None = None
    unit: float | None = None
    if key == "layers":
        weights, _ = layer_weights(job, solid_of(vault))
        quantity, unit = vault.area(vault.thickness / 2), sum(weights)
    elif key == "fill":
        fill, stated = plan_fill(job, vault), job.loads.fill
        if fill is not None and not stated.lifts and stated.kind in UNIT_WEIGHT:
            quantity, unit = fill.volume, stated.unit_weight or UNIT_WEIGHT[stated.kind]
    elif key == "finish" and vault.family != "dome":
        quantity, unit = float(vault.plan.area), job.loads.finish
    by_hand = program if quantity is None or unit is None else quantity * unit
    return HandWeight(key, title, quantity, unit, by_hand, program)
