"""The stages of building of the example, against the time inside the solver in the same run."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from timbrel.job.load import load_job
from timbrel.plan import make_plan
from timbrel.statics.building.stages import check_building
from timbrel.statics.thrust_program import ThrustProgram

EXAMPLE = Path(__file__).parent.parent / "examples" / "granary" / "job.toml"
RUNS = 5


def rows() -> Iterator[tuple[str, float, str, str]]:
    """Time of all states, and its ratio to the linear programs alone."""
    plan = make_plan(load_job(EXAMPLE))
    inside = [0.0]
    solve = ThrustProgram._solve

    def timed(self: ThrustProgram, column: int, cost: float):  # type: ignore[no-untyped-def]
        begun = time.perf_counter()
        try:
            return solve(self, column, cost)
        finally:
            inside[0] += time.perf_counter() - begun

    ThrustProgram._solve = timed  # type: ignore[method-assign]
    try:
        whole, ratios, states = [], [], 0
        for _ in range(RUNS):
            inside[0] = 0.0
            begun = time.perf_counter()
            states = len(check_building(plan.job, plan.vault, plan.bond).states)
            whole.append(time.perf_counter() - begun)
            ratios.append(whole[-1] / inside[0])
    finally:
        ThrustProgram._solve = solve  # type: ignore[method-assign]
    yield "states", float(states), "", "at least 40"
    yield "all states", median(whole), "s", "under 1.5 s"
    yield "all states over the solver's own time", median(ratios), "x", "stated"
