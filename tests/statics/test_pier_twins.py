"""Piers that are alike are followed down once: what is taken over is what each would give."""

from __future__ import annotations

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job

from timbrel.job.model import Job, Wall
from timbrel.statics.pier_shape import OUTWARD, pier_shape
from timbrel.statics.pier_twins import Turning, turning
from timbrel.statics.pier_work import PierPush, PierWork

WALL = Wall.model_validate(
    {"thickness": 800, "height": 2400, "above": 2500, "density": 2200, "pier": 800}
)
PUSHES = ((-3e3, -5e3, -9e3), (-6e3, -2e3, -8e3))
"""On the pier at A, N."""


def _work(corner: str, forces: tuple[tuple[float, ...], ...], job: Job) -> PierWork:
    pushes = tuple(
        PierPush(f"EQU.{k}", "EQU", 1.0, np.array(force)) for k, force in enumerate(forces)
    )
    return PierWork(job, WALL, corner, pier_shape(WALL, corner), pushes)


@pytest.fixture(scope="module")
def job() -> Job:
    return changed_job("market-groin")


def _mirrored(corner: str, *, swapped: bool = False) -> tuple[tuple[float, ...], ...]:
    """The same pushes on another corner, in the other order."""
    out = np.array(OUTWARD[corner])
    found = []
    for x, y, z in reversed(PUSHES):
        level = np.array([y, x] if swapped else [x, y]) * -out
        found.append((float(level[0]), float(level[1]), z))
    return tuple(found)


@pytest.mark.parametrize(("corner", "swapped"), [("B", False), ("C", False), ("D", True)])
def test_a_mirrored_pier_takes_over_what_it_would_give(
    job: Job, corner: str, swapped: bool
) -> None:
    known: list[Turning] = []
    first = turning(_work("A", PUSHES, job), known)
    own = _work(corner, _mirrored(corner, swapped=swapped), job)
    taken = turning(own, known)
    assert len(known) == 1
    assert taken.outward[0] == first.outward[0]
    alone = turning(own, [])
    assert taken.outward[0] == pytest.approx(alone.outward[0], rel=1e-6)
    assert taken.outward[1].key == alone.outward[1].key != first.outward[1].key


def test_a_pier_pushed_otherwise_is_followed_by_itself(job: Job) -> None:
    known: list[Turning] = []
    turning(_work("A", PUSHES, job), known)
    harder = ((-3e3, -5e3, -9e3), (-7e3, -2e3, -8e3))
    turning(_work("A", harder, job), known)
    assert len(known) == 2
