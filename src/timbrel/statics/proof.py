"""The proof of a singly curved vault: strips at the ends and at the worst station, and walls."""

from __future__ import annotations

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
from timbrel.statics.placed import refuse_off_plan
from timbrel.statics.strip_answer import STANDS, StripAnswer, solve_strip, strip_program
from timbrel.statics.strip_checks import strip_checks
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.statics.wall_checks import wall_checks
from timbrel.statics.walls import (
    Side,
    SpringingCase,
    ThrustCase,
    WallState,
    wall_frame,
)
from timbrel.verdict import Check
from timbrel.words import Message, Progress, say, silent

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

SEARCHED = 5  # stations tried for the worst
COARSE = 33  # joints of the strips that are tried
SIDES: tuple[Side, Side] = ("left", "right")


@dataclass(frozen=True)
class Station:
    """One strip of the vault, with what acts on it and what it answers.

    name: ``near``, ``far`` or ``worst``. cases: least and greatest thrust under the dead load and
    under each arrangement of the imposed load. forces: what they put on a metre of each wall.
    walls: states of the walls under them.
    """

    name: str
    title: Message
    v: float
    actions: StripActions
    answer: StripAnswer
    cases: tuple[ThrustCase, ...]
    forces: tuple[SpringingCase, ...]
    walls: tuple[WallState, ...]


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
    solved: dict[float, Station] = {}
    stations: list[Station] = []
    for i, (name, v) in enumerate((("near", 0.0), ("far", 1.0), ("worst", worst))):
        progress(say("Thrust lines"), (i + 1) / 4)
        if v not in solved:
            solved[v] = _station(job, vault, v, top)
        stations.append(replace(solved[v], name=name, title=_title(name)))
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


def _station(job: Job, vault: Barrel, v: float, top: FillLevels) -> Station:
    acts = actions_under(job, vault, v, top)
    program = strip_program(acts)
    answer = solve_strip(acts, program, dead_factor=job.loads.factors.permanent_favourable)
    cases = _thrust_cases(acts, answer, program)
    frames = [wall_frame(vault, v, side) for side in SIDES]
    forces = tuple(
        SpringingCase(frame.side, case, frame.force(case.line))
        for frame in frames
        for case in cases
    )
    walls = tuple(w for side in SIDES for w in wall_states(job, vault, forces, side))
    return Station("", say("Station"), v, acts, answer, cases, forces, walls)


def _thrust_cases(
    acts: StripActions, answer: StripAnswer, program: ThrustProgram
) -> tuple[ThrustCase, ...]:
    """Least and greatest thrust under the dead load and under each arrangement of the imposed."""
    found: list[ThrustCase] = []
    if answer.least_thrust and answer.greatest_thrust:
        dead = say("dead load alone")
        found.append(ThrustCase("dead", dead, "least", answer.least_thrust.line))
        found.append(ThrustCase("dead", dead, "greatest", answer.greatest_thrust.line))
    if not answer.stands:
        return tuple(found)
    middle = (acts.strip.middle[0, 0] + acts.strip.middle[-1, 0]) / 2
    lines = [i for i, p in enumerate(acts.patterns) if p.x is not None]
    crown = min(lines, key=lambda i: abs((acts.patterns[i].x or 0.0) - middle), default=None)
    for i, pattern in enumerate(acts.patterns):
        if pattern.x is not None and i != crown:
            continue
        full = np.zeros(len(acts.patterns))
        full[i] = 1.0
        least, greatest = program.least_thrust(1.0, full), program.greatest_thrust(1.0, full)
        key, title = pattern.load.key, pattern.load.title
        if least and greatest:
            found.append(ThrustCase(key, title, "least", least.line))
            found.append(ThrustCase(key, title, "greatest", greatest.line))
    return tuple(found)


def _worst_station(job: Job, vault: Barrel, top: FillLevels) -> float:
    """The station whose strip carries the least multiple of any pattern (or of its dead load)."""
    stations = np.linspace(0.0, 1.0, SEARCHED)
    values = [_strength(job, vault, float(v), top) for v in stations]
    return float(stations[int(np.argmin(values))])


def _strength(job: Job, vault: Barrel, v: float, top: FillLevels) -> float:
    """A quick measure of the strip at a station, from a few joints."""
    u = np.linspace(0.0, 1.0, min(COARSE, len(joints_at(job, vault))))
    acts = actions_under(job, vault, v, top, u)
    # Stations are told apart by their shape; crushing would only cost time here.
    acts = replace(acts, strip=replace(acts.strip, crushing=None))
    program = strip_program(acts)
    share = program.share_of_dead()
    if share < STANDS:
        return share - 1.0
    found = [program.load_factor(i) for i, p in enumerate(acts.patterns) if p.kind != "line"]
    factors = [float(f.factors[i]) for i, f in enumerate(found) if f is not None]
    if factors and np.isfinite(min(factors)):
        return min(factors)
    least = program.least_thrust()
    return 1e6 / least.line.thrust if least else 0.0


def _range(stations: list[Station], side: Side) -> ThrustRange:
    """Least thrust under the dead load and greatest under any, over the stations."""
    forces = [c for s in stations for c in s.forces if c.side == side]
    if not forces:
        return ThrustRange(side, None, None, None, None)
    least = min((c.force for c in forces if c.case.bound == "least"), key=lambda f: f.level)
    most = max((c.force for c in forces if c.case.bound == "greatest"), key=lambda f: f.level)
    return ThrustRange(side, least.level, most.level, least.down, most.down)
