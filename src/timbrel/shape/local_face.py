"""A small piece of a shell laid flat about its middle: where a ring round an opening is drawn.

Lengths from the middle are true on a sphere of the mean curvature there, and nearly so on every
shell as far as a ring reaches (equidistant chart; Snyder 1987, Map projections, chapter 25, from
memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from timbrel.shape.opened import PlacedOpening
from timbrel.shape.opened_plan import BARRELS, way_along
from timbrel.shape.planecurve import Array

FOOT_STEPS = 12


@dataclass(frozen=True)
class LocalFace:
    """One face of a web about a place. web: the web. at: (u, v) of the middle. way: (2,) level
    direction of X. offset: of the face from the intrados (m)."""

    web: Any
    at: tuple[float, float]
    way: Array
    offset: float

    @cached_property
    def _axes(self) -> tuple[Array, Array, Array, float]:
        """Middle, X, Y of the chart, and the mean curvature (1/m)."""
        u, v = np.array(self.at[0]), np.array(self.at[1])
        normal = np.asarray(self.web.normal(u, v)).reshape(3)
        middle = np.asarray(self.web.point(u, v, self.offset)).reshape(3)
        x = np.append(self.way, 0.0)
        x = x - (x @ normal) * normal
        x /= np.linalg.norm(x)
        most, least = self.web.curvatures(u, v)
        mean = float(np.asarray(most).item() + np.asarray(least).item()) / 2
        return middle, x, np.cross(normal, x), max(mean / (1 + self.offset * mean), 1e-6)

    def flat(self, u: Array, v: Array) -> Array:
        """Flat points (..., 2) of common coordinates."""
        middle, x, y, bend = self._axes
        away = np.asarray(self.web.point(u, v, self.offset)) - middle
        xy = np.stack([away @ x, away @ y], axis=-1)
        reach = np.hypot(xy[..., 0], xy[..., 1])
        small = np.minimum(reach * bend, 1.0)
        scale = np.where(reach > 1e-9, np.arcsin(small) / np.maximum(small, 1e-12), 1.0)
        return np.asarray(xy * scale[..., None])

    def lift(self, xy: Array) -> tuple[Array, Array]:
        """Common coordinates of flat points (n, 2), by Newton's method in the tangent plane."""
        middle, x, y, bend = self._axes
        xy = np.asarray(xy, float)
        reach = np.hypot(xy[:, 0], xy[:, 1]) * bend
        scale = np.where(reach > 1e-9, np.sin(reach) / np.maximum(reach, 1e-12), 1.0)
        target = xy * scale[:, None]
        u, v = np.full(len(xy), self.at[0]), np.full(len(xy), self.at[1])
        for _ in range(FOOT_STEPS):
            _, by_u, by_v = self.web.patch.tangents(u, v, self.offset + self.web.shift)
            away = np.asarray(self.web.point(u, v, self.offset)) - middle
            miss = target - np.stack([away @ x, away @ y], axis=-1)
            ux, uy, vx, vy = by_u @ x, by_u @ y, by_v @ x, by_v @ y
            det = ux * vy - uy * vx
            u = u + (vy * miss[:, 0] - vx * miss[:, 1]) / det
            v = v + (ux * miss[:, 1] - uy * miss[:, 0]) / det
            if np.abs(miss).max(initial=0.0) < 1e-10:
                break
        return u, v


def face_at(vault: Any, placed: PlacedOpening, offset: float) -> Any:
    """The face of a vault at an offset, flat about an opening: unrolled where the vault unrolls."""
    if vault.family in BARRELS:
        return vault.develop(offset)
    web = vault.webs[placed.web]
    middle = np.asarray(web.point(np.array(placed.middle[0]), np.array(placed.middle[1])))
    return LocalFace(
        web, placed.middle, way_along(vault, placed.web, middle.reshape(3)[:2]), offset
    )
