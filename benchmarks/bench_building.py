"""The stages of building of the example, against the time inside the solver in the same run."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from statistics import median
from unittest.mock import patch

from timbrel.bond import lay_bond
from timbrel.job.load import load_job
from timbrel.plan import make_plan
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.building.stages import check_building
from timbrel.statics.building.surface_building import check_surface_building
from timbrel.statics.net import NetQuestion
from timbrel.statics.thrust_program import Found, Question, ThrustProgram, answers

EXAMPLES = Path(__file__).parent.parent / "examples"
EXAMPLE = EXAMPLES / "granary" / "job.toml"
ON_A_PLAN = ("market-groin", "chapel-cloister", "study-sail", "well-dome")
RUNS = 5


def rows() -> Iterator[tuple[str, float, str, str]]:
    """Time of all states, and its ratio to the linear programs alone."""
    plan = make_plan(load_job(EXAMPLE))
    inside = [0.0]

    def timed(asked: Sequence[tuple[ThrustProgram, Question]]) -> list[Found | None]:
        begun = time.perf_counter()
        try:
            return answers(asked)
        finally:
            inside[0] += time.perf_counter() - begun

    whole, ratios, states = [], [], 0
    with patch("timbrel.statics.building.state.answers", timed):
        for _ in range(RUNS):
            inside[0] = 0.0
            begun = time.perf_counter()
            states = len(check_building(plan.job, plan.vault, plan.bond).states)
            whole.append(time.perf_counter() - begun)
            ratios.append(whole[-1] / inside[0])
    yield "states", float(states), "", "at least 40"
    yield "all states", median(whole), "s", "under 1.5 s"
    yield "all states over the solver's own time", median(ratios), "x", "stated"
    yield from surface_rows()


def surface_rows() -> Iterator[tuple[str, float, str, str]]:
    """Processor time of all stages of the vaults on a plan, and its ratio to that of the nets'
    linear programs (drawn, built and solved) in the same run."""
    inside = [0.0]
    solve = NetQuestion.share_of_dead

    def timed(self: NetQuestion) -> float:
        begun = time.process_time()
        try:
            return solve(self)
        finally:
            inside[0] += time.process_time() - begun

    with patch.object(NetQuestion, "share_of_dead", timed):
        for name in ON_A_PLAN:
            job = load_job(EXAMPLES / name / "job.toml").job
            vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
            bond = lay_bond(job, vault)
            inside[0], begun = 0.0, time.process_time()
            states = len(check_surface_building(job, vault, bond).stages)
            whole = time.process_time() - begun
            yield f"{name}: stages", float(states), "", "those that govern"
            yield f"{name}: all stages", whole, "s of processor", "under 20 s"
            yield f"{name}: over the programs' own time", whole / inside[0], "x", "stated"
