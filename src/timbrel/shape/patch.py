"""A smooth piece of surface told by two parameters, and all that follows from its derivatives.

Subclasses give `jet(u, v)`; the rest (normals, curvatures, parallels, feet of normals, heights over
the plan) is the same for every family. The normal points away from the room, offsets go along it.

Source: any text on the differential geometry of surfaces (do Carmo 1976, chapter 3): fundamental
forms, Weingarten's equations, parallel surfaces (area element (1 + d k1)(1 + d k2)).
"""

from __future__ import annotations

from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.planecurve import Array

FOOT_STEPS = 12
SAMPLES = (41, 15)


class Frame(NamedTuple):
    """A surface point, its derivatives by u and v, and the unit normal, each (..., 3)."""

    point: Array
    by_u: Array
    by_v: Array
    normal: Array
    by_uu: Array
    by_uv: Array
    by_vv: Array


class Forms(NamedTuple):
    """First (E, F, G) and second (L, M, N) fundamental forms."""

    E: Array
    F: Array
    G: Array
    L: Array
    M: Array
    N: Array

    @property
    def element2(self) -> Array:
        """Square of the area element."""
        return self.E * self.G - self.F**2

    @property
    def mean(self) -> Array:
        """Mean curvature by the outward normal: negative where hollow to the room."""
        return (self.G * self.L - 2 * self.F * self.M + self.E * self.N) / (2 * self.element2)

    @property
    def gauss(self) -> Array:
        """Gaussian curvature; zero where the surface unrolls."""
        return (self.L * self.N - self.M**2) / self.element2


class Foot(NamedTuple):
    """Where the normals through some points stand: (u, v), and the offset `w` along them."""

    u: Array
    v: Array
    w: Array


def dot(a: Array, b: Array) -> Array:
    """Scalar product over the last axis."""
    return np.asarray(np.einsum("...i,...i->...", a, b))


def frame_of(point: Array, u: Array, v: Array, uu: Array, uv: Array, vv: Array) -> Frame:
    """The frame, with its unit normal (right-handed: u from left to right, v into the room)."""
    normal = np.cross(u, v)
    normal /= np.sqrt(dot(normal, normal))[..., None]
    return Frame(point, u, v, normal, uu, uv, vv)


def forms_of(f: Frame) -> Forms:
    """Fundamental forms of a frame."""
    return Forms(
        dot(f.by_u, f.by_u),
        dot(f.by_u, f.by_v),
        dot(f.by_v, f.by_v),
        dot(f.by_uu, f.normal),
        dot(f.by_uv, f.normal),
        dot(f.by_vv, f.normal),
    )


