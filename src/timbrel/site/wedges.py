"""Folding wedges under the centring, and what a lowering really clears.

Two equal wedges of taper 1 in n lie on each other, thick end to thin end, so that their outer
faces stay parallel. Sliding one by s along the other lowers the frame by s/n (geometry).
A frame that comes down by d moves away from the vault by d cos(a), measured along the normal of
a curve whose tangent stands at a to the level: all of d at the crown, nothing at a vertical
springing (geometry; a curve of radius R clears d^2 sin^2(a)/(2R) more, which is left out).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

THIN_END = 0.010
"""Thin end of a wedge (common practice, from memory)."""
LEAST_OVERLAP = 0.5
"""Share of its length on which a pair must still lie (common practice, from memory)."""
STEP_OF_EASING = 0.005
"""The frame comes down by so much, then wait and read (common practice, no source)."""


@dataclass(frozen=True)
class WedgePair:
    """One pair of folding wedges. Lengths in m.

    taper: 1 in this. thin, thick: ends of one wedge. set_height: height of the pair when fully
    overlapped. drop: lowering wanted. slide: how far one wedge is driven out for it. travel: the
    slide that leaves enough overlap. steps: lowerings of at most 5 mm each.
    """

    taper: float
    length: float
    thin: float
    thick: float
    set_height: float
    drop: float
    slide: float
    travel: float
    steps: int


def drop_of(slide: float, taper: float) -> float:
    """Lowering of the frame when one wedge slides by `slide` along the other."""
    return slide / taper


def wedge_pair(taper: float, length: float, drop: float) -> WedgePair:
    """The pair that lowers by `drop` with a taper of 1 in `taper`."""
    thick = THIN_END + length / taper
    return WedgePair(
        taper=taper,
        length=length,
        thin=THIN_END,
        thick=thick,
        set_height=THIN_END + thick,
        drop=drop,
        slide=drop * taper,
        travel=length * (1.0 - LEAST_OVERLAP),
        steps=math.ceil(drop / STEP_OF_EASING - 1e-9),
    )


def clearance(slope: Floats, drop: float) -> Floats:
    """Gap along the normal that opens where the tangent stands at `slope` (rad) to the level."""
    return np.maximum(drop * np.cos(slope), 0.0)


def steepest_slope(drop: float, least_gap: float) -> float:
    """The steepest slope (rad) at which a lowering by `drop` still opens `least_gap`."""
    return math.acos(min(1.0, least_gap / drop))
