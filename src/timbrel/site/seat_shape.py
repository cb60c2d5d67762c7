"""What is cut for a seat: sections across the wall, and the bays along it.

Section axes: x into the wall from its face, y up from the springing. The curve comes down into the
wall at the slope of its tangent there; the seat stands square to it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.seating import stands_before

Floats = NDArray[np.float64]
CORBEL_STEP = 1 / 3
"""A corbelled course stands out by at most this share of its own height (from memory)."""


def chase_section(slope: float, thickness: float, depth: float, clearance: float) -> Floats:
    """Outline (4, 2) of a chase that takes the end of a shell run `depth` into the wall along the
    curve, its seat square to the curve, with `clearance` of mortar all round."""
    along = np.array([math.cos(slope), -math.sin(slope)])
    square = np.array([math.sin(slope), math.cos(slope)])
    low, high = -clearance, thickness + clearance
    end = depth + clearance
    inner_low, inner_high = end * along + low * square, end * along + high * square
    # The long sides run along the curve out to the face of the wall, x = 0.
    face_low = np.array([0.0, low / math.cos(slope)])
    face_high = np.array([0.0, high / math.cos(slope)])
    return np.array([face_low, inner_low, inner_high, face_high])


def bracket_section(slope: float, thickness: float) -> Floats:
    """Outline (3, 2) of the skewback that a corbel or a ledger carries before the wall: level
    below, upright at the wall, and square to the curve under the shell."""
    out = stands_before(slope, thickness)
    up = thickness * math.cos(slope)
    return np.array([[0.0, up], [-out, 0.0], [0.0, 0.0]])


def under_bracket(kind: str, out: float) -> Floats:
    """Outline (n, 2) of what carries a skewback that stands out so far: the courses of a corbel, or a
    ledger."""
    if kind != "corbel":
        return np.array([[-out, 0.0], [-out, -2 * out], [0.0, -2 * out], [0.0, 0.0]])
    drop = out / CORBEL_STEP
    steps = round(1 / CORBEL_STEP)
    points = [np.array([-out, 0.0])]
    for k in range(1, steps + 1):
        level = -drop * k / steps
        points += [np.array([points[-1][0], level]), np.array([-out * (1 - k / steps), level])]
    return np.array([*points, [0.0, 0.0]])


def polygon_area(corners: Floats) -> float:
    """Area of a polygon (n, 2)."""
    x, y = corners.T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def alternate_bays(
    length: float, bay: float, turns: int, *, round_about: bool = False
) -> tuple[tuple[int, ...], ...]:
    """Numbers (from 1) of the bays to cut in each turn: every `turns`-th one, so that two bays
    that touch are never open together. round_about: the last bay touches the first, so there are
    whole rounds of turns."""
    count = max(1, math.ceil(length / bay - 1e-9))
    if round_about:
        count = math.ceil(count / turns) * turns
    return tuple(tuple(range(turn, count + 1, turns)) for turn in range(1, min(turns, count) + 1))
