"""Webs, and the edges on which they meet walls, piers and each other."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.development import Development, edge_shares, unroll
from timbrel.shape.patch import Patch, distinct, gauss_points
from timbrel.shape.planecurve import Array
from timbrel.shape.ruled import Ruled

EdgeKind = Literal["springing", "wall arch", "groin", "valley", "ridge", "oculus"]
Cut = Callable[[Array, float], Array]
"""`v` at which a web ends, for each `u` (n,) of its surface at an offset."""


@dataclass(frozen=True)
class Edge:
    """A line of the intrados that a mason sets out.

    name: stable key. kind: springing (carried by a wall or ring), wall arch (against an end wall,
    or free), groin, valley, ridge, oculus. webs: names of the webs that meet there. stands_on: the
    wall (near, right, far, left), the corners (A..D) or the ring that carries its ends. points:
    (n, 3) on the intrados.
    """

    name: str
    kind: EdgeKind
    webs: tuple[str, ...]
    stands_on: tuple[str, ...]
    points: Array

    @property
    def length(self) -> float:
        return float(np.linalg.norm(np.diff(self.points, axis=0), axis=1).sum())

    def true_shape(self) -> Array:
        """The line (n, 2) as a rib is cut to it: plan distance along the line, and level."""
        steps = np.hypot(*np.diff(self.points[:, :2], axis=0).T)
        return np.stack([np.concatenate([[0.0], np.cumsum(steps)]), self.points[:, 2]], axis=-1)


@dataclass(frozen=True)
class Web:
    """A piece of vault between its edges: a patch, and where it ends in `v` for each `u`.

    Every offset is from the intrados; `shift` is where the intrados lies from the patch (0 unless
    the job gives the axis or the extrados).
    """

    name: str
    patch: Patch
    start: Cut
    end: Cut
    shift: float = 0.0

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points (..., 3) at `offset` from the intrados along the true unit normal."""
        return self.patch.point(u, v, np.asarray(offset, float) + self.shift)

    def normal(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Unit normals (..., 3), away from the room."""
        return self.patch.normal(u, v)

    def curvatures(self, u: ArrayLike, v: ArrayLike) -> tuple[Array, Array]:
        """Principal curvatures of the patch, greatest first, positive where hollow to the room."""
        return self.patch.curvatures(u, v)

    def cuts(self, u: ArrayLike, offset: float = 0.0) -> tuple[Array, Array]:
        """`v` from which to which the web runs at each `u`; nothing is left where they cross."""
        u = np.asarray(u, float)
        start, end = self.start(u, offset + self.shift), self.end(u, offset + self.shift)
        return start, np.maximum(start, end)

    def area(self, offset: float = 0.0) -> float:
        """Area at `offset`, between the web's edges."""
        u, wu = gauss_points(self._spans(offset), 12)
        x, wv = gauss_points(np.array([0.0, 1.0]), 6)
        start, end = self.cuts(u, offset)
        v = start[:, None] + (end - start)[:, None] * x
        element = self.patch.element(np.broadcast_to(u[:, None], v.shape), v, offset + self.shift)
        return float((wu * (end - start)) @ element @ wv)

    def _spans(self, offset: float) -> Array:
        """Values of `u` between which the edges are smooth: breaks, and where they cross."""
        breaks = self.patch.breaks
        found = [breaks, (breaks[:-1] + breaks[1:]) / 2]
        if offset + self.shift:
            u = np.linspace(0, 1, 41)
            width = self._width(u, offset)
            # At a crown the edges meet without crossing: rounding there is no crossing.
            side = np.sign(np.where(np.abs(width) < 1e-4, 1.0, width))
            for i in np.flatnonzero(np.diff(side)):
                found.append(np.array([self._crossing(u[i], u[i + 1], offset)]))
        return distinct(np.concatenate(found))

    def _width(self, u: Array, offset: float) -> Array:
        d = offset + self.shift
        return self.end(u, d) - self.start(u, d)

    def _crossing(self, low: float, high: float, offset: float) -> float:
        """Root of the width between two shares, on a straight line across the last eighth."""
        u = np.linspace(low, high, 9)
        width = self._width(u, offset)
        changes = np.flatnonzero(np.diff(np.sign(width)))
        if not changes.size:
            return (low + high) / 2
        i = int(changes[0])
        return float(u[i] - width[i] * (u[i + 1] - u[i]) / (width[i + 1] - width[i]))

    def outline(self, offset: float = 0.0, n: int = 65) -> Array:
        """The rim (m, 3) of the web at `offset`, going round."""
        u = np.linspace(0, 1, n)
        start, end = self.cuts(u, offset)
        return np.concatenate(
            [self.point(u, start, offset), self.point(u[::-1], end[::-1], offset)]
        )

    @property
    def unrolls(self) -> bool:
        """Is the web ruled, so that it can be unrolled."""
        return isinstance(self.patch, Ruled)

    def develop(self, offset: float) -> Development:
        """The web unrolled at `offset`, its creases and walls cut true. Ruled webs only."""
        if not isinstance(self.patch, Ruled):
            raise TypeError(f"the web {self.name} is curved both ways and does not unroll")
        start, end = self.cuts(edge_shares(self.patch), offset)
        return unroll(self.patch, offset + self.shift, start, end)


def crease_cut(
    web: Patch, beside: Patch, u: Array, offset: float, first: tuple[Array, Array, Array]
) -> Array:
    """`v` at which rulings of a web meet the neighbour's surface, both at `offset`, by Newton.

    first: guess of v, and of the neighbour's (u, v).
    """
    v, u_beside, v_beside = first
    for _ in range(12):
        here = web.point(u, v, offset) - beside.point(u_beside, v_beside, offset)
        along = web.tangents(u, v, offset)[2]
        _, by_u, by_v = beside.tangents(u_beside, v_beside, offset)
        step = np.linalg.solve(np.stack([along, -by_u, -by_v], axis=-1), here[..., None])[..., 0]
        step = np.clip(step, -0.3, 0.3)
        v = v - step[:, 0]
        u_beside, v_beside = np.clip(u_beside - step[:, 1], -0.2, 1.2), v_beside - step[:, 2]
        if np.max(np.abs(step), initial=0.0) < 1e-9:
            break
    return np.asarray(v)


def level_cut(web: Patch, beside: Patch, u: Array, offset: float, u_beside: Array) -> Array:
    """The same where the rulings of both lie level: they meet where they stand at one level.

    The neighbour's ruling is found in `u` alone; the two then cross in plan. u_beside: a guess.
    """
    here = web.frame(u, 0.0)
    start = here.point + offset * here.normal
    for _ in range(12):
        f, by_u, _ = beside.tangents(u_beside, np.zeros_like(u_beside), offset)
        other = f.point + offset * f.normal
        step = np.clip((start[:, 2] - other[:, 2]) / by_u[:, 2], -0.3, 0.3)
        moved = np.clip(u_beside + step, -0.2, 1.2)
        still = np.max(np.abs(moved - u_beside), initial=0.0) < 1e-10
        u_beside = moved
        if still:
            break
    f = beside.frame(u_beside, 0.0)
    apart = f.point + offset * f.normal - start
    a, b = here.by_v, f.by_v
    return np.asarray(
        (apart[:, 0] * b[:, 1] - apart[:, 1] * b[:, 0]) / (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    )
