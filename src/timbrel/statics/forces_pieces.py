"""Polynomials over cells between places, joined at them by value, or by value and slope.

Forces in masonry have kinks and steps at hinges, so what they are derived from is joined no more
smoothly than equilibrium asks. Values by :class:`scipy.interpolate.BSpline`, whose knots stand so
often at a place that no more than that stays joined. Source: de Boor 1978, "A Practical Guide to
Splines" (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
INSIDE = 1e-9  # of a cell, by which a point on its end is told to lie inside


@dataclass(frozen=True)
class Pieces:
    """places: (cells + 1,). slopes: 0 where only values are joined, 1 where slopes are too."""

    places: Array
    degree: int
    slopes: int

    @property
    def local(self) -> int:
        """How many are not nil in a cell."""
        return self.degree + 1

    @property
    def _step(self) -> int:
        """By how many the first that is not nil goes on from cell to cell."""
        return self.degree - self.slopes

    @property
    def count(self) -> int:
        return self._step * (len(self.places) - 2) + self.local

    def first(self, cell: Index) -> Index:
        """(n,) number of the first that is not nil in each cell."""
        return np.asarray(cell * self._step)

    def values(self, at: Array, cell: Index) -> Array:
        """(3, n, local) values and two derivatives at places (n,) in cells (n,)."""
        from scipy.interpolate import BSpline

        ends, inner = self.places[[0, -1]], self.places[1:-1]
        knots = np.concatenate(
            [
                np.repeat(ends[0], self.local),
                np.repeat(inner, self._step),
                np.repeat(ends[1], self.local),
            ]
        )
        low, high = self.places[cell], self.places[cell + 1]
        inset = INSIDE * (high - low)
        at = np.clip(at, low + inset, high - inset)
        once, back = np.unique(at, return_inverse=True)
        splines = BSpline(knots, np.eye(self.count), self.degree)
        which = self.first(cell)[:, None] + np.arange(self.local)
        return np.stack(
            [np.take_along_axis(splines(once, nu=k)[back], which, axis=1) for k in range(3)]
        )


def points_of(places: Array, shares: Array) -> tuple[Array, Index]:
    """Points (cells x k,) at shares (k,) of every cell, and their cells."""
    at = places[:-1, None] + np.diff(places)[:, None] * shares
    cell = np.repeat(np.arange(len(places) - 1), len(shares))
    return at.ravel(), cell


def lobatto(count: int) -> Array:
    """(count,) places between 0 and 1, both among them, between which polynomials swing least."""
    from numpy.polynomial import legendre

    last = np.zeros(count)
    last[-1] = 1.0
    inner = np.sort(legendre.legroots(legendre.legder(last)).real)
    return np.concatenate([[0.0], (inner + 1) / 2, [1.0]])
