"""Loads with an outline, lumped on a net: their sum and moments are kept at every fineness.

The outline is cut against the cells of the net in plan. What it leaves of a cell is a polygon; a fan
of triangles about its middle is integrated with six points each (exact to the fourth degree), and
every point is shared over the corners of the cell. The shares give one, x and y back exactly, so the
load on the nodes has the sum and the first moments of the outline, wherever it cuts the cells.
Cells at the rim reach a little beyond it: an outline may bulge over the chords of the net.

Sources: Dunavant 1985 (quadrature, degree 4); Sutherland and Hodgman 1974 for the idea of clipping
(done by shapely).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from timbrel.statics.net_loads import NetLoad, cell_at, plan_shares
from timbrel.statics.net_solid import Array, Index, NetGrid
from timbrel.words import Message

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

MISSED = 1e-9  # share of an outline that may lie off the net, by rounding
BEYOND = 0.5  # of the mean side on the rim by which cells there reach beyond it
_A, _B = 0.445948490915965, 0.091576213509771
POINTS = np.array(
    [[1 - 2 * t if k == m else t for m in range(3)] for t in (_A, _B) for k in range(3)]
)
WEIGHTS = np.repeat([0.223381589678011, 0.109951743655322], 3)
ALONG = 4  # Gauss points on each piece of a line


@dataclass(frozen=True)
class PlanPieces:
    """Points that stand for an outline in plan.

    cell: (p,). plan: (p, 2). area: (p,) m2 of plan (fans of hollow outlines have some negative
    ones). share: (p, 4) of a load there on the cell's corners.
    """

    cell: Index
    plan: Array
    area: Array
    share: Array

    def gather(self, grid: NetGrid, weight: Array) -> Array:
        """(n,) on the nodes of the weights (p,) of the pieces."""
        nodes = np.zeros(grid.size)
        np.add.at(nodes, grid.cells[self.cell], self.share * weight[:, None])
        return nodes


def plan_pieces(grid: NetGrid, outline: BaseGeometry) -> PlanPieces:
    """Pieces of an outline (a shapely polygon, or several), cut against the cells of a net.

    Raises ValueError where a part of it lies off the net.
    """
    import shapely

    fields, owner = _fields(grid)
    shapely.prepare(outline)
    met = np.flatnonzero(shapely.intersects(outline, fields))
    inside = shapely.covers(outline, fields[met])
    cut = fields[met].copy()
    cut[~inside] = shapely.intersection(cut[~inside], outline)
    parts, whose = shapely.get_parts(cut, return_index=True)
    flat = (shapely.get_type_id(parts) == 3) & (shapely.area(parts) > 0)
    parts, cell = shapely.orient_polygons(parts[flat]), owner[met[whose[flat]]]
    missed = outline.area - float(shapely.area(parts).sum())
    if abs(missed) > MISSED * max(outline.area, 1e-12):
        raise ValueError(f"{missed:.3g} m2 of the outline lie off the net")
    middle = shapely.get_coordinates(shapely.centroid(parts))
    rings, part = shapely.get_rings(parts, return_index=True)
    corner, ring = shapely.get_coordinates(rings, return_index=True)
    runs = ring[1:] == ring[:-1]
    start, end = corner[:-1][runs], corner[1:][runs]
    whole = part[ring[:-1][runs]]
    base = middle[whole]
    one, two = start - base, end - base
    area = (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2
    plan = np.einsum("qc,tcd->tqd", POINTS, np.stack([base, start, end], axis=1)).reshape(-1, 2)
    cells = np.repeat(cell[whole], len(WEIGHTS))
    corners = grid.middle[grid.cells[cells]][..., :2]
    return PlanPieces(cells, plan, np.outer(area, WEIGHTS).ravel(), plan_shares(corners, plan))


def area_load(
    grid: NetGrid, key: str, title: Message, outline: Polygon, pressure: float, beds: int
) -> NetLoad:
    """An even pressure (N/m2 of plan, downward) over an outline; beds: how many the vault has. What
    stands over an opening reaches the nodes round it."""
    parts = plan_pieces(grid, outline)
    total = pressure * outline.area
    first = total * np.array([outline.centroid.x, outline.centroid.y])
    nodes = parts.gather(grid, pressure * parts.area)
    return NetLoad(key, title, nodes, (1.0,) * beds, total, first)


def without_holes(grid: NetGrid, outline: BaseGeometry) -> BaseGeometry:
    """What an outline leaves beside the openings of a net."""
    import shapely

    if not grid.holes:
        return outline
    holes = shapely.union_all([shapely.Polygon(hole.outline) for hole in grid.holes])
    return shapely.difference(outline, holes)


def line_load(
    grid: NetGrid, key: str, title: Message, path: Array, per_metre: float, beds: int
) -> NetLoad:
    """An even load (N/m, downward) along a path (k, 2) in plan, cut where it crosses cells."""
    nodes, total, first = np.zeros(grid.size), 0.0, np.zeros(2)
    x, w = np.polynomial.legendre.leggauss(ALONG)
    plan = grid.middle[grid.cells][..., :2]
    for start, end in pairwise(path):
        way = np.asarray(end, float) - start
        long = float(np.hypot(*way))
        at = _crossings(plan, np.asarray(start, float), way)
        for a, b in pairwise(at):
            cell, _ = cell_at(plan, start + (a + b) / 2 * way)
            spots = start + (a + (b - a) * (x[:, None] + 1) / 2) * way
            share = plan_shares(np.broadcast_to(plan[cell], (ALONG, 4, 2)), spots)
            np.add.at(nodes, grid.cells[cell], per_metre * long * (b - a) * (w / 2) @ share)
        total += per_metre * long
        first += per_metre * long * (np.asarray(start, float) + way / 2)
    return NetLoad(key, title, nodes, (1.0,) * beds, total, first)


def _crossings(plan: Array, start: Array, way: Array) -> Array:
    """Shares of a stretch, 0 and 1 among them, at which it crosses sides of cells (q, 4, 2)."""
    side = np.roll(plan, -1, axis=1) - plan
    away = plan - start
    det = way[0] * side[..., 1] - way[1] * side[..., 0]
    crossing = np.abs(det) > 1e-12
    det = np.where(crossing, det, 1.0)
    along = (away[..., 0] * side[..., 1] - away[..., 1] * side[..., 0]) / det
    across = (away[..., 0] * way[1] - away[..., 1] * way[0]) / det
    met = crossing & (along > 0) & (along < 1) & (across >= 0) & (across <= 1)
    return np.unique(np.concatenate([[0.0, 1.0], np.round(along[met], 12)]))


def _fields(grid: NetGrid) -> tuple[np.ndarray[tuple[int], np.dtype[np.object_]], Index]:
    """Polygons in plan and the cell of each: the cells, and a strip beyond every side on the rim."""
    import shapely

    plan = grid.middle[:, :2]
    run = np.stack([grid.cells, np.roll(grid.cells, -1, axis=1)], axis=-1).reshape(-1, 2)
    whose = np.repeat(np.arange(len(grid.cells)), 4)
    _, first, count = np.unique(np.sort(run, axis=1), axis=0, return_index=True, return_counts=True)
    once = first[(count == 1) & (run[first, 0] != run[first, 1])]
    a, b = run[once].T
    out = BEYOND * np.linalg.norm(plan[b] - plan[a], axis=1).mean() * grid.rim()[:, :2]
    strips = np.stack([plan[a], plan[b], plan[b] + out[b], plan[a] + out[a]], axis=1)
    for hole in grid.holes:
        # Into an opening as far as its middle, where strips from all sides meet.
        own = np.isin(a, hole.rim) & np.isin(b, hole.rim)
        strips[own, 2:] = plan[hole.rim].mean(axis=0)
    corners = np.concatenate([plan[grid.cells], strips])
    owner = np.concatenate([np.arange(len(grid.cells)), whose[once]])
    return shapely.polygons(corners), owner.astype(np.int64)
