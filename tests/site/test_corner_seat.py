"""The seat of a corner: slopes, widths and pressures by hand; refusals; nothing that cannot fail."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.plan import SurfacePlan, make_plan
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.site.corner_checks import corner_checks
from timbrel.site.corner_seat import TURNS, plan_corner_seats
from timbrel.site.corner_shape import corner_shape, pocket_volume
from timbrel.site.seat_shape import polygon_area
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"
SIDE, RISE = 3.4, 0.7


def groin(**seat: float | str | None) -> SurfacePlan:
    job = load_job(EXAMPLES / "market-groin").job
    job = job.model_copy(update={"seat": job.seat.model_copy(update=seat)})
    plan = make_plan(job)
    assert isinstance(plan, SurfacePlan)
    return plan


@pytest.fixture(scope="module")
def plan() -> SurfacePlan:
    return groin()


def test_the_groin_is_flatter_than_its_wall_arches_and_thicker_along_the_diagonal(
    plan: SurfacePlan,
) -> None:
    """Geometry: a segment of span s and rise f springs at a = 2 atan(2 f/s); over the diagonal of a
    square the same ordinates stand sqrt 2 apart, so tan a_g = tan a/sqrt 2. The extrados of the
    arch, a circle of R + t about the same centre, stands plumb over its end by
    sqrt((R + t)^2 - s^2/4) - sqrt(R^2 - s^2/4)."""
    arch = 2 * math.atan(2 * RISE / SIDE)
    groin_slope = math.atan(math.tan(arch) / math.sqrt(2))
    radius, t = SIDE**2 / (8 * RISE) + RISE / 2, plan.vault.thickness
    plumb = math.sqrt((radius + t) ** 2 - SIDE**2 / 4) - math.sqrt(radius**2 - SIDE**2 / 4)
    for seat in plan.site.corners:
        assert seat.slope == pytest.approx(groin_slope, abs=2e-4)
        assert seat.walls == pytest.approx((arch, arch), abs=2e-4)
        assert seat.angle == pytest.approx(math.pi / 2 - groin_slope, abs=2e-4)
        assert seat.thickness == pytest.approx(plumb * math.cos(groin_slope), rel=1e-3)
        assert seat.turns == pytest.approx((math.pi / 4, math.pi / 4))
        assert seat.width == pytest.approx(math.sqrt(2) * seat.reach)


def test_the_front_of_the_springer_stands_where_the_curve_says(plan: SurfacePlan) -> None:
    """On a wall arch the intrados at the reach r; on the groin, at r/2 along both walls."""
    radius = SIDE**2 / (8 * RISE) + RISE / 2

    def over(x: float) -> float:
        return math.sqrt(radius**2 - (x - SIDE / 2) ** 2) - (radius - RISE)

    for seat in plan.site.corners:
        r = seat.reach
        assert seat.front == pytest.approx((over(r), over(r / 2), over(r)), abs=2e-4)


def test_the_seat_is_pressed_by_the_resultant_of_the_net(plan: SurfacePlan) -> None:
    """Statics of a square groin: each pier has a quarter of the weight; the parts square to the
    seat and in it are those of a turned cross of axes, and squared they add up."""
    for seat in plan.site.corners:
        assert {(t.bound) for t in seat.thrusts} == {"least", "greatest"}
        assert len(seat.thrusts) == 4
        for state in seat.thrusts:
            assert math.hypot(state.square, state.along) == pytest.approx(
                math.hypot(state.level, state.down)
            )
            off = abs(math.pi / 2 - seat.angle - state.lean)
            assert state.slip == pytest.approx(math.tan(off), rel=1e-3)
            area = seat.width * seat.thickness
            assert state.pressure == pytest.approx(2 * state.square / area)
    down = sum(seat.thrusts[0].down for seat in plan.site.corners)
    assert down == pytest.approx(4 * plan.site.corners[0].thrusts[0].down, rel=1e-6)


def test_a_pocket_between_two_walls_by_counting_small_cubes() -> None:
    """Monte Carlo on a box round the pocket, within 2 %: behind both faces of walls at 40 and 60
    degrees to the groin's line, a slanting slot of the section."""
    from timbrel.site.seat_shape import chase_section

    turns, half, slope = (math.radians(40), math.radians(60)), 0.15, 0.6
    section = chase_section(slope, 0.10, 0.06, 0.01)
    rng = np.random.default_rng(7)
    n = 400_000
    x = rng.uniform(-0.25, 0.2, n)  # into the pier along the groin's line
    c = rng.uniform(-half, half, n)
    y = rng.uniform(-0.3, 0.5, n)
    cot = np.where(c < 0, 1 / math.tan(turns[0]), 1 / math.tan(turns[1]))
    in_wall = x > -np.abs(c) * cot
    along = x * math.cos(slope) - y * math.sin(slope)
    square = x * math.sin(slope) + y * math.cos(slope)
    within = (along < 0.07) & (square > -0.01) & (square < 0.11)
    count = float((in_wall & within).mean()) * 0.45 * 2 * half * 0.8
    assert pocket_volume(section, half, turns) == pytest.approx(count, rel=0.02)
    assert count > 2 * half * polygon_area(section)  # the flanks add to it


