"""All that is asked of one strip: thrusts, load factors, geometric factor, each with two bounds.

The static value is a thrust line found; the kinematic value is a mechanism found by separate code.
The truth of the model lies between them; the gap is printed beside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from timbrel.statics.actions import StripActions
from timbrel.statics.kinematic import Mechanism, bound_factor, bound_thickness, bound_thrust
from timbrel.statics.patterns import KINDS, Pattern, PatternKind
from timbrel.statics.strip import Array, Hinge, Strip, ThrustLine
from timbrel.statics.thickness import LeastThickness, least_thicknesses
from timbrel.statics.thrust_program import (
    Found,
    Question,
    ThrustProgram,
    answers,
    share_carried,
)
from timbrel.words import Message, say

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
    patterns: one load factor a pattern. geometric: None when no thickness would do (sliding).
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


def solve_strip(acts: StripActions, *, dead_factor: float = 1.0) -> StripAnswer:
    """Every answer of the strip at one station.

    dead_factor: on the dead load beside a pattern (a favourable permanent load, EN 1990).
    """
    return solve_strips([acts], [strip_program(acts)], dead_factor=dead_factor)[0]


def solve_strips(
    several: Sequence[StripActions], programs: Sequence[ThrustProgram], *, dead_factor: float = 1.0
) -> list[StripAnswer]:
    """As :func:`solve_strip`, of several strips of as many joints together, with their programs."""
    share, least, greatest = (
        Question("share of dead"),
        Question("least thrust"),
        Question("greatest thrust"),
    )
    asked = [
        (i, question)
        for i, acts in enumerate(several)
        for question in (share, least, greatest, *_growing(acts, dead_factor))
    ]
    told: list[list[Found | None]] = [[] for _ in several]
    answered = answers([(programs[i], question) for i, question in asked])
    for (i, _), found in zip(asked, answered, strict=True):
        told[i].append(found)
    shares = [share_carried(share, lines[0]) for lines in told]
    patterns = [
        _patterns(acts, lines[3:], dead_factor) if carried >= STANDS else ()
        for acts, lines, carried in zip(several, told, shares, strict=True)
    ]
    return [
        _answer(acts, carried, (lines[1], lines[2]), found, geometric)
        for acts, carried, lines, found, geometric in zip(
            several, shares, told, patterns, _geometrics(several, patterns), strict=True
        )
    ]


def _growing(acts: StripActions, dead_factor: float) -> list[Question]:
    return [Question("load factor", dead_factor, pattern=i) for i in range(len(acts.patterns))]


def _answer(
    acts: StripActions,
    share: float,
    thrusts: tuple[Found | None, Found | None],
    patterns: tuple[LoadFactor, ...],
    geometric: Geometric | None,
) -> StripAnswer:
    strip, dead, stands = acts.strip, acts.dead, share >= STANDS
    least = _thrust(strip, dead, thrusts[0], least=True) if stands else None
    greatest = _thrust(strip, dead, thrusts[1], least=False) if stands else None
    return StripAnswer(strip, stands, share, least, greatest, geometric, patterns)


def _thrust(strip: Strip, dead: Array, found: Found | None, *, least: bool) -> Bounded | None:
    if found is None:
        return None
    thrust = found.line.thrust
    mechanism = bound_thrust(strip, dead, found.line, least=least, enough=thrust)
    return Bounded(thrust, mechanism.bound if mechanism else None, found.line, mechanism)


def _patterns(
    acts: StripActions, answered: Sequence[Found | None], dead_factor: float
) -> tuple[LoadFactor, ...]:
    """Load factors; the mechanism is looked for where a kind of pattern is at its worst."""
    found = [
        (i, pattern, answer)
        for i, (pattern, answer) in enumerate(zip(acts.patterns, answered, strict=True))
        if answer is not None
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


def _geometrics(
    several: Sequence[StripActions], patterns: Sequence[tuple[LoadFactor, ...]]
) -> list[Geometric | None]:
    """Of each strip, the worst of the dead load alone and with the worst pattern of each kind."""
    cases = [_cases(acts, found) for acts, found in zip(several, patterns, strict=True)]
    asked = [
        (acts.strip, case.wrench)
        for acts, those in zip(several, cases, strict=True)
        for case in those
    ]
    needs = iter(least_thicknesses(asked))
    return [
        _geometric(acts, [(case, next(needs)) for case in those])
        for acts, those in zip(several, cases, strict=True)
    ]


@dataclass(frozen=True)
class _Case:
    """Loads ((n, 3) wrenches) for which the strip is thinned."""

    key: str
    title: Message
    wrench: Array


def _cases(acts: StripActions, patterns: tuple[LoadFactor, ...]) -> list[_Case]:
    loads = {p.load.key: p.load.wrench for p in acts.patterns}
    worst: dict[str, LoadFactor] = {}
    for p in sorted(patterns, key=lambda p: p.static):
        worst.setdefault(p.kind, p)
    dead = acts.dead
    found = [_Case(p.pattern, p.title, dead + loads[p.pattern]) for p in worst.values()]
    return [*found, _Case("dead", say("Dead load alone"), dead)]


def _geometric(
    acts: StripActions, needs: Sequence[tuple[_Case, LeastThickness | None]]
) -> Geometric | None:
    found = [(case, least) for case, least in needs if least is not None]
    if len(found) < len(needs):
        return None
    case, least = max(found, key=lambda f: f[1].share)
    mechanism = bound_thickness(acts.strip, case.wrench, least.line, least.share)
    bound = 1 / mechanism.bound if mechanism else None
    answer = Bounded(least.factor, bound, least.line, mechanism)
    thickest = float(acts.strip.shell_thickness.max())
    return Geometric(answer, least.share * thickest, case.key, case.title)
