"""The ruled surface between two end curves that stand on their springing chords.

Parameters: `u`, the share of arc length from the left springing (0) to the right one (1), the same
at both ends of a ruling; `v`, from the near end (0) to the far end (1). The rulings join equal `u`.
The true unit normal points away from the room. Offsets are taken along it.

Source of the surface formulas (fundamental forms, Weingarten): any text on the differential
geometry of surfaces; do Carmo 1976, chapter 3.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.directrix import MITRE_ZONE, Directrix
from timbrel.shape.planecurve import Array, outward


@dataclass(frozen=True)
class PlacedCurve:
    """A directrix stood up in space as a rigid template sits on its two seats.

    left, right: the measured springing points (3,). The curve lies in the vertical plane through
    them, its chord turned onto their chord.
    """

    directrix: Directrix
    left: Array
    right: Array

    @cached_property
    def axes(self) -> tuple[Array, Array]:
        """Unit vectors along the chord and square to it, in the vertical plane of the chord."""
        along = (self.right - self.left) / np.linalg.norm(self.right - self.left)
        level = np.array([along[0], along[1], 0.0])
        level /= np.linalg.norm(level)
        return along, -along[2] * level + np.hypot(along[0], along[1]) * np.array([0.0, 0.0, 1.0])

    def _place(self, plane: Array) -> Array:
        along, square = self.axes
        return plane[..., :1] * along + plane[..., 1:] * square

    def at(self, u: Array) -> Array:
        """Points (..., 3) at shares `u` of the arc length."""
        seat = np.asarray(self.directrix.seat)
        return self.left + self._place(self.directrix.at(u * self.directrix.length) + seat)

    def jet(self, u: Array) -> tuple[Array, Array, Array]:
        """Points and their first and second derivatives by `u`, each (..., 3).

        One-sided, from the left, at a kink.
        """
        length = self.directrix.length
        at, angle, curvature = self.directrix.jet(u * length)
        tangent = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
        bend = (-(length**2) * curvature)[..., None] * outward(angle)
        seat = np.asarray(self.directrix.seat)
        return self.left + self._place(at + seat), self._place(length * tangent), self._place(bend)


class Frame(NamedTuple):
    """A surface point with its tangents and normal, and its second derivatives by u u and u v (that
    by v v is nothing), each (..., 3)."""

    point: Array
    along_arc: Array
    along_ruling: Array
    normal: Array
    bend: Array
    twist: Array


class Forms(NamedTuple):
    """First (E, F, G) and second (L, M; N = 0) fundamental forms of the ruled surface."""

    E: Array
    F: Array
    G: Array
    L: Array
    M: Array

    @property
    def element2(self) -> Array:
        """Square of the area element."""
        return self.E * self.G - self.F**2

    @property
    def mean(self) -> Array:
        """Mean curvature by the outward normal: negative where hollow to the room."""
        return (self.G * self.L - 2 * self.F * self.M) / (2 * self.element2)

    @property
    def gauss(self) -> Array:
        """Gaussian curvature, never positive on a ruled surface, zero where it unrolls."""
        return -(self.M**2) / self.element2


def dot(a: Array, b: Array) -> Array:
    """Scalar product over the last axis."""
    return np.asarray(np.einsum("...i,...i->...", a, b))


def forms_of(f: Frame) -> Forms:
    """Fundamental forms from tangents, normal and second derivatives."""
    return Forms(
        dot(f.along_arc, f.along_arc),
        dot(f.along_arc, f.along_ruling),
        dot(f.along_ruling, f.along_ruling),
        dot(f.bend, f.normal),
        dot(f.twist, f.normal),
    )


@dataclass(frozen=True)
class Ruled:
    """The surface between a near and a far placed curve."""

    near: PlacedCurve
    far: PlacedCurve

    @cached_property
    def breaks(self) -> Array:
        """Values of `u` where something jumps at either end, 0 and 1 included."""
        ends = [np.asarray(c.directrix.breaks) / c.directrix.length for c in (self.near, self.far)]
        zones = [np.array([k - w, k + w]) for k, w in self.kinks]
        return _distinct(np.concatenate([*ends, *zones, [0.0, 1.0]]))

    @cached_property
    def kinks(self) -> tuple[tuple[float, float], ...]:
        """Each ridge: its `u`, and how far in `u` layers beside it are drawn on to its mitre."""
        near, far = self.near.directrix, self.far.directrix
        shares = [
            (a / near.length, b / far.length) for a, b in zip(near.kinks, far.kinks, strict=True)
        ]
        length = min(near.length, far.length)
        return tuple(((a + b) / 2, min(MITRE_ZONE / length, a / 2, (1 - a) / 2)) for a, b in shares)

    def frame(self, u: ArrayLike, v: ArrayLike) -> Frame:
        """Point, tangents by `u` and `v`, and normal; left side at a ridge."""
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        (near, slope0, bend0), (far, slope1, bend1) = self.near.jet(u), self.far.jet(u)
        w = v[..., None]
        ruling, twist = far - near, slope1 - slope0
        along_arc = slope0 + w * twist
        normal = np.cross(along_arc, ruling)
        normal /= np.sqrt(dot(normal, normal))[..., None]
        bend = (1 - w) * bend0 + w * bend1
        return Frame(near + w * ruling, along_arc, ruling, normal, bend, twist)

    def forms(self, u: ArrayLike, v: ArrayLike) -> Forms:
        """Fundamental forms at (u, v)."""
        return forms_of(self.frame(u, v))

    def ridge(self, kink: float, v: Array) -> tuple[Array, Array]:
        """Bisecting unit normal (..., 3) at a ridge, and the tangent of half its dihedral turn."""
        left = self.frame(kink - 1e-9, v).normal
        right = self.frame(kink + 1e-9, v).normal
        cosine = dot(left, right)
        half = np.sqrt(np.maximum(0.0, (1 - cosine) / (1 + cosine)))
        return (left + right) / np.sqrt(2 + 2 * cosine)[..., None], half

    def mitre(self, u: Array, v: Array) -> Array:
        """How far, a metre of offset, a point slides along the arc towards the mitre of a ridge."""
        slide = np.zeros(np.broadcast_shapes(u.shape, v.shape))
        for kink, zone in self.kinks:
            near = np.abs(u - kink) < zone
            if near.any():
                _, half = self.ridge(kink, v)
                side = np.where(u <= kink, 1.0, -1.0)
                slide = slide + side * half * np.clip(1 - np.abs(u - kink) / zone, 0, 1)
        return slide

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points (..., 3) at `offset` from the surface along its normal (on to the mitre)."""
        u, v, d = np.broadcast_arrays(*(np.asarray(a, float) for a in (u, v, offset)))
        f = self.frame(u, v)
        if not d.any():
            return f.point
        moved = f.point + d[..., None] * f.normal
        if self.kinks:
            ruling = f.along_ruling / np.linalg.norm(f.along_ruling, axis=-1, keepdims=True)
            moved += (d * self.mitre(u, v))[..., None] * np.cross(ruling, f.normal)
        return np.asarray(moved)

    def tangents(self, u: Array, v: Array, offset: float) -> tuple[Frame, Array, Array]:
        """Frame of the surface, and tangents by `u` and `v` of its parallel at `offset`."""
        f = self.frame(u, v)
        q = forms_of(f)
        turn_u = (q.M * q.F - q.L * q.G)[..., None] * f.along_arc
        turn_u += (q.L * q.F - q.M * q.E)[..., None] * f.along_ruling
        turn_v = (-q.M * q.G)[..., None] * f.along_arc + (q.M * q.F)[..., None] * f.along_ruling
        scale = (offset / q.element2)[..., None]
        by_u, by_v = f.along_arc + scale * turn_u, f.along_ruling + scale * turn_v
        for kink, zone in self.kinks if offset else ():
            inside = np.abs(u - kink) < zone
            _, half = self.ridge(kink, v)
            across = np.cross(f.along_ruling, f.normal) / np.sqrt(q.G)[..., None]
            by_u = by_u + (offset * half * inside / zone)[..., None] * across
        return f, by_u, by_v

    def normal(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Unit normals (..., 3) away from the room; the bisector on a ridge."""
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        normal = self.frame(u, v).normal
        for kink, _ in self.kinks:
            on = np.abs(u - kink) < 1e-9
            if on.any():
                normal = np.where(on[..., None], self.ridge(kink, v)[0], normal)
        return normal

    def curvatures(self, u: ArrayLike, v: ArrayLike) -> tuple[Array, Array]:
        """Greatest and least principal curvature, 1/m, positive where hollow to the room."""
        q = self.forms(u, v)
        root = np.sqrt(np.maximum(0.0, q.mean**2 - q.gauss))
        return -q.mean + root, -q.mean - root

    def on_plane(self, u: Array, v: float, offset: float, through: Array, square: Array) -> Array:
        """`v` (from a first guess) where rulings of the surface at `offset` meet a plane."""
        found = np.full(u.shape, v)
        run = dot(self.far.at(u) - self.near.at(u), square)
        for _ in range(4):
            step = dot(self.point(u, found, offset) - through, square) / run
            found = found - step
            if np.max(np.abs(step), initial=0.0) < 1e-12:
                break
        return found


def _distinct(values: Array) -> Array:
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
