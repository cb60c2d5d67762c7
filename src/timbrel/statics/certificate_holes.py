"""Does a strut of a certificate run through an opening: worked out from its numbers alone.

A point lies in an opening, whose sides are square to the shell, when the foot of the normal through
it lies in the outline. The foot is found from the offset and its slopes, by central differences;
inside or outside by counting the sides that a ray crosses.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEP = 2e-4  # m


def feet_of(points: Array, guess: Array, offset: Callable[[Array, Array], Array]) -> Array:
    """(..., 2) plan of the feet of normals through points (..., 3) on the middle surface."""
    own = offset(points, guess)
    feet = points[..., :2].copy()
    for axis in (0, 1):
        step = np.zeros(3)
        step[axis] = STEP
        slope = (offset(points + step, guess) - offset(points - step, guess)) / (2 * STEP)
        feet[..., axis] -= own * slope
    return feet


def depth_in(points: Array, outline: Array) -> Array:
    """(n,) how far inside an outline (k, 2) points (n, 2) lie, m; zero outside."""
    start, end = outline, np.roll(outline, -1, axis=0)
    x, y = points[:, :1], points[:, 1:]
    rises = (start[:, 1] > y) != (end[:, 1] > y)
    height = np.where(end[:, 1] == start[:, 1], 1.0, end[:, 1] - start[:, 1])
    at = start[:, 0] + (y - start[:, 1]) / height * (end[:, 0] - start[:, 0])
    inside = (rises & (x < at)).sum(axis=1) % 2 == 1
    side = end - start
    away = points[:, None] - start
    share = np.clip((away * side).sum(axis=-1) / (side * side).sum(axis=-1), 0, 1)
    apart = np.linalg.norm(away - share[..., None] * side, axis=-1).min(axis=1)
    return np.where(inside, apart, 0.0)
