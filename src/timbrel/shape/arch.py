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

UP = np.array([0.0, 0.0, 1.0])


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

    def jet(self, u: Array) -> tuple[Array, Array, Array]:
        """Points and first and second derivatives by `u`, each (..., 3)."""
        at, angle, curvature = self.base.jet(u * self._arc)
        slope = self._arc * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
        bend = (-(self._arc**2) * curvature)[..., None] * outward(angle)
        left = self._stretched(self.left, at, slope, bend, 1.0)
        if self.right is None:
            return left
        mirrored = np.stack([self.base.span - at[..., 0], at[..., 1]], axis=-1)
        right = self._stretched(self.right, mirrored, slope, bend, -1.0)
        first = (u <= 0.5)[..., None]
        a, b, c = (np.where(first, p, q) for p, q in zip(left, right, strict=True))
        return a, b, c

    def _stretched(
        self, half: Half, at: Array, slope: Array, bend: Array, way: float
    ) -> tuple[Array, Array, Array]:
        level = half.run / (self.base.span / 2)
        plumb = half.rise / self.base.rise * UP

        def carried(plane: Array, sign: float) -> Array:
            return sign * plane[..., :1] * level + plane[..., 1:] * plumb

        return half.foot + carried(at, 1.0), carried(slope, way), carried(bend, way)
