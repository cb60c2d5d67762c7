"""Grids of nodes over a solid: rows and columns over (u, v), or rings and rays round a crown."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid, Support

Edge = Literal["wall", "free"]
SIDES = ("near", "right", "far", "left")


def sheet_grid(
    solid: NetSolid,
    u: Array,
    v: Array,
    *,
    edges: Sequence[Edge] = ("free", "free", "free", "free"),
    piers: Sequence[float] | None = None,
    creased: bool = False,
) -> NetGrid:
    """Nodes at the crossings of the lines `u` (left to right) and `v` (near to far).

    edges: what the near (v first), right (u last), far and left edges are. piers: when given, the
    four corners stand on piers; each takes in the nodes of its two edges up to this share of the
    edge from the corner (0: the corner alone). creased: creases run from corner to corner of the grid
    (as many rows as columns); the cells that they cross are split along them.
    """
    uu, vv = np.meshgrid(u, v)
    rows, columns = uu.shape
    number = np.arange(rows * columns).reshape(rows, columns)
    middle, half = solid.lines(uu, vv)
    place = np.stack(np.meshgrid(np.arange(rows), np.arange(columns), indexing="ij"), axis=-1)
    cells = np.stack(
        [number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1]], axis=-1
    ).reshape(-1, 4)
    if creased:
        cells = _split(cells, rows - 1)
    flat = middle.reshape(-1, 3)
    sides = (number[0], number[:, -1], number[-1], number[:, 0])
    supports = [
        _wall(name, nodes, flat)
        for name, nodes, kind in zip(SIDES, sides, edges, strict=True)
        if kind == "wall"
    ]
    if piers is not None:
        supports += _piers(piers, number, np.asarray(u), np.asarray(v), flat)
    return NetGrid(
        uv=np.stack([uu, vv], axis=-1).reshape(-1, 2),
        place=place.reshape(-1, 2).astype(np.int64),
        middle=flat,
        half=half.reshape(-1, 3),
        cells=cells.astype(np.int64),
        spread=np.stack([uu, vv], axis=-1).reshape(-1, 2)[cells],
        supports=tuple(supports),
        columns=0,
        pole=-1,
        twins=_sheet_twins(number),
    )


def ring_grid(
    solid: NetSolid, u: Array, rays: int, *, top: float, eye: float | None = None
) -> NetGrid:
    """Nodes on rings u (crown to springing, without the crown itself) and equal rays round.

    v runs once round from 0 to 1. top: parameter of the crown. eye: parameter of the edge of an
    oculus, whose strip beyond the first ring that ring carries; without one a node stands at the
    crown. The springing ring stands on a wall.
    """
    v = np.arange(rays) / rays
    uu, vv = np.meshgrid(u, v, indexing="ij")
    rings = len(u)
    number = np.arange(rings * rays).reshape(rings, rays)
    after = np.roll(number, -1, axis=1)
    cells = np.stack([number[:-1], after[:-1], after[1:], number[1:]], axis=-1).reshape(-1, 4)
    uv = np.stack([uu, vv], axis=-1).reshape(-1, 2)
    place = np.stack(np.meshgrid(np.arange(1, rings + 1), np.arange(rays), indexing="ij"), axis=-1)
    place = place.reshape(-1, 2)
    pole = -1
    if eye is None:
        pole = rings * rays
        crown = np.stack([number[0], after[0], np.full(rays, pole), np.full(rays, pole)], axis=-1)
        cells = np.concatenate([crown, cells])
        uv = np.concatenate([uv, [[top, 0.0]]])
        place = np.concatenate([place, [[0, 0]]])
    middle, half = solid.lines(uv[:, 0], uv[:, 1])
    wall = _wall("ring", number[-1], middle, closed=True)
    return NetGrid(
        uv=uv,
        place=place.astype(np.int64),
        middle=middle,
        half=half,
        cells=cells.astype(np.int64),
        spread=_ring_spread(uv, cells, pole, eye, rays),
        supports=(wall,),
        columns=rays,
        pole=pole,
        twins=_ring_twins(number, pole),
    )


def _split(cells: Index, steps: int) -> Index:
    """Cells on the diagonals of a square grid as two triangles each, apex off the crease."""
    row, column = (g.ravel() for g in np.meshgrid(*[np.arange(steps)] * 2, indexing="ij"))
    rising, falling = row == column, row + column == steps - 1
    a, b, c, d = cells.T
    up = [np.stack([a, c, apex, apex], axis=1)[rising] for apex in (b, d)]
    down = [np.stack([b, d, apex, apex], axis=1)[falling] for apex in (a, c)]
    return np.concatenate([cells[~(rising | falling)], *up, *down])


def _ring_spread(uv: Array, cells: Index, pole: int, eye: float | None, rays: int) -> Array:
    """Parameters of the cells' corners: rays are followed the short way, the crown takes the rays
    of its neighbours, the first ring reaches to the edge of the oculus."""
    spread = uv[cells].copy()
    crown = cells == pole
    for a, twin in ((2, 1), (3, 0)):
        spread[crown[:, a], a, 1] = spread[crown[:, a], twin, 1]
    spread[..., 1] -= np.round(spread[..., 1] - spread[:, :1, 1])
    if eye is not None:
        spread[:rays, :2, 0] = eye
    return spread


def _wall(name: str, nodes: Index, middle: Array, *, closed: bool = False) -> Support:
    plan = middle[nodes, :2]
    before, after = np.roll(plan, 1, axis=0), np.roll(plan, -1, axis=0)
    if not closed:
        before[0], after[-1] = plan[0], plan[-1]
    length = (np.linalg.norm(plan - before, axis=1) + np.linalg.norm(after - plan, axis=1)) / 2
    along = after - before
    outward = np.stack([along[:, 1], -along[:, 0]], axis=1)
    outward /= np.linalg.norm(outward, axis=1)[:, None]
    inside = middle[:, :2].mean(axis=0) - plan
    outward[np.einsum("ij,ij->i", outward, inside) > 0] *= -1
    return Support(name, "wall", nodes.astype(np.int64), outward, length)


def _piers(
    bearing: Sequence[float], number: Index, u: Array, v: Array, middle: Array
) -> list[Support]:
    from_left, from_near = (u - u[0]) / (u[-1] - u[0]), (v - v[0]) / (v[-1] - v[0])
    found = []
    for name, bear, flip_u, flip_v in zip(
        "ABCD", bearing, (False, True, True, False), (False, False, True, True), strict=True
    ):
        near_u = (1 - from_left if flip_u else from_left) <= bear + 1e-9
        near_v = (1 - from_near if flip_v else from_near) <= bear + 1e-9
        row = number[-1 if flip_v else 0][near_u]
        column = number[:, -1 if flip_u else 0][near_v]
        nodes = np.union1d(row, column)
        out = middle[nodes, :2].mean(axis=0) - middle[:, :2].mean(axis=0)
        out /= np.linalg.norm(out)
        found.append(
            Support(
                name,
                "pier",
                nodes.astype(np.int64),
                np.tile(out, (len(nodes), 1)),
                np.zeros(len(nodes)),
            )
        )
    return found


def _sheet_twins(number: Index) -> Index:
    """The eight turns and flips of a square sheet, four of an oblong one."""
    views = [number, number[::-1], number[:, ::-1], number[::-1, ::-1]]
    if number.shape[0] == number.shape[1]:
        views += [view.T for view in views]
    return np.stack([view.ravel() for view in views]).astype(np.int64)


def _ring_twins(number: Index, pole: int) -> Index:
    """Turns by one ray and flips of a ringed grid."""
    rays = number.shape[1]
    views = []
    for flip in (False, True):
        base = number[:, (-np.arange(rays)) % rays] if flip else number
        views += [np.roll(base, turn, axis=1).ravel() for turn in range(rays)]
    found = np.stack(views)
    if pole >= 0:
        found = np.concatenate([found, np.full((len(found), 1), pole)], axis=1)
    return found.astype(np.int64)
