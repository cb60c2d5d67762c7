"""Where the pier stands under the seat of its corner, and how much of the seat lies on it.

A pier whose inner edge stands in the corner of the room is narrow there: a seat as wide as the springer
hangs over both its faces. Where a wall runs on to both sides nothing hangs over. Axes as of the
section: x across the groin's line, y along it into the room, the corner of the room at the origin.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Wall

Floats = NDArray[np.float64]


def pier_outline(wall: Wall, turns: tuple[float, float]) -> Floats | None:
    """(4, 2) the pier in plan, its inner edge first, m; None where no pier is stated.

    turns: angles from the groin's line to the two sides of the room, along which the pier's own run.
    """
    if wall.pier is None:
        return None
    first = np.array([-math.sin(turns[0]), math.cos(turns[0])])
    second = np.array([math.sin(turns[1]), math.cos(turns[1])])
    out = wall.pier / 2 if wall.pier_out is None else wall.pier_out
    middle, half = -out * (first + second), wall.pier / 2
    around = ((1, 1), (-1, 1), (-1, -1), (1, -1))
    return np.array([middle + half * (a * first + b * second) for a, b in around])


def borne_share(outline: Floats | None, half: float, near: float, far: float) -> float:
    """Share of a seat that lies on its pier, 0 to 1: in plan a rectangle 2 `half` wide, from `near` to
    `far` behind the corner of the room (m; negative in the room)."""
    if outline is None or half <= 0 or far - near <= 0:
        return 1.0
    from shapely import Polygon, box

    seat = box(-half, -far, half, -near)
    return float(seat.intersection(Polygon(outline)).area / seat.area)
