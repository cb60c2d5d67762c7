"""A web that is curved both ways, spread flat as a mason sets it out, and what that costs.

X runs along lines of equal u, each from its own middle, at its true length; Y runs across them, in
equal shares of the true distance from wall to wall, square to those lines. Courses are straight in
this plane. What cannot lie flat shows as joints that widen: `stretch` says by how much the courses
spread between the walls and the middle, `strain` is the worst stretch any way. Derived.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from timbrel.bond.layout import Floats

GRID = 81
BEYOND = 0.05
"""The grid runs past the walls by this share, since layers above the intrados do."""


@dataclass(frozen=True)
class Spread:
    """A doubly curved web laid flat at one offset.

    u, v: (k,) grid lines. xy: (k, k, 2) flat points of the grid. near, far: (m, 2) (u, v) along
    the end walls. stretch: (least, greatest) true width over flat width of the courses. strain:
    worst relative stretch.
    """

    u: Floats
    v: Floats
    xy: Floats
    near: Floats
    far: Floats
    stretch: tuple[float, float]
    strain: float

    @cached_property
    def _slopes(self) -> tuple[Floats, Floats]:
        return (
            np.gradient(self.xy, self.u, axis=0),
            np.gradient(self.xy, self.v, axis=1),
        )

    def _read(self, table: Floats, u: Floats, v: Floats) -> Floats:
        """Bilinear reading of a grid (k, k, 2)."""
        step = self.u[1] - self.u[0]
        a = np.clip((u - self.u[0]) / step, 0, GRID - 1 - 1e-9)
        b = np.clip((v - self.v[0]) / step, 0, GRID - 1 - 1e-9)
        i, j = a.astype(int), b.astype(int)
        s, t = (a - i)[..., None], (b - j)[..., None]
        low = table[i, j] * (1 - s) + table[i + 1, j] * s
        high = table[i, j + 1] * (1 - s) + table[i + 1, j + 1] * s
        return np.asarray(low * (1 - t) + high * t)

    def flat(self, u: Floats, v: Floats) -> Floats:
        """Flat points (..., 2) of common coordinates."""
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        return self._read(self.xy, u, v)

    def lift(self, xy: Floats) -> tuple[Floats, Floats]:
        """Common coordinates of flat points, by Newton on the grid."""
        xy = np.asarray(xy, float)
        low, high = self.xy[0, 0], self.xy[-1, -1]
        u = self.u[0] + (xy[..., 1] - low[1]) / (high[1] - low[1]) * (self.u[-1] - self.u[0])
        v = self.v[0] + (xy[..., 0] - low[0]) / (high[0] - low[0]) * (self.v[-1] - self.v[0])
        for _ in range(10):
            miss = xy - self.flat(u, v)
            by_u, by_v = (self._read(table, u, v) for table in self._slopes)
            det = by_u[..., 0] * by_v[..., 1] - by_u[..., 1] * by_v[..., 0]
            du = (miss[..., 0] * by_v[..., 1] - miss[..., 1] * by_v[..., 0]) / det
            dv = (by_u[..., 0] * miss[..., 1] - by_u[..., 1] * miss[..., 0]) / det
            u, v = u + np.clip(du, -0.3, 0.3), v + np.clip(dv, -0.3, 0.3)
            if np.max(np.abs(miss), initial=0.0) < 1e-7:
                break
        return u, v

    @cached_property
    def outline(self) -> Any:
        """The web in the flat plane (a shapely polygon)."""
        from shapely import Polygon

        near, far = (self.flat(*line.T) for line in (self.near, self.far))
        return Polygon(np.concatenate([near, far[::-1]])).simplify(1e-5)


def spread_sail(sail: Any, offset: float) -> Spread:
    """A sail vault spread flat at an offset, its walls plumb over the sides of the plan."""
    grid = np.linspace(-BEYOND, 1 + BEYOND, GRID)
    u, v = np.meshgrid(grid, grid, indexing="ij")
    points = sail.point(u, v, offset)
    along = np.diff(points, axis=1)
    walked = np.concatenate(
        [np.zeros((GRID, 1)), np.cumsum(np.linalg.norm(along, axis=2), axis=1)], axis=1
    )
    middle = np.array([np.interp(0.5, grid, row) for row in walked])
    tangent = np.gradient(points, grid, axis=1)
    tangent /= np.linalg.norm(tangent, axis=2)[..., None]
    between = (tangent[1:] + tangent[:-1]) / 2
    step = np.diff(points, axis=0)
    square = step - np.einsum("ijk,ijk->ij", step, between)[..., None] * between
    across = np.concatenate(
        [np.zeros((1, GRID)), np.cumsum(np.linalg.norm(square, axis=2), axis=0)], axis=0
    )
    t, zero, one = np.linspace(0, 1, GRID), np.zeros(GRID), np.ones(GRID)
    walls = [
        np.stack(sail.over(p, q, offset)[:2], axis=1)
        for p, q in ((zero, t), (one, t), (t, zero), (t, one))
    ]
    reach = []
    for wall in walls[:2]:
        at = np.interp(grid, wall[:, 1], wall[:, 0])
        reach.append(
            np.array([np.interp(a, grid, col) for a, col in zip(at, across.T, strict=True)])
        )
    width = reach[1] - reach[0]
    inside = (grid >= walls[2][:, 1].min()) & (grid <= walls[3][:, 1].max())
    mean = float(width[inside].mean())
    y = (across - reach[0]) / width * mean
    x = walked - middle[:, None]
    xy = np.stack([x - x.min(), y], axis=2)
    stretch = float(width[inside].min() / mean), float(width[inside].max() / mean)
    return Spread(grid, grid, xy, walls[2], walls[3], stretch, worst_strain(points, xy, grid))


def worst_strain(points: Floats, xy: Floats, grid: Floats) -> float:
    """Greatest relative stretch from flat (k, k, 2) to true (k, k, 3), inside the walls."""
    inside = slice(np.searchsorted(grid, 0.0), np.searchsorted(grid, 1.0))
    metrics = []
    for table in (points, xy):
        a = np.gradient(table, grid, axis=0)[inside, inside]
        b = np.gradient(table, grid, axis=1)[inside, inside]
        e, f, g = ((p * q).sum(axis=-1) for p, q in ((a, a), (a, b), (b, b)))
        metrics.append(np.stack([np.stack([e, f], -1), np.stack([f, g], -1)], -2))
    ratio = np.linalg.solve(metrics[1], metrics[0])
    stretch = np.sqrt(np.linalg.eigvals(ratio).real)
    return float(np.max(np.abs(stretch - 1)))
