"""The proof of a singly curved vault: strips at the ends and at the worst station, and walls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.actions import (
    StripActions,
    actions_under,
    fill_levels,
    joints_at,
)
from timbrel.statics.built_walls import wall_states
from timbrel.statics.floor import FillLevels
from timbrel.statics.patterns import Pattern
from timbrel.statics.placed import refuse_off_plan
from timbrel.statics.station import Station
from timbrel.statics.strip_answer import STANDS, StripAnswer, solve_strips, strip_program
from timbrel.statics.strip_checks import strip_checks
from timbrel.statics.thrust_program import (
    Found,
    Question,
    ThrustProgram,
    answers,
    share_carried,
)
from timbrel.statics.wall_checks import wall_checks
from timbrel.statics.walls import (
    Side,
    SpringingCase,
    ThrustCase,
    wall_frame,
)
from timbrel.verdict import Check
from timbrel.words import Message, Progress, say, silent

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

SEARCHED = 5  # stations tried for the worst
COARSE = 33  # joints of the strips that are tried
SHARE, LEAST = Question("share of dead"), Question("least thrust")
SIDES: tuple[Side, Side] = ("left", "right")


@dataclass(frozen=True)
class ThrustRange:
    """Thrust on one wall, N a metre of wall: least under dead load, greatest under any load.

    Both are square to the wall; down: the load that goes with each. None when no line exists.
    """

    side: Side
    least: float | None
    greatest: float | None
    least_down: float | None
    greatest_down: float | None


@dataclass(frozen=True)
class Statics:
    """What the statics of a vault come to. checks: all verdicts, strips first, then walls."""

    stations: tuple[Station, ...]
    thrusts: tuple[ThrustRange, ThrustRange]
    checks: tuple[Check, ...]

    @property
    def worst(self) -> Station:
        """The station where the vault carries least."""
        return next(s for s in reversed(self.stations) if s.name == "worst")


def prove(job: Job, vault: Barrel, progress: Progress = silent) -> Statics:
    """Strips at the near end, the far end and the worst station; walls under their thrusts.

    Raises TimbrelError when the job's loads contradict each other.
    """
    progress(say("Looking for the worst station"), 0.0)
    refuse_off_plan(vault, job.loads)
    top = fill_levels(job, vault)
    worst = _worst_station(job, vault, top)
    progress(say("Thrust lines"), 0.3)
    places = {"near": 0.0, "far": 1.0, "worst": worst}
    solved = _solved(job, vault, sorted(set(places.values())), top)
    stations = [replace(solved[v], name=name, title=_title(name)) for name, v in places.items()]
    checks = list(strip_checks(job, stations[-1], [s.answer for s in stations]))
    for side in SIDES:
        states = tuple(w for s in stations for w in s.walls if w.side == side)
        checks += wall_checks(getattr(job.walls, side), side, states, job.loads.factors)
    progress(say("Thrust lines"), 1.0)
    left, right = (_range(stations, side) for side in SIDES)
    return Statics(tuple(stations), (left, right), tuple(checks))


def _title(name: str) -> Message:
    if name == "near":
        return say("Near end")
    return say("Far end") if name == "far" else say("Worst station")


def _solved(job: Job, vault: Barrel, places: list[float], top: FillLevels) -> dict[float, Station]:
    """The strips at several stations, all asked together."""
    several = [actions_under(job, vault, v, top) for v in places]
    programs = [strip_program(acts) for acts in several]
    found = solve_strips(several, programs, dead_factor=job.loads.factors.permanent_favourable)
    cases = _thrust_cases(several, found, programs)
    return {
        acts.v: _station(job, vault, acts, answer, lines)
        for acts, answer, lines in zip(several, found, cases, strict=True)
    }


def _station(
    job: Job, vault: Barrel, acts: StripActions, answer: StripAnswer, cases: tuple[ThrustCase, ...]
) -> Station:
    frames = [wall_frame(vault, acts.v, side) for side in SIDES]
    forces = tuple(
        SpringingCase(frame.side, case, frame.force(case.line))
        for frame in frames
        for case in cases
    )
    walls = tuple(w for side in SIDES for w in wall_states(job, vault, forces, side))
    return Station("", say("Station"), acts.v, acts, answer, cases, forces, walls)


def _thrust_cases(
    several: Sequence[StripActions],
    found: Sequence[StripAnswer],
    programs: Sequence[ThrustProgram],
) -> list[tuple[ThrustCase, ...]]:
    """Least and greatest thrust under the dead load and under each arrangement of the imposed."""
    asked: list[tuple[int, Pattern, Question]] = []
    for i, (acts, answer) in enumerate(zip(several, found, strict=True)):
        if answer.stands:
            asked += [(i, *question) for question in _loaded(acts)]
    lines = answers([(programs[i], question) for i, _, question in asked])
    cases = [_dead_cases(answer) for answer in found]
    for (i, pattern, _), least, greatest in zip(asked[::2], lines[::2], lines[1::2], strict=True):
        if least and greatest:
            key, title = pattern.load.key, pattern.load.title
            cases[i].append(ThrustCase(key, title, "least", least.line))
            cases[i].append(ThrustCase(key, title, "greatest", greatest.line))
    return [tuple(those) for those in cases]


def _dead_cases(answer: StripAnswer) -> list[ThrustCase]:
    if not (answer.least_thrust and answer.greatest_thrust):
        return []
    dead = say("dead load alone")
    return [
        ThrustCase("dead", dead, "least", answer.least_thrust.line),
        ThrustCase("dead", dead, "greatest", answer.greatest_thrust.line),
    ]


def _loaded(acts: StripActions) -> list[tuple[Pattern, Question]]:
    """Least and greatest thrust under each pattern; of a load that is walked, at the crown."""
    middle = (acts.strip.shell_middle[0, 0] + acts.strip.shell_middle[-1, 0]) / 2
    lines = [i for i, p in enumerate(acts.patterns) if p.x is not None]
    crown = min(lines, key=lambda i: abs((acts.patterns[i].x or 0.0) - middle), default=None)
    asked: list[tuple[Pattern, Question]] = []
    for i, pattern in enumerate(acts.patterns):
        if pattern.x is None or i == crown:
            full = np.zeros(len(acts.patterns))
            full[i] = 1.0
            asked.append((pattern, Question("least thrust", 1.0, full)))
            asked.append((pattern, Question("greatest thrust", 1.0, full)))
    return asked


def _worst_station(job: Job, vault: Barrel, top: FillLevels) -> float:
    """The station whose strip carries the least multiple of any pattern (or of its dead load).

    A quick measure, from a few joints. Stations are told apart by their shape; crushing and a load
    walked across would only cost time here.
    """
    stations = np.linspace(0.0, 1.0, SEARCHED)
    u = np.linspace(0.0, 1.0, min(COARSE, len(joints_at(job, vault))))
    spread = tuple(kind for kind in job.loads.patterns if kind != "line")
    loads = job.loads.model_copy(update={"patterns": spread})
    still = job.model_copy(update={"loads": loads})
    every = [actions_under(still, vault, float(v), top, u) for v in stations]
    programs = [
        ThrustProgram(replace(acts.strip, crushing=None), acts.dead, acts.variable)
        for acts in every
    ]
    asked = [
        [SHARE, LEAST, *(Question("load factor", pattern=i) for i in range(len(acts.patterns)))]
        for acts in every
    ]
    lines = iter(answers([(p, q) for p, those in zip(programs, asked, strict=True) for q in those]))
    values = [_strength(those, [next(lines) for _ in those]) for those in asked]
    return float(stations[int(np.argmin(values))])


def _strength(asked: Sequence[Question], lines: Sequence[Found | None]) -> float:
    """The less, the worse the strip: share of dead, then load factor, then thrust."""
    share, least = share_carried(SHARE, lines[0]), lines[1]
    if share < STANDS:
        return share - 1.0
    factors = [
        float(found.factors[question.pattern])
        for question, found in zip(asked[2:], lines[2:], strict=True)
        if found is not None
    ]
    if factors and np.isfinite(min(factors)):
        return min(factors)
    return 1e6 / least.line.thrust if least else 0.0


def _range(stations: list[Station], side: Side) -> ThrustRange:
    """Least thrust under the dead load and greatest under any, over the stations."""
    forces = [c for s in stations for c in s.forces if c.side == side]
    if not forces:
        return ThrustRange(side, None, None, None, None)
    least = min((c.force for c in forces if c.case.bound == "least"), key=lambda f: f.level)
    most = max((c.force for c in forces if c.case.bound == "greatest"), key=lambda f: f.level)
    return ThrustRange(side, least.level, most.level, least.down, most.down)
