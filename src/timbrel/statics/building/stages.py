"""The whole building of a barrel or a flight, state by state, and what it asks of bond and crew."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.job.set_times import set_start, times_in_use
from timbrel.shape.vault import Barrel
from timbrel.statics.actions import top_of_fill
from timbrel.statics.building.building_checks import building_checks
from timbrel.statics.building.holding import Holding, hold_by_hand
from timbrel.statics.building.lifts import Lifts, check_lifts, unit_weight_of_fill
from timbrel.statics.building.orders import Order, Pace, compare_orders
from timbrel.statics.building.section import (
    ShellSection,
    shell_section,
)
from timbrel.statics.building.sequence import (
    WAYS,
    Arching,
    Way,
    arch_states,
    closing_joints,
    layer_states,
    resting_states,
)
from timbrel.statics.building.settling import Settling, crown_after
from timbrel.statics.building.state import Arches, State, StateAnswer, answer_state
from timbrel.statics.maturity import BondStrength, fit_strength
from timbrel.verdict import Check, Verdict
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

    Raises TimbrelError when the
    binder's bond tests cannot be used.
    """
    strength = strength_of(job)
    arching = _arching(job, vault, bond)
    arches = Arches(job.building.modulus, job.building.spread, job.building.buckling_least)
    course = 1 / max(bond.layers[0].courses, 1)
    young = closing_joints(PIECES, course)
    old = np.zeros_like(young)

    answers: list[StateAnswer] = []

    def follow(section: ShellSection, states: Sequence[State]) -> list[StateAnswer]:
        found = [_judged(answer_state(section, s, arches), job, strength) for s in states]
        answers.extend(found)
        return found

    arch_answers: list[StateAnswer] = []
    for arch in range(arching.count):
        progress(say("arches of the first layer"), 0.4 * arch / arching.count)
        section = shell_section(job, vault, arching.station(arch), PIECES)
        arch_answers += follow(section, list(arch_states(section, job, arching, arch, young)))
    arch_tension = max(a.tension for a in arch_answers if not a.state.key.endswith(".side"))
    worst_v = max(arch_answers, key=lambda a: (a.tension, -a.buckling)).state.v
    section = shell_section(job, vault, worst_v, PIECES)

    rest: list[StateAnswer] = []
    for done in range(1, len(job.layers) + 1):
        progress(say("loads that rest on the work"), 0.4 + 0.1 * done / len(job.layers))
        soft = young if done == 1 else old
        states = list(resting_states(section, job, worst_v, done, soft, arching.length))
        rest += follow(section, states)

    steps = job.building.steps
    demand: dict[tuple[Way, bool], Array] = {
        (way, fresh): np.zeros(steps) for way in Way for fresh in (False, True)
    }
    for layer in range(2, len(job.layers) + 1):
        tile = job.tiles[job.layers[layer - 1].tile]
        lead = tile.width / float(np.hypot(*np.diff(section.outer, axis=0).T).sum())
        sets = _sets_behind(job, layer, bond.layers[layer - 1].count / Pace.of(job, 1).later)
        for way, fresh in demand if layer == 2 else [(way, False) for way in Way]:
            progress(say("later layers"), 0.5 + 0.4 * (layer - 1) / len(job.layers))
            marks, age = (young, 0.0) if fresh else (old, job.site.wait_later_layer)
            passed = layer_states(section, steps, layer, way, worst_v, lead, age, marks, sets)
            found = follow(section, list(passed))
            if layer == 2:
                for answer in found:
                    k = round(answer.state.progress * steps) - 1
                    demand[way, fresh][k] = max(demand[way, fresh][k], answer.tension)

    orders: tuple[Order, ...] = ()
    if len(job.layers) > 1:
        second = float(bond.layers[1].count)
        orders = compare_orders(job, arching, second, arch_tension, demand, strength)
    top = top_of_fill(job, vault)
    lifts = None
    if top is not None:
        progress(say("fill in lifts"), 0.95)
        lifts = check_lifts(job, section, worst_v, unit_weight_of_fill(job), top)
    settling = _settling(answers, section)
    holding = hold_by_hand(job, section, bond, strength)
    walk = _walk_after(job, rest, strength)
    checks = building_checks(job, arch_answers, answers, orders, holding, lifts, strength)
    progress(say("stages of building"), 1.0)
    return Building(
        arching,
        tuple(answers),
        _worst_of_each(answers, orders),
        holding,
        orders[0].wait_move if orders else _age(job, strength, arch_tension),
        orders[0].wait_next if orders else None,
        walk,
        orders,
        _way_note(demand, len(job.layers)),
        lifts,
        settling,
        strength,
        checks,
    )


