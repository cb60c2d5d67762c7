"""All that is asked of one strip: thrusts, load factors, geometric factor, each with two bounds.

The static value is a thrust line found; the kinematic value is a mechanism found by separate code.
The truth of the model lies between them; the gap is printed beside.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from timbrel.statics.actions import StripActions
from timbrel.statics.kinematic import Mechanism, bound_factor, bound_thickness, bound_thrust
from timbrel.statics.patterns import KINDS, Pattern, PatternKind
from timbrel.statics.strip import Array, Hinge, Strip, ThrustLine
from timbrel.statics.thickness import LeastThickness, least_thickness
from timbrel.statics.thrust_program import Found, ThrustProgram
from timbrel.words import Message, say

WALK_STEP = 3  # places of a walked load that are stepped over at first
STANDS = 1 - 1e-6  # share of the dead load that counts as all of it


@dataclass(frozen=True)
class Bounded:
    """A value with its two bounds.

    static: from a thrust line. kinematic: from a mechanism, None when none was found. line: the
    line. mechanism: the joints that give way.
    """

    static: float
    kinematic: float | None
    line: ThrustLine
    mechanism: Mechanism | None

    @property
    def gap(self) -> float | None:
        """Distance of the bounds over the static value; None without an upper bound."""
        if self.kinematic is None or not np.isfinite(self.static) or self.static == 0:
            return None
        return abs(self.kinematic - self.static) / abs(self.static)

    @property
    def hinges(self) -> tuple[Hinge, ...]:
        """Where the thrust line touches a face."""
        return self.line.hinges()


@dataclass(frozen=True)
class LoadFactor:
    """The multiple of one pattern that the strip carries beside its dead load.

    pattern: key (``full``, ``half.left``, ``line.7``). x: where a line load stands. static is
    infinite when nothing short of crushing bounds it.
    """

    pattern: str
    title: Message
    kind: PatternKind
    x: float | None
    answer: Bounded

    @property
    def static(self) -> float:
        return self.answer.static

    @property
    def kinematic(self) -> float | None:
        return self.answer.kinematic

    @property
    def gap(self) -> float | None:
        return self.answer.gap


@dataclass(frozen=True)
class Geometric:
    """Thickness over least thickness, for the worst of the loads tried.

    answer: static and kinematic factor. least_thickness: m, at the thickest joint. load: key of the
    worst load (``dead`` or a pattern).
    """

    answer: Bounded
    least_thickness: float
    load: str
    title: Message

    @property
    def factor(self) -> float:
        return self.answer.static


@dataclass(frozen=True)
class StripAnswer:
    """What one strip answers.

    stands: has it a thrust line under its dead load. share_of_dead: the share that it carries.
    least_thrust, greatest_thrust: N/m, under the dead load alone; None when it does not stand.
    patterns: one load factor a pattern; of a line load walked across, every third
    place and all places beside the worst. geometric: None
    when no thickness would do (sliding).
    """

    strip: Strip
    stands: bool
    share_of_dead: float
    least_thrust: Bounded | None
    greatest_thrust: Bounded | None
    geometric: Geometric | None
    patterns: tuple[LoadFactor, ...]

    def worst(self, kind: PatternKind) -> LoadFactor | None:
        """The pattern of a kind with the least load factor."""
        found = [p for p in self.patterns if p.kind == kind]
        return min(found, key=lambda p: p.static) if found else None


def strip_program(acts: StripActions) -> ThrustProgram:
    """The linear program of a strip under its actions."""
    return ThrustProgram(acts.strip, acts.dead, acts.variable)


def solve_strip(
    acts: StripActions, program: ThrustProgram | None = None, *, dead_factor: float = 1.0
) -> StripAnswer:
    """Every answer of the strip at one station.

    program: the strip's own, when it is at hand. dead_factor: on the dead load beside a pattern (a
    favourable permanent load, EN 1990).
    """
    strip, dead = acts.strip, acts.dead
    program = program or strip_program(acts)
    share = program.share_of_dead()
    stands = share >= STANDS
    least = greatest = None
    patterns: tuple[LoadFactor, ...] = ()
    if stands:
        least = _thrust(strip, dead, program.least_thrust(), least=True)
        greatest = _thrust(strip, dead, program.greatest_thrust(), least=False)
        patterns = _patterns(program, acts, dead_factor)
    return StripAnswer(strip, stands, share, least, greatest, _geometric(acts, patterns), patterns)


def _thrust(strip: Strip, dead: Array, found: Found | None, *, least: bool) -> Bounded | None:
    if found is None:
        return None
    thrust = found.line.thrust
    mechanism = bound_thrust(strip, dead, found.line, least=least, enough=thrust)
    return Bounded(thrust, mechanism.bound if mechanism else None, found.line, mechanism)


def _patterns(
    program: ThrustProgram, acts: StripActions, dead_factor: float
) -> tuple[LoadFactor, ...]:
    """Load factors; the mechanism is looked for where a kind of pattern is at its worst."""
    found = [
        (i, acts.patterns[i], answer)
        for i, answer in _asked(program, acts.patterns, dead_factor).items()
    ]
    worst = {
        kind: min(same, key=lambda f: f[2].factors[f[0]])[0]
        for kind in KINDS
        if (same := [f for f in found if f[1].kind == kind])
    }
    return tuple(
        _load_factor(acts, i, p, answer, dead_factor, bounded=worst[p.kind] == i)
        for i, p, answer in found
    )


def _asked(
    program: ThrustProgram, patterns: tuple[Pattern, ...], dead_factor: float
) -> dict[int, Found]:
    """Every pattern; of a line load that walks, each third place and those beside the worst."""
    found: dict[int, Found] = {}

    def ask(places: Iterable[int]) -> None:
        for i in places:
            if 0 <= i < len(patterns) and i not in found:
                answer = program.load_factor(i, dead_factor)
                if answer is not None:
                    found[i] = answer

    walked = [i for i, p in enumerate(patterns) if p.kind == "line"]
    ask(i for i, p in enumerate(patterns) if p.kind != "line")
    ask([*walked[::WALK_STEP], *walked[-1:]])
    lines = sorted((i for i in walked if i in found), key=lambda i: found[i].factors[i])
    for i in lines[:2]:
        ask(range(max(i - WALK_STEP + 1, walked[0]), min(i + WALK_STEP, walked[-1] + 1)))
    return dict(sorted(found.items()))


def _load_factor(
    acts: StripActions,
    index: int,
    pattern: Pattern,
    found: Found,
    dead_factor: float,
    *,
    bounded: bool,
) -> LoadFactor:
    static = float(found.factors[index])
    mechanism = None
    if bounded and np.isfinite(static):
        mechanism = bound_factor(
            acts.strip, dead_factor * acts.dead, pattern.load.wrench, found.line, static
        )
    bound = mechanism.bound if mechanism else None
    answer = Bounded(static, bound, found.line, mechanism)
    return LoadFactor(pattern.load.key, pattern.load.title, pattern.kind, pattern.x, answer)


def _geometric(acts: StripActions, patterns: tuple[LoadFactor, ...]) -> Geometric | None:
    """The worst of the dead load alone and the dead load with the worst pattern of each kind."""
    dead = acts.dead
    cases: dict[str, tuple[Message, Array]] = {}
    loads = {p.load.key: p.load for p in acts.patterns}
    worst: dict[str, LoadFactor] = {}
    for p in sorted(patterns, key=lambda p: p.static):
        worst.setdefault(p.kind, p)
    for p in worst.values():
        cases[p.pattern] = (p.title, dead + loads[p.pattern].wrench)
    cases["dead"] = (say("Dead load alone"), dead)
    found: tuple[str, LeastThickness] | None = None
    for key, (_, wrench) in cases.items():
        least = least_thickness(acts.strip, wrench, over=found[1].share if found else 0.0)
        if least is None:
            return None
        if found is None or least.share > found[1].share:
            found = key, least
    assert found is not None
    key, least = found
    title, wrench = cases[key]
    mechanism = bound_thickness(acts.strip, wrench, least.line, least.share)
    bound = 1 / mechanism.bound if mechanism else None
    answer = Bounded(least.factor, bound, least.line, mechanism)
    thickest = float(acts.strip.thickness.max())
    return Geometric(answer, least.share * thickest, key, title)
