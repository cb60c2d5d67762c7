"""Nets that go round an opening: where nodes stand, what loads sum to, no strut through the hole."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from shapely import Polygon
from tests.opened_vaults import VAULTS, opened_vault

from timbrel.job.model import Job
from timbrel.shape.opened_plan import openings_of
from timbrel.statics.certificate import certify, read_certificate, write_certificate
from timbrel.statics.certificate_check import check_certificate
from timbrel.statics.certificate_holes import depth_in
from timbrel.statics.mechanism_bound import upper_bound
from timbrel.statics.net import NetQuestion, draw_net
from timbrel.statics.net_actions import net_actions
from timbrel.statics.net_fineness import LADDER, grid_of
from timbrel.statics.net_kerbs import kerb_loads
from timbrel.statics.net_loads import pieces
from timbrel.statics.net_opened import grids_over, outline_of
from timbrel.statics.net_rungs import Rung, Rungs
from timbrel.statics.net_vaults import solid_of


@pytest.fixture(scope="module", params=VAULTS)
def vault(request: pytest.FixtureRequest) -> tuple[Job, Any]:
    """A vault of each family with an opening in it."""
    return opened_vault(request.param)


def _standing(job: Job, vault: Any) -> Rung:
    """The coarsest net that carries the vault."""
    rungs = Rungs(job, solid_of(vault))
    return next(r for k in range(3) if (r := rungs[k]).question().share_of_dead() > 1 - 1e-6)


def test_nodes_and_cells_leave_the_opening_free(vault: tuple[Job, Any]) -> None:
    job, shape = vault
    outline = Polygon(outline_of(shape, openings_of(job, shape)[0]))
    for steps, grid in grids_over(job, solid_of(shape)).items():
        within = depth_in(grid.middle[:, :2], np.asarray(outline.exterior.coords)[:-1])
        assert within.max() < 1e-3, steps
        around = Polygon(grid.middle[grid.holes[0].rim, :2])
        assert around.buffer(1e-3).covers(outline)
        # The flat arches over the sides take in no more than a twelfth of each beside the outline.
        assert around.area < 1.75 * outline.area


def test_what_is_left_weighs_as_much_as_the_vault_less_the_opening(vault: tuple[Job, Any]) -> None:
    job, shape = vault
    solid = solid_of(shape)
    area = Polygon(outline_of(shape, openings_of(job, shape)[0])).area
    for steps, grid in grids_over(job, solid).items():
        whole = pieces(solid, grid_of(solid, steps)).level.sum()
        assert pieces(solid, grid).level.sum() == pytest.approx(whole - area, rel=2e-4)


def test_loads_keep_their_sum_and_moments(vault: tuple[Job, Any]) -> None:
    job, shape = vault
    solid = solid_of(shape)
    outline = Polygon(outline_of(shape, openings_of(job, shape)[0]))
    kerb = kerb_loads(job, shape)[1]
    for grid in grids_over(job, solid).values():
        acts = net_actions(job, solid, grid)
        for load in (*acts.permanent, *acts.patterns, *acts.points):
            assert load.weight.sum() == pytest.approx(load.total, rel=1e-9)
            moment = load.weight @ grid.middle[:, :2]
            assert np.abs(moment - load.first).max() < 1e-6 * abs(load.total) * 5
        stands = next(load for load in acts.permanent if load.key == "openings.1")
        middle = np.asarray(outline.centroid.coords[0])
        assert np.hypot(*(stands.first / stands.total - middle)) < 0.02
        assert stands.total == pytest.approx(kerb.permanent * kerb.girth, rel=1e-9)
        full = next(p for p in acts.patterns if p.key == "full")
        # On a skylight nothing is stored: the floor is loaded beside it.
        bare = net_actions(job.model_copy(update={"openings": ()}), solid, grid_of(solid, 8))
        before = next(p for p in bare.patterns if p.key == "full")
        assert full.total == pytest.approx(before.total - acts.imposed * outline.area, rel=1e-6)


def test_a_hatch_bears_what_is_stored_on_it(vault: tuple[Job, Any]) -> None:
    job, shape = vault
    solid = solid_of(shape)
    hatch = job.openings[0].model_copy(update={"use": "hatch"})
    other = job.model_copy(update={"openings": (hatch,)})
    grid = next(iter(grids_over(other, solid).values()))
    one, two = (net_actions(j, solid, grid) for j in (job, other))
    area = abs(float(_area(openings_of(job, shape)[0].plan)))
    for key in ("full", "half.left", "half.right"):
        a, b = (next(p for p in acts.patterns if p.key == key).total for acts in (one, two))
        within = {"full": 1.0}.get(key)
        if within is not None:
            assert b - a == pytest.approx(one.imposed * area, rel=1e-6)
        else:
            assert -1e-6 <= b - a <= one.imposed * area * (1 + 1e-6)


def _area(ring: Any) -> Any:
    x, y = ring.T
    return 0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)


def test_its_certificate_is_sound_and_a_strut_through_the_opening_is_found(
    vault: tuple[Job, Any], tmp_path: Any
) -> None:
    job, shape = vault
    rung = _standing(job, shape)
    load = rung.pattern("half.left")
    answer = rung.question(load).load_factor(20.0)
    assert answer is not None
    assert answer.factor > 0
    made = certify("half", rung.net, answer, rung.acts.dead, load)
    again = read_certificate(write_certificate(made, tmp_path / "half.npz"))
    report = check_certificate(again, rung.net.solid.offset)
    assert report.faults == ()
    # A strut from one side of the opening to the other, without force: balance cannot tell it.
    rim = rung.net.grid.holes[0].rim
    planted = replace(
        again,
        i=np.append(again.i, rim[0]),
        j=np.append(again.j, rim[len(rim) // 2]),
        si=np.append(again.si, 0.0),
        sj=np.append(again.sj, 0.0),
        force=np.append(again.force, 0.0),
    )
    assert "openings" in check_certificate(planted, rung.net.solid.offset).faults


def test_struts_through_the_opening_would_make_it_look_stronger(vault: tuple[Job, Any]) -> None:
    job, shape = vault
    rung = _standing(job, shape)
    blind = draw_net(solid_of(shape), replace(rung.net.grid, free=()))
    assert blind.struts.size > rung.net.struts.size
    for key in ("half.left", "quarter"):
        load = rung.pattern(key)
        true = NetQuestion(rung.net, rung.acts.dead, load).load_factor(30.0)
        false = NetQuestion(blind, rung.acts.dead, load).load_factor(30.0)
        assert true is not None and false is not None
        assert true.factor <= false.factor * (1 + 1e-6)


def test_no_upper_bound_is_told_of_a_vault_with_openings(vault: tuple[Job, Any]) -> None:
    job, shape = vault
    bound = upper_bound(job, shape, "half.left")
    assert bound.factor is None
    assert "openings" in str(bound.reason.msgid)


def test_only_finenesses_that_can_take_it_are_used(vault: tuple[Job, Any]) -> None:
    job, shape = vault
    assert set(grids_over(job, solid_of(shape))) <= set(LADDER[shape.family])


def test_sleeper_walls_end_at_an_opening_and_its_floor_is_gone() -> None:
    job, shape = opened_vault("sail")
    fill = {"kind": "sleeper walls", "sleeper_spacing": 0.3, "level": 1.4, "to_crown_cover": False}
    fill = job.loads.fill.model_copy(update=fill)
    job = job.model_copy(update={"loads": job.loads.model_copy(update={"fill": fill})})
    solid = solid_of(shape)
    steps, grid = next(iter(grids_over(job, solid).items()))
    opened, whole = (net_actions(job, solid, g) for g in (grid, grid_of(solid, steps)))
    own = [next(p for p in acts.permanent if p.key == "fill").total for acts in (opened, whole)]
    assert own[0] < own[1]
    full = [next(p for p in acts.patterns if p.key == "full").total for acts in (opened, whole)]
    area = Polygon(outline_of(shape, openings_of(job, shape)[0])).area
    # Floor beyond the last half bay goes to the walls of either alike.
    assert full[1] - full[0] == pytest.approx(job.loads.imposed * area, rel=0.02)
