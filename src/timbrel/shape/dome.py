"""The dome: a surface of revolution over a level springing ring, with or without an oculus.

The meridian is the left half of the job's directrix over the diameter. It stands in the largest
circle that the plan takes in, or on a stated diameter about the same centre. Rings are true
parallels: each has its radius, level and slant length at every offset, from which courses are laid
and the widening of their perpends is known.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING, ClassVar, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.directrix import Directrix
from timbrel.shape.layers import LayerPlace
from timbrel.shape.patch import Foot, Frame, Patch, dot, gauss_points
from timbrel.shape.plan import QuadPlan
from timbrel.shape.planecurve import Array
from timbrel.shape.web import Edge, Web

if TYPE_CHECKING:
    from timbrel.shape.room import Room


class Rings(NamedTuple):
    """Parallels of a dome, each (n,): radius, level, slant length from the springing along the
    meridian, and lean of the surface from level (rad)."""

    radius: Array
    level: Array
    slant: Array
    lean: Array


@dataclass(frozen=True)
class DomePatch(Patch):
    """u: share of the meridian from the springing to the crown (or the oculus); v: share of the
    ring, clockwise seen from above, from the direction of x (from A to B).

    centre: (3,) at the level of the springing. upto: arc length at which the meridian ends.
    """

    base: Directrix
    centre: Array
    upto: float

    def _meridian(self, u: Array) -> tuple[Array, Array, Array, Array]:
        """Radius, height over the springing, angle and curvature at shares of the meridian."""
        at, angle, curvature = self.base.jet(u * self.upto)
        return self.base.span / 2 - at[..., 0], at[..., 1], angle, curvature

    @property
    def breaks(self) -> Array:
        inner = np.asarray(self.base.breaks) / self.upto
        return np.append(inner[inner < 1 - 1e-9], 1.0)

    @staticmethod
    def _around(v: Array) -> tuple[Array, Array]:
        turn = -2 * np.pi * v
        zero = np.zeros_like(turn)
        out = np.stack([np.cos(turn), np.sin(turn), zero], axis=-1)
        return out, np.stack([np.sin(turn), -np.cos(turn), zero], axis=-1)

    def frame(self, u: ArrayLike, v: ArrayLike) -> Frame:
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        radius, height, angle, curvature = (a[..., None] for a in self._meridian(u))
        out, on = self._around(v)
        up = np.array([0.0, 0.0, 1.0])
        normal = np.sin(angle) * out + np.cos(angle) * up
        climb = self.upto * (np.sin(angle) * up - np.cos(angle) * out)
        turn = 2 * np.pi
        return Frame(
            self.centre + radius * out + height * up,
            climb,
            turn * radius * on,
            normal,
            -(self.upto**2) * curvature * normal,
            -turn * self.upto * np.cos(angle) * on,
            -(turn**2) * radius * out,
        )

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points at `offset`; those beside a pointed crown are drawn on to the axis."""
        u, v, d = np.broadcast_arrays(*(np.asarray(a, float) for a in (u, v, offset)))
        at = self.base.offset_at(u * self.upto, d)
        out, _ = self._around(v)
        moved = (self.base.span / 2 - at[..., :1]) * out + self.centre
        moved[..., 2] += at[..., 1]
        return np.asarray(moved)

    def curvatures(self, u: ArrayLike, v: ArrayLike) -> tuple[Array, Array]:
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        radius, _, angle, along = self._meridian(u)
        crown = radius < 1e-9
        around = np.where(crown, along, np.sin(angle) / np.where(crown, 1.0, radius))
        return np.maximum(along, around), np.minimum(along, around)

    def tangents(self, u: Array, v: Array, offset: float) -> tuple[Frame, Array, Array]:
        f = self.frame(u, v)
        radius, _, angle, curvature = self._meridian(u)
        crown = radius < 1e-9
        hoop = np.where(crown, 1.0, 1 + offset * np.sin(angle) / np.where(crown, 1.0, radius))
        return f, f.by_u * (1 + offset * curvature)[..., None], f.by_v * hoop[..., None]

    def element(self, u: Array, v: Array, offset: float) -> Array:
        radius, _, angle, curvature = self._meridian(u)
        hoop = radius + offset * np.sin(angle)
        return np.asarray(2 * np.pi * self.upto * hoop * (1 + offset * curvature))

    def foot(self, points: ArrayLike, guess: tuple[Array, Array] | None = None) -> Foot:
        """Feet in the meridian plane of each point."""
        points = np.atleast_2d(np.asarray(points, float)) - self.centre
        plane = np.stack(
            [self.base.span / 2 - np.hypot(points[:, 0], points[:, 1]), points[:, 2]], axis=-1
        )
        if guess is None:
            s = np.linspace(0, self.upto, 65)
            at = self.base.at(s)
            s = s[np.argmin(dot(at, at) - 2 * plane @ at.T, axis=1)]
        else:
            s = np.asarray(guess[0], float) * self.upto
        for _ in range(20):
            at, angle, curvature = self.base.jet(s)
            tangent = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
            w = dot(plane - at, np.stack([-np.sin(angle), np.cos(angle)], axis=-1))
            step = dot(plane - at, tangent) / np.maximum(1 + curvature * w, 0.05)
            moved = np.clip(s + step, 0.0, self.upto)
            still = np.max(np.abs(moved - s), initial=0.0) < 1e-13
            s = moved
            if still:
                break
        at, angle, _ = self.base.jet(s)
        w = dot(plane - at, np.stack([-np.sin(angle), np.cos(angle)], axis=-1))
        v = np.mod(-np.arctan2(points[:, 1], points[:, 0]) / (2 * np.pi), 1.0)
        return Foot(s / self.upto, v, w)

    def over(self, x: ArrayLike, y: ArrayLike, offset: float = 0.0) -> tuple[Array, Array, Array]:
        x, y = np.ravel(np.asarray(x, float)), np.ravel(np.asarray(y, float))
        away = np.hypot(x - self.centre[0], y - self.centre[1])
        wanted = self.base.span / 2 - away
        low, high = np.zeros_like(away), np.full_like(away, self.upto)
        for _ in range(52):
            middle = (low + high) / 2
            short = self.base.offset_at(middle, offset)[..., 0] < wanted
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        at = self.base.offset_at(low, offset)
        v = np.mod(-np.arctan2(y - self.centre[1], x - self.centre[0]) / (2 * np.pi), 1.0)
        missed = np.abs(at[:, 0] - wanted) > 1e-6
        return low / self.upto, v, np.where(missed, np.nan, self.centre[2] + at[:, 1])


