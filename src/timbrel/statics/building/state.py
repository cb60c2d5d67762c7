"""A state of the work, and the answer to: does it stand, and on what?

First the safe theorem: is there a thrust line inside what has set? Then nothing is asked of the
bond. If there is none, the joints must carry tension; an elastic arch says how much. Bond is
brittle, so the safe theorem does not help there: the worst of three elastic arches counts - even
stiffness, the youngest joints as hinges, and springings that have spread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.building.buckling import critical_thrust
from timbrel.statics.building.section import ShellSection
from timbrel.statics.elastic import ElasticArch, elastic_answer, tension_needed
from timbrel.statics.kinematic import bound_thickness
from timbrel.statics.strip import Strip, StripLoad, ThrustLine
from timbrel.statics.strip_answer import Bounded
from timbrel.statics.thickness import least_thickness
from timbrel.statics.thrust_program import Found, Question, ThrustProgram, answers
from timbrel.verdict import Verdict
from timbrel.words import Message, say

Array = NDArray[np.float64]
Marks = NDArray[np.bool_]


@dataclass(frozen=True)
class Resting:
    """Something set down or leaning on the work: `force` (N a metre of axis) at arc share `at`."""

    at: float
    force: float


@dataclass(frozen=True)
class State:
    """What is laid, what has set, and what rests on it.

    key: stable name. title: in words. operation: what is being done (``arch``, ``layer``, ``fill``,
    ``use``). layer: which layer is being laid (from 1). progress: share of that operation done.
    v: station. laid: (layers, n) share of each piece that lies there. acting: (layers, n) pieces
    that have set. young: (n+1,) joints that are the youngest. age: age of those joints by the
    programme (s), None when it is not known. resting: loads set down. fill: (n,) weight of fill on
    each piece (N a metre).
    """

    key: str
    title: Message
    operation: str
    layer: int
    progress: float
    v: float
    laid: Array
    acting: Marks
    young: Marks
    age: float | None = None
    resting: tuple[Resting, ...] = ()
    fill: Array | None = None


@dataclass(frozen=True)
class Arches:
    """Elastic data that all states share: modulus (Pa), spread (m), least buckling factor."""

    modulus: float
    spread: float
    buckling_least: float


@dataclass(frozen=True)
class StateAnswer:
    """The answer for one state.

    line: the thrust line of least thrust in what has set, or None. tension: greatest tension that
    the joints must carry (Pa; 0 when there is a line); case: which elastic arch asks it; joint:
    where; along: (n+1,) tension at each joint of that arch. thrust: of line or arch (N/m).
    buckling: factor against buckling of the acting shell. strength: bond of the youngest joint by
    the programme (Pa), None without tests. ratio: tension over strength. wait: age that the
    youngest joint needs before this state (s), None without tests, infinite when it never has it.
    factor: thickness over the least with a thrust line, static and kinematic (under 1: there is no
    line); only for states that govern.
    """

    state: State
    line: ThrustLine | None
    strip: Strip
    tension: float
    case: Message
    joint: int
    along: Array
    thrust: float
    buckling: float
    strength: float | None = None
    ratio: float | None = None
    wait: float | None = None
    factor: Bounded | None = None
    verdict: Verdict = Verdict.NOT_JUDGED
    reason: Message = field(default_factory=lambda: say("not looked at yet"))


def state_load(section: ShellSection, state: State) -> StripLoad:
    """All that weighs on the section at a state, as one load."""
    weight = section.weight * state.laid
    force = weight.sum(axis=0)
    moment = (weight[:, :, None] * section.at).sum(axis=0)
    tops = (section.outer[1:] + section.outer[:-1]) / 2
    if state.fill is not None:
        force = force + state.fill
        moment = moment + state.fill[:, None] * tops
    for item in state.resting:
        piece = min(int(item.at * section.pieces), section.pieces - 1)
        force[piece] += item.force
        moment[piece] += item.force * tops[piece]
    # A piece with nothing on it has no line of action of its own; its middle serves.
    safe = np.where(force > 0, force, 1.0)[:, None]
    at = np.where(force[:, None] > 0, moment / safe, tops)
    return StripLoad("state", state.title, np.column_stack([np.zeros_like(force), -force]), at)


def answer_state(section: ShellSection, state: State, arches: Arches) -> StateAnswer:
    """Thrust line if there is one; if not, the tension that the joints must carry."""
    return answer_states(section, [state], arches)[0]


def answer_states(
    section: ShellSection, states: Sequence[State], arches: Arches
) -> list[StateAnswer]:
    """As :func:`answer_state`, of several states of one section together."""
    strips = [section.strip(state.acting) for state in states]
    loads = [state_load(section, state) for state in states]
    nothing = np.zeros((0, section.pieces, 3))
    lines = answers(
        [
            (ThrustProgram(strip, load.wrench, nothing), Question("least thrust"))
            for strip, load in zip(strips, loads, strict=True)
        ]
    )
    return [
        _answer(section, state, strip, load, found, arches)
        for state, strip, load, found in zip(states, strips, loads, lines, strict=True)
    ]


def _answer(
    section: ShellSection,
    state: State,
    strip: Strip,
    load: StripLoad,
    found: Found | None,
    arches: Arches,
) -> StateAnswer:
    buckling = _buckling(section, strip, arches)
    nothing = np.zeros(section.pieces + 1)
    if found is not None:
        thrust = found.line.thrust
        return StateAnswer(
            state,
            found.line,
            strip,
            0.0,
            say("a thrust line lies inside what has set"),
            int(np.argmax(found.line.depth_used)),
            nothing,
            thrust,
            buckling / thrust if thrust > 0 else float("inf"),
        )
    arch = _elastic_arch(strip, arches.modulus)
    joint_loads = _at_joints(load, arch.axis)
    tension, case, along, thrust = _worst_arch(
        arch, joint_loads, strip.thickness, state, arches, section.box_sides()
    )
    return StateAnswer(
        state,
        None,
        strip,
        tension,
        case,
        int(np.argmax(along)),
        along,
        thrust,
        buckling / thrust if thrust > 0 else float("inf"),
    )


def with_factor(section: ShellSection, answer: StateAnswer) -> StateAnswer:
    """The same answer with its geometric factor, bounded from both sides."""
    wrench = state_load(section, answer.state).wrench
    least = least_thickness(answer.strip, wrench)
    if least is None:
        return answer
    mechanism = bound_thickness(answer.strip, wrench, least.line, least.share)
    bound = 1 / mechanism.bound if mechanism else None
    return replace(answer, factor=Bounded(least.factor, bound, least.line, mechanism))


def _worst_arch(
    arch: ElasticArch,
    loads: Array,
    thickness: Array,
    state: State,
    arches: Arches,
    sides: Marks,
) -> tuple[float, Message, Array, float]:
    whole = arch.hinged_at(sides) if sides.any() else arch
    cases = [
        (say("even stiffness"), elastic_answer(whole, loads)),
        (say("springings spread"), elastic_answer(whole, loads, spread=arches.spread)),
    ]
    if state.young.any():
        cases.append(
            (
                say("young joints as hinges"),
                elastic_answer(arch.hinged_at(state.young | sides), loads),
            )
        )
    asked = [(tension_needed(answer, thickness), name, answer) for name, answer in cases]
    along, name, answer = max(asked, key=lambda item: float(item[0].max()))
    return float(along.max()), name, along, answer.thrust


def _elastic_arch(strip: Strip, modulus: float) -> ElasticArch:
    between = (strip.thickness[1:] + strip.thickness[:-1]) / 2
    return ElasticArch.uniform(strip.middle, between, modulus)


def _at_joints(load: StripLoad, axis: Array) -> Array:
    """Each piece's weight shared between its two joints by the lever rule."""
    left, right = axis[:-1, 0], axis[1:, 0]
    share = (load.at[:, 0] - left) / (right - left)
    loads = np.zeros_like(axis)
    loads[:-1, 1] += load.force[:, 1] * (1 - share)
    loads[1:, 1] += load.force[:, 1] * share
    return loads


def _buckling(section: ShellSection, strip: Strip, arches: Arches) -> float:
    steps = np.diff(strip.middle, axis=0)
    length = float(np.hypot(steps[:, 0], steps[:, 1]).sum())
    first, last = strip.across[0], strip.across[-1]
    turning = float(np.arccos(np.clip(first @ last, -1.0, 1.0)))
    return critical_thrust(length, turning, float(strip.thickness.min()), arches.modulus)
