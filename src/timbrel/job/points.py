"""Points on the springing line, as further measures name them: ``A``, or ``AB 2000``."""

from __future__ import annotations

from typing import Literal

from timbrel.job.units import QuantityError, read_quantity
from timbrel.words import say

Side = Literal["AB", "BC", "CD", "DA"]
SIDES: tuple[Side, ...] = ("AB", "BC", "CD", "DA")


def read_point(text: str) -> tuple[Side, float]:
    """The side that a point stands on, and its distance (m) from that side's first corner.

    A plain distance is in mm. Raises QuantityError with the reason.
    """
    name, _, distance = text.strip().partition(" ")
    corners = {side[0]: side for side in SIDES}
    if name in corners and not distance.strip():
        return corners[name], 0.0
    if name not in SIDES:
        raise QuantityError(
            say("it does not begin with a corner (A, B, C, D) or a side (AB, BC, CD, DA)")
        )
    try:
        return name, float(distance) * 1e-3
    except ValueError:
        return name, read_quantity(distance, "mm")
