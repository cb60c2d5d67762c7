"""Equilibrium of the lines of a net, as rows of a linear program.

Each line is a rigid body on which all its struts and loads act, so it has five rows: three forces,
and the moments about two directions square to it (about itself no moment can arise). Supported
lines have none; what arrives there is the reaction. Only one node of every set of nodes that the
symmetries make alike keeps its rows, and struts that they make alike share one force. On the rim of
the vault forces and moments are taken along the rim and square to it: struts of an edge arch then
leave no trace in the rows out of its plane, which shows what an edge cannot carry
(:mod:`timbrel.statics.net_presolve`).

Source: layout of bars as a linear program, Dorn, Gomory and Greenberg 1964; the rigid line between
two faces is the classical assumption of limit analysis that a voussoir does not break.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.net_solid import Array, Index, NetGrid
from timbrel.statics.net_struts import Struts

ROWS = 5
NOTHING = 1e-12
LEVEL = 1e-6


@dataclass(frozen=True)
class NetRows:
    """The rows, reduced by symmetry.

    matrix: (rows, orbits) sparse, forces in N on rows of N. node, part: (rows,) which node and
    which of its five rows. orbit: (m,) force that each strut shares. members: (orbits,) how many
    struts share it. keep: nodes that kept their rows. multiple: (n,) how many nodes each kept one
    stands for. frames: (n, 3, 3) two directions square to each line and the line's own. axes:
    (n, 3, 3) directions of the three forces of each node, the last upward.
    """

    matrix: Any
    node: Index
    part: Index
    orbit: Index
    members: Index
    frames: Array
    axes: Array

    def load(self, weight: Array) -> Array:
        """(rows,) right-hand side of a downward load (n,) on the middles of the lines."""
        return np.where(self.part == 2, weight[self.node], 0.0)


def frames_of(grid: NetGrid) -> Array:
    """(n, 3, 3): rows are two unit directions square to the line and the line's own. On the rim the
    first leads out of the sheet."""
    along = grid.half / np.linalg.norm(grid.half, axis=1)[:, None]
    least = np.eye(3)[np.abs(along).argmin(axis=1)]
    first = np.cross(along, least)
    rim = grid.rim()
    out = rim - np.einsum("na,na->n", rim, along)[:, None] * along
    first = np.where(np.linalg.norm(out, axis=1, keepdims=True) > LEVEL, out, first)
    first /= np.linalg.norm(first, axis=1)[:, None]
    return np.stack([first, np.cross(along, first), along], axis=1)


def axes_of(grid: NetGrid) -> Array:
    """(n, 3, 3): directions of the forces, along the rim, out of the sheet and up; in the open
    those of the plan."""
    rim = grid.rim()
    up = np.broadcast_to([0.0, 0.0, 1.0], rim.shape)
    turned = np.stack([np.cross(rim, up), rim, up], axis=1)
    return np.where((np.abs(rim).max(axis=1) > 0)[:, None, None], turned, np.eye(3))


def net_rows(grid: NetGrid, struts: Struts, group: Index) -> NetRows:
    """Rows of the kept nodes against the forces of the struts' orbits."""
    from scipy import sparse

    frames, axes = frames_of(grid), axes_of(grid)
    orbit, members = strut_orbits(struts, group, grid.size)
    stands_for = group.min(axis=0)
    kept = np.flatnonzero((stands_for == np.arange(grid.size)) & ~grid.held)
    number = np.full(grid.size, -1)
    number[kept] = np.arange(len(kept))
    start, end = struts.ends(grid)
    direction = end - start
    direction /= np.linalg.norm(direction, axis=1)[:, None]
    rows, columns, values = [], [], []
    for node, s, pushed in ((struts.i, struts.si, -direction), (struts.j, struts.sj, direction)):
        here = np.flatnonzero(number[node] >= 0)
        at, push = node[here], pushed[here]
        across = np.einsum("mab,mb->ma", frames[at, :2], push) * s[here, None]
        forces = np.einsum("mab,mb->ma", axes[at], push)
        entries = np.concatenate([forces, across], axis=1)
        rows.append((number[at] * ROWS)[:, None] + np.arange(ROWS))
        columns.append(np.repeat(orbit[here][:, None], ROWS, axis=1))
        values.append(entries)
    size = (len(kept) * ROWS, len(members))
    triple = (
        np.concatenate(values).ravel(),
        (np.concatenate(rows).ravel(), np.concatenate(columns).ravel()),
    )
    matrix = sparse.coo_array(triple, shape=size).tocsr()
    matrix.data[np.abs(matrix.data) < NOTHING] = 0
    matrix.eliminate_zeros()
    node = np.repeat(kept, ROWS)
    part = np.tile(np.arange(ROWS), len(kept))
    live = (np.diff(matrix.indptr) > 0) | (part == 2)
    return NetRows(matrix[live], node[live], part[live], orbit, members, frames, axes)


def strut_orbits(struts: Struts, group: Index, size: int) -> tuple[Index, Index]:
    """(m,) number of the force that each strut shares, and (orbits,) how many share it."""
    if len(group) == 1:
        return np.arange(struts.size), np.ones(struts.size, np.int64)
    _, rank = np.unique(np.concatenate([struts.si, struts.sj]), return_inverse=True)
    ranks = rank.max() + 1
    ri, rj = rank[: struts.size], rank[struts.size :]

    def key(i: Index, j: Index, a: Index, b: Index) -> Index:
        return np.asarray(((i * size + j) * ranks + a) * ranks + b)

    own = key(struts.i, struts.j, ri, rj)
    order = np.argsort(own)
    least = np.arange(struts.size)
    for g in group:
        a, b = g[struts.i], g[struts.j]
        swap = a > b
        image = key(
            np.where(swap, b, a),
            np.where(swap, a, b),
            np.where(swap, rj, ri),
            np.where(swap, ri, rj),
        )
        place = order[np.minimum(np.searchsorted(own, image, sorter=order), struts.size - 1)]
        if not np.array_equal(own[place], image):
            raise ValueError("the struts are not alike under the symmetries of the loads")
        least = np.minimum(least, place)
    _, orbit, members = np.unique(least, return_inverse=True, return_counts=True)
    return orbit, members
