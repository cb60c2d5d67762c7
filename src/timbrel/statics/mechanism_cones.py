"""Algebra of stretches and pressures as vectors of the cone t >= |(u, w)|.

A symmetric tensor (xx, yy, xy) is the vector t = (xx + yy)/2, u = (xx - yy)/2, w = xy; it is nowhere
negative where t >= |(u, w)|, and its principal values are t + |(u, w)| and t - |(u, w)|. Vectors are
(3, n). Sources: Alizadeh and Goldfarb 2003, "Second-order cone programming"; Nesterov and Todd 1997
(the scaling); both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
TINY = 1e-300


def spread(a: Array) -> Array:
    """(n,) product of the principal values."""
    aside = np.sqrt(a[1] * a[1] + a[2] * a[2])
    return np.asarray((a[0] - aside) * (a[0] + aside))


def flipped(a: Array) -> Array:
    """(t, -u, -w)."""
    return np.stack([a[0], -a[1], -a[2]])


def inverse(a: Array) -> Array:
    """The vector whose principal values are one over those of a."""
    return np.asarray(flipped(a) / spread(a))


def product(a: Array, b: Array) -> Array:
    """The symmetric product of two vectors."""
    return np.stack(
        [(a * b).sum(axis=0), a[0] * b[1] + b[0] * a[1], a[0] * b[2] + b[0] * a[2]],
    )


def quotient(a: Array, b: Array) -> Array:
    """The vector whose product with a is b."""
    first = (a * flipped(b)).sum(axis=0) / spread(a)
    return np.stack([first, *((b[k] - first * a[k]) / a[0] for k in (1, 2))])


def furthest(a: Array, way: Array) -> float:
    """The longest step along a way at which every vector a (within the cone) stays within."""
    square, start = spread(way), spread(a)
    cross = (a * flipped(way)).sum(axis=0)
    # Never negative, but for rounding, from a vector within the cone.
    root = np.sqrt(np.maximum(cross * cross - square * start, 0.0))
    # Of the two roots, whichever does not lose its digits; then their product gives the other.
    both = -(cross + np.where(cross >= 0, root, -root))
    with np.errstate(divide="ignore", invalid="ignore"):
        steps = np.stack([both / square, start / both])
    good = (steps > 0) & np.isfinite(steps)
    return float(np.min(steps, where=good, initial=np.inf))


@dataclass(frozen=True)
class Scaling:
    """The one symmetric matrix W between vectors p and x of the cone with W p = x/W.

    way: (3, n) unit vector of the cone, size: (n,). W = size (way, and the root of the rest)."""

    way: Array
    size: Array

    def times(self, a: Array) -> Array:
        """W a."""
        return self._turned(a, self.way[1:]) * self.size

    def over(self, a: Array) -> Array:
        """a/W."""
        return self._turned(a, -self.way[1:]) / self.size

    def _turned(self, a: Array, aside: Array) -> Array:
        dot = aside[0] * a[1] + aside[1] * a[2]
        rest = a[0] + dot / (1 + self.way[0])
        return np.stack(
            [self.way[0] * a[0] + dot, a[1] + aside[0] * rest, a[2] + aside[1] * rest],
        )

    def square(self) -> Array:
        """W W: entries (6, n) tt, tu, tw, uu, uw, ww of a symmetric matrix."""
        t, u, w = self.way
        found = 2 * np.stack([t * t, t * u, t * w, u * u, u * w, w * w])
        found[0] -= 1
        found[[3, 5]] += 1
        return np.asarray(found * self.size**2)


def scaling(p: Array, x: Array) -> Scaling:
    """The scaling between two vectors within the cone."""
    by_p, by_x = np.sqrt(spread(p)), np.sqrt(spread(x))
    p, x = p / by_p, x / by_x
    way = (x + flipped(p)) / (2 * np.sqrt((1 + (p * x).sum(axis=0)) / 2))
    return Scaling(way, np.sqrt(by_x / by_p))


def inverted(m: Array) -> Array:
    """Entries (6, n) of the inverses of symmetric matrices."""
    a, b, c, d, e, f = m
    first = np.stack([d * f - e * e, c * e - b * f, b * e - c * d])
    rest = np.stack([a * f - c * c, b * c - a * e, a * d - b * b])
    det = a * first[0] + b * first[1] + c * first[2]
    return np.asarray(np.concatenate([first, rest]) / det)


def matrix_times(m: Array, a: Array) -> Array:
    """Symmetric matrices by entries (6, n), by vectors (3, n)."""
    return np.stack(
        [
            m[0] * a[0] + m[1] * a[1] + m[2] * a[2],
            m[1] * a[0] + m[3] * a[1] + m[4] * a[2],
            m[2] * a[0] + m[4] * a[1] + m[5] * a[2],
        ]
    )


def parted(a: Array, least: float) -> tuple[Array, Array]:
    """Two vectors within the cone whose difference is a: what is positive of it and what negative,
    each with `least` over."""
    aside = np.hypot(a[1], a[2])
    safe = np.maximum(aside, TINY)
    high, low = np.maximum(a[0] + aside, 0.0) + least, np.maximum(a[0] - aside, 0.0) + least
    half = (high - low) / 2 / safe
    above = np.stack([(high + low) / 2, half * a[1], half * a[2]])
    return above, above - a
