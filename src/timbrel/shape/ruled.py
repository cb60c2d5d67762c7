"""The ruled surface between two end curves.

Parameters: `u`, the share of arc from the left springing (0) to the right one (1), the same at both
ends of a ruling; `v`, from the near end (0) to the far end (1). The rulings join equal `u`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.directrix import MITRE_ZONE, Directrix
from timbrel.shape.patch import Frame, Patch, distinct, dot, frame_of
from timbrel.shape.planecurve import Array, outward


class EndCurve(Protocol):
    """A space curve told by a share `u`, on which the rulings of a surface end."""

    @property
    def length(self) -> float: ...

    @property
    def breaks(self) -> Array:
        """Shares where a derivative jumps, 0 and 1 included."""

    @property
    def kinks(self) -> tuple[float, ...]:
        """Shares where the tangent itself jumps."""

    def jet(self, u: Array) -> tuple[Array, Array, Array]:
        """Points and first and second derivatives by `u`, each (..., 3); from the left at a kink."""


@dataclass(frozen=True)
class PlacedCurve:
    """A directrix stood up in space as a rigid template sits on its two seats.

    left, right: the measured springing points (3,). The curve lies in the vertical plane through
    them, its chord turned onto their chord.
    """

    directrix: Directrix
    left: Array
    right: Array

    @property
    def length(self) -> float:
        return self.directrix.length

    @property
    def breaks(self) -> Array:
        return np.asarray(self.directrix.breaks) / self.directrix.length

    @property
    def kinks(self) -> tuple[float, ...]:
        return tuple(s / self.directrix.length for s in self.directrix.kinks)

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

    def jet(self, u: Array) -> tuple[Array, Array, Array]:
        length = self.directrix.length
        at, angle, curvature = self.directrix.jet(u * length)
        tangent = np.stack([np.cos(angle), np.sin(angle)], axis=-1)
        bend = (-(length**2) * curvature)[..., None] * outward(angle)
        seat = np.asarray(self.directrix.seat)
        return self.left + self._place(at + seat), self._place(length * tangent), self._place(bend)


class Rulings(NamedTuple):
    """Some rulings: where they start on the near curve and what leads along them to the far one;
    tangent of the near curve by `u`, and what the far one's has over it. Each (..., 3)."""

    start: Array
    along: Array
    slope: Array
    twist: Array


@dataclass(frozen=True)
class Ruled(Patch):
    """The surface between a near and a far end curve."""

    near: EndCurve
    far: EndCurve

    @cached_property
    def breaks(self) -> Array:
        zones = [np.array([k - w, k + w]) for k, w in self.kinks]
        return distinct(np.concatenate([self.near.breaks, self.far.breaks, *zones, [0.0, 1.0]]))

    @cached_property
    def kinks(self) -> tuple[tuple[float, float], ...]:
        """Each ridge: its `u`, and how far in `u` layers beside it are drawn on to its mitre."""
        length = min(self.near.length, self.far.length)
        return tuple(
            ((a + b) / 2, min(MITRE_ZONE / length, a / 2, (1 - a) / 2))
            for a, b in zip(self.near.kinks, self.far.kinks, strict=True)
        )

    @property
    def pieces(self) -> tuple[tuple[float, float], ...]:
        ends = [0.0, *(k for k, _ in self.kinks), 1.0]
        return tuple(pairwise(ends))

    @cached_property
    def _level_ruling(self) -> Array | None:
        """Where all rulings are alike (a cylinder): the one (3,) ruling."""
        moved = getattr(self.far, "shifted_from", None)
        return None if moved is None else moved(self.near)

    def frame(self, u: ArrayLike, v: ArrayLike) -> Frame:
        """Point, derivatives and normal; from the left at a ridge."""
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        near, slope0, bend0 = self.near.jet(u)
        w = v[..., None]
        if self._level_ruling is not None:
            ruling = np.broadcast_to(self._level_ruling, near.shape)
            none = np.zeros_like(near)
            return frame_of(near + w * ruling, slope0, ruling, bend0, none, none)
        far, slope1, bend1 = self.far.jet(u)
        ruling, twist = far - near, slope1 - slope0
        bend = (1 - w) * bend0 + w * bend1
        point = near + w * ruling
        return frame_of(point, slope0 + w * twist, ruling, bend, twist, np.zeros_like(ruling))

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
            if (np.abs(u - kink) < zone).any():
                _, half = self.ridge(kink, v)
                side = np.where(u <= kink, 1.0, -1.0)
                slide = slide + side * half * np.clip(1 - np.abs(u - kink) / zone, 0, 1)
        return slide

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points (..., 3) at `offset` from the surface along its normal (on to the mitre)."""
        u, v, d = np.broadcast_arrays(*(np.asarray(a, float) for a in (u, v, offset)))
        return self._moved(self._rulings(u), u, v, d)

    def _rulings(self, u: Array) -> Rulings:
        (near, slope, _), (far, other, _) = self.near.jet(u), self.far.jet(u)
        return Rulings(near, far - near, slope, other - slope)

    def _moved(self, rulings: Rulings, u: Array, v: Array, d: Array) -> Array:
        w = v[..., None]
        point = rulings.start + w * rulings.along
        if not d.any():
            return point
        normal = np.cross(rulings.slope + w * rulings.twist, rulings.along)
        normal /= np.sqrt(dot(normal, normal))[..., None]
        moved = point + d[..., None] * normal
        if self.kinks:
            ruling = rulings.along / np.linalg.norm(rulings.along, axis=-1, keepdims=True)
            moved += (d * self.mitre(u, v))[..., None] * np.cross(ruling, normal)
        return np.asarray(moved)

    def tangents(self, u: Array, v: Array, offset: float) -> tuple[Frame, Array, Array]:
        """Frame of the surface, and tangents by `u` and `v` of its parallel at `offset`."""
        f, by_u, by_v = super().tangents(u, v, offset)
        for kink, zone in self.kinks if offset else ():
            inside = np.abs(u - kink) < zone
            _, half = self.ridge(kink, v)
            across = np.cross(f.by_v, f.normal) / np.sqrt(dot(f.by_v, f.by_v))[..., None]
            by_u = by_u + (offset * half * inside / zone)[..., None] * across
        return f, by_u, by_v

    def element(self, u: Array, v: Array, offset: float) -> Array:
        """Area element by du dv of the parallel surface, run on to the mitre of a ridge."""
        if not self.kinks:
            return super().element(u, v, offset)
        _, by_u, by_v = self.tangents(u, v, offset)
        return np.asarray(np.linalg.norm(np.cross(by_u, by_v), axis=-1))

    def normal(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Unit normals (..., 3) away from the room; the bisector on a ridge."""
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        normal = self.frame(u, v).normal
        for kink, _ in self.kinks:
            on = np.abs(u - kink) < 1e-9
            if on.any():
                normal = np.where(on[..., None], self.ridge(kink, v)[0], normal)
        return normal

    def on_plane(self, u: Array, v: float, offset: float, through: Array, square: Array) -> Array:
        """`v` (from a first guess) where rulings of the surface at `offset` meet a plane."""
        found = np.full(u.shape, v)
        rulings, d = self._rulings(u), np.full(u.shape, offset)
        run = dot(rulings.along, square)
        for _ in range(4):
            step = dot(self._moved(rulings, u, found, d) - through, square) / run
            found = found - step
            if np.max(np.abs(step), initial=0.0) < 1e-12:
                break
        return found
