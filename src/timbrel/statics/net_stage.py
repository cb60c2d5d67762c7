"""A net on a part of a vault: what is laid so far, with its open edges.

The net of the first layers is drawn once over the whole vault; a stage keeps the cells that are
laid, the nodes at their corners, and the struts that run over laid cells alone. Edges of what is
laid are free but for the vault's own supports. Taking struts away never adds strength, so what a stage
carries the finished layer carries too, and a net in fewer layers is a net in more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net import REACH, Net, draw_net
from timbrel.statics.net_cells import cells_touched
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_loads import NetLoad, Pieces, pieces, point_load
from timbrel.statics.net_solid import Array, Index, NetGrid, Support
from timbrel.statics.net_struts import alike_under, parameters_between
from timbrel.statics.net_symmetry import symmetries
from timbrel.statics.net_vaults import solid_of
from timbrel.words import Message

Marks = NDArray[np.bool_]
SPARE = 1e-7  # in parameters: a point on a line between cells belongs to both
SAMPLES = 25  # places along a strut at which it must run over what is laid


def lower_layers(vault: Any, count: int) -> Any:
    """The vault with its first layers only: the same intrados, less thickness."""
    kept = vault.layers[:count]
    return replace(vault, layers=kept, thickness=kept[-1].outer)


@dataclass(frozen=True)
class LayerNet:
    """The net of the first layers of a vault, ready for stages.

    pieces: of its middle surface, to weigh. over: (m, samples, 4) cells that each sample of each
    strut lies over (on a line between cells more than one; the same cell repeated otherwise).
    """

    net: Net
    pieces: Pieces
    over: Index

    @property
    def cells(self) -> int:
        return len(self.net.grid.cells)

    @property
    def middles(self) -> Array:
        """(q, 3) middles of the cells."""
        return np.asarray(self.net.grid.middle[self.net.grid.cells].mean(axis=1))


@dataclass(frozen=True)
class StageNet:
    """The net of what is laid. there: which of the whole grid's nodes it has."""

    net: Net
    there: Marks

    def own(self, nodes: Index) -> Index:
        """Its own numbers of those nodes (k,) of the whole grid that it has."""
        return _numbers(self.there)[nodes[self.there[nodes]]]


def layer_net(
    vault: Any, layers: int, steps: int, reach: int = REACH, opened: NetGrid | None = None
) -> LayerNet:
    """Draw the net of the first layers on the family's own grid of so many steps; opened: that grid
    where it leaves openings out."""
    solid = solid_of(lower_layers(vault, layers))
    net = draw_net(solid, grid_of(solid, steps) if opened is None else opened, reach)
    inside = np.linspace(0.0, 1.0, SAMPLES + 2)[1:-1, None]
    if net.grid.holes:
        return LayerNet(net, pieces(solid, net.grid), _over_bent(net, inside))
    between = parameters_between(net.grid, net.struts.i, net.struts.j, inside)
    shifts = [(a, b) for a in (-SPARE, SPARE) for b in (-SPARE, SPARE)]
    over = np.stack([cell_under(net.grid, between + np.array(s)) for s in shifts], axis=-1)
    return LayerNet(net, pieces(solid, net.grid), over)


def _over_bent(net: Net, inside: Array) -> Index:
    """(m, samples, 4) cells under struts where openings have bent the lines of the grid."""
    ends = np.stack([net.struts.i, net.struts.j], axis=1)
    pairs, strut = np.unique(ends, axis=0, return_inverse=True)
    start, end = (net.grid.middle[pairs[:, k], :2] for k in (0, 1))
    places = start[:, None] + inside * (end - start)[:, None]
    found = cells_touched(net.grid, places.reshape(-1, 2))
    return found.reshape(len(pairs), len(inside), -1)[strut.ravel()]


def stage_of(layer: LayerNet, laid: Marks) -> StageNet:
    """The part of a net that stands on the cells that are laid ((q,) marks)."""
    grid, struts = layer.net.grid, layer.net.struts
    there = np.zeros(grid.size, bool)
    there[np.unique(grid.cells[laid])] = True
    part = _part(grid, there, laid)
    runs = laid[layer.over].any(axis=-1).all(axis=-1) if struts.size else np.zeros(0, bool)
    keep = np.flatnonzero(runs & there[struts.i] & there[struts.j])
    number = _numbers(there)
    kept = struts.take(keep.astype(np.int64))
    kept = replace(kept, i=number[kept.i], j=number[kept.j])
    group = symmetries(part)
    if layer.net.grid.holes:
        # Where struts graze the corner of a bent cell, one may be kept and its mirror image not.
        group = np.stack([g for g in group if alike_under(kept, g, part.size)])
    return StageNet(Net(layer.net.solid, part, kept, layer.net.reach, group), there)


