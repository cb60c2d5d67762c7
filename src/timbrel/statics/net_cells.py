"""Which cells of a net lie under places in plan, where openings have bent its lines.

A plain grid tells the cell from its rows and columns (:func:`timbrel.statics.net_stage.cell_under`);
round an opening these are bent, and the cells' own outlines in plan are asked.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.net_solid import Array, Index, NetGrid

TOUCHED = 4
"""Cells that a place on a line between cells, or in their corner, belongs to at most."""
NEAR = 1e-6  # m: a place so near to a cell belongs to it


def cells_touched(grid: NetGrid, places: Array) -> Index:
    """(k, TOUCHED) cells that places (k, 2) in plan lie in or on the edge of; the same cell repeated
    where they are fewer, the nearest cell where there is none."""
    import shapely

    rings = grid.middle[grid.cells][..., :2]
    tree = shapely.STRtree(shapely.polygons(rings))
    points = shapely.points(places)
    place, cell = tree.query(points, predicate="dwithin", distance=NEAR)
    found = np.full((len(places), TOUCHED), -1, np.int64)
    order = np.argsort(place, kind="stable")
    place, cell = place[order], cell[order]
    rank = np.arange(len(place)) - np.searchsorted(place, place)
    kept = rank < TOUCHED
    found[place[kept], rank[kept]] = cell[kept]
    lost = np.flatnonzero(found[:, 0] < 0)
    if len(lost):
        found[lost, 0] = tree.nearest(points[lost])
    return np.where(found < 0, found[:, :1], found)