class Patch:
    """A surface patch: `u` in 0..1; `v` in 0..1, and a little beyond where walls cut it."""

    def frame(self, u: ArrayLike, v: ArrayLike) -> Frame:
        """Point, derivatives and normal at (u, v)."""
        raise NotImplementedError

    @property
    def breaks(self) -> Array:
        """Values of `u` where a derivative jumps, 0 and 1 included."""
        return np.array([0.0, 1.0])

    @property
    def pieces(self) -> tuple[tuple[float, float], ...]:
        """Ranges of `u` without a ridge."""
        return ((0.0, 1.0),)

    def forms(self, u: ArrayLike, v: ArrayLike) -> Forms:
        """Fundamental forms at (u, v)."""
        return forms_of(self.frame(u, v))

    def normal(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Unit normals (..., 3) away from the room."""
        return self.frame(u, v).normal

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points (..., 3) at `offset` from the surface along its normal."""
        u, v, d = np.broadcast_arrays(*(np.asarray(a, float) for a in (u, v, offset)))
        f = self.frame(u, v)
        return np.asarray(f.point + d[..., None] * f.normal)

    def tangents(self, u: Array, v: Array, offset: float) -> tuple[Frame, Array, Array]:
        """Frame of the surface, and tangents by `u` and `v` of its parallel at `offset`."""
        f = self.frame(u, v)
        q = forms_of(f)
        scale = offset / q.element2

        def moved(tangent: Array, along: Array, across: Array) -> Array:
            turn_u, turn_v = across * q.F - along * q.G, along * q.F - across * q.E
            turn = turn_u[..., None] * f.by_u + turn_v[..., None] * f.by_v
            return np.asarray(tangent + scale[..., None] * turn)

        return f, moved(f.by_u, q.L, q.M), moved(f.by_v, q.M, q.N)

    def curvatures(self, u: ArrayLike, v: ArrayLike) -> tuple[Array, Array]:
        """Greatest and least principal curvature, 1/m, positive where hollow to the room."""
        q = self.forms(u, v)
        root = np.sqrt(np.maximum(0.0, q.mean**2 - q.gauss))
        return -q.mean + root, -q.mean - root

    def element(self, u: Array, v: Array, offset: float) -> Array:
        """Area element by du dv of the parallel surface at `offset`."""
        q = self.forms(u, v)
        return np.asarray(np.sqrt(q.element2) * (1 - 2 * offset * q.mean + offset**2 * q.gauss))

    @cached_property
    def _samples(self) -> tuple[Array, Array, Array]:
        grid = np.meshgrid(np.linspace(0, 1, SAMPLES[0]), np.linspace(-0.02, 1.02, SAMPLES[1]))
        u, v = (np.asarray(g.ravel()) for g in grid)
        return u, v, self.point(u, v)

    def foot(self, points: ArrayLike, guess: tuple[Array, Array] | None = None) -> Foot:
        """Feet of the normals through points (n, 3).

        Beyond its ends in `u` the surface runs on along its tangent plane; beside a ridge both
        halves do, and the one that lies lower counts, so that the mitre is solid.
        """
        points = np.atleast_2d(np.asarray(points, float))
        if guess is None:
            u0, v0, at = self._samples
            apart = dot(at, at) - 2 * points @ at.T
            nearest = np.argmin(apart, axis=1)
            guess = u0[nearest], v0[nearest]
        feet = [self._foot_on(points, guess, piece) for piece in self.pieces]
        if len(feet) == 1:
            return feet[0]
        best = np.argmax([f.w for f in feet], axis=0)
        return Foot(*(np.choose(best, list(parts)) for parts in zip(*feet, strict=True)))

    def _foot_on(
        self, points: Array, guess: tuple[Array, Array], piece: tuple[float, float]
    ) -> Foot:
        low, high = piece[0] + (1e-9 if piece[0] else 0), piece[1] - (1e-9 if piece[1] < 1 else 0)
        u, v = np.clip(guess[0], low, high), np.asarray(guess[1], float)
        for _ in range(FOOT_STEPS):
            f = self.frame(u, v)
            away = points - f.point
            a = dot(f.by_u, f.by_u) - dot(away, f.by_uu)
            b = dot(f.by_u, f.by_v) - dot(away, f.by_uv)
            c = dot(f.by_v, f.by_v) - dot(away, f.by_vv)
            p, q = dot(away, f.by_u), dot(away, f.by_v)
            det = a * c - b * b
            good = (det > 1e-12) & (a > 0)
            det = np.where(good, det, 1.0)
            du = np.where(good, (c * p - b * q) / det, p / dot(f.by_u, f.by_u))
            moved = np.clip(u + np.clip(du, -0.2, 0.2), low, high)
            # At an end of the piece only v is free.
            du = moved - u
            dv = (q - b * du) / np.where(c > 0, c, dot(f.by_v, f.by_v))
            u, v = moved, v + np.clip(dv, -0.3, 0.3)
            if np.max(np.abs(du), initial=0) < 1e-12 and np.max(np.abs(dv), initial=0) < 1e-12:
                break
        f = self.frame(u, v)
        return Foot(u, v, dot(points - f.point, f.normal))

    def over(self, x: ArrayLike, y: ArrayLike, offset: float = 0.0) -> tuple[Array, Array, Array]:
        """(u, v, z) of the parallel at `offset` plumb over plan points (n,).

        z is not a number where no point of the patch (with `u` in 0..1) stands there.
        """
        plan = np.stack([np.ravel(np.asarray(x, float)), np.ravel(np.asarray(y, float))], axis=-1)
        best = np.full((3, len(plan)), np.nan)
        for low, high in self.pieces:
            u, v, z = self._over_on(plan, offset, low, high)
            better = np.isnan(best[2]) | (z > best[2])
            best = np.where(better & ~np.isnan(z), [u, v, z], best)
        return best[0], best[1], best[2]

    def _over_on(
        self, plan: Array, offset: float, low: float, high: float
    ) -> tuple[Array, Array, Array]:
        u0, v0 = self._samples[:2]
        inside = (u0 >= low) & (u0 <= high)
        u0, v0 = u0[inside], v0[inside]
        at = self.point(u0, v0, offset)[:, :2]
        nearest = np.argmin(dot(at, at) - 2 * plan @ at.T, axis=1)
        u, v = u0[nearest], v0[nearest]
        for _ in range(FOOT_STEPS):
            _, by_u, by_v = self.tangents(u, v, offset)
            miss = plan - self.point(u, v, offset)[:, :2]
            det = by_u[:, 0] * by_v[:, 1] - by_u[:, 1] * by_v[:, 0]
            det = np.where(np.abs(det) < 1e-9, 1e-9, det)
            du = (miss[:, 0] * by_v[:, 1] - miss[:, 1] * by_v[:, 0]) / det
            moved = np.clip(u + np.clip(du, -0.2, 0.2), low, high)
            along = by_u[:, :2] * (moved - u)[:, None]
            dv = dot(miss - along, by_v[:, :2]) / dot(by_v[:, :2], by_v[:, :2])
            moving = np.abs(moved - u) + np.abs(dv) > 1e-10
            u, v = moved, v + np.clip(dv, -0.5, 0.5)
            if not moving.any():
                break
        point = self.point(u, v, offset)
        missed = np.hypot(*(plan - point[:, :2]).T) > 1e-6
        return u, v, np.where(missed, np.nan, point[:, 2])


def distinct(values: Array) -> Array:
    """Sorted, without those that stand closer than rounding."""
    ordered: Array = np.sort(values)
    return np.asarray(ordered[np.concatenate([[True], np.diff(ordered) > 1e-9])])


def gauss_points(breaks: Array, order: int) -> tuple[Array, Array]:
    """Gauss-Legendre points and weights on each interval between `breaks`, flattened."""
    x, w = _legendre(order)
    start, size = breaks[:-1, None], np.diff(breaks)[:, None]
    return (start + size * (x + 1) / 2).ravel(), (size * w / 2).ravel()


@lru_cache(maxsize=16)
def _legendre(order: int) -> tuple[Array, Array]:
    return np.polynomial.legendre.leggauss(order)
