"""The rest of the work planned anew: it closes in wholes or halves, and the lap is told."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from timbrel.bond.layout import Gauge, Lap, Rod
from timbrel.job.model import Job
from timbrel.records.kinds import Course, Delivery, RodReading
from timbrel.records.replan import corrected_template, needs, regauge
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError, say

SIZE, JOINT, COUNT = 0.140, 0.010, 30
LENGTH = COUNT * SIZE + (COUNT + 1) * JOINT


def made_bond(lap: float = 0.065) -> Any:
    near = JOINT + np.arange(COUNT) * (SIZE + JOINT)
    marks = np.append(near, near[-1] + SIZE)
    rod = Rod("near", say("near end"), SIZE, JOINT, marks, LENGTH)
    layer = SimpleNamespace(gauge=Gauge((rod,)), tile="thin", count=600)
    laps = (Lap(1, 2, lap, 0.040, 0.047, (), None, 0.1, 0.0),)
    return SimpleNamespace(layers=[layer, layer], laps=laps)


@pytest.fixture(scope="module")
def job() -> Job:
    return Job.model_validate(
        {
            "format": 1,
            "job": {"title": "replan"},
            "room": {
                **{"AB": 4000, "BC": 6000, "CD": 4000, "DA": 6000, "AC": 7211.1, "BD": 7211.1},
                "levels": dict.fromkeys("ABCD", 2400),
            },
            "curve": {"directrix": "segment", "rise": 700},
            "tiles": {"thin": {"length": 280, "width": 140, "thickness": 20}},
            "binders": {"mortar": {"kind": "mortar"}},
            "layers": [{"tile": "thin", "binder": "mortar"}] * 2,
        }
    )


def reading(done: int, value: float, layer: int = 2) -> RodReading:
    return RodReading(layer=layer, rod="near", done=done, value=value)


def planned_edge(done: int) -> float:
    return done * (SIZE + JOINT)


def test_work_on_its_marks_goes_on_as_planned(job: Job) -> None:
    again = regauge(job, made_bond(), reading(12, planned_edge(12)))
    assert (again.wholes, again.half, again.pieces) == (18, False, None)
    assert again.joint == pytest.approx(JOINT)
    assert again.drift == pytest.approx(0, abs=1e-9)
    assert again.lap == pytest.approx(0.065)
    assert again.checks[0].verdict is Verdict.HOLDS


def test_work_that_ran_long_shares_it_over_the_rest(job: Job) -> None:
    """By hand: 20 mm too far after 12 courses; 19 joints left give (19 x 10 - 20) / 19."""
    again = regauge(job, made_bond(), reading(12, planned_edge(12) + 0.020))
    assert again.wholes == 18
    assert again.joint == pytest.approx((0.190 - 0.020) / 19)
    assert again.drift == pytest.approx(0.020 * 18 / 19, rel=1e-6)
    assert again.lap == pytest.approx(0.065 - again.drift)


@given(st.integers(1, 27), st.floats(-0.05, 0.05))
def test_the_rest_always_closes_inside_the_joint_range(job: Job, done: int, off: float) -> None:
    value = planned_edge(done) + off
    assume(value > 0.05)
    try:
        again = regauge(job, made_bond(), reading(done, value))
    except TimbrelError as refused:
        assert "take up the last course" in str(refused)
        return
    joints = job.layers[1].joint
    assert joints.least - 1e-9 <= again.joint <= joints.most + 1e-9
    size = again.wholes * SIZE
    pieces = again.wholes
    if again.half:
        size, pieces = size + (SIZE - again.joint) / 2, pieces + 1
    if again.pieces is not None:
        assert again.pieces >= 0.070
        size, pieces = size + 2 * again.pieces, pieces + 2
    assert value + size + (pieces + 1) * again.joint == pytest.approx(LENGTH)
    assert again.marks[-1] == pytest.approx(LENGTH - again.joint)


def test_a_lap_that_drift_has_eaten_fails(job: Job) -> None:
    again = regauge(job, made_bond(lap=0.045), reading(12, planned_edge(12) + 0.020))
    assert again.checks[0].verdict is Verdict.FAILS


@pytest.mark.parametrize(("done", "value"), [(12, 0.30), (40, 4.0), (30, LENGTH)])
def test_a_reading_that_cannot_be_is_refused(job: Job, done: int, value: float) -> None:
    with pytest.raises(TimbrelError, match="taken for a slip"):
        regauge(job, made_bond(), reading(done, value))


def test_an_unknown_rod_is_refused(job: Job) -> None:
    bad = RodReading(layer=2, rod="far", done=3, value=0.5)
    with pytest.raises(TimbrelError, match="has no rod"):
        regauge(job, made_bond(), bad)


def test_the_template_is_corrected_step_by_step() -> None:
    point = SimpleNamespace(u=0.5, off=-0.008)
    station: Any = SimpleNamespace(points=(point,))
    u, add = corrected_template(station, 0.25, 3)
    assert u == pytest.approx([0, 0.25, 0.5, 0.75, 1])
    assert add[:, 2] == pytest.approx([0.003, 0.006, 0.008])
    assert add[0, 1] == pytest.approx(0.003)
    assert add[:, 0] == pytest.approx(0)


def test_what_is_left_against_what_is_needed(job: Job) -> None:
    """By hand: 1200 planned and 5 % more; 800 came, 500 are laid; 300 stand, 460 are short."""
    came = [Delivery(what="thin", quantity=800, unit="tiles")]
    done = [Course(layer=1, what="arch", number=n, tiles=25) for n in range(1, 21)]
    (need,) = needs(job, made_bond(), came, done)
    assert (need.delivered, need.laid, need.planned) == (800, 500, 1260)
    assert need.short == 460
