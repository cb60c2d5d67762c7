"""Quadratic splines over a strip of a shell of revolution: open along the meridian, and round the
half of a ring with a mirror at both ends.

They join with one slope, so that a shell whose velocities they tell turns nowhere by a step.
Source: de Boor 1978, "A Practical Guide to Splines" (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
LOCAL = 3  # splines that are not nil in a cell


def open_splines(cells: int, length: float, at: Array) -> tuple[Index, Array]:
    """Which splines (n, 3) of cells + 2 are not nil at places (n,) of an interval from nil to
    length, and their values and first two derivatives (3, n, 3)."""
    step = length / cells
    cell = np.clip((at / step).astype(np.int64), 0, cells - 1)
    knots = np.concatenate([[0.0] * 2, np.linspace(0.0, length, cells + 1), [length] * 2])
    # t[0] to t[3] stand round the cell: two before its start, two behind its end.
    t = [knots[cell + 1 + k] for k in range(4)]
    left, inner, right = t[2] - t[0], t[2] - t[1], t[3] - t[1]
    a, b = (t[2] - at) / inner, (at - t[1]) / inner
    value = np.stack(
        [
            a * (t[2] - at) / left,
            a * (at - t[0]) / left + b * (t[3] - at) / right,
            b * (at - t[1]) / right,
        ],
        axis=1,
    )
    slope = np.stack([-2 * a / left, 2 * a / left - 2 * b / right, 2 * b / right], axis=1)
    bend = np.stack(
        [
            2 / (inner * left),
            -2 / (inner * left) - 2 / (inner * right),
            2 / (inner * right),
        ],
        axis=1,
    )
    return cell[:, None] + np.arange(LOCAL), np.stack([value, slope, bend])


def round_splines(cells: int, at: Array) -> tuple[Index, Array, Array]:
    """The same of `cells` splines at turns (n,) from nil to pi: which (n, 3), whether a spline is the
    image of one within (n, 3; -1 where an odd field changes its sign, else 1), values and
    derivatives (3, n, 3)."""
    step = np.pi / cells
    cell = np.clip((at / step).astype(np.int64), 0, cells - 1)
    x = at / step - cell
    value = np.stack([(1 - x) ** 2 / 2, (1 + 2 * x - 2 * x**2) / 2, x**2 / 2], axis=1)
    slope = np.stack([x - 1, 1 - 2 * x, x], axis=1) / step
    bend = np.tile(np.array([1.0, -2.0, 1.0]), (len(at), 1)) / step**2
    number = cell[:, None] + np.arange(-1, 2)
    beyond = (number < 0) | (number >= cells)
    return (
        np.clip(number, 0, cells - 1),
        np.where(beyond, -1.0, 1.0),
        np.stack([value, slope, bend]),
    )
