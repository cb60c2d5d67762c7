"""Strips: what is spent beside the solver, and a whole proof of a vault."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
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
from timbrel.statics.strip_answer import solve_strip
from timbrel.statics.thickness import least_thickness
from timbrel.statics.thrust_program import Goal, Question, ThrustProgram
from timbrel.statics.uncertainty import uncertain

Row = tuple[str, float, str, str]
JOINTS = 401
EXCHANGED = "timbrel.statics.row_exchange.ROUNDS"  # at nought, all goes to the general solver


class Timed:
    """Stands for the solver and notes the time spent in its runs."""

    def __init__(self, **options: Any) -> None:
        self._solver = quiet_solver(**options)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._solver, name)

    spent = 0.0

    def run(self) -> None:
        start = time.process_time()
        self._solver.run()
        Timed.spent += time.process_time() - start


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
    """Least time of several runs of the processor, s: other work on the machine does not count."""
    times = []
    for _ in range(count):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def four_answers(job: Job, vault: Barrel) -> tuple[float, float]:
    """Time of the four answers of a strip of 400 voussoirs, and the time that a general solver
    spends inside itself on the same programs (rows of friction and crushing as they are needed), s.
    """
    acts = actions_under(job, vault, 0.5, fill_levels(job, vault), np.linspace(0, 1, JOINTS))
    half = next(i for i, p in enumerate(acts.patterns) if p.kind == "half")
    live = acts.variable[half : half + 1]
    goals: tuple[Goal, ...] = ("least thrust", "greatest thrust", "load factor")

    def ask() -> None:
        ThrustProgram(acts.strip, acts.dead, live).answers([Question(goal) for goal in goals])
        least_thickness(acts.strip, acts.dead + live[0])

    inside = np.inf
    homes = ("thrust_solver", "thickness")
    names = [f"timbrel.statics.{home}.quiet_solver" for home in homes]
    with patch(names[0], Timed), patch(names[1], Timed), patch(EXCHANGED, 0):
        for _ in range(15):
            Timed.spent = 0.0
            ask()
            inside = min(inside, Timed.spent)
    return best_of(15, ask), inside


def one_by_one(acts: StripActions, job: Job) -> None:
    """Every combination asked by itself."""
    program = ThrustProgram(acts.strip, acts.dead, variable_loads(acts))
    for c in combinations(acts, job.loads):
        program.least_thrust(c.dead, c.factors)
        program.greatest_thrust(c.dead, c.factors)


def all_together(acts: StripActions, job: Job) -> None:
    """The same questions in one go."""
    goals: tuple[Goal, ...] = ("least thrust", "greatest thrust")
    ThrustProgram(acts.strip, acts.dead, variable_loads(acts)).answers(
        [Question(g, c.dead, c.factors) for c in combinations(acts, job.loads) for g in goals]
    )


def rows() -> Iterator[Row]:
    """What, measured, unit, wanted."""
    job, vault = barn()
    total, inside = four_answers(job, vault)
    yield (
        "strip of 400: four answers over a general solver's own time",
        total / inside,
        "x",
        "at most 2",
    )
    yield "strip of 400: four answers", 1e3 * total, "ms", ""
    acts = actions_under(job, vault, 0.5, fill_levels(job, vault))
    solve = best_of(5, lambda: solve_strip(acts))
    yield f"strip of {acts.strip.voussoirs}: both bounds, all patterns", 1e3 * solve, "ms", ""
    yield "proof of the barn", 1e3 * best_of(7, lambda: prove(job, vault)), "ms", "under 200"
    count = len(combinations(acts, job.loads))
    together = best_of(3, lambda: all_together(acts, job))
    yield (
        f"{count} combinations: one by one over all together",
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
