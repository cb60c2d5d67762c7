"""A sail on its four corners: what a pencil knows of it, and how its net must behave."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.job.model import Job
from timbrel.statics.certificate import certify
from timbrel.statics.certificate_check import check_certificate
from timbrel.statics.mechanism_bound import upper_bound
from timbrel.statics.net import Net, NetQuestion, draw_net
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_others import wind_loads
from timbrel.statics.net_supports import NetSupports, net_supports
from timbrel.statics.net_symmetry import symmetries
from timbrel.statics.net_vaults import solid_of

STEPS = 8
SQUARE: dict[str, Any] = {}
OBLONG = {"AB": 3400, "BC": 3000, "CD": 3400, "DA": 3000, "AC": 4534.3, "BD": 4534.3}


def job_of(room: dict[str, Any], **curve: Any) -> Job:
    """The hall's groin as a sail on the same four piers."""
    sail = {"family": "sail", "stands": "corners", "rise": 400, **curve}
    return changed_job("market-groin", curve=sail, room=room)


def carried(job: Job) -> tuple[Any, Net, NetActions, NetSupports]:
    vault = vault_of(job)
    net = draw_net(solid_of(vault), grid_of(solid_of(vault), STEPS))
    acts = net_actions(job, net.solid, net.grid)
    return vault, net, acts, net_supports(job, vault, net, acts)


@pytest.fixture(scope="module")
def square() -> tuple[Any, Net, NetActions, NetSupports]:
    return carried(job_of(SQUARE))


def test_its_edges_are_free_and_its_corners_stand_on_piers(square: Any) -> None:
    _, net, _, _ = square
    assert [(s.name, s.kind, len(s.nodes)) for s in net.grid.supports] == [
        (corner, "pier", 1) for corner in "ABCD"
    ]
    assert net.grid.held.sum() == 4
    assert len(symmetries(net.grid)) == 8


@pytest.mark.parametrize("room", [SQUARE, OBLONG], ids=["square", "oblong"])
@pytest.mark.parametrize("sail", ["spherical", "translation"])
def test_half_of_it_is_in_balance_by_hand(room: dict[str, Any], sail: str) -> None:
    """Moments about the line through two corners, any text on statics: the other half leans on the
    cut at a level that lies in the masonry there, so that H (z - corner) = M, with z between the
    lowest intrados and the highest extrados of the cut, and every corner takes a quarter of the
    weight of a vault that is its own mirror image both ways."""
    vault, net, acts, found = carried(job_of(room, sail=sail, directrix="segment"))
    dead, at = np.asarray(acts.dead.weight), net.grid.middle[:, :2]
    middle, corners = at.mean(axis=0), np.asarray(vault.room.corners)
    span = float(np.ptp(corners[:, 0]))
    moment = float(dead @ np.minimum(at[:, 0] - corners[0, 0], corners[1, 0] - at[:, 0])) / 2
    y = np.linspace(corners[0, 1] + 1e-6, corners[3, 1] - 1e-6, 65)
    x = np.full(65, middle[0])
    low, high = vault.height(x, y, 0.0).min(), vault.height(x, y, vault.thickness).max()
    plumb = vault.height(*(corners[0, :2] + 1e-6)[:, None], vault.thickness)[0] - corners[0, 2]
    seen = 0
    for bound in ("least", "greatest"):
        pushed = {
            p.support: p for p in found.pushes if (p.case.load, p.case.bound) == ("dead", bound)
        }
        seen += len(pushed)
        thrust = -sum(float(pushed[c].total[0]) for c in "AD")
        assert thrust == pytest.approx(sum(float(pushed[c].total[0]) for c in "BC"), rel=1e-4)
        assert moment / (high - corners[0, 2]) <= thrust * (1 + 1e-6)
        assert thrust * (1 - 1e-6) <= moment / (low - corners[0, 2] - plumb)
        for push in pushed.values():
            assert -push.total[2] == pytest.approx(float(dead.sum()) / 4, rel=1e-3)
    assert seen == 8
    assert span > 3


def test_its_corners_push_alike(square: Any) -> None:
    """A square vault is its own mirror image: its four thrusts are one, along the diagonals."""
    _, _, _, found = square
    least = [p.total for p in found.pushes if (p.case.load, p.case.bound) == ("dead", "least")]
    assert len(least) == 4
    size = np.abs(np.array(least))
    assert size == pytest.approx(np.tile(size.mean(axis=0), (4, 1)), rel=1e-3)
    assert size[:, 0] == pytest.approx(size[:, 1], rel=1e-3)


def test_more_candidates_never_carry_less_and_a_mechanism_never_carries_less_than_the_net() -> None:
    job = job_of(SQUARE)
    vault = vault_of(job)
    solid = solid_of(vault)
    found = []
    for reach in (1, 2, 3):
        net = draw_net(solid, grid_of(solid, STEPS), reach)
        acts = net_actions(job, solid, net.grid)
        half = next(p for p in acts.patterns if p.key == "half.left")
        answer = NetQuestion(net, acts.dead, half).load_factor(20.0)
        found.append(0.0 if answer is None else answer.factor)
        if reach == 3:
            assert answer is not None
            sheet = certify("half", net, answer, acts.dead, half)
            assert check_certificate(sheet, solid.offset).sound
    assert np.all(np.diff(found) >= -1e-6 * found[-1])
    assert found[-1] > found[0]
    bound = upper_bound(job, vault, "half.left", thorough=False)
    assert bound.factor is not None
    assert found[-1] <= bound.factor


def test_a_wall_under_every_edge_carries_more_than_four_corners() -> None:
    """Walls take away no way to stand: whatever the corners carry a sail on walls carries too."""
    factors = []
    for stands, ends in (("corners", {}), ("walls", {"near_end": "wall", "far_end": "wall"})):
        job = changed_job(
            "market-groin",
            curve={"family": "sail", "stands": stands, "rise": 400},
            walls={"pier_out": None},
            room={"near_end": "free", "far_end": "free", **ends},
        )
        solid = solid_of(vault_of(job))
        net = draw_net(solid, grid_of(solid, STEPS))
        acts = net_actions(job, solid, net.grid)
        half = next(p for p in acts.patterns if p.key == "half.left")
        answer = NetQuestion(net, acts.dead, half).load_factor(20.0)
        assert answer is not None
        factors.append(answer.factor)
    assert factors[0] < factors[1]


def test_wind_beside_open_edges_is_taken_in_the_planes_of_the_edge_arches() -> None:
    """Suction of 0.3 kN/m2 square to the extrados lifts by 0.3 kN a square metre of plan (geometry: an
    even pressure on any surface), to within the rim of the extrados; nothing outside could press an
    open edge back, so that what leaves the edge arches' planes is told and not followed."""
    job = changed_job(
        "market-groin",
        curve={"family": "sail", "stands": "corners", "rise": 400},
        loads={"wind_left": -0.3, "wind_right": -0.3},
    )
    vault = vault_of(job)
    solid = solid_of(vault)
    net = draw_net(solid, grid_of(solid, STEPS))
    acts = net_actions(job, solid, net.grid)
    (wind,) = wind_loads(solid, net.grid, job.loads, 0)
    assert float(np.sum(wind.load.weight)) == pytest.approx(-300 * vault.plan.area, rel=0.06)
    assert 0 < wind.across < 300
    question = NetQuestion(net, acts.dead, wind.load)
    assert not question.unheld
    answer = question.load_factor(10.0)
    assert answer is not None
    assert answer.factor > 1