def stage_weight(
    layer: LayerNet, stage: StageNet, key: str, title: Message, laid: Marks, weight: Array | float
) -> NetLoad:
    """What lies on the laid cells, on the nodes of a stage.

    laid: (q,) which cells of the layer's grid it lies on: cells of the stage. weight: N/m2 of the
    middle surface, one value or one a cell.
    """
    parts = layer.pieces
    unit = np.broadcast_to(np.asarray(weight, float), len(laid)) * laid
    force = parts.area * unit[parts.cell]
    nodes = np.zeros(layer.net.grid.size)
    np.add.at(nodes, layer.net.grid.cells[parts.cell], parts.share * force[:, None])
    beds = (1.0,) * len(layer.net.solid.beds)
    first = force @ parts.point[:, :2]
    return NetLoad(key, title, nodes[stage.there], beds, float(force.sum()), first)


def stage_point(stage: StageNet, key: str, title: Message, at: Array, force: float) -> NetLoad:
    """Something set down at a place (2,) in plan, on a laid cell."""
    return point_load(stage.net.grid, key, title, at, force, len(stage.net.solid.beds))


def cell_under(grid: NetGrid, uv: Array) -> Index:
    """(...) the cell of a grid over parameters (..., 2); beyond its edges the nearest."""
    middle = grid.spread.mean(axis=1)
    distinct = grid.spread[:, 2] != grid.spread[:, 3]
    triangle = ~distinct.any(axis=1)
    middle[triangle] = grid.spread[triangle, :3].mean(axis=1)
    u = np.unique(np.round(grid.uv[:, 0], 12))
    v = np.unique(np.round(grid.uv[:, 1], 12))
    if grid.pole >= 0:
        v = np.unique(np.round(np.delete(grid.uv[:, 1], grid.pole), 12))
    rows, columns = len(v) if grid.columns else len(v) - 1, len(u) - 1

    def box(at: Array) -> tuple[Index, Index]:
        column = np.clip(np.searchsorted(u, at[..., 0], side="right") - 1, 0, columns - 1)
        turned = np.mod(at[..., 1], 1.0) if grid.columns else at[..., 1]
        row = np.clip(np.searchsorted(v, turned, side="right") - 1, 0, rows - 1)
        return row.astype(np.int64), column.astype(np.int64)

    row, column = box(middle)
    first = np.full((rows, columns), -1, np.int64)
    second = np.full((rows, columns), -1, np.int64)
    for k, (r, c) in enumerate(zip(row.tolist(), column.tolist(), strict=True)):
        if first[r, c] < 0:
            first[r, c] = k
        else:
            second[r, c] = k
    r, c = box(uv)
    one, other = first[r, c], second[r, c]
    # A cell split along a crease: the triangle on whose side of it the point lies is the one whose
    # middle is nearer, in shares of the cell.
    size = np.stack([np.diff(u)[c], (np.diff(np.append(v, 1.0)) if grid.columns else np.diff(v))[r]],
                    axis=-1)  # fmt: skip
    near = (((uv - middle[one]) / size) ** 2).sum(axis=-1)
    far = (((uv - middle[other]) / size) ** 2).sum(axis=-1)
    return np.where((other >= 0) & (far < near), other, one)


def _numbers(there: Marks) -> Index:
    number = np.full(len(there), -1, np.int64)
    number[there] = np.arange(int(there.sum()))
    return number


def _part(grid: NetGrid, there: Marks, laid: Marks) -> NetGrid:
    """The nodes that are there and the cells that are laid."""
    number = _numbers(there)
    kept = np.flatnonzero(there)
    supports = []
    for support in grid.supports:
        stays = there[support.nodes]
        if stays.any():
            supports.append(
                Support(
                    support.name,
                    support.kind,
                    number[support.nodes[stays]],
                    support.outward[stays],
                    support.length[stays],
                )
            )
    whole = grid.twins[:, kept]
    closed = there[whole].all(axis=1)
    return replace(
        grid,
        uv=grid.uv[kept],
        place=grid.place[kept],
        middle=grid.middle[kept],
        half=grid.half[kept],
        cells=number[grid.cells[laid]],
        spread=grid.spread[laid],
        supports=tuple(supports),
        pole=int(number[grid.pole]) if grid.pole >= 0 else -1,
        twins=number[whole[closed]],
        holes=(),  # their numbers are those of the whole net; its struts pass them by already
    )
