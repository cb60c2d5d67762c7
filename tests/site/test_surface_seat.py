"""Seats of vaults that spring level all along: slopes by geometry, bays that go round."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.plan import SurfacePlan, make_plan
from timbrel.site.seat import seat_checks, wall_of_seat
from timbrel.site.surface_seat import plan_surface_seats
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"


def planned(name: str, **seat: float | str) -> SurfacePlan:
    job = load_job(EXAMPLES / name).job
    if seat:
        job = job.model_copy(update={"seat": job.seat.model_copy(update=seat)})
    plan = make_plan(job)
    assert isinstance(plan, SurfacePlan)
    return plan


def half_angle(span: float, rise: float) -> float:
    """Geometry: a segment springs at asin(s/2R), R = s^2/8f + f/2."""
    return math.asin(span / 2 / (span**2 / (8 * rise) + rise / 2))


def test_a_cloister_is_cut_into_four_walls_a_dome_into_its_drum() -> None:
    cloister, dome = planned("chapel-cloister"), planned("well-dome")
    assert [s.side for s in cloister.site.seats] == ["near", "right", "far", "left"]
    assert [s.side for s in dome.site.seats] == ["ring"]
    for seat in cloister.site.seats:
        assert seat.slope == pytest.approx(half_angle(3.2, 0.9), abs=1e-3)
    curve = dome.job.curve
    ring = dome.site.seats[0]
    assert ring.slope == pytest.approx(half_angle(4.4, curve.rise or 0.0), abs=1e-3)
    assert ring.length == pytest.approx(math.pi * 4.4, rel=1e-4)


@pytest.mark.parametrize("name", ["market-groin", "study-sail"])
def test_what_has_no_level_springing_has_no_seat(name: str) -> None:
    plan = planned(name)
    assert plan_surface_seats(plan.job, plan.vault) == ()


@pytest.mark.parametrize("bay", [0.3, 0.45, 0.5, 0.7])
@pytest.mark.parametrize("turns", [2, 3, 4])
@pytest.mark.parametrize("name", ["chapel-cloister", "well-dome"])
def test_going_round_no_two_bays_that_touch_are_open_together(
    name: str, bay: float, turns: int
) -> None:
    plan = planned(name, bay=bay, turns=turns)
    round_about = []
    for seat in plan.site.seats:  # near, right, far, left: each begins where the last one ended
        turn_of = {b: k for k, bays in enumerate(seat.turns) for b in bays}
        assert sorted(turn_of) == list(range(1, seat.bays + 1))
        assert seat.length / seat.bays <= bay + 1e-9
        round_about += [turn_of[b] for b in sorted(turn_of)]
    shifted = round_about[1:] + round_about[:1]
    assert all(a != b for a, b in zip(round_about, shifted, strict=True))


def test_the_coarse_net_presses_the_seats() -> None:
    """Square to the seat: level cos a + down sin a, on half the thickness (derived)."""
    plan = planned("chapel-cloister")
    for seat in plan.site.seats:
        assert seat.bearing is not None
        assert seat.bearing.pressed == pytest.approx(plan.vault.thickness / 2)
        assert seat.bearing.pressure == pytest.approx(seat.bearing.force / seat.bearing.pressed)
        # It carries at least its share of the weight of the shell in the direction of the seat.
        down = plan.vault.volume * 1700 * 9.81 / sum(s.length for s in plan.site.seats)
        assert seat.bearing.force > down * math.sin(seat.slope)
    names = {c.name for c in plan.checks}
    assert {f"site.seat.{side}.bearing" for side in ("near", "right", "far", "left")} <= names


def test_without_a_net_the_pressure_is_not_judged() -> None:
    plan = planned("well-dome")
    (seat,) = plan_surface_seats(plan.job, plan.vault)
    bearing = next(c for c in seat_checks(plan.job, seat) if c.name.endswith("bearing"))
    assert seat.bearing is None and bearing.verdict is Verdict.NOT_JUDGED


def test_a_chase_through_the_drum_is_refused() -> None:
    job = load_job(EXAMPLES / "well-dome").job
    left = job.walls.left.model_copy(update={"thickness": 0.08})
    thin = job.model_copy(update={"walls": job.walls.model_copy(update={"left": left})})
    with pytest.raises(TimbrelError, match="drum") as refused:
        make_plan(thin)
    assert refused.value.key == "seat.depth"


def test_near_and_far_are_as_left_and_right_where_they_are_not_stated() -> None:
    job: Job = load_job(EXAMPLES / "chapel-cloister").job
    assert wall_of_seat(job, "near") is job.walls.left
    assert wall_of_seat(job, "far") is job.walls.right
