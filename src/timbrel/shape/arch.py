"""Arches drawn from another by ordinates: each half stretched level and plumb to its own measures.

This is how a mason finds the curve of a groin, of a valley rib or of the arch over a longer side:
divide both spans alike and carry the heights across (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from timbrel.shape.directrix import Directrix
from timbrel.shape.planecurve import Array, outward


@dataclass(frozen=True)
class Half:
    """From a springing `foot` (3,): `run` (3,) level to under the crown, `rise` up to it."""

    foot: Array
    run: Array
    rise: float


@dataclass(frozen=True)
class OrdinateArch:
    """A curve with the ordinates of `base`. `right` is None for the left half alone.

    The share `u` is that of the arc of the base (of its left half, for a half arch).
    """

    base: Directrix
    left: Half
    right: Half | None = None

    @property
    def _arc(self) -> float:
        return self.base.length * (1.0 if self.right else 0.5)

    @cached_property
    def length(self) -> float:
        u = np.linspace(0, 1, 129)
        return float(np.linalg.norm(np.diff(self.jet(u)[0], axis=0), axis=1).sum())

    @cached_property
    def breaks(self) -> Array:
        inner = np.asarray(self.base.breaks) / self._arc
        return np.unique(np.concatenate([[0.0, 1.0], [0.5] * bool(self.right), inner[inner < 1]]))

    @property
    def kinks(self) -> tuple[float, ...]:
        return tuple(s / self._arc for s in self.base.kinks) if self.right else ()

    def shifted_from(self, other: object) -> Array | None:
        """How far (3,) this arch is another one moved as it stands; None when it is not."""
        if not isinstance(other, OrdinateArch) or other.base is not self.base:
            return None
        halves, others = (self.left, self.right), (other.left, other.right)
        shifts = []
        for own, its in zip(halves, others, strict=True):
            if own is None or its is None:
                if own is not its:
                    return None
                continue
            if not np.allclose(own.run, its.run, rtol=0, atol=1e-12) or own.rise != its.rise:
                return None
            shifts.append(own.foot - its.foot)
        alike = all(np.allclose(shifts[0], s, rtol=0, atol=1e-12) for s in shifts)
        return shifts[0] if alike else None

    def jet(self, u: Array) -> tuple[Array, Array, Array]:
        """Points and first and second derivatives by `u`, each (..., 3)."""
        at, angle, curvature = self.base.jet(u * self._arc)
        out = outward(angle)
        x, y, z, level_x, level_y, plumb = self._stretch(u)

        def carried(across: Array, up: Array) -> Array:
            return np.stack([across * level_x, across * level_y, up * plumb], axis=-1)

        point = carried(at[..., 0], at[..., 1])
        for axis, start in enumerate((x, y, z)):
            point[..., axis] += start
        fall = -(self._arc**2) * curvature
        return (
            point,
            carried(self._arc * out[..., 1], -self._arc * out[..., 0]),
            carried(fall * out[..., 0], fall * out[..., 1]),
        )

    def _stretch(self, u: Array) -> Array:
        """Where x and y of the base are carried to, at each share: (6, ...) the origin's x, y and z,
        the level way's x and y by the base's x, and the height by its y."""
        left, right = self.left, self.right
        half, rise = self.base.span / 2, self.base.rise
        a = np.append(left.foot, [*left.run[:2] / half, left.rise / rise])
        if right is None:
            return a.reshape(6, *[1] * np.ndim(u))
        # The right half counts from its own foot, back along its own run.
        run = right.run / half
        b = np.append(right.foot + self.base.span * run, [*-run[:2], right.rise / rise])
        return np.asarray(np.stack([a, b], axis=1)[:, (np.asarray(u) > 0.5).astype(np.int8)])
