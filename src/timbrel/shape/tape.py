"""Corners from tape measures: the least-squares figure of four corners in plan.

Unknowns are five: B lies on the x axis from A, C and D are free. Every tape runs from a point on
one side to a point on another. Equal weights; Gauss-Newton with an exact Jacobian (complex step).
Source: adjustment by observation equations, any text on surveying.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Room as StatedRoom
from timbrel.job.points import read_point

Array = NDArray[np.float64]
UNKNOWNS = 5
CORNERS = {"A": 0, "B": 1, "C": 2, "D": 3}
CLOSED = 1e-7
"""A figure with no measure to spare closes when every tape is met within this, m."""


@dataclass(frozen=True)
class Tape:
    """One tape: its name and reading, and for each end the side (two corners) and distance along.

    ends: ((corner, next corner, distance), (corner, next corner, distance)).
    """

    name: str
    given: float
    ends: tuple[tuple[int, int, float], tuple[int, int, float]]


@dataclass(frozen=True)
class Figure:
    """Corners (4, 2) that fit the tapes best; residual (n,) is given less fitted, m.

    redundancy (n,): the share of an error in each tape that shows in its own residual (0 to 1).
    """

    tapes: tuple[Tape, ...]
    corners: Array
    residual: Array
    redundancy: Array

    @property
    def spare(self) -> int:
        """Measures over the five that fix the figure."""
        return len(self.tapes) - UNKNOWNS

    @cached_property
    def spread(self) -> float:
        """Root of the squared residuals over the spare measures, m (sigma nought)."""
        return float(np.sqrt(self.residual @ self.residual / max(self.spare, 1)))

    def reads(self, tape: Tape) -> float:
        """What a tape would read in this figure."""
        return float(_Net((tape,)).lengths(self.corners)[0])


def tapes_of(room: StatedRoom) -> tuple[Tape, ...]:
    """The tapes of a measured room: four sides, two diagonals, further measures."""
    tapes = [
        Tape(name, getattr(room, name), (_corner(name[0]), _corner(name[1])))
        for name in ("AB", "BC", "CD", "DA", "AC", "BD")
    ]
    for measure in room.further:
        ends = _point(measure.start), _point(measure.end)
        tapes.append(Tape(f"{measure.start} – {measure.end}", measure.length, ends))
    return tuple(tapes)


def _corner(name: str) -> tuple[int, int, float]:
    first = CORNERS[name]
    return first, (first + 1) % 4, 0.0


def _point(text: str) -> tuple[int, int, float]:
    side, distance = read_point(text)
    return CORNERS[side[0]], CORNERS[side[1]], distance


def fit(tapes: tuple[Tape, ...], start: Array | None = None) -> Figure | None:
    """The figure that fits the tapes best; None when no figure does.

    Without a tape to spare, the figure must meet every tape. Levenberg's damping keeps a bad start
    from running off.
    """
    net = _Net(tapes)
    given = np.array([tape.given for tape in tapes])
    x = _first_guess(tapes) if start is None else start[[1, 2, 2, 3, 3], [0, 0, 1, 0, 1]]
    lengths, slopes = net.observe(x)
    damping = 1e-9
    for _ in range(60):
        square = slopes.T @ slopes
        np.fill_diagonal(square, np.diag(square) * (1 + damping) + 1e-15)
        step = np.linalg.solve(square, slopes.T @ (given - lengths))
        trial, trial_slopes = net.observe(x + step)
        if np.sum((given - trial) ** 2) <= np.sum((given - lengths) ** 2):
            x, lengths, slopes, damping = x + step, trial, trial_slopes, damping / 10
        else:
            damping *= 100
        if np.max(np.abs(step)) < 1e-11:
            break
    residual = given - lengths
    if len(tapes) <= UNKNOWNS and np.max(np.abs(residual)) > CLOSED:
        return None
    hat = slopes @ np.linalg.pinv(slopes)
    return Figure(tapes, _corners(x), residual, 1 - np.diag(hat))


def _first_guess(tapes: tuple[Tape, ...]) -> Array:
    """A four-sided figure of about the right size: both far corners from triangles over AB."""
    given = {tape.name: tape.given for tape in tapes}
    base = given.get("AB", given.get("CD", 1.0))
    right, left = given.get("BC", given.get("DA", 1.0)), given.get("DA", given.get("BC", 1.0))
    diagonal = float(np.hypot(base, right))
    cx, cy = _apex(base, given.get("AC", diagonal), right)
    dx, dy = _apex(base, left, given.get("BD", diagonal))
    return np.array([base, cx, cy, dx, dy])


def _apex(base: float, from_a: float, from_b: float) -> tuple[float, float]:
    x = (from_a**2 - from_b**2 + base**2) / (2 * base)
    return x, float(np.sqrt(max(from_a**2 - x**2, (0.3 * from_a) ** 2)))


def _corners(x: NDArray[Any]) -> NDArray[Any]:
    """Corners (..., 4, 2) from the unknowns (..., 5)."""
    corners = np.zeros((*x.shape[:-1], 4, 2), x.dtype)
    corners[..., 1, 0] = x[..., 0]
    corners[..., 2, :], corners[..., 3, :] = x[..., 1:3], x[..., 3:5]
    return corners


class _Net:
    """Tapes as arrays: what they read at given corners, and how that changes with the corners."""

    def __init__(self, tapes: tuple[Tape, ...]) -> None:
        ends = np.array([tape.ends for tape in tapes])  # (n, 2, 3)
        self.first = ends[..., 0].astype(int)
        self.second = ends[..., 1].astype(int)
        self.distance = ends[..., 2]

    def lengths(self, corners: NDArray[Any]) -> NDArray[Any]:
        """Lengths (..., n) at corners (..., 4, 2), real or complex."""
        first = corners[..., self.first, :]
        along = corners[..., self.second, :] - first
        share = self.distance / np.sqrt(np.sum(along**2, axis=-1))
        points = first + share[..., None] * along
        run = points[..., 1, :] - points[..., 0, :]
        return np.asarray(np.sqrt(np.sum(run**2, axis=-1)))

    def observe(self, x: Array) -> tuple[Array, Array]:
        """Lengths (n,) and their slopes (n, 5) by the unknowns, exact (complex step)."""
        tiny = 1e-30
        read = self.lengths(_corners(x + 1j * tiny * np.eye(UNKNOWNS)))
        return read[0].real, read.imag.T / tiny
