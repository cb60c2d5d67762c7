"""The sail vault: one surface over four arches, on any convex plan.

Two kinds. Spherical: the sphere whose section over AB is the stated segment; where the plan is out
of square or out of level, the corners are brought to their measured levels by a bilinear rise.
Translation: the arch over AB carried along the arch over the sides (parabolas: the elliptic
paraboloid); ordinates over shares of the plan, so that any four corners will do.

Source: the bilinear (Coons) blend of a quadrilateral, any text on surfaces in design; the sphere
through a segment, geometry.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.layers import LayerPlace
from timbrel.shape.patch import Frame, Patch, frame_of, gauss_points
from timbrel.shape.plan import CORNERS, SIDE_NAMES, QuadPlan
from timbrel.shape.planecurve import Array
from timbrel.shape.web import Edge, Web

if TYPE_CHECKING:
    from timbrel.shape.room import Room

BEYOND = 0.06
"""Share of the plan by which the surface runs on beyond its walls, for feet of normals."""


class Ordinates(NamedTuple):
    """Heights (n,) and their first and second derivatives by the share of the span."""

    z: Array
    by_t: Array
    by_tt: Array


@dataclass(frozen=True)
class ShareArch:
    """Ordinates of a segment, parabola or catenary over shares 0..1 of its span, and beyond."""

    kind: str
    span: float
    rise: float
    a: float

    def __call__(self, t: Array) -> Ordinates:
        x = (t - 0.5) * self.span
        if self.kind == "parabola":
            z = self.rise * (1 - (2 * t - 1) ** 2)
            return Ordinates(z, -4 * self.rise * (2 * t - 1), np.full_like(t, -8 * self.rise))
        if self.kind == "catenary":
            z = self.rise - self.a * (np.cosh(x / self.a) - 1)
            slope, bend = -np.sinh(x / self.a), -np.cosh(x / self.a) / self.a
        else:
            root = np.sqrt(self.a**2 - x**2)
            z, slope, bend = self.rise - self.a + root, -x / root, -(self.a**2) / root**3
        return Ordinates(z, slope * self.span, bend * self.span**2)


@dataclass(frozen=True)
class Sphere:
    """centre (3,), radius."""

    centre: Array
    radius: float


@dataclass(frozen=True)
class SailPatch(Patch):
    """u: share from DA to BC, v: share from AB to CD, both of the bilinear plan.

    form: a sphere, or the two arches that are carried along each other (over u, over v).
    """

    corners: Array
    form: Sphere | tuple[ShareArch, ShareArch]

    @property
    def pieces(self) -> tuple[tuple[float, float], ...]:
        return ((-BEYOND, 1 + BEYOND),)

    @cached_property
    def _levels(self) -> Array:
        """Bilinear corner levels: those measured, or what they miss from the sphere."""
        z = self.corners[:, 2]
        if isinstance(self.form, Sphere):
            away = self.corners[:, :2] - self.form.centre[:2]
            z = z - self.form.centre[2] - np.sqrt(self.form.radius**2 - (away**2).sum(axis=1))
        return np.asarray(z)

    def frame(self, u: ArrayLike, v: ArrayLike) -> Frame:
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        a, b, c, d = np.column_stack([self.corners[:, :2], self._levels])
        s, t = u[..., None], v[..., None]
        twist = a - b + c - d
        point = a + s * (b - a) + t * (d - a) + s * t * twist
        by_u, by_v = b - a + t * twist, d - a + s * twist
        zero = np.zeros_like(point)
        by_uu, by_vv, by_uv = zero.copy(), zero.copy(), zero + twist
        if isinstance(self.form, Sphere):
            self._add_sphere(self.form, point, by_u, by_v, by_uu, by_uv, by_vv)
        else:
            over_u, over_v = self.form[0](u), self.form[1](v)
            point[..., 2] += over_u.z + over_v.z
            by_u[..., 2] += over_u.by_t
            by_v[..., 2] += over_v.by_t
            by_uu[..., 2] += over_u.by_tt
            by_vv[..., 2] += over_v.by_tt
        return frame_of(point, by_u, by_v, by_uu, by_uv, by_vv)

    @staticmethod
    def _add_sphere(
        ball: Sphere, point: Array, u: Array, v: Array, uu: Array, uv: Array, vv: Array
    ) -> None:
        """Add the sphere's level and its derivatives: z^2 = R^2 - |x|^2, differentiated."""
        away = point[..., :2] - ball.centre[:2]
        z = np.sqrt(np.maximum(ball.radius**2 - (away**2).sum(axis=-1), 1e-6))
        x_u, x_v, x_uv = u[..., :2], v[..., :2], uv[..., :2]

        def d(a: Array, b: Array) -> Array:
            return np.asarray((a * b).sum(axis=-1))

        z_u, z_v = -d(away, x_u) / z, -d(away, x_v) / z
        point[..., 2] += ball.centre[2] + z
        uu[..., 2] += -(d(x_u, x_u) + z_u * z_u) / z
        vv[..., 2] += -(d(x_v, x_v) + z_v * z_v) / z
        uv[..., 2] += -(d(x_u, x_v) + d(away, x_uv) + z_u * z_v) / z
        u[..., 2] += z_u
        v[..., 2] += z_v


class Line(NamedTuple):
    """A line on the vault: points (n, 3), and the length (n,) walked from its start."""

    points: Array
    length: Array


