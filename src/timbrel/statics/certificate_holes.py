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
    found = np.zeros(len(points))
    low, high = outline.min(axis=0), outline.max(axis=0)
    # Few points of a net lie in the box about an outline, fewer inside it.
    near = np.flatnonzero(((points > low) & (points < high)).all(axis=1))
    start, side = outline, np.roll(outline, -1, axis=0) - outline
    x, y = points[near, :1], points[near, 1:]
    rises = (start[:, 1] > y) != (start[:, 1] + side[:, 1] > y)
    height = np.where(side[:, 1] == 0, 1.0, side[:, 1])
    at = start[:, 0] + (y - start[:, 1]) / height * side[:, 0]
    inside = near[(rises & (x < at)).sum(axis=1) % 2 == 1]
    away = points[inside, None] - start
    share = np.clip((away * side).sum(axis=-1) / (side * side).sum(axis=-1), 0, 1)
    apart = np.linalg.norm(away - share[..., None] * side, axis=-1)
    found[inside] = apart.min(axis=1)
    return found