@dataclass(frozen=True)
class Dome:
    """A dome vault. base: directrix over the diameter, of the line that the job gives."""

    room: Room
    layers: tuple[LayerPlace, ...]
    thickness: float
    plan: QuadPlan
    base: Directrix
    centre: Array
    oculus: float
    shift: float
    family: ClassVar[str] = "dome"
    on_corners: ClassVar[bool] = False

    @cached_property
    def patch(self) -> DomePatch:
        upto = self.base.length / 2
        if self.oculus:
            upto = float(self.base.arc_at(np.array((self.base.span - self.oculus) / 2)))
        return DomePatch(self.base, self.centre, upto)

    @cached_property
    def webs(self) -> tuple[Web, ...]:
        """The one web, all round."""
        return (Web("dome", self.patch, _none, _all, self.shift),)

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points (..., 3): u springing to crown, v round the ring, offset from the intrados."""
        return self.webs[0].point(u, v, offset)

    def normal(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Unit normals (..., 3) away from the room."""
        return self.patch.normal(u, v)

    def rings(self, u: ArrayLike, offset: float = 0.0) -> Rings:
        """The parallels at shares `u` of the meridian, at `offset` from the intrados."""
        d = offset + self.shift
        s = np.asarray(u, float) * self.patch.upto
        at = self.base.offset_at(s, d)
        return Rings(
            self.base.span / 2 - at[..., 0],
            self.centre[2] + at[..., 1],
            self.base.offset_length(s, d),
            np.asarray(self.base.angle(s)),
        )

    def ring_at(self, slant: ArrayLike, offset: float = 0.0) -> Array:
        """Shares `u` (n,) of the rings at slant lengths from the springing, by halving."""
        slant = np.asarray(slant, float)
        low: Array = np.zeros_like(slant)
        high: Array = np.ones_like(slant)
        for _ in range(52):
            middle = (low + high) / 2
            short = self.rings(middle, offset).slant < slant
            low, high = np.where(short, middle, low), np.where(short, high, middle)
        return np.asarray((low + high) / 2)

    def area(self, offset: float = 0.0) -> float:
        """Area at `offset`: each bit of the offset meridian times its girth (Pappus)."""
        d = offset + self.shift
        curve = self.base.parallel(d)
        end = float(self.base.offset_length(self.patch.upto, d))
        inner = np.asarray(curve.breaks)
        s, w = gauss_points(np.concatenate([inner[inner < end - 1e-9], [end]]), 24)
        seat = curve.seat[0] if d else 0.0
        radius = self.base.span / 2 - curve.at(s)[:, 0] - seat + self.base.seat[0]
        return float(2 * np.pi * w @ radius)

    @cached_property
    def volume(self) -> float:
        """Volume of the shell; the rim of the oculus is square to the intrados."""
        d, w = gauss_points(np.array([0.0, self.thickness]), 3)
        return float(sum(b * self.area(float(a)) for a, b in zip(d, w, strict=True)))

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """The springing ring, and the oculus."""
        v = np.linspace(0, 1, 129)
        ring = Edge("springing.ring", "springing", ("dome",), ("ring",), self.point(0.0, v))
        if not self.oculus:
            return (ring,)
        return ring, Edge("oculus", "oculus", ("dome",), (), self.point(1.0, v))

    def height(self, x: ArrayLike, y: ArrayLike, offset: float = 0.0) -> Array:
        """Level (n,) of the surface at `offset` plumb over plan points; NaN where there is none."""
        return self.patch.over(x, y, offset + self.shift)[2]

    def depth(self, points: ArrayLike) -> Array:
        """Offset (n,) of points (n, 3) from the intrados."""
        return self.patch.foot(points).w - self.shift

    def inside(self, points: ArrayLike, spare: float = 1e-9) -> Array:
        """Which points (n, 3) lie in the masonry (not in the oculus)."""
        points = np.atleast_2d(np.asarray(points, float))
        foot = self.patch.foot(points)
        depth = foot.w - self.shift
        f = self.patch.frame(foot.u, foot.v)
        beyond = dot(points - f.point, f.by_u) / np.linalg.norm(f.by_u, axis=-1)
        past = (foot.u >= 1) & (beyond > spare) & bool(self.oculus)
        return np.asarray((depth >= -spare) & (depth <= self.thickness + spare) & ~past)


def _none(u: Array, _offset: float) -> Array:
    return np.zeros_like(u)


def _all(u: Array, _offset: float) -> Array:
    return np.ones_like(u)


def inscribed_circle(plan: QuadPlan) -> tuple[Array, float]:
    """Centre (2,) and radius of the largest circle in a convex plan: it touches three sides."""
    walls = [plan.wall(k) for k in range(4)]
    inward = np.array([-n[:2] for _, n in walls])
    reach = np.array([-n[:2] @ p[:2] for p, n in walls])
    best, at = 0.0, plan.middle
    for three in combinations(range(4), 3):
        k = list(three)
        matrix = np.column_stack([inward[k], -np.ones(3)])
        if abs(np.linalg.det(matrix)) < 1e-12:
            continue
        x, y, radius = np.linalg.solve(matrix, reach[k])
        room = float(np.min(inward @ [x, y] - reach))
        if radius > best and room > radius - 1e-9:
            best, at = float(radius), np.array([x, y])
    return at, best
