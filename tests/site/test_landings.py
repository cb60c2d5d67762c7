"""A flight joins its landings: courses from the lower one up, every layer into both walls."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.plan import Shell, make_shell
from timbrel.site.landings import Landings, landing_checks, landings_of
from timbrel.site.order import order_of_work
from timbrel.site.seat import plan_seat
from timbrel.verdict import Verdict
from timbrel.words import Voice

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def flight() -> tuple[Job, Shell, Landings]:
    job = load_job(EXAMPLES / "stair-flight" / "job.toml").job
    shell = make_shell(job)
    seats = plan_seat(job, shell.vault, "left"), plan_seat(job, shell.vault, "right")
    found = landings_of(shell.vault, shell.bond, seats)
    assert found is not None
    return job, shell, found


def test_levels_and_slopes_are_those_of_the_curve(flight: tuple[Job, Shell, Landings]) -> None:
    job, _, landings = flight
    levels = job.room.levels
    assert landings.lower.level == pytest.approx((levels.A + levels.D) / 2, abs=2e-3)
    assert landings.upper.level == pytest.approx((levels.B + levels.C) / 2, abs=2e-3)
    # Parabola with a plumb axis: tan = climb/run +- 4 sag/run at its ends.
    run, climb = job.room.AB, levels.B - levels.A
    sag = job.curve.rise / np.cos(np.arctan2(climb, run))
    assert np.tan(landings.lower.slope) == pytest.approx((climb + 4 * sag) / run, rel=0.01)
    assert np.tan(landings.upper.slope) == pytest.approx((4 * sag - climb) / run, rel=0.02)


def test_courses_close_on_both_landings(flight: tuple[Job, Shell, Landings]) -> None:
    """Widths and joints of a layer make the whole arc from seat to seat, at the near end."""
    job, shell, landings = flight
    for low, high, layer in zip(
        landings.lower.courses, landings.upper.courses, shell.bond.layers, strict=True
    ):
        assert (low.course, high.course) == (1, layer.courses)
        first = layer.corners[layer.start[np.flatnonzero(layer.course == 1)[0]], 2]
        last = layer.corners[layer.start[np.flatnonzero(layer.course == layer.courses)[0]], 2]
        assert first < last, "counted from the lower landing"
        for course in (low, high):
            joint = job.layers[course.layer - 1].joint
            assert joint.least - 1e-6 <= course.joint <= joint.most + 1e-6
        rod = layer.gauge.rod("near")
        arc = shell.vault.near.offset_length(
            shell.vault.near.length, shell.vault.layers[layer.layer - 1].inner
        )
        assert rod.length == pytest.approx(float(arc), abs=2e-3)
        assert low.joint + (rod.marks[-1] - rod.marks[0]) + high.joint == pytest.approx(rod.length)


def test_steps_climb_from_floor_to_floor(flight: tuple[Job, Shell, Landings]) -> None:
    _, _, landings = flight
    assert landings.stair is not None
    assert landings.stair.risers * landings.stair.rise == pytest.approx(
        landings.upper.level - landings.lower.level
    )
    assert [check.verdict for check in landing_checks(landings)] == [Verdict.HOLDS]
    assert landing_checks(None) == ()


def test_the_order_of_work_climbs(flight: tuple[Job, Shell, Landings]) -> None:
    job, _, _ = flight
    lay = next(step for step in order_of_work(job, (), None, False) if step.key == "lay.1")
    assert "lower landing up" in Voice()(lay.what)


def test_a_barrel_has_no_landings() -> None:
    job = load_job(EXAMPLES / "granary" / "job.toml").job
    shell = make_shell(job)
    seats = plan_seat(job, shell.vault, "left"), plan_seat(job, shell.vault, "right")
    assert landings_of(shell.vault, shell.bond, seats) is None