def test_a_wider_springer_presses_less_as_long_as_it_lies_on_the_pier() -> None:
    narrow, wide, wider = groin(springer=0.3), groin(springer=0.45), groin(springer=0.6)
    for a, b, c in zip(*(p.site.corners for p in (narrow, wide, wider)), strict=True):
        assert a.worst is not None and b.worst is not None and c.worst is not None
        assert b.worst.pressure == pytest.approx(a.worst.pressure / 1.5, rel=1e-6)
        assert c.borne < 1.0 == a.borne == b.borne  # it hangs over both faces of the pier
        assert c.worst.pressure == pytest.approx(a.worst.pressure / 2 / c.borne, rel=1e-6)
        assert c.debris > b.debris > a.debris


def test_every_check_can_fail(plan: SurfacePlan) -> None:
    def verdicts(p: SurfacePlan) -> dict[str, Verdict]:
        return {c.name.rsplit(".", 1)[-1]: c.verdict
                for c in corner_checks(p.job, p.site.corners[0])}  # fmt: skip

    assert set(verdicts(plan).values()) == {Verdict.HOLDS}
    assert verdicts(groin(bearing=0.3e6))["bearing"] is Verdict.FAILS
    assert verdicts(groin(bearing=None))["bearing"] is Verdict.NOT_JUDGED
    assert verdicts(groin(depth=0.12))["depth"] is Verdict.HOLDS
    deep = groin(depth=0.5)
    left = deep.job.walls.left.model_copy(update={"pier": 0.9, "friction": 0.1})
    walls = deep.job.walls.model_copy(update={"left": left})
    small = deep.job.model_copy(update={"walls": walls})
    again = {c.name.rsplit(".", 1)[-1]: c.verdict
             for c in corner_checks(small, deep.site.corners[0])}  # fmt: skip
    assert again["depth"] is Verdict.FAILS and again["slip"] is Verdict.FAILS


def test_without_a_net_nothing_is_judged_and_the_geometry_is_there(plan: SurfacePlan) -> None:
    seats = plan_corner_seats(plan.job, plan.vault, ())
    assert all(seat.worst is None and seat.depth > 0 for seat in seats)
    checks = {c.name: c.verdict for c in corner_checks(plan.job, seats[0])}
    assert checks["site.seat.A.bearing"] is checks["site.seat.A.slip"] is Verdict.NOT_JUDGED


@pytest.mark.parametrize(
    ("seat", "told"),
    [
        ({"kind": "ledger"}, "no ledger runs"),
        ({"springer": 0.1}, "within twice the shell"),
        ({"depth": 0.5, "kind": "chase"}, "leaves pier behind it"),
    ],
)
def test_what_a_corner_cannot_have_is_refused(seat: dict[str, float | str], told: str) -> None:
    job = load_job(EXAMPLES / "market-groin").job
    thin = job.walls.left.model_copy(update={"pier": 0.4, "pier_out": 0.2})
    walls = job.walls.model_copy(update={"left": thin})
    job = job.model_copy(update={"seat": job.seat.model_copy(update=seat), "walls": walls})
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    with pytest.raises(TimbrelError, match=told):
        plan_corner_seats(job, vault, ())


def test_a_corbel_stands_out_and_cuts_nothing() -> None:
    plan = groin(kind="corbel")
    for seat in plan.site.corners:
        assert seat.depth == seat.debris == 0.0 and seat.stands_out > 0
        lower, upper = seat.section[0], seat.section[1]
        assert np.hypot(*(upper - lower)) == pytest.approx(seat.thickness)
        assert math.atan2(*(upper - lower)[::-1]) == pytest.approx(seat.angle)
    names = {c.name.rsplit(".", 1)[-1] for c in plan.checks if c.name.startswith("site.seat.A")}
    assert names == {"bearing", "slip"}


def test_a_groin_that_springs_plumb_stands_on_a_level_bed() -> None:
    job = load_job(EXAMPLES / "market-groin").job
    curve = job.curve.model_copy(update={"directrix": "semicircle", "rise": None})
    job = job.model_copy(update={"curve": curve})
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    seat = plan_corner_seats(job, vault, ())[0]
    assert seat.kind == "bed" and seat.angle == 0.0 and seat.depth >= vault.thickness
    stated = job.model_copy(update={"seat": job.seat.model_copy(update={"kind": "corbel"})})
    with pytest.raises(TimbrelError, match="too steeply"):
        plan_corner_seats(stated, vault, ())


def test_corners_are_cut_one_by_one_and_across(plan: SurfacePlan) -> None:
    """Common practice, no source: the one across the diagonal comes next."""
    assert sorted(TURNS) == ["A", "B", "C", "D"]
    assert {TURNS[0], TURNS[1]} in ({"A", "C"}, {"B", "D"})
    assert [seat.turn for seat in plan.site.corners] == [1, 3, 2, 4]
    (step,) = (step for step in plan.site.order if step.key == "springings")
    assert ", ".join(TURNS) in str(step.what) and step.hold


def test_a_corner_out_of_square_counts_the_narrower_side() -> None:
    job = load_job(EXAMPLES / "market-groin").job
    room = job.room.model_copy(update={"AC": 5.2, "BD": 4.3834})
    job = job.model_copy(update={"room": room})
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    for k in range(4):
        shape = corner_shape(vault, k)
        first, second = shape.turns
        assert shape.half_width(1.0) == pytest.approx(min(math.sin(first), math.sin(second)))
