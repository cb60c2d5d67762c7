"""Filling over a vault on a plan in lifts: how far one side may run ahead of the other.

The finished shell must have a net of struts under every pair of levels that the work passes
through; the bond is not called on. The fill is split by a plumb plane along the middle of the plan.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.building.lifts import Lifts, safe_difference, unit_weight_of_fill
from timbrel.statics.building.opened_grids import kerb_weight
from timbrel.statics.building.stage_model import StageModel
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_actions import fill_top, net_actions
from timbrel.statics.net_fineness import LADDER
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_opened import grids_over
from timbrel.statics.net_solid import Array
from timbrel.statics.net_stage import LayerNet, layer_net
from timbrel.statics.net_vaults import solid_of
from timbrel.words import Progress, say

STANDS = 1 - 1e-6


def surface_lifts(model: StageModel, progress: Progress) -> Lifts | None:
    """All pairs of levels, on the coarsest net; None without fill."""
    job, vault = model.job, model.vault
    if job.loads.fill.kind == "none":
        return None
    solid = solid_of(vault)
    layer, dead = _finished(model)
    top = fill_top(job, solid, layer.pieces)
    base = float(np.asarray(vault.room.corners)[:, 2].mean())
    count = max(1, int(np.ceil((top - base) / job.building.lift)))
    levels = np.minimum(base + job.building.lift * np.arange(count + 1), top)
    unit = unit_weight_of_fill(job)
    stands = np.zeros((count + 1, count + 1), bool)
    pairs = [(i, j) for i in range(count + 1) for j in range(i, count + 1)]
    plan = layer.pieces.point[:, 0]
    middle = float((layer.pieces.level @ plan) / layer.pieces.level.sum())
    alike = _mirrors(layer)
    for k, (i, j) in enumerate(pairs):
        progress(say("fill in lifts"), k / len(pairs))
        for a, b in {(i, j), (j, i)}:
            if alike and a > b:
                stands[a, b] = stands[b, a]
                continue
            fill = _fill(layer, np.where(plan < middle, levels[a], levels[b]), unit)
            load = NetLoad("fill", say("fill in lifts"), dead + fill, (), 0.0, np.zeros(2))
            stands[a, b] = NetQuestion(layer.net, load).share_of_dead() >= STANDS
    return Lifts(levels[1:] - base, stands, safe_difference(levels, stands))


def _finished(model: StageModel) -> tuple[LayerNet, Array]:
    """The coarsest net of the whole shell and (n,) N of what lies there before the fill. Round openings
    it is the coarsest that carries that: rings and kerbs come first, and the boxes are away."""
    job, vault = model.job, model.vault
    solid, count = solid_of(vault), len(vault.layers)
    if model.opened is None:
        layer = layer_net(vault, count, LADDER[vault.family][0])
        return layer, net_actions(job, solid, layer.net.grid).permanent[0].weight
    found = []
    for steps, grid in grids_over(job, solid).items():
        layer = layer_net(vault, count, steps, opened=grid)
        dead = net_actions(job, solid, grid).permanent[0].weight + kerb_weight(job, vault, grid)
        found.append((layer, dead))
        load = NetLoad("shell", say("finished shell"), dead, (), 0.0, np.zeros(2))
        if NetQuestion(layer.net, load).share_of_dead() >= STANDS:
            return found[-1]
    return found[0]  # none does, which the coarsest says soonest


def _fill(layer: LayerNet, level: Array, unit: float) -> Array:
    """(n,) weight of fill up to a level over each piece, on the nodes."""
    parts, half = layer.pieces, layer.net.solid.thickness / 2
    extrados = parts.point[:, 2] + half / np.maximum(parts.normal[:, 2], 0.05)
    force = unit * parts.level * np.maximum(level - extrados, 0.0)
    nodes = np.zeros(layer.net.grid.size)
    np.add.at(nodes, layer.net.grid.cells[parts.cell], parts.share * force[:, None])
    return nodes


def _mirrors(layer: LayerNet) -> bool:
    """Does some symmetry of the vault carry its left side onto its right."""
    x = layer.net.grid.middle[:, 0] - layer.net.grid.middle[:, 0].mean()
    return any(np.abs(x[g] + x).max() < 1e-6 * np.abs(x).max() for g in layer.net.group)
