"""Each arch of the first layer is judged as the order of work has it laid: a flight from below up.

That a flight climbs from its lower landing: common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.plan import make_shell
from timbrel.statics.building.sequence import Way, as_laid, closing_joints, way_of_arches
from timbrel.statics.building.stages import Building, check_building
from timbrel.verdict import Verdict

EXAMPLES = Path(__file__).parents[3] / "examples"


def built(name: str, **room: str) -> tuple[Job, Building]:
    job = load_job(EXAMPLES / name / "job.toml").job
    job = job.model_copy(update={"room": job.room.model_copy(update=room)})
    shell = make_shell(job)
    return job, check_building(job, shell.vault, shell.bond)


@pytest.fixture(scope="module")
def free_first() -> tuple[Job, Building]:
    """A flight that begins at its free end: nothing shares what leans on its first arch."""
    return built("stair-flight", near_end="free", far_end="wall")


def test_the_last_tile_of_a_flight_is_set_at_the_upper_landing() -> None:
    at = np.flatnonzero(closing_joints(100, 0.05, Way.SIDE))
    assert at.tolist() == [95, 100]
    assert np.flatnonzero(closing_joints(100, 0.06)).tolist() == [47, 53]


def test_an_arch_of_a_flight_carries_half_of_the_next_laid_from_below(
    free_first: tuple[Job, Building],
) -> None:
    job, building = free_first
    assert way_of_arches(job) is Way.SIDE
    check = next(c for c in building.checks if c.name == "building.arch")
    leaning = next(a for a in building.states if a.state.key == "arch.1.leaning.side")
    assert leaning.tension > 0.3e6, "a fifth of the arch on one half alone bends so thin an arch"
    assert check.value == leaning.ratio
    assert check.verdict is Verdict.FAILS


def test_what_the_work_does_not_come_through_governs_nothing(
    free_first: tuple[Job, Building],
) -> None:
    _, building = free_first
    arches = [a for a in building.worst if a.state.operation == "arch"]
    assert [a.state.key for a in arches] == ["arch.1.leaning.side"]
    assert not as_laid(
        next(a.state for a in building.states if a.state.key == "arch.1.leaning.both"), Way.SIDE
    )
    _, barrel = built("granary")
    for answer in barrel.worst:
        assert not answer.state.key.endswith("leaning.side")


def test_against_an_end_wall_the_flight_of_the_example_can_be_begun() -> None:
    _, building = built("stair-flight")
    check = next(c for c in building.checks if c.name == "building.arch")
    assert check.verdict is Verdict.HOLDS
