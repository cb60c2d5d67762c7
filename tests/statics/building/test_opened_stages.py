"""Stages of a vault with openings: what is cut stands on its box until the ring has cured."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.opened_vaults import VAULTS, opened_text, opened_vault

from timbrel.bond import lay_bond
from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.building.laying import layings
from timbrel.statics.building.stage_judge import StageJudge
from timbrel.statics.building.stage_model import StageModel
from timbrel.statics.building.surface_building import SurfaceBuilding, check_surface_building
from timbrel.statics.building.surface_checks import unjudged
from timbrel.statics.building.surface_lifts import surface_lifts
from timbrel.statics.building.surface_states import laying_stages, struck_stages, whole_stage
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_cells import cells_touched
from timbrel.statics.net_resting import RestingNet
from timbrel.statics.net_stage import cell_under, layer_net, stage_of, stage_weight
from timbrel.verdict import Check, Verdict, judge
from timbrel.words import say, silent

Vault = tuple[Job, Any, Bond, StageModel]


@pytest.fixture(scope="module", params=VAULTS)
def opened(request: pytest.FixtureRequest) -> Vault:
    job, vault = opened_vault(request.param)
    bond = lay_bond(job, vault)
    return job, vault, bond, StageModel(job, vault, bond)


@pytest.fixture(scope="module")
def cloister() -> SurfaceBuilding:
    job, vault = opened_vault("cloister")
    return check_surface_building(job, vault, lay_bond(job, vault))


def test_all_numbers_of_layers_share_their_cells_and_keep_off_the_opening(opened: Vault) -> None:
    _, vault, _, model = opened
    assert model.opened is not None
    plain = layer_net(vault, 1, model.steps, model.reach).cells
    for grid in model.opened.grids:
        assert np.array_equal(grid.cells, model.grid.cells)
        assert len(grid.cells) < plain
        assert len(grid.holes) == 1
    # The nodes that rest on the box are those round the opening, and none is in a springing.
    assert set(np.flatnonzero(model.box)) == set(model.grid.holes[0].rim)
    assert not (model.box & model.held).any()


def test_weights_are_those_of_the_shell_less_what_is_cut(opened: Vault) -> None:
    _, vault, bond, model = opened
    plain = StageModel(opened[0].model_copy(update={"openings": ()}), vault, bond)
    tiles = bond.layers[0].area.sum()
    cut = plain.area.sum() - model.area.sum()
    hole = model.grid.holes[0].outline
    x, y = hole.T
    level = abs(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2
    assert level <= cut * 1.005 < 2.5 * level  # it lies aslant
    assert tiles < model.area.sum()  # joints take the rest
    assert model.kerbs.sum() > 0
    assert model.kerbs[~model.box].sum() == 0


def test_cells_round_a_bent_opening_are_found_in_plan(opened: Vault) -> None:
    _, vault, _, model = opened
    grid = model.grid
    middles = grid.middle[grid.cells].mean(axis=1)[:, :2]
    whole = grid.cells[:, 2] != grid.cells[:, 3]
    found = cells_touched(grid, middles[whole])
    assert (found == np.flatnonzero(whole)[:, None]).all(axis=1).mean() > 0.99
    # Where nothing is bent it says the same as rows and columns do.
    plain = layer_net(vault, 1, model.steps, model.reach).net.grid
    uv = plain.uv[plain.cells].mean(axis=1)
    square = (plain.cells[:, 2] != plain.cells[:, 3]) & (
        np.ptp(plain.uv[plain.cells][..., 1], axis=1) < 0.5
    )
    at = plain.middle[plain.cells].mean(axis=1)[square, :2]
    assert (cells_touched(plain, at)[:, 0] == cell_under(plain, uv[square])).mean() > 0.99


def test_a_box_only_pushes_up_and_only_helps(opened: Vault) -> None:
    _, _, _, model = opened
    layer = model.net(2)
    laid = np.ones(layer.cells, bool)
    part = stage_of(layer, laid)
    dead = stage_weight(layer, part, "dead", say("x"), laid, model.weights.sum())
    kerbed = replace(dead, weight=dead.weight + 40 * model.kerbs)
    props = part.own(np.flatnonzero(model.box))
    bare = NetQuestion(part.net, kerbed).share_of_dead()
    on_box = RestingNet(part.net, kerbed, props).share_of_dead()
    assert on_box >= bare - 1e-6
    # Nothing that rests on no box is helped: with no props it is the plain net.
    none = RestingNet(part.net, kerbed, props[:0]).share_of_dead()
    assert none == pytest.approx(bare, abs=1e-5)
    # The forces of struts and props are in balance, and no prop pulls.
    net = RestingNet(part.net, dead, props)
    found = net.program.share_of_dead()
    assert found is not None
    pushed = found.force[len(net.rows.members) :]
    assert (pushed >= 0).all()
    want = found.factor * net.rows.load(dead.weight)
    assert np.abs(net.program.rows.matrix @ found.force - want).max() < 1e-4 * want.max()


def test_boxes_stand_until_the_rings_have_cured(opened: Vault) -> None:
    job, vault, bond, model = opened
    for laying in layings(vault, bond):
        assert all(stage.box for stage in laying_stages(model, bond, laying))
    assert whole_stage(model, bond, 1, "x", say("x")).box
    struck = list(struck_stages(model, bond))
    assert [stage.kerbs for stage in struck] == [True, False]
    assert not any(stage.box or stage.guides for stage in struck)
    assert {stage.age for stage in struck} == {job.openings[0].trimmer.cure}


def test_the_props_carry_no_more_than_lies_there_and_more_with_more_on_them(opened: Vault) -> None:
    job, _, bond, model = opened
    judged = StageJudge(job, model, None)
    whole = whole_stage(model, bond, 1, "x", say("x"))
    light = judged.on_props(whole)
    heavy = judged.on_props(replace(whole, weight=2 * whole.weight))
    assert len(light) == 1
    assert 0 < light[0] < model.weights[0] * model.area.sum()
    assert heavy[0] == pytest.approx(2 * light[0], rel=0.2)  # contact may spread
    assert judged.on_props(replace(whole, box=False)) == ()


def test_what_has_no_net_without_its_boxes_keeps_them() -> None:
    # So heavy a kerb, beside so wide an opening, presses the sail down between its supports.
    job, vault = opened_vault("sail", line_load=49.0)
    bond = lay_bond(job, vault)
    model = StageModel(job, vault, bond)
    judged = StageJudge(job, model, None)
    kerbed, bare = (judged.answer(stage) for stage in struck_stages(model, bond))
    assert bare.verdict is Verdict.HOLDS
    assert kerbed.verdict is Verdict.FAILS
    assert not kerbed.net


def test_every_check_of_the_stages_is_judged(cloister: SurfaceBuilding) -> None:
    told = {c.name: c for c in cloister.checks}
    assert told["building.struck"].verdict is Verdict.HOLDS
    for name in ("building.eased", "building.layer", "building.course"):
        # Without bond tests a stage is judged where a net carries it, and only there.
        stage = next(a for a in cloister.worst if a.stage.operation == name.split(".")[1])
        assert (told[name].verdict is Verdict.NOT_JUDGED) == (not stage.net)
    assert len(cloister.props) == 1
    assert cloister.props[0] >= max(a.props[0] for a in cloister.stages if a.props)


@pytest.mark.parametrize(("line_load", "stands"), [(0.0, True), (49.0, False)])
def test_fill_rises_on_the_opened_shell_with_its_kerbs_on(line_load: float, stands: bool) -> None:
    text = opened_text("sail", line_load=line_load)
    text["loads"]["fill"] = {"kind": "light"}
    job = Job.model_validate(text)
    vault = shape_vault(job, solve_room(job.room))
    lifts = surface_lifts(StageModel(job, vault, lay_bond(job, vault)), silent)
    assert lifts is not None
    assert lifts.stands.all() == lifts.stands.any() == stands


def _holds(name: str) -> Check:
    return judge(
        name, say("x"), 0.5, 1.0, kind="ratio", at_least=False, reason=say("x"), source="x"
    )


def test_where_no_net_goes_round_the_openings_nothing_is_judged_of_the_stages() -> None:
    checks = tuple(_holds(f"building.{k}") for k in ("course", "eased", "hold", "buckling"))
    told = {c.name: c.verdict for c in unjudged(checks)}
    assert told.pop("building.hold") is Verdict.HOLDS
    assert set(told.values()) == {Verdict.NOT_JUDGED}
