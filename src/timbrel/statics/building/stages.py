"""The whole building of a barrel or a flight, state by state, and what it asks of bond and crew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.shape.vault import Barrel
from timbrel.statics.building.building_checks import building_checks, untested_bond
from timbrel.statics.building.holding import Holding, hold_by_hand
from timbrel.statics.building.lifts import Lifts
from timbrel.statics.building.opened_arches import opened_checks
from timbrel.statics.building.orders import Order, compare_orders
from timbrel.statics.building.section import (
    ShellSection,
)
from timbrel.statics.building.sequence import (
    Arching,
    Way,
    as_laid,
    way_told,
)
from timbrel.statics.building.settling import Settling, crown_after
from timbrel.statics.building.state import (
    Arches,
    State,
    StateAnswer,
    answer_state,
    with_factor,
)
from timbrel.statics.building.work import Work
from timbrel.statics.maturity import BondStrength
from timbrel.verdict import Check
from timbrel.words import Message, Progress, say, silent

Array = NDArray[np.float64]
PIECES = 96
SPREADS = (0.001, 0.002, 0.005, 0.010)
"""Spreads of the springings (m) for which the crown's drop is tabled."""


@dataclass(frozen=True)
class Building:
    """Every state of the work and what follows from it.

    states: all answers in the order of the work. worst: the governing one of each operation.
    move_after: age of the key at which the centring may go (s); next_after: wait before the second
    layer; walk_after: when a person may kneel on the whole shell; None without bond tests. orders:
    the proposed first. lifts: None without fill. settling: crown drop against spread.
    """

    arching: Arching
    states: tuple[StateAnswer, ...]
    worst: tuple[StateAnswer, ...]
    holding: Holding
    move_after: float | None
    next_after: float | None
    walk_after: float | None
    orders: tuple[Order, ...]
    way_note: Message
    lifts: Lifts | None
    settling: tuple[Settling, ...]
    bond: BondStrength | None
    checks: tuple[Check, ...]


def check_building(job: Job, vault: Barrel, bond: Bond, progress: Progress = silent) -> Building:
    """Follow the work from the first arch to the filled vault.

    Raises TimbrelError when the binder's bond tests cannot be used.
    """
    work = Work(job, vault, bond, progress)
    arches = work.arches()
    laid = [a for a in arches if as_laid(a.state, work.way)]
    arch_tension = max(a.tension for a in laid)
    rest = work.resting()
    demand = work.later_layers()
    orders: tuple[Order, ...] = ()
    if len(job.layers) > 1:
        second = float(bond.layers[1].count)
        orders = compare_orders(job, work.arching, second, arch_tension, demand, work.strength)
    whole = tuple(work.answers)
    opened = work.opened(orders)
    lifts = work.lifts()
    holding = hold_by_hand(job, work.worst_section, bond, work.strength)
    governing = _worst_of_each(whole, orders, work.way)
    checks = building_checks(job, laid, whole, orders, holding, lifts, work.strength)
    untested, limit = untested_bond(job), job.building.ratio_most
    checks = (*checks, *opened_checks(opened, work.strength, untested, limit))
    progress(say("stages of building"), 1.0)
    return Building(
        work.arching,
        tuple(work.answers),
        tuple(with_factor(work.section_at(a.state.v), a) for a in governing),
        holding,
        orders[0].wait_move if orders else _age(job, work.strength, arch_tension),
        orders[0].wait_next if orders else None,
        _walk_after(job, rest, work.strength),
        orders,
        _way_note(demand, len(job.layers)),
        lifts,
        _settling(work.worst_section),
        work.strength,
        checks,
    )


def _age(job: Job, strength: BondStrength | None, tension: float) -> float | None:
    if strength is None:
        return None
    return strength.age_for(tension / job.building.ratio_most, job.site.temperature_c)


def _walk_after(
    job: Job, rest: Sequence[StateAnswer], strength: BondStrength | None
) -> float | None:
    whole = [
        a.tension for a in rest if a.state.layer == len(job.layers) and ".kneeling." in a.state.key
    ]
    return _age(job, strength, max(whole)) if max(whole) > 0 else 0.0


def _worst_of_each(
    answers: Sequence[StateAnswer], orders: Sequence[Order], way: Way
) -> tuple[StateAnswer, ...]:
    """The governing state of each operation; layers only by the way that is proposed.

    way: how each arch of the first is laid.
    """
    groups: dict[tuple[str, int, str], list[StateAnswer]] = {}
    for answer in answers:
        state = answer.state
        if state.operation == "layer" and not orders[0].passes(state):
            continue
        if state.operation == "arch" and not as_laid(state, way):
            continue
        kind = state.key.split(".")[2] if state.operation == "use" else ""
        groups.setdefault((state.operation, state.layer, kind), []).append(answer)
    return tuple(max(g, key=lambda a: (a.tension, -a.buckling)) for g in groups.values())


def _way_note(demand: dict[tuple[Way, bool], Array], layers: int) -> Message:
    if layers < 2:
        return say("There is one layer only; no later layer presses on it.")
    worst = {way: float(demand[way, False].max()) for way in Way}
    return way_told(worst)


def _settling(section: ShellSection) -> tuple[Settling, ...]:
    """Crown drop of the finished shell under its own weight, hinged where least thrust touches."""
    whole = np.ones_like(section.weight)
    state = State(
        "finished",
        say("finished shell"),
        operation="use",
        layer=len(section.weight),
        progress=1.0,
        v=0.0,
        laid=whole,
        acting=whole > 0,
        young=np.zeros(section.pieces + 1, dtype=bool),
    )
    line = answer_state(section, state, Arches(1e9, 0.0, 1.0)).line
    if line is None:
        return ()
    hinges = line.hinges()
    inner = [h for h in hinges if not h.outer]
    outer = [h for h in hinges if h.outer]
    if len(inner) < 2 or not outer:
        return ()
    left, right = inner[0], inner[-1]
    between = [h for h in outer if left.joint < h.joint < right.joint]
    if not between:
        return ()
    crown = between[len(between) // 2]
    points = [np.array([h.x, h.z]) for h in (left, crown, right)]
    return tuple(crown_after(points[0], points[1], points[2], spread) for spread in SPREADS)