def strength_of(job: Job) -> BondStrength | None:
    """Bond of the first layer's binder by its own tests, None when there are none."""
    layer = job.layers[0]
    binder = job.binders[layer.binder]
    tests = binder.bond
    if tests is None:
        return None
    times = times_in_use(binder)
    # Outside the data of the set the tests alone speak: strength grows from the first moment.
    start = (set_start(times, tests.at_c) or 0.0) if times else 0.0
    return fit_strength(
        tests.ages_h,
        tests.strengths,
        tests.at_c,
        tests.activation_kj_mol * 1e3,
        start,
        tests.origin,
        f"binders.{layer.binder}.bond",
    )


def _sets_behind(job: Job, layer: int, laying: float) -> bool:
    """Does the bed set before the next step is laid? Only a binder with set times is sure to."""
    stated = job.layers[layer - 1]
    times = times_in_use(job.binders[stated.bed_binder or stated.binder])
    start = set_start(times, job.site.temperature_c) if times else None
    return start is not None and start <= laying / job.building.steps


def _arching(job: Job, vault: Barrel, bond: Bond) -> Arching:
    first = bond.layers[0]
    count = int(first.arch.max()) + 1
    tile = job.tiles[job.layers[0].tile]
    along = tile.width if job.layers[0].direction == "along arc" else tile.length
    return Arching(count, first.count / count, along + first.perpend_joint, 1 / first.courses)


def _judged(answer: StateAnswer, job: Job, strength: BondStrength | None) -> StateAnswer:
    """Compare what a state asks with the bond that is there by then."""
    limit = job.building.ratio_most
    if answer.line is not None:
        if answer.buckling < job.building.buckling_least:
            return replace(
                answer,
                verdict=Verdict.FAILS,
                reason=say("it may buckle: factor {factor:ratio}", factor=answer.buckling),
            )
        return replace(answer, ratio=0.0, wait=0.0, verdict=Verdict.HOLDS, reason=answer.case)
    if strength is None:
        return replace(
            answer,
            reason=say(
                "asks {tension:stress} of the bond ({case}); the binder has no bond tests",
                tension=answer.tension,
                case=answer.case,
            ),
        )
    wait = strength.age_for(answer.tension / limit, job.site.temperature_c)
    age = answer.state.age if answer.state.age is not None else wait
    there = strength.at_age(age, job.site.temperature_c) if math.isfinite(age) else 0.0
    there = there if math.isfinite(wait) else strength.strengths[-1]
    ratio = answer.tension / there if there > 0 else math.inf
    holds = ratio <= limit * (1 + 1e-6) and answer.buckling >= job.building.buckling_least
    reason = say(
        "asks {tension:stress} of {there:stress} bond ({case})",
        tension=answer.tension,
        there=there,
        case=answer.case,
    )
    return replace(
        answer,
        strength=there,
        ratio=ratio,
        wait=wait,
        verdict=Verdict.HOLDS if holds else Verdict.FAILS,
        reason=reason,
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
    answers: Sequence[StateAnswer], orders: Sequence[Order]
) -> tuple[StateAnswer, ...]:
    """The governing state of each operation; later layers only by the way that is proposed."""
    groups: dict[tuple[str, int, str], list[StateAnswer]] = {}
    for answer in answers:
        state = answer.state
        if state.operation == "layer" and not orders[0].passes(state):
            continue
        kind = state.key.split(".")[2] if state.operation == "use" else ""
        groups.setdefault((state.operation, state.layer, kind), []).append(answer)
    return tuple(max(g, key=lambda a: (a.tension, -a.buckling)) for g in groups.values())


def _way_note(demand: dict[tuple[Way, bool], Array], layers: int) -> Message:
    if layers < 2:
        return say("There is one layer only; no later layer presses on it.")
    worst = {way: float(demand[way, False].max()) for way in Way}
    best = min(worst, key=lambda way: worst[way])
    if best is Way.BOTH or worst[Way.BOTH] <= worst[best] * 1.001:
        return say(
            "Brought up from both springings the second layer asks {both:stress} of the bond, from "
            "one side {side:stress}, from the crown outward {crown:stress}: the common practice is "
            "the safest here.",
            both=worst[Way.BOTH],
            side=worst[Way.SIDE],
            crown=worst[Way.CROWN],
        )
    return say(
        "For this job the common practice (both springings, {both:stress} of bond) is not the "
        "safest: {way} asks {least:stress}.",
        both=worst[Way.BOTH],
        way=WAYS[best],
        least=worst[best],
    )


def _settling(answers: Sequence[StateAnswer], section: ShellSection) -> tuple[Settling, ...]:
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
