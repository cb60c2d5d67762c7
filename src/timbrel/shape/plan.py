"""The plan of a vault on four sides: its corners, its middle, and shares over it.

The middle is where the diagonals cross, so that creases run straight in plan from corner to corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.planecurve import Array
from timbrel.words import TimbrelError, say

SIDES = ("near", "right", "far", "left")
SIDE_NAMES = ("AB", "BC", "CD", "DA")
CORNERS = ("A", "B", "C", "D")
LEAST_TURN = np.radians(8)
"""A corner flatter than this is none: the plan would be a triangle."""


@dataclass(frozen=True)
class QuadPlan:
    """Four corners (4, 3), A to D going round to the left."""

    corners: Array

    @cached_property
    def middle(self) -> Array:
        """Where the diagonals cross, in plan (2,)."""
        a, b, c, d = self.corners[:, :2]
        side = np.linalg.solve(np.stack([c - a, b - d], axis=1), b - a)
        return np.asarray(a + side[0] * (c - a))

    def side(self, k: int) -> tuple[Array, Array]:
        """Both ends (3,) of side `k`: AB, BC, CD, DA."""
        return self.corners[k], self.corners[(k + 1) % 4]

    def wall(self, k: int) -> tuple[Array, Array]:
        """A point of the wall's vertical plane and its unit normal out of the room."""
        p, q = self.side(k)
        along = q - p
        return p, np.array([along[1], -along[0], 0.0]) / np.hypot(along[0], along[1])

    @property
    def area(self) -> float:
        x, y = self.corners[:, 0], self.corners[:, 1]
        return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2

    def tent(self, p: ArrayLike, q: ArrayLike) -> Array:
        """Plan points (..., 2) of shares `p` (left to right) and `q` (near to far), both 0..1.

        Straight from the middle to each side: the diagonals of the square of shares are the
        diagonals of the plan.
        """
        p, q = np.broadcast_arrays(np.asarray(p, float), np.asarray(q, float))
        a, b, c, d = self.corners[:, :2]
        x, y = p - 0.5, q - 0.5
        out = np.maximum(np.abs(x), np.abs(y))
        reach = np.where(out > 0, out, 1.0)
        # Where the ray from the middle through (p, q) meets the rim of the square.
        t = np.where(np.abs(x) >= np.abs(y), y / reach, x / reach)[..., None] / 2 + 0.5
        rim = np.select(
            [
                ((np.abs(x) >= np.abs(y)) & (x > 0))[..., None],
                ((np.abs(x) >= np.abs(y)) & (x <= 0))[..., None],
                (y > 0)[..., None],
            ],
            [b + t * (c - b), a + t * (d - a), d + t * (c - d)],
            a + t * (b - a),
        )
        return np.asarray(self.middle + 2 * out[..., None] * (rim - self.middle))

    def web_of(self, x: Array, y: Array) -> Array:
        """Which side's triangle (0..3) about the middle each plan point lies in."""
        spokes = self.corners[:, :2] - self.middle
        away = np.stack([x, y], axis=-1) - self.middle
        cross = spokes[:, 0] * away[..., 1:] - spokes[:, 1] * away[..., :1]
        past, short = cross >= 0, np.roll(cross, -1, axis=-1) < 0
        return np.asarray(np.argmax(past & short, axis=-1))


def square_up(corners: Array) -> QuadPlan:
    """The plan, refused when it is not convex (going round to the left)."""
    corners = np.asarray(corners, float)
    for k, name in enumerate(CORNERS):
        before, here, after = (corners[(k + i) % 4, :2] for i in (-1, 0, 1))
        a, b = here - before, after - here
        turn = float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))
        if turn < LEAST_TURN:
            raise TimbrelError(
                say(
                    "The plan turns by {turn:angle} at corner {corner}; a vault on four sides "
                    "wants a convex plan that turns by at least {least:angle} at each corner.",
                    turn=turn,
                    corner=name,
                    least=LEAST_TURN,
                ),
                key="room",
            )
    return QuadPlan(corners)
