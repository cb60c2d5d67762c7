"""Loads on a net that are not plumb: wind square to the extrados, level accelerations.

A plumb load is known by its place in plan; a level one by its height too. Lines of a net and the
straight chords between them are followed as a solid of their own: every point has a place (xi, eta)
in its cell and a share t of the half thickness along the lines beside it, so that

    p = sum N_k(xi, eta) (middle_k + t half_k).

The force at p goes to the four lines in the shares N_k, at t on each. That gives force and moment
back exactly, at every fineness, and asks no moment about a line, which it could not take.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.net_loads import NetLoad, cell_shapes, shapes_by_eta, shapes_by_xi
from timbrel.statics.net_rows import NetRows
from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid
from timbrel.statics.net_symmetry import level_turn
from timbrel.words import Message

GAUSS = 4
NEWTON = 12
STEP = 1e-4
LITTLE = 1e-7


@dataclass(frozen=True)
class LevelLoad(NetLoad):
    """A load with level parts.

    level: (n, 2) on each node, N. couple: (n, 3) sum of t F on each line, N: the moment about its
    middle is half x couple.
    """

    level: Array
    couple: Array

    @property
    def force(self) -> Array:
        """(n, 3) on each node, N."""
        return np.column_stack([self.level, -self.weight])

    @property
    def size(self) -> float:
        """Sum of the sizes of all forces, N."""
        return float(np.abs(self.level).sum() + np.abs(self.weight).sum())


def force_load(
    grid: NetGrid, key: str, title: Message, cell: Index, point: Array, force: Array, beds: int
) -> LevelLoad:
    """Forces (p, 3) at points (p, 3), each on a cell (p,), on the lines of a net."""
    share, along = shell_shares(grid, cell, point)
    nodes = grid.cells[cell]
    on, couple = np.zeros((grid.size, 3)), np.zeros((grid.size, 3))
    np.add.at(on, nodes, share[..., None] * force[:, None])
    np.add.at(couple, nodes, (share * along[:, None])[..., None] * force[:, None])
    down = -force[:, 2]
    return LevelLoad(
        key,
        title,
        -on[:, 2],
        (1.0,) * beds,
        float(down.sum()),
        down @ point[:, :2],
        on[:, :2],
        couple,
    )


def shell_shares(grid: NetGrid, cell: Index, point: Array) -> tuple[Array, Array]:
    """Shares (p, 4) of a cell's lines, and t (p,) along them, that give points (p, 3) back."""
    middle, half = grid.middle[grid.cells[cell]], grid.half[grid.cells[cell]]
    at = np.column_stack([np.full((len(point), 2), 0.5), np.zeros(len(point))])
    for _ in range(NEWTON):
        xi, eta, t = at.T
        spot = middle + t[:, None, None] * half
        miss = point - np.einsum("pk,pkd->pd", cell_shapes(xi, eta), spot)
        if np.abs(miss).max(initial=0.0) < 1e-13:
            break
        ways = np.stack(
            [
                np.einsum("pk,pkd->pd", shapes_by_xi(eta), spot),
                np.einsum("pk,pkd->pd", shapes_by_eta(xi), spot),
                np.einsum("pk,pkd->pd", cell_shapes(xi, eta), half),
            ],
            axis=2,
        )
        at = at + np.linalg.solve(ways, miss[..., None])[..., 0]
    return cell_shapes(at[:, 0], at[:, 1]), at[:, 2]


def together_with_level(
    key: str, title: Message, loads: tuple[tuple[NetLoad, float], ...]
) -> NetLoad:
    """Several loads, each with its multiple, as one; it has level parts where one of them has."""
    weight = np.sum([f * load.weight for load, f in loads], axis=0)
    total = float(sum(f * load.total for load, f in loads))
    first = np.asarray(sum(f * load.first for load, f in loads))
    above = loads[0][0].above
    pushed = [(load, f) for load, f in loads if isinstance(load, LevelLoad)]
    if not pushed:
        return NetLoad(key, title, weight, above, total, first)
    level = np.sum([f * load.level for load, f in pushed], axis=0)
    couple = np.sum([f * load.couple for load, f in pushed], axis=0)
    return LevelLoad(key, title, weight, above, total, first, level, couple)


