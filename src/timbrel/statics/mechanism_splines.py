"""Cubic splines over a strip of a shell of revolution: open along the meridian, and round the half of
a ring with a mirror at both ends.

They join with one slope and one bend, so that a shell whose velocities they tell turns nowhere by a
step; a hinge is a bend over a cell or two. Cubic, since the bend must fall along one direction only
where a hinge runs slantwise over the cells, and splines of a lower degree come to that slowly.
Values by :class:`scipy.interpolate.BSpline`. Source: de Boor 1978, "A Practical Guide to Splines"
(from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
DEGREE = 3
LOCAL = DEGREE + 1  # splines that are not nil in a cell


def open_knots(places: Array) -> Array:
    """Knots of the splines over cells between places (cells + 1,), free at both ends."""
    return np.concatenate([[places[0]] * DEGREE, places, [places[-1]] * DEGREE])


def mirrored_knots(places: Array) -> Array:
    """The same with the cells' mirror images beyond both ends."""
    before = 2 * places[0] - places[DEGREE:0:-1]
    beyond = 2 * places[-1] - places[-2 : -DEGREE - 2 : -1]
    return np.concatenate([before, places, beyond])


def mirror(cells: int) -> tuple[Index, Array]:
    """Which of the cells + 1 unknown splines each of cells + 3 over mirrored knots is or is the image
    of (cells + 3,), and by what an odd part of it is multiplied: 1, -1 for an image, nil for one that
    is its own image."""
    number = np.arange(cells + DEGREE) - 1
    odd = np.where((number < 0) | (number > cells), -1.0, 1.0)
    odd[[1, -2]] = 0.0
    return np.where(number < 0, 1, np.where(number > cells, cells - 1, number)), odd


def cell_of(places: Array, at: Array) -> Index:
    """The cell (n,) that each place (n,) lies in."""
    found = np.searchsorted(places, at, side="right") - 1
    return np.clip(found, 0, len(places) - 2).astype(np.int64)


def every(knots: Array, at: Array) -> Array:
    """Values and first two derivatives (3, n, splines) of all splines over knots at places (n,)."""
    from scipy.interpolate import BSpline

    splines = BSpline(knots, np.eye(len(knots) - LOCAL), DEGREE)
    return np.stack([splines(at, nu=order) for order in range(3)])


def local(knots: Array, at: Array, cell: Index) -> Array:
    """Those (3, n, LOCAL) that are not nil in the cells (n,) of the places (n,)."""
    once, first, back = np.unique(at, return_index=True, return_inverse=True)
    reach = cell[first][:, None] + np.arange(LOCAL)
    found = np.take_along_axis(every(knots, once), reach[None], axis=2)
    return np.asarray(found[:, back])
