"""Seats of vaults that spring level all along: slopes by geometry, bays that go round."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.plan import SurfacePlan, make_plan
from timbrel.site.seat_checks import seat_checks
from timbrel.site.seat_walls import wall_of_seat
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


def test_a_groin_stands_on_its_corners_and_has_no_seat() -> None:
    plan = planned("market-groin")
    assert plan_surface_seats(plan.job, plan.vault) == () == plan.site.seats


@pytest.mark.parametrize("end", ["free", "closing wall"])
def test_a_sail_has_no_seat_at_an_end_that_carries_nothing(end: str) -> None:
    job = load_job(EXAMPLES / "study-sail").job
    room = job.room.model_copy(update={"near_end": end, "far_end": end})
    plan = make_plan(job.model_copy(update={"room": room}))
    assert [seat.side for seat in plan.site.seats] == ["right", "left"]
    assert [support.name for support in plan.statics.net.grid.supports] == ["right", "left"]


def test_the_seat_of_a_sail_rises_with_the_sphere_that_it_is_cut_from() -> None:
    """Geometry of a sphere of radius R over a square of side s, its centre under the middle: on a
    wall, x from its middle, the intrados stands at zc + sqrt(R^2 - s^2/4 - x^2) and leans square to
    the wall at atan((s/2) / (z - zc)). The normal leans along the wall too, so that the shell cut
    square to the wall is thicker by 1 / sqrt(1 - (x/R)^2)."""
    side, rise = 3.4, 0.45
    job = load_job(EXAMPLES / "study-sail").job
    measured = {"AB": side, "BC": side, "CD": side, "DA": side, "AC": side * math.sqrt(2),
                "BD": side * math.sqrt(2)}  # fmt: skip
    level = type(job.room.levels).model_construct(A=2.3, B=2.3, C=2.3, D=2.3)
    room = job.room.model_copy(update={**measured, "levels": level})
    curve = job.curve.model_copy(update={"rise": rise})
    plan = make_plan(job.model_copy(update={"room": room, "curve": curve}))
    arch = side**2 / (8 * rise) + rise / 2
    centre = 2.3 - (arch - rise)
    radius = math.hypot(arch, side / 2)
    assert [s.side for s in plan.site.seats] == ["near", "right", "far", "left"]
    for seat in plan.site.seats:
        assert [bay.number for bay in seat.rising] == list(range(1, seat.bays + 1))
        for bay in seat.rising:
            x = (bay.start + bay.end) / 2 - side / 2
            high = math.sqrt(radius**2 - side**2 / 4 - x**2)
            lean = math.atan2(side / 2, high)
            thick = plan.vault.thickness / math.sqrt(1 - (x / radius) ** 2)
            into = (job.seat.depth + job.seat.clearance) * math.cos(lean)
            into += (thick + job.seat.clearance) * math.sin(lean)
            assert bay.level == pytest.approx(centre + high, abs=1e-6)
            assert bay.slope == pytest.approx(lean, abs=1e-6)
            assert bay.depth == pytest.approx(into, abs=1e-6)
        assert seat.depth == max(bay.depth for bay in seat.rising)
        assert seat.rising[0].end_level == seat.rising[1].start_level


def test_a_sail_presses_its_seats_where_they_lean_most() -> None:
    plan = planned("study-sail")
    for seat in plan.site.seats:
        assert seat.bearing is not None
        assert seat.bearing.pressure == pytest.approx(seat.bearing.force / seat.bearing.pressed)
        down = plan.vault.volume * 1700 * 9.81 / sum(s.length for s in plan.site.seats)
        assert seat.bearing.force > down * math.sin(min(bay.slope for bay in seat.rising)) / 2


def test_a_chase_of_a_sail_through_its_wall_is_refused() -> None:
    job = load_job(EXAMPLES / "study-sail").job
    left = job.walls.left.model_copy(update={"thickness": 0.08})
    thin = job.model_copy(update={"walls": job.walls.model_copy(update={"left": left})})
    with pytest.raises(TimbrelError, match="wall") as refused:
        make_plan(thin)
    assert refused.value.key == "seat.depth"


@pytest.mark.parametrize("bay", [0.3, 0.45, 0.5, 0.7])
@pytest.mark.parametrize("turns", [2, 3, 4])
@pytest.mark.parametrize("name", ["chapel-cloister", "well-dome", "study-sail"])
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