def parted(load: NetLoad) -> tuple[NetLoad, LevelLoad | None]:
    """A load as what is plumb of it, and what is level of it where some is."""
    if not isinstance(load, LevelLoad):
        return load, None
    plumb = NetLoad(load.key, load.title, load.weight, load.above, load.total, load.first)
    none = np.zeros_like(load.weight)
    level = LevelLoad(
        load.key, load.title, none, load.above, 0.0, np.zeros(2), load.level, load.couple
    )
    return plumb, level


def level_rows(rows: NetRows, load: LevelLoad) -> Array:
    """(rows,) right-hand side of the level parts of a load, beside that of its weight."""
    side = _every(rows, load)[rows.node, rows.part]
    # What is nought but for rounding has to be nought, or idle struts would not be seen to be so.
    return np.where(np.abs(side) > LITTLE * np.abs(side).max(initial=0.0), side, 0.0)


def _every(rows: NetRows, load: LevelLoad) -> Array:
    """(n, 5) the same of all lines. Moments are in newtons at the end of the half line, as the
    struts' are."""
    side = np.column_stack([load.level, np.zeros(len(load.level))])
    force = -np.einsum("nab,nb->na", rows.axes, side)
    turned = -np.einsum("nab,nb->na", rows.frames[:, :2], load.couple)
    return np.concatenate([force, turned], axis=1)


def unheld(rows: NetRows, load: LevelLoad) -> bool:
    """Is there a row that a load presses the way in which no strut presses back."""
    every = _every(rows, load)
    kept = np.unique(rows.node)
    size = LITTLE * max(float(np.abs(every[kept]).max(initial=0.0)), 1e-300)
    bare = np.zeros(every.shape, bool)
    bare[kept] = True
    bare[rows.node, rows.part] = False
    if (np.abs(every[bare]) > size).any():
        return True
    side = every[rows.node, rows.part]
    most = rows.matrix.max(axis=1).toarray().ravel()
    least = rows.matrix.min(axis=1).toarray().ravel()
    return bool((((side > size) & (most <= 0)) | ((side < -size) & (least >= 0))).any())


def level_symmetries(grid: NetGrid, group: Index, load: LevelLoad) -> Index:
    """(h, n) those symmetries that carry the level parts of a load onto themselves too."""
    centred = grid.middle - grid.middle.mean(axis=0)
    size = LITTLE * max(float(np.abs(load.level).max()), float(np.abs(load.couple).max()), 1e-300)
    kept = []
    for g in group:
        turn = level_turn(centred, centred[g])
        level = np.abs(load.level @ turn[:2, :2].T - load.level[g]).max()
        couple = np.abs(load.couple @ turn.T - load.couple[g]).max()
        if max(level, couple) <= size:
            kept.append(g)
    return np.stack(kept)


@dataclass(frozen=True)
class FacePieces:
    """Pieces of the extrados. cell: (p,). point: (p, 3). area: (p, 3) vectors out of it, m2."""

    cell: Index
    point: Array
    area: Array


def extrados_pieces(solid: NetSolid, grid: NetGrid) -> FacePieces:
    """Gauss points of every cell on the true extrados."""
    x, w = np.polynomial.legendre.leggauss(GAUSS)
    x, w = (x + 1) / 2, w / 2
    xi, eta = (a.ravel() for a in np.meshgrid(x, x, indexing="ij"))
    weight = np.outer(w, w).ravel()

    def outer(xi: Array, eta: Array) -> Array:
        uv = np.einsum("ka,qad->qkd", cell_shapes(xi, eta), grid.spread)
        middle, half = solid.lines(uv[..., 0], uv[..., 1])
        return middle + half

    by_xi = (outer(xi + STEP, eta) - outer(xi - STEP, eta)) / (2 * STEP)
    by_eta = (outer(xi, eta + STEP) - outer(xi, eta - STEP)) / (2 * STEP)
    area = np.cross(by_xi, by_eta) * weight[:, None]
    # Cells go round either way; out of the extrados is the way the lines run.
    half = grid.half[grid.cells].mean(axis=1)
    way = np.sign(np.einsum("qkd,qd->qk", area, half))
    cells = np.repeat(np.arange(len(grid.cells)), len(xi))
    return FacePieces(cells, outer(xi, eta).reshape(-1, 3), (area * way[..., None]).reshape(-1, 3))
