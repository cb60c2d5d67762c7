"""The corners of a sail on four piers, and the pencil beside its net."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job

from timbrel.plan import SurfacePlan, make_plan
from timbrel.sheets.general import pier_rings
from timbrel.sheets.hand_plan_lines import lines_of
from timbrel.sheets.hand_plan_sheet import plan_hand_blocks
from timbrel.site.guides import guides_of
from timbrel.site.hand_plan import SAIL_ON_CORNERS, plan_hand_checks
from timbrel.statics.building.laying import layings
from timbrel.verdict import Verdict
from timbrel.web.scene import scene
from timbrel.words import Voice

EXAMPLES = Path(__file__).parents[2] / "examples"
SIDE, RISE = 3.4, 0.4


@pytest.fixture(scope="module")
def plan() -> SurfacePlan:
    sail = {"family": "sail", "stands": "corners", "rise": 1e3 * RISE}
    made = make_plan(changed_job("market-groin", curve=sail))
    assert isinstance(made, SurfacePlan)
    return made


def sphere() -> float:
    """Radius of the sphere whose section over a side, s/2 from its middle, is the stated arch: that
    of the arch r = s^2/8f + f/2, and R^2 = r^2 + (s/2)^2 (geometry)."""
    arch = SIDE**2 / (8 * RISE) + RISE / 2
    return math.hypot(arch, SIDE / 2)


def test_every_corner_has_a_seat_square_to_the_sphere(plan: SurfacePlan) -> None:
    """Over the diagonal the sail is a great circle of its sphere: it springs at asin(d/2R), and the
    extrados stands sqrt((R + t)^2 - d^2/4) - sqrt(R^2 - d^2/4) plumb over the corner; the edge
    arches spring at asin(s/2r), circles of r (geometry)."""
    radius, half = sphere(), SIDE / math.sqrt(2)
    arch = SIDE**2 / (8 * RISE) + RISE / 2
    t = plan.vault.thickness
    plumb = math.sqrt((radius + t) ** 2 - half**2) - math.sqrt(radius**2 - half**2)
    assert [seat.corner for seat in plan.site.corners] == list("ABCD")
    assert plan.site.seats == ()
    for seat in plan.site.corners:
        slope = math.asin(half / radius)
        assert seat.slope == pytest.approx(slope, abs=5e-4)
        assert seat.walls == pytest.approx((math.asin(SIDE / 2 / arch),) * 2, abs=1e-2)
        assert seat.angle == pytest.approx(math.pi / 2 - slope, abs=5e-4)
        assert seat.thickness == pytest.approx(plumb * math.cos(slope), rel=2e-3)
        assert seat.turns == pytest.approx((math.pi / 4, math.pi / 4))
        assert {state.bound for state in seat.thrusts} == {"least", "greatest"}
        told = " ".join(Voice()(note) for note in seat.notes)
        assert "groin" not in told
        assert "diagonal" in told


def test_the_pencil_hems_the_thrust_of_both_ways(plan: SurfacePlan) -> None:
    """M/(f + t) and M/(f - t'): f + t to the extrados of the crown, which stands R (1 - cos) over the
    corner; f - t' from the extrados at the corner to the intrados of the edge arch."""
    check = plan.site.hand_check
    assert check is not None
    assert check.family == SAIL_ON_CORNERS
    radius, half, t = sphere(), SIDE / math.sqrt(2), plan.vault.thickness
    crown = radius - math.sqrt(radius**2 - half**2) + t
    plumb = math.sqrt((radius + t) ** 2 - half**2) - math.sqrt(radius**2 - half**2)
    assert {case.load for case in check.cases} == {"dead", "full"}
    for case in check.cases:
        part = case.parts[0]
        assert part.most == pytest.approx(crown, abs=1e-3)
        assert part.least == pytest.approx(RISE - plumb, abs=2e-3)
        assert part.low == pytest.approx(part.moment / crown, rel=2e-3)
        assert case.greatest is not None and case.high is not None
        assert case.low <= case.least <= case.greatest <= case.high
        written = [line.formula for line in lines_of(check, case, Voice())]
        assert "M/(f + t)" in written
        assert "M/(f - t')" in written
    assert "half of the sail" in str(plan_hand_blocks(plan, Voice())[0])
    assert all(c.verdict is Verdict.HOLDS for c in plan_hand_checks(check))


def test_guides_stand_under_its_open_edges_and_diagonals(plan: SurfacePlan) -> None:
    kinds = [guide.kind for guide in guides_of(plan.vault, plan.job.site)]
    assert kinds.count("wall arch") == 4
    assert kinds.count("diagonal") == 2
    edge = next(g for g in guides_of(plan.vault, plan.job.site) if g.kind == "wall arch")
    assert np.ptp(edge.line[:, 1]) == pytest.approx(RISE, abs=2e-3)


def test_its_tiles_end_flush_with_the_open_ends(plan: SurfacePlan) -> None:
    """A joint at an open edge has nothing beyond it to be pressed against."""
    for layer in plan.bond.layers:
        assert layer.corners[:, 1].min() < 1.0e-3
        assert layer.corners[:, 1].max() > SIDE - 1.0e-3


def test_papers_and_model_have_piers_and_no_walls(plan: SurfacePlan) -> None:
    assert sorted(pier_rings(plan)) == list("ABCD")
    prisms = scene(plan, Voice(), "1")["walls"]
    assert len(prisms) == 4
    inside = [np.asarray(prism["foot"]).mean(axis=0) for prism in prisms]
    assert all(not (0 < x < SIDE and 0 < y < SIDE) for x, y in inside)
    told = [Voice()(order.title) for order in layings(plan.vault, plan.bond)]
    told += [Voice()(step.what) for step in plan.site.order if step.key.startswith("lay.1")]
    assert len(told) == 4
    assert all("edge arch" in text and "wall" not in text for text in told)
