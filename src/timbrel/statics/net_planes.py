"""Lines of a net whose struts all run in one plumb plane: arches by themselves, that must stay plane.

Struts that a free edge cannot press back are idle (:mod:`timbrel.statics.net_presolve`). What is left
at an edge, and over a groin at every row of a web, are arches in plumb planes from one crease or
support to the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from timbrel.statics.net_rows import NOTHING, ROWS, NetRows
from timbrel.statics.net_solid import Array, Index, NetGrid
from timbrel.statics.net_struts import Struts

PLANE = 1e-6  # sine of the angle under which two directions are one


@dataclass(frozen=True)
class PlaneRow:
    """An arch in a plumb plane. nodes: (k,) that are plane; ends: (e,) others that its struts reach.
    along: (2,) level direction in its plane."""

    nodes: Index
    ends: Index
    along: Array

    @property
    def across(self) -> Array:
        """(2,) square to its plane."""
        return np.array([-self.along[1], self.along[0]])


@dataclass(frozen=True)
class PlaneRows:
    """All such arches of a net."""

    rows: tuple[PlaneRow, ...]

    def kept_plane(self, grid: NetGrid, shift: Array, lean: Array) -> tuple[Array, Array]:
        """Motions (n, 3), those of plane arches corrected: out of their planes they follow their ends,
        straight between them. Their lines stay in the plane."""
        shift, lean = shift.copy(), lean.copy()
        for row in self.rows:
            slope, level = self._across(grid, row, shift)
            place = grid.middle[row.nodes, :2] @ row.along
            out = level + slope * place - shift[row.nodes, :2] @ row.across
            shift[row.nodes, :2] += out[:, None] * row.across
            turned = slope * (grid.half[row.nodes, :2] @ row.along)
            out = turned - lean[row.nodes, :2] @ row.across
            lean[row.nodes, :2] += out[:, None] * row.across
        return shift, lean

    def plane_part(self, grid: NetGrid, rows: NetRows) -> Any:
        """(k, rows) sparse: the rows of equilibrium, those of plane arches in their planes alone. What
        a motion of some millimetres turns out of a plane the width of its masonry takes, which a line
        has not."""
        number = {
            (int(n), int(p)): k for k, (n, p) in enumerate(zip(rows.node, rows.part, strict=True))
        }
        ways = {int(n): row.along for row in self.rows for n in row.nodes}
        entries: list[list[tuple[int, float]]] = []
        for node in np.unique(rows.node).tolist():
            along = ways.get(node)
            if along is None:
                entries += [[(number[node, p], 1.0)] for p in range(ROWS) if (node, p) in number]
                continue
            level = rows.axes[node, :2, :2] @ along
            line = grid.half[node] / np.linalg.norm(grid.half[node])
            tilted = np.array([*along, 0.0])
            tilted = tilted - (tilted @ line) * line
            turned = rows.frames[node, :2] @ (tilted / np.linalg.norm(tilted))
            for parts, shares in (((0, 1), level), ((2,), (1.0,)), ((3, 4), turned)):
                one = [
                    (number[node, p], float(share))
                    for p, share in zip(parts, shares, strict=True)
                    if (node, p) in number and abs(share) > NOTHING
                ]
                entries += [one] if one else []
        row = np.repeat(np.arange(len(entries)), [len(e) for e in entries])
        column, value = (
            np.array(part) for part in zip(*(x for e in entries for x in e), strict=True)
        )
        return sparse.coo_array(
            (value, (row, column)), shape=(len(entries), len(rows.node))
        ).tocsr()

    def _across(self, grid: NetGrid, row: PlaneRow, shift: Array) -> tuple[float, float]:
        """How the ends of an arch move out of its plane: slope along it, and what it is at nought."""
        if not len(row.ends):
            return 0.0, float((shift[row.nodes, :2] @ row.across).mean())
        place = grid.middle[row.ends, :2] @ row.along
        out = shift[row.ends, :2] @ row.across
        if np.ptp(place) < PLANE:
            return 0.0, float(out.mean())
        slope, level = np.polyfit(place, out, 1)
        return float(slope), float(level)


def plane_rows(grid: NetGrid, struts: Struts) -> PlaneRows:
    """The plane arches of a net, by the struts (of it) that may carry."""
    along, plane = _directions(grid, struts)
    plane &= ~grid.held
    both = plane[struts.i] & plane[struts.j]
    joined = sparse.coo_array(
        (np.ones(int(both.sum())), (struts.i[both], struts.j[both])), shape=(grid.size, grid.size)
    )
    count, label = connected_components(joined, directed=False)
    label = np.where(plane, label, -1)
    rows = []
    for k in range(count):
        nodes = np.flatnonzero(label == k)
        if not len(nodes):
            continue
        touch = np.concatenate([struts.j[label[struts.i] == k], struts.i[label[struts.j] == k]])
        ends = np.setdiff1d(np.unique(touch), nodes)
        rows.append(PlaneRow(nodes, ends, along[nodes[0]]))
    return PlaneRows(tuple(rows))


def _directions(grid: NetGrid, struts: Struts) -> tuple[Array, NDArray[np.bool_]]:
    """(n, 2) level direction of the struts at every line, and (n,) whether they are all one."""
    level = grid.middle[struts.j, :2] - grid.middle[struts.i, :2]
    long = np.hypot(*level.T)
    level = level / np.maximum(long, 1e-12)[:, None]
    square = np.stack([level[:, 0] ** 2, level[:, 0] * level[:, 1], level[:, 1] ** 2], axis=1)
    found = np.zeros((grid.size, 3))
    number = np.zeros(grid.size)
    for node in (struts.i, struts.j):
        np.add.at(found, node, square)
        np.add.at(number, node, 1.0)
    tensor = np.empty((grid.size, 2, 2))
    tensor[:, 0, 0], tensor[:, 1, 1] = found[:, 0], found[:, 2]
    tensor[:, 0, 1] = tensor[:, 1, 0] = found[:, 1]
    values, ways = np.linalg.eigh(tensor)
    plane = (number > 0) & (values[:, 0] <= PLANE**2 * np.maximum(values[:, 1], 1e-12))
    along = ways[:, :, 1]
    off = np.abs(grid.half[:, 0] * along[:, 1] - grid.half[:, 1] * along[:, 0])
    plane &= off <= PLANE * np.linalg.norm(grid.half, axis=1)
    return along, plane
