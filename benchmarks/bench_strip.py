"""Strips: what is spent beside the solver, and a whole proof of a vault."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import Barrel, shape_vault
from timbrel.statics.actions import StripActions, actions_under, fill_levels
from timbrel.statics.carrying import carry
from timbrel.statics.combinations import combinations, variable_loads
from timbrel.statics.envelope import envelope
from timbrel.statics.proof import prove
from timbrel.statics.solver import quiet_solver
from timbrel.statics.strip_answer import solve_strip, strip_program
from timbrel.statics.thickness import least_thickness
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.statics.uncertainty import uncertain

Row = tuple[str, float, str, str]
JOINTS = 401


class Timed:
    """Stands for the solver and notes the time spent in its runs."""

    def __init__(self, **options: Any) -> None:
        self._solver = quiet_solver(**options)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._solver, name)

    spent = 0.0

    def run(self) -> None:
        start = time.perf_counter()
        self._solver.run()
        Timed.spent += time.perf_counter() - start


def barn() -> tuple[Job, Barrel]:
    """An invented barn floor, a little out of square: three layers over 4.2 m."""
    wall = {"thickness": 900, "height": 2100, "above": 2500, "load_above": 20}
    job = Job.model_validate(
        {
            "format": 1,
            "job": {"title": "Barn floor"},
            "room": {
                **{"AB": 4200, "BC": 6100, "CD": 4250, "DA": 6050, "AC": 7411, "BD": 7384},
                "levels": {"A": 2100, "B": 2100, "C": 2100, "D": 2100},
                "refuse": 60,
            },
            "curve": {"directrix": "segment", "rise": 900},
            "tiles": {
                "thin": {"length": 280, "width": 140, "thickness": 20},
                "thick": {"length": 280, "width": 140, "thickness": 40},
            },
            "binders": {"quick": {"kind": "natural quick cement"}, "mortar": {"kind": "mortar"}},
            "layers": [
                {"tile": "thin", "binder": "quick"},
                {"tile": "thick", "binder": "mortar"},
                {"tile": "thick", "binder": "mortar"},
            ],
            "walls": {"left": wall, "right": wall},
            "loads": {"fill": {"kind": "light"}},
        }
    )
    return job, shape_vault(job, solve_room(job.room))


def best_of(count: int, work: Callable[[], object]) -> float:
    """Least time of several runs, s."""
    times = []
    for _ in range(count):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def four_answers(job: Job, vault: Barrel) -> tuple[float, float]:
    """Time of the four answers of a strip of 400 voussoirs, and the part inside the solver, s."""
    acts = actions_under(job, vault, 0.5, fill_levels(job, vault), np.linspace(0, 1, JOINTS))
    half = next(i for i, p in enumerate(acts.patterns) if p.kind == "half")
    one = SimpleNamespace(strip=acts.strip, dead=acts.dead, variable=acts.variable[half : half + 1])

    def ask() -> None:
        program = strip_program(one)  # type: ignore[arg-type]
        program.least_thrust()
        program.greatest_thrust()
        program.load_factor(0)
        least_thickness(one.strip, one.dead + one.variable[0])

    names = (
        "timbrel.statics.thrust_program.quiet_solver",
        "timbrel.statics.thickness.quiet_solver",
    )
    best = (np.inf, np.nan)
    with patch(names[0], Timed), patch(names[1], Timed):
        for _ in range(15):
            Timed.spent = 0.0
            best = min(best, (best_of(1, ask), Timed.spent))
    return best


def one_by_one(acts: StripActions, job: Job) -> None:
    """Every combination asked of a program of its own."""
    variable = variable_loads(acts)
    for c in combinations(acts, job.loads):
        ThrustProgram(acts.strip, acts.dead, variable).least_thrust(c.dead, c.factors)
        ThrustProgram(acts.strip, acts.dead, variable).greatest_thrust(c.dead, c.factors)


def all_in_one(acts: StripActions, job: Job) -> None:
    """The same questions put to one program."""
    every = combinations(acts, job.loads)
    program = ThrustProgram(acts.strip, acts.dead, variable_loads(acts))
    for c in every:
        program.least_thrust(c.dead, c.factors)
    for c in every:
        program.greatest_thrust(c.dead, c.factors)


def rows() -> Iterator[Row]:
    """What, measured, unit, wanted."""
    job, vault = barn()
    total, inside = four_answers(job, vault)
    yield "strip of 400: four answers over time in solver", total / inside, "x", "at most 2"
    yield "strip of 400: four answers", 1e3 * total, "ms", ""
    acts = actions_under(job, vault, 0.5, fill_levels(job, vault))
    solve = best_of(5, lambda: solve_strip(acts))
    yield f"strip of {acts.strip.voussoirs}: both bounds, all patterns", 1e3 * solve, "ms", ""
    yield "proof of the barn", 1e3 * best_of(7, lambda: prove(job, vault)), "ms", "under 200"
    count = len(combinations(acts, job.loads))
    together = best_of(3, lambda: all_in_one(acts, job))
    yield (
        f"{count} combinations: each afresh over model re-used",
        (best_of(2, lambda: one_by_one(acts, job)) / together),
        "x",
        "",
    )
    whole = best_of(3, lambda: envelope(acts, job.loads))
    yield f"envelope of {count} combinations", whole, "s", "under 1"
    statics = prove(job, vault)
    yield "load path of the barn", best_of(2, lambda: carry(job, vault, statics)), "s", ""
    few = 200
    spent = best_of(1, lambda: uncertain(job, vault, statics, samples=few, workers=1))
    yield "2,000 uncertain samples, from 200 in one process, over two", spent * 5, "s", "under 30"
