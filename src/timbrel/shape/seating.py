"""How a curve meets the wall that it springs from: cut into it, or on a seat that stands before it.

A shell that comes down steeply is not cut into the wall: it stands on a corbel or a ledger, and the
wall goes up behind it. The room's measures are then taken at the front edge of the seat.
"""

from __future__ import annotations

import math
from typing import Literal

from timbrel.job.model import Job
from timbrel.shape.directrix import Directrix

SeatKind = Literal["chase", "corbel", "ledger"]
STEEP = math.radians(65.0)
"""Over this a chase runs up the wall for more than twice the shell's thickness (derived)."""


def seat_kind(job: Job, slope: float) -> SeatKind:
    """The seat that the job states, or that suits the slope of the curve at the springing, rad."""
    return job.seat.kind or ("corbel" if abs(slope) > STEEP else "chase")


def stands_before(slope: float, thickness: float) -> float:
    """How far a skewback square to the curve stands before the wall, m."""
    return thickness * math.sin(abs(slope))


def springing_slopes(curve: Directrix, tilt: float) -> tuple[float, float]:
    """Slope of an end curve at its left and right springing, rad; tilt: of its chord."""
    return float(curve.angle(0.0)) + tilt, -float(curve.angle(curve.length)) - tilt


def faces_behind(
    job: Job, curves: tuple[tuple[Directrix, float], ...], thickness: float
) -> tuple[float, float]:
    """How far the faces of the left and right wall stand behind the springing of the intrados, m: nil
    where the shell is cut into them. curves: of both ends, with the tilt of their chords."""
    found = []
    for side in (0, 1):
        slope = max((springing_slopes(*curve)[side] for curve in curves), key=abs)
        before = seat_kind(job, slope) != "chase"
        found.append(stands_before(slope, thickness) if before else 0.0)
    return found[0], found[1]
