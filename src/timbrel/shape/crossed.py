"""Groin and cloister vaults: four webs over the sides of any convex plan.

Each web is drawn over a triangle between a side of the plan and the middle, where the diagonals
cross. All curves have the ordinates of the job's directrix, so that creases stand plumb over the
diagonals and every crown reaches one level. Groin webs spring from the corners and have level
rulings square (in a square room) to their wall: cylinders, which unroll exactly. Cloister webs
spring from the walls with rulings along them: cylinders too where the springing is level.

The room of a groin vault is the union of its webs' rooms, that of a cloister vault their
intersection; so a point's depth in the masonry is the least, or the greatest, of its offsets from
the webs, and the creases at each offset are mitred.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, partial
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.arch import Half, OrdinateArch
from timbrel.shape.directrix import Directrix
from timbrel.shape.layers import LayerPlace
from timbrel.shape.patch import Patch, gauss_points
from timbrel.shape.plan import CORNERS, SIDE_NAMES, SIDES, QuadPlan
from timbrel.shape.planecurve import Array
from timbrel.shape.ruled import Ruled
from timbrel.shape.web import Edge, Web, crease_cut, level_cut

if TYPE_CHECKING:
    from timbrel.shape.room import Room

NEAR_CROWN = 2e-5
"""At the very crown neighbouring webs are tangent; creases are found this close to it."""


@dataclass(frozen=True)
class CrossedVault:
    """A groin or a cloister vault.

    base: the directrix as the job states it, over AB. crown: level of the middle of the intended
    line. shift: where the intrados lies from the line that was given (negative inward).
    """

    family: Literal["groin", "cloister"]
    room: Room
    layers: tuple[LayerPlace, ...]
    thickness: float
    plan: QuadPlan
    base: Directrix
    crown: float
    shift: float

    @property
    def on_corners(self) -> bool:
        """A groin stands on its corners, a cloister on walls."""
        return self.family == "groin"

    @cached_property
    def _patches(self) -> tuple[Ruled, ...]:
        return tuple(self._patch(k) for k in range(4))

    def _patch(self, k: int) -> Ruled:
        p, q = self.plan.side(k)
        half_side = (q - p) / 2 * [1, 1, 0]
        middle = np.append(self.plan.middle, 0.0)
        inward = middle - (p + q) / 2 * [1, 1, 0]
        rises = self.crown - p[2], self.crown - q[2]
        if self.family == "cloister":
            right = OrdinateArch(self.base, Half(q, inward, rises[1]))
            left = OrdinateArch(self.base, Half(p, inward, rises[0]))
            return Ruled(right, left)
        arches = [
            OrdinateArch(
                self.base,
                Half(p + shift, half_side, rises[0]),
                Half(q + shift, -half_side, rises[1]),
            )
            for shift in (np.zeros(3), inward)
        ]
        return Ruled(arches[0], arches[1])

    @cached_property
    def webs(self) -> tuple[Web, ...]:
        """Webs over AB, BC, CD and DA."""
        ends = []
        for k in range(4):
            if self.family == "groin":
                ends.append((partial(self._wall_cut, k), partial(self._groin_cut, k)))
            else:
                ends.append((partial(self._hip_cut, k, 1), partial(self._hip_cut, k, -1)))
        return tuple(Web(SIDES[k], self._patches[k], *ends[k], shift=self.shift) for k in range(4))

    def _wall_cut(self, k: int, u: Array, offset: float) -> Array:
        if offset == 0.0:
            return np.zeros_like(u)
        through, outward = self.plan.wall(k)
        return self._patches[k].on_plane(u, 0.0, offset, through, outward)

    def _share(self, s: Array) -> Array:
        """Share of the half span at shares `s` of the base's whole arc."""
        return np.asarray(self.base.at(s * self.base.length)[..., 0] / (self.base.span / 2))

    def _groin_cut(self, k: int, u: Array, offset: float) -> Array:
        share = self._share(np.minimum(u, 1 - u))
        if offset == 0.0:
            return share
        left = u <= 0.5
        v = np.empty_like(u)
        for side, beside in ((left, k - 1), (~left, k + 1)):
            if not side.any():
                continue
            at = np.where(
                u <= 0.5, np.minimum(u, 0.5 - NEAR_CROWN), np.maximum(u, 0.5 + NEAR_CROWN)
            )
            at = at[side]
            v[side] = self._crease(k, beside % 4, at, offset, (share[side], 1 - at, share[side]))
        return v

    def _hip_cut(self, k: int, way: int, u: Array, offset: float) -> Array:
        share = self._share(u / 2) / 2
        v = share if way > 0 else 1 - share
        if offset == 0.0 and self.level:
            return np.asarray(v)
        at = np.minimum(u, 1 - NEAR_CROWN)
        return self._crease(k, (k + way) % 4, at, offset, (v, at, 1 - v))

    def _crease(
        self, k: int, beside: int, u: Array, offset: float, first: tuple[Array, Array, Array]
    ) -> Array:
        """`v` at which web k ends at its neighbour; first: guess of v and of the neighbour's
        (u, v)."""
        web, other = self._patches[k], self._patches[beside]
        # Rulings lie level over a groin and, from level corners, over a cloister.
        if not self.base.kinks and (self.family == "groin" or self.level):
            return level_cut(web, other, u, offset, first[1])
        return crease_cut(web, other, u, offset, first)

    @property
    def level(self) -> bool:
        """Do the four corners stand at one level."""
        return bool(np.ptp(self.plan.corners[:, 2]) < 1e-9)

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """Creases over the diagonals, then wall arches or springings, then ridges."""
        u = np.linspace(0, 1, 65)
        kind: Literal["groin", "valley"] = "groin" if self.family == "groin" else "valley"
        found = []
        for k, web in enumerate(self.webs):
            before = SIDES[k - 1]
            half = u / 2 if self.family == "groin" else u
            _, end = web.cuts(half)
            name = f"{kind}.{CORNERS[k]}"
            found.append(Edge(name, kind, (before, web.name), (CORNERS[k],), web.point(half, end)))
        for k, web in enumerate(self.webs):
            side = SIDE_NAMES[k]
            if self.family == "groin":
                ends = (CORNERS[k], CORNERS[(k + 1) % 4])
                rim = web.point(u, web.cuts(u)[0])
                found.append(Edge(f"arch.{side}", "wall arch", (web.name,), ends, rim))
            else:
                rim = web.point(np.zeros_like(u), u)
                found.append(Edge(f"springing.{side}", "springing", (web.name,), (web.name,), rim))
            if self.base.kinks and self.family == "groin":
                near, far = (float(c[0]) for c in web.cuts(np.array([0.5])))
                top = web.point(0.5, near + (far - near) * u)
                found.append(Edge(f"ridge.{side}", "ridge", (web.name,), (), top))
        return tuple(found)

    def area(self, offset: float = 0.0) -> float:
        """Area of all webs at `offset`."""
        return sum(web.area(offset) for web in self.webs)

    @cached_property
    def volume(self) -> float:
        """Volume of the shell, mitred at its creases."""
        d, w = gauss_points(np.array([0.0, self.thickness]), 3)
        return float(sum(b * self.area(float(a)) for a, b in zip(d, w, strict=True)))

    def height(self, x: ArrayLike, y: ArrayLike, offset: float = 0.0) -> Array:
        """Level (n,) of the surface at `offset` plumb over plan points; NaN where there is none."""
        levels = []
        for patch in self._patches:
            _, v, z = patch.over(x, y, offset + self.shift)
            levels.append(np.where(v <= 1 + 1e-9, z, np.nan) if self.family == "groin" else z)
        stacked = np.stack(levels)
        none = np.isnan(stacked).all(axis=0)
        if self.family == "groin":
            best = np.max(np.where(np.isnan(stacked), -np.inf, stacked), axis=0)
        else:
            best = np.min(np.where(np.isnan(stacked), np.inf, stacked), axis=0)
        return np.where(none, np.nan, best)

    def depth(self, points: ArrayLike) -> Array:
        """Offset (n,) of points (n, 3) from the true intrados: in the masonry from 0 to the
        thickness; creases are those of the true solid."""
        points = np.atleast_2d(np.asarray(points, float))
        depths = np.stack([self._offset_from(patch, points) for patch in self._patches])
        if self.family == "groin":
            return np.asarray(depths.min(axis=0) - self.shift)
        return np.asarray(depths.max(axis=0) - self.shift)

    def _offset_from(self, patch: Patch, points: Array) -> Array:
        foot = patch.foot(points)
        if self.family == "groin":
            return np.where(foot.v <= 1 + 1e-9, foot.w, np.inf)
        return foot.w

    def inside(self, points: ArrayLike, spare: float = 1e-9) -> Array:
        """Which points (n, 3) lie in the masonry."""
        depth = self.depth(points)
        return np.asarray((depth >= -spare) & (depth <= self.thickness + spare))
