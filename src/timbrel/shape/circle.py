"""The circle that fits measured points best.

Two closed forms that need no start: Kasa 1976, "A circle fitting procedure and its error analysis",
IEEE Trans. Instrum. Meas. 25, which leans to small circles on short arcs, and Pratt 1987, "Direct
least-squares fitting of algebraic surfaces", SIGGRAPH, which does not. Pratt's is the one to use on
a shallow vault.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.words import TimbrelError, say

Array = NDArray[np.float64]
INVERSE_CONSTRAINT = np.array([[0, 0, 0, -0.5], [0, 1, 0, 0], [0, 0, 1, 0], [-0.5, 0, 0, 0]])
"""Inverse of the matrix of B^2 + C^2 - 4AD over (A, B, C, D)."""


@dataclass(frozen=True)
class Circle:
    """centre (x, y) and radius, m."""

    centre: tuple[float, float]
    radius: float

    def distance(self, points: Array) -> Array:
        """Signed distance (n,) of points (n, 2) from the circle, outward positive."""
        away: Array = np.hypot(points[:, 0] - self.centre[0], points[:, 1] - self.centre[1])
        return away - self.radius


def kasa_circle(points: Array) -> Circle:
    """Least squares of x^2 + y^2 + Bx + Cy + D over points (n, 2), n >= 3 (Kasa 1976)."""
    middle, local = _centred(points)
    squares = (local**2).sum(axis=1)
    rows = np.column_stack([local, np.ones(len(local))])
    (b, c, d), *_ = np.linalg.lstsq(rows, squares, rcond=None)
    return _circle(middle, b / 2, c / 2, d + (b**2 + c**2) / 4)


def pratt_circle(points: Array) -> Circle:
    """Least squares under B^2 + C^2 - 4AD = 1 over points (n, 2), n >= 3 (Pratt 1987).

    Solved by the singular values of the design matrix (Chernov 2010, "Circular and linear
    regression", section 5.6), which is safe where the normal equations are not.
    """
    middle, local = _centred(points)
    size = float(np.sqrt((local**2).sum(axis=1).mean()))
    local = local / size
    rows = np.column_stack([(local**2).sum(axis=1), local, np.ones(len(local))])
    rows = np.vstack([rows, np.zeros(4)])  # three points leave a fourth direction free
    _, values, v = np.linalg.svd(rows, full_matrices=False)
    if values[-1] < 1e-12 * values[0]:
        a, b, c, d = v[-1]
    else:
        weighted = v.T * values
        eigenvalues, vectors = np.linalg.eigh(weighted.T @ INVERSE_CONSTRAINT @ weighted)
        # One eigenvalue is negative; the fit belongs to the next.
        a, b, c, d = v.T @ (vectors[:, int(np.argsort(eigenvalues)[1])] / values)
    if abs(a) < 1e-12 * np.abs([a, b, c, d]).max():
        raise _straight()
    x, y = -b / (2 * a), -c / (2 * a)
    return _circle(middle, x * size, y * size, (x**2 + y**2 - d / a) * size**2)


def _centred(points: Array) -> tuple[Array, Array]:
    points = np.asarray(points, float)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < 3:
        raise TimbrelError(
            say(
                "points: {count:count} were given; a circle needs three or more.", count=len(points)
            ),
            key="points",
        )
    middle: Array = points.mean(axis=0)
    local = points - middle
    values = np.linalg.svd(local, compute_uv=False)
    if values[-1] < 1e-9 * values[0]:
        raise _straight()
    return middle, local


def _straight() -> TimbrelError:
    return TimbrelError(say("points: they lie on a straight line; no circle fits."), key="points")


def _circle(middle: Array, x: float, y: float, square: float) -> Circle:
    return Circle((float(middle[0] + x), float(middle[1] + y)), float(np.sqrt(square)))