@dataclass(frozen=True)
class Sail:
    """A sail vault; its edges stand plumb over the sides of the plan. on_corners: they are open arches
    between four piers, and no walls stand under them."""

    room: Room
    layers: tuple[LayerPlace, ...]
    thickness: float
    plan: QuadPlan
    patch: SailPatch
    shift: float
    on_corners: bool = False
    family: ClassVar[str] = "sail"

    @property
    def sphere(self) -> Sphere | None:
        """The sphere that it is cut from, whose parallels and meridians courses may follow."""
        form = self.patch.form
        return form if isinstance(form, Sphere) else None

    @cached_property
    def webs(self) -> tuple[Web, ...]:
        """The one web. Its edges in `v` stand on AB and CD; see `rim` for the walls beside it."""
        return (Web("sail", self.patch, self._wall(0), self._wall(2), self.shift),)

    def _wall(self, k: int) -> _WallCut:
        return _WallCut(self.patch, *self.plan.wall(k), 0.0 if k == 0 else 1.0)

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points (..., 3): u from DA to BC, v from AB to CD, offset from the intrados."""
        return self.patch.point(u, v, np.asarray(offset, float) + self.shift)

    def normal(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Unit normals (..., 3) away from the room."""
        return self.patch.normal(u, v)

    def over(self, p: ArrayLike, q: ArrayLike, offset: float = 0.0) -> tuple[Array, Array, Array]:
        """(u, v, z) of the surface at `offset` over shares (p, q) of the bilinear plan, (n,)."""
        p, q = np.ravel(np.asarray(p, float)), np.ravel(np.asarray(q, float))
        x, y = self._plan_point(p, q).T
        return self.patch.over(x, y, offset + self.shift)

    def _plan_point(self, p: Array, q: Array) -> Array:
        a, b, c, d = self.plan.corners[:, :2]
        s, t = p[:, None], q[:, None]
        return np.asarray(a + s * (b - a) + t * (d - a) + s * t * (a - b + c - d))

    def rim(self, k: int, offset: float = 0.0, n: int = 65) -> Array:
        """The surface at `offset` (n, 3) in the plane of wall `k` (AB, BC, CD, DA)."""
        t = np.linspace(0, 1, n)
        zero, one = np.zeros(n), np.ones(n)
        p, q = ((t, zero), (one, t), (1 - t, one), (zero, 1 - t))[k]
        u, v, _ = self.over(p, q, offset)
        return self.point(u, v, offset)

    def line(
        self, start: tuple[float, float], end: tuple[float, float], offset: float, n: int = 65
    ) -> Line:
        """The line whose shares run straight from (u, v) to (u, v): a course of tiles along a
        side, across a diagonal or any other way."""
        t = np.linspace(0, 1, n)
        u, v = (a + t * (b - a) for a, b in zip(start, end, strict=True))
        points = self.point(u, v, offset)
        steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
        return Line(points, np.concatenate([[0.0], np.cumsum(steps)]))

    def area(self, offset: float = 0.0) -> float:
        """Area at `offset` between the walls: plan over the cosine of the lean."""
        x, w = gauss_points(np.linspace(0, 1, 5), 8)
        p, q = (g.ravel() for g in np.meshgrid(x, x))
        u, v, _ = self.over(p, q, offset)
        a, b, c, d = self.plan.corners[:, :2]
        by_p = b - a + q[:, None] * (a - b + c - d)
        by_q = d - a + p[:, None] * (a - b + c - d)
        plan = by_p[:, 0] * by_q[:, 1] - by_p[:, 1] * by_q[:, 0]
        return float(np.outer(w, w).ravel() @ (plan / self.normal(u, v)[:, 2]))

    @cached_property
    def volume(self) -> float:
        """Volume of the shell between its walls."""
        d, w = gauss_points(np.array([0.0, self.thickness]), 4)
        return float(sum(b * self.area(float(a)) for a, b in zip(d, w, strict=True)))

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """The four wall arches."""
        return tuple(
            Edge(
                f"arch.{side}",
                "wall arch",
                ("sail",),
                (CORNERS[k], CORNERS[(k + 1) % 4]),
                self.rim(k),
            )
            for k, side in enumerate(SIDE_NAMES)
        )

    def height(self, x: ArrayLike, y: ArrayLike, offset: float = 0.0) -> Array:
        """Level (n,) of the surface at `offset` plumb over plan points; NaN where there is none."""
        return self.patch.over(x, y, offset + self.shift)[2]

    def depth(self, points: ArrayLike) -> Array:
        """Offset (n,) of points (n, 3) from the intrados."""
        return self.patch.foot(points).w - self.shift

    def inside(self, points: ArrayLike, spare: float = 1e-9) -> Array:
        """Which points (n, 3) lie in the masonry."""
        depth = self.depth(points)
        return np.asarray((depth >= -spare) & (depth <= self.thickness + spare))


@dataclass(frozen=True)
class _WallCut:
    """`v` at which lines of equal u at an offset meet a wall's plane, by Newton."""

    patch: SailPatch
    through: Array
    square: Array
    first: float

    def __call__(self, u: Array, offset: float) -> Array:
        v = np.full(u.shape, self.first)
        for _ in range(8):
            _, _, by_v = self.patch.tangents(u, v, offset)
            step = (self.patch.point(u, v, offset) - self.through) @ self.square
            step = step / (by_v @ self.square)
            v = v - step
            if np.max(np.abs(step), initial=0.0) < 1e-12:
                break
        return np.asarray(v)
