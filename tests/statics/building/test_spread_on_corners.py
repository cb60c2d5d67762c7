"""Springings that spread under a vault on its corners: the solid springer goes with its pier."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.bond.lay import lay_bond
from timbrel.statics.building.stage_judge import StageJudge
from timbrel.statics.building.stage_model import StageModel, springer_nodes
from timbrel.statics.building.surface_states import spread_stages
from timbrel.statics.building.work import strength_of

SAIL = {"family": "sail", "stands": "corners", "rise": 400}


def test_all_of_a_springer_moves_as_its_pier_does() -> None:
    """A pier that stands out by half of the spread takes all that is built solid with it along (rigid
    body, geometry): within a tile's length, 0.28 m, of the corner."""
    job = changed_job("market-groin", curve=SAIL)
    vault = vault_of(job)
    bond = lay_bond(job, vault)
    model = StageModel(job, vault, bond)
    judge = StageJudge(job, model, strength_of(job))
    (stage,) = spread_stages(model, bond)
    shift = judge.shift(stage)
    assert shift is not None
    seen = 0
    for pier in model.grid.supports:
        mine = springer_nodes(job, model.grid, pier)
        apart = model.grid.middle[mine, :2] - model.grid.middle[pier.nodes[0], :2]
        assert np.hypot(*apart.T).max() <= 0.28
        assert mine.sum() > 1
        wanted = pier.outward[0] * stage.spread / 2
        assert shift[mine, :2] == pytest.approx(np.tile(wanted, (mine.sum(), 1)))
        seen += int(mine.sum())
    assert seen == model.held.sum()
    assert not shift[~model.held].any()
    assert judge.shift(replace(stage, spread=0.0)) is None
    assert stage.spread == pytest.approx(1e-3)
