"""The least bar with its plates that takes a push between two walls."""

from __future__ import annotations

import math

from timbrel.job.model import Job
from timbrel.job.supports import AnchorPlate, Ties
from timbrel.statics.tie_checks import DROP_SHARE, PLATE_ENHANCEMENT
from timbrel.statics.ties import TieAnswer, tie_answer

DIAMETERS = (0.012, 0.016, 0.020, 0.024, 0.030, 0.036, 0.042)
PLATES = (0.15, 0.20, 0.25, 0.30, 0.40)
PLATE_STEP = 0.005  # thicknesses of plate that are rolled, m
SLIM = 6  # diameters that a plate is wide at least


def bar_ties(spacing: float, diameter: float, side: float, thickness: float) -> Ties:
    """Bars at a spacing with square plates."""
    plate = AnchorPlate.model_construct(side=side, thickness=thickness)
    return Ties.model_construct(spacing=spacing, diameter=diameter, anchor=plate)


def fitting_bar(
    job: Job,
    spacing: float,
    diameter: float,
    *,
    design: float,
    service: float,
    length: float,
    span: float,
    rise: float,
    bears: float | None,
) -> tuple[Ties, TieAnswer] | None:
    """A bar with the least plate that spreads its force and does not bend; None when its section or
    its stretch will not do.

    design, service: push, N a metre. length: of the bar, m. span: of the vault, rise: of its line, m.
    bears: design strength of the masonry under the plates (N/m2), None where it is not known.
    """

    def answer(ties: Ties) -> TieAnswer:
        return tie_answer(
            ties, job.loads.national, design=design, service=service, length=length, rise=rise
        )

    for side in PLATES:
        if side < SLIM * diameter:
            continue
        found = answer(bar_ties(spacing, diameter, side, PLATE_STEP))
        if found.use > 1 or found.drop > span * DROP_SHARE:
            return None
        if bears is not None and found.plate_pressure > PLATE_ENHANCEMENT * bears:
            continue
        thick = math.ceil(found.plate_needed / PLATE_STEP - 1e-9) * PLATE_STEP
        ties = bar_ties(spacing, diameter, side, max(thick, 2 * PLATE_STEP))
        return ties, answer(ties)
    return None
