"""A net on a part of a vault: what is laid so far, its open edges, its thickness cell by cell.

The shell of a stage grows from the intrados: a cell with one layer is as thick as that layer, one
that is not begun holds nothing. Struts may only run over cells that are laid, and inside the least
thickness under them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net import Net, draw_net
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_loads import NetLoad, lump, pieces
from timbrel.statics.net_solid import Array, Index, NetGrid, Support
from timbrel.statics.net_vaults import VaultSolid, solid_of
from timbrel.words import Message

OUT = 1e3  # offset, in thicknesses, over a cell that is not laid
SPARE = 1e-9


@dataclass(frozen=True)
class StageSolid:
    """A vault as far as it is laid.

    whole: the finished vault. u, v: grid lines that part its cells (open sheets; rings count from
    the crown). laid: (rows, columns) thickness of each cell from the intrados, m, 0 where nothing is
    laid.
    """

    whole: VaultSolid
    u: Array
    v: Array
    laid: Array

    @property
    def thickness(self) -> float:
        return self.whole.thickness

    @property
    def beds(self) -> tuple[float, ...]:
        return self.whole.beds

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        return self.whole.lines(u, v)

    def offset(self, points: Array, guess: Array) -> Array:
        """Offsets scaled so that the thickness laid under each point counts as the whole."""
        full = self.thickness
        depth = self.whole.offset(points, guess) + full / 2
        here = self._laid_at(guess)
        scaled = (depth / np.maximum(here, SPARE) - 0.5) * full
        return np.where(here > 0, scaled, OUT * full)

    def _laid_at(self, guess: Array) -> Array:
        """Thickness laid at parameters; on a line between cells the thicker counts."""
        best = np.zeros(guess.shape[:-1])
        for du in (-SPARE, SPARE):
            for dv in (-SPARE, SPARE):
                column = np.searchsorted(self.u, guess[..., 0] + du, side="right") - 1
                row = np.searchsorted(self.v, guess[..., 1] + dv, side="right") - 1
                column = np.clip(column, 0, len(self.u) - 2)
                row = np.clip(row, 0, len(self.v) - 2)
                best = np.maximum(best, self.laid[row, column])
        return best


def stage_net(
    vault: Any, steps: int, laid: Array, reach: int = 3
) -> tuple[Net, NDArray[np.bool_], Index]:
    """The net of a stage of building, over the family's own grid of so many steps.

    laid: (rows, columns) thickness (m) of each cell between grid lines of v and u, from the
    intrados; 0 where nothing is laid. Edges of what is laid are free but for the vault's own
    supports. Domes are not taken (their rings close one by one: ask the strip of a ring).

    Returns the net, which of the whole grid's nodes it has, and the cells that are laid (those of
    the whole grid).
    """
    solid = solid_of(vault)
    grid = grid_of(solid, steps)
    if grid.columns:
        raise ValueError("a stage is drawn on open grids only")
    u = np.unique(grid.uv[:, 0])
    v = np.unique(grid.uv[:, 1])
    laid = np.asarray(laid, float)
    if laid.shape != (len(v) - 1, len(u) - 1):
        raise ValueError(f"laid wants {(len(v) - 1, len(u) - 1)} cells, not {laid.shape}")
    stage = StageSolid(solid, u, v, laid)
    middle_uv = grid.uv[grid.cells].mean(axis=1)
    cells = np.flatnonzero(stage._laid_at(middle_uv) > 0).astype(np.int64)
    there = np.zeros(grid.size, bool)
    there[np.unique(grid.cells[cells])] = True
    own = _least_around(grid, stage, cells)
    part = _part(grid, there, cells, own / solid.thickness)
    return draw_net(stage, part, reach), there, cells


def _least_around(grid: NetGrid, stage: StageSolid, cells: Index) -> Array:
    """(n,) least thickness laid in the cells about each node."""
    least = np.full(grid.size, np.inf)
    thick = stage._laid_at(grid.uv[grid.cells[cells]].mean(axis=1))
    np.minimum.at(least, grid.cells[cells].ravel(), np.repeat(thick, 4))
    return np.where(np.isfinite(least), least, 0.0)


def _part(grid: NetGrid, there: NDArray[np.bool_], cells: Index, share: Array) -> NetGrid:
    """The nodes that are there, their lines cut to what is laid."""
    number = np.full(grid.size, -1, np.int64)
    kept = np.flatnonzero(there)
    number[kept] = np.arange(len(kept))
    half = grid.half[kept] * share[kept, None]
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
        middle=grid.inner[kept] + half,
        half=half,
        cells=number[grid.cells[cells]],
        spread=grid.spread[cells],
        supports=tuple(supports),
        twins=number[whole[closed]],
    )


def stage_weight(
    net: Net, key: str, title: Message, density: float, gravity: float = 9.81
) -> NetLoad:
    """Weight of what is laid (kg/m3), on the nodes of a stage's net."""
    solid = net.solid
    if not isinstance(solid, StageSolid):
        raise TypeError("this net is not of a stage")
    parts = pieces(solid.whole, net.grid)
    thick = solid._laid_at(parts.uv)
    return lump(
        net.grid,
        parts,
        key,
        title,
        parts.area * thick * density * gravity,
        (1.0,) * len(solid.beds),
    )
