"""The building in figures: one row a state, for plan.json, sheets and page."""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.statics.building.lifts import Lifts
from timbrel.statics.building.settling import Settling
from timbrel.statics.building.stages import Building
from timbrel.statics.building.state import StateAnswer
from timbrel.verdict import Verdict
from timbrel.words import Message


@dataclass(frozen=True)
class StateRow:
    """One state. line: is there a thrust line in what has set. tension (Pa) asked of the bond;
    case: which elastic arch asks it. strength (Pa) there by then; ratio: tension over strength.
    wait: age that the youngest joint needs (s). buckling: factor. null where not judged; a wait
    that never ends and a ratio over nothing are null too, and the verdict says so. factor_static,
    factor_kinematic: thickness over least thickness, both bounds, for states that govern."""

    key: str
    title: Message
    operation: str
    layer: int
    progress: float
    station: float
    line: bool
    tension: float
    case: Message
    strength: float | None
    ratio: float | None
    wait: float | None
    buckling: float | None
    factor_static: float | None
    factor_kinematic: float | None
    verdict: Verdict
    reason: Message


@dataclass(frozen=True)
class OrderRow:
    """One order of work; times in s; null: not known without bond tests, or never."""

    title: Message
    way: str
    whole_layer_first: bool
    gangs: int
    tension: float
    ratio: float | None
    wait_move: float | None
    wait_next: float | None
    centring: float | None
    hours: float | None


@dataclass(frozen=True)
class BuildingFigures:
    """All states, the governing ones, orders of work (the proposed first), waits (s), fill lifts,
    crown drop against spread."""

    arches: int
    tiles_an_arch: float
    states: tuple[StateRow, ...]
    worst: tuple[str, ...]
    hold_tension: float
    hold_seconds: float | None
    hold_trial: float | None
    hanging_row: int | None
    move_after: float | None
    next_after: float | None
    walk_after: float | None
    orders: tuple[OrderRow, ...]
    way_note: Message
    lift_levels: tuple[float, ...]
    lift_safe_difference: float | None
    settling: tuple[Settling, ...]


def building_figures(building: Building) -> BuildingFigures:
    """The building as plain figures."""
    return BuildingFigures(
        arches=building.arching.count,
        tiles_an_arch=building.arching.tiles,
        states=tuple(_row(a) for a in _with_factors(building)),
        worst=tuple(a.state.key for a in building.worst),
        hold_tension=building.holding.asked.tension,
        hold_seconds=_finite(building.holding.seconds),
        hold_trial=building.holding.trial,
        hanging_row=building.holding.row,
        move_after=_finite(building.move_after),
        next_after=_finite(building.next_after),
        walk_after=_finite(building.walk_after),
        orders=tuple(
            OrderRow(
                o.title,
                o.way.value,
                o.whole,
                o.gangs,
                o.tension,
                _finite(o.ratio),
                _finite(o.wait_move),
                _finite(o.wait_next),
                _finite(o.centring),
                _finite(o.hours),
            )
            for o in building.orders
        ),
        way_note=building.way_note,
        lift_levels=_levels(building.lifts),
        lift_safe_difference=_finite(building.lifts.safe) if building.lifts else None,
        settling=building.settling,
    )


def _with_factors(building: Building) -> list[StateAnswer]:
    """All states, those that govern with their factors."""
    governing = {a.state.key: a for a in building.worst}
    return [governing.get(a.state.key, a) for a in building.states]


def _row(answer: StateAnswer) -> StateRow:
    state = answer.state
    return StateRow(
        state.key,
        state.title,
        state.operation,
        state.layer,
        state.progress,
        state.v,
        answer.line is not None,
        answer.tension,
        answer.case,
        answer.strength,
        _finite(answer.ratio),
        _finite(answer.wait),
        _finite(answer.buckling),
        answer.factor.static if answer.factor else None,
        answer.factor.kinematic if answer.factor else None,
        answer.verdict,
        answer.reason,
    )


def _levels(lifts: Lifts | None) -> tuple[float, ...]:
    return () if lifts is None else tuple(float(level) for level in lifts.levels)


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
