"""A net on what is laid so far: half-built vaults fall or stand as their free edges allow."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_stage import (
    LayerNet,
    cell_under,
    layer_net,
    lower_layers,
    stage_of,
    stage_point,
    stage_weight,
)
from timbrel.words import say

STEPS = 24
EXAMPLES = Path(__file__).parent.parent.parent / "examples"


def share(layer: LayerNet, laid: np.ndarray) -> float:
    stage = stage_of(layer, laid)
    dead = stage_weight(layer, stage, "laid", say("What is laid"), laid, 600.0)
    return NetQuestion(stage.net, dead).share_of_dead()


def vault_of(job: Job):  # type: ignore[no-untyped-def]
    return shape_vault(job, solve_room(job.room, job.job.length_unit))


def example(name: str):  # type: ignore[no-untyped-def]
    job = load_job(EXAMPLES / name / "job.toml").job
    return job, vault_of(job)


def test_a_closed_arch_stands_and_an_open_one_does_not(trial_job: Callable[..., Job]) -> None:
    vault = vault_of(trial_job(room={"AC": 7417, "BD": 7379}, curve={"rise": 700}))
    layer = layer_net(vault, len(vault.layers), STEPS)
    whole = np.ones(layer.cells, bool)
    assert share(layer, whole) > 1 - 1e-6
    middle_u = layer.net.grid.uv[layer.net.grid.cells].mean(axis=1)[:, 0]
    near = layer.net.grid.uv[layer.net.grid.cells].mean(axis=1)[:, 1] < 0.5
    assert share(layer, whole & (np.abs(middle_u - 0.5) > 1 / STEPS)) < 1e-6
    assert share(layer, near) > 1 - 1e-6


def test_fewer_layers_are_a_thinner_shell_on_the_same_intrados(
    trial_job: Callable[..., Job],
) -> None:
    vault = vault_of(trial_job(room={"AC": 7417, "BD": 7379}, curve={"rise": 900}))
    first = layer_net(vault, 1, STEPS)
    assert first.net.solid.thickness == pytest.approx(vault.layers[0].thickness)
    whole = layer_net(vault, len(vault.layers), STEPS)
    assert np.abs(first.net.grid.inner - whole.net.grid.inner).max() < 1e-9
    everything = np.ones(first.cells, bool)
    # The one thin layer has no thrust line of its own here, the whole shell has.
    assert share(first, everything) < 1e-6
    assert share(whole, everything) > 1 - 1e-6
    assert lower_layers(vault, 1).thickness == vault.layers[0].outer


def test_rings_of_a_dome_stand_open_at_the_top_and_a_part_of_a_ring_does_not() -> None:
    _, dome = example("well-dome")
    layer = layer_net(dome, 1, 8)
    away = layer.middles[:, :2] - np.asarray(dome.centre)[:2]
    radius = np.hypot(*away.T)
    for inner in np.unique(np.round(radius, 6))[:-1]:
        assert share(layer, radius >= inner - 1e-6) > 1 - 1e-6
    upper = radius <= np.median(radius)
    gap = upper & (away[:, 0] > 0) & (np.abs(away[:, 1]) < 0.3)
    assert share(layer, ~gap) < 1 - 1e-3


def test_a_sail_closes_course_by_course_and_a_groin_only_when_whole() -> None:
    _, sail = example("study-sail")
    layer = layer_net(sail, 1, 16)
    assert share(layer, layer.middles[:, 0] < np.median(layer.middles[:, 0])) > 1 - 1e-6
    _, groin = example("market-groin")
    layer = layer_net(groin, 1, 12)
    middle = layer.middles[:, :2].mean(axis=0)
    inward = np.abs(layer.middles[:, :2] - middle).max(axis=1)
    assert share(layer, inward > 0.5 * inward.max()) < 1e-6
    assert share(layer, np.ones(layer.cells, bool)) > 1 - 1e-6


def test_cells_under_the_middles_are_the_cells_themselves() -> None:
    for name, steps in (("market-groin", 8), ("study-sail", 8), ("well-dome", 6)):
        _, vault = example(name)
        grid = layer_net(vault, 1, steps).net.grid
        triangle = grid.cells[:, 2] == grid.cells[:, 3]
        middle = grid.spread.mean(axis=1)
        split = triangle & (grid.spread[:, 2] == grid.spread[:, 3]).all(axis=1)
        middle[split] = grid.spread[split, :3].mean(axis=1)
        assert np.array_equal(cell_under(grid, middle), np.arange(len(grid.cells)))


def test_weights_and_points_keep_their_sum_and_moment() -> None:
    job, groin = example("market-groin")
    layer = layer_net(groin, 1, 8)
    laid = layer.middles[:, 0] < 1.7
    stage = stage_of(layer, laid)
    load = stage_weight(layer, stage, "laid", say("What is laid"), laid, 500.0)
    area = np.bincount(layer.pieces.cell, layer.pieces.area)[laid].sum()
    assert load.weight.sum() == pytest.approx(500.0 * area, rel=1e-9)
    middle = stage.net.grid.middle[:, :2]
    assert load.weight @ middle == pytest.approx(load.first, rel=1e-6)
    at = np.array([0.6, 1.9])
    knee = stage_point(stage, "knee", say("A person who kneels"), at, job.building.kneeling)
    assert knee.weight @ middle == pytest.approx(job.building.kneeling * at, rel=1e-6)
