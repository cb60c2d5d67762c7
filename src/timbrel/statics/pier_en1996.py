"""A pier by EN 1996-1-1:2005, pushed both ways at once.

The clauses speak of a wall that bends about one axis. Here the share of the bed that the block of
stress leaves, 1 - 2 e/t of a wall, is that of the block about both middle lines, (1 - 2 ex/b)
(1 - 2 ey/h) of a rectangle (derived; with no push along y it is the clause's). The eccentricity of
construction, creep and the least eccentricity are taken both ways at once, on the safe side. In the
middle of the height annex G takes that share in the place of its A1, the eccentricity of a rectangle
with the same share beside it, and the slenderness over the least side of the shaft. Clauses from
memory of the standard.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from timbrel.job.supports import NationalChoices
from timbrel.statics.pier_shape import Bed, PierShape
from timbrel.statics.slenderness import effective_height
from timbrel.statics.strip import Array
from timbrel.statics.wall_en1996 import (
    CREEP_FROM,
    INITIAL,
    LEAST_ECCENTRICITY,
    Strength,
    middle_reduction,
)

LEVELS = ("head", "middle", "base")


@dataclass(frozen=True)
class PierReduction:
    """Capacity reduction of a pier at one level. level: its name. normal: N_Ed, N. area: of the
    bed, m2. away: (2,) resultant from the middle of the bed with all that is added, m. share: of the
    bed that its block leaves. reduction: Phi. resistance: N_Rd, N."""

    level: str
    normal: float
    area: float
    sizes: Array
    away: Array
    share: float
    reduction: float
    resistance: float

    @property
    def use(self) -> float:
        return self.normal / self.resistance if self.resistance > 0 else math.inf


def pier_slenderness(shape: PierShape, head: str) -> float:
    """h_ef over the side of the shaft (5.5.1.2, 5.5.1.4); what leans on it is left out."""
    return effective_height(shape.height, head) / shape.side


def pier_resistance(
    shape: PierShape,
    normal: Array,
    at: Array,
    head: str,
    strength: Strength,
    national: NationalChoices,
) -> tuple[PierReduction, ...]:
    """N_Rd = Phi A fd at head, middle and base (6.1.2.1, expression 6.2).

    normal (m,) and at (m, 2): normal force (N) and resultant from the middle of the shaft (m) at
    every bed of the shape; nan where it has fallen.
    """
    places = (0, len(normal) // 2, len(normal) - 1)
    tall = effective_height(shape.height, head)
    slender = pier_slenderness(shape, head)
    found = []
    for level, j in zip(LEVELS, places, strict=True):
        bed = shape.beds[j]
        away = _with_all(bed, at[j], tall, slender if level == "middle" else 0.0, national)
        share = float(bed.block(bed.middle + away)) / bed.area if np.isfinite(away).all() else 0.0
        phi = share
        if level == "middle":
            lean = np.array([(1 - share) / 2])
            phi = float(middle_reduction(lean, 1.0, slender, national.stiffness)[0])
        found.append(
            PierReduction(
                level,
                float(normal[j]) if np.isfinite(normal[j]) else math.inf,
                bed.area,
                bed.sizes,
                away,
                share,
                phi,
                phi * bed.area * strength.design,
            )
        )
    return tuple(found)


def _with_all(bed: Bed, at: Array, tall: float, slender: float, national: NationalChoices) -> Array:
    """Resultant from the middle of a bed with e_init (5.5.1.1(4)), creep (6.1.2.2(2), expression
    6.8) and the least eccentricity (6.1.2.2(1)), each way by itself."""
    off = np.asarray(at) - bed.middle
    e = np.maximum(np.abs(off) + tall / INITIAL, LEAST_ECCENTRICITY * bed.sizes)
    if slender > CREEP_FROM:
        e = e + 0.002 * national.creep * slender * np.sqrt(bed.sizes * e)
    return np.asarray(np.where(off < 0, -e, e))


def springer_bearing(shape: PierShape, side: float, strength: Strength) -> tuple[float, float]:
    """beta and the resistance (N) of the bed under a springer (6.1.3(2), expressions 6.10, 6.11).

    side: of the square bed, m, no wider than the pier. It stands at the edge of the pier (a1 = 0), and
    spreads to one side by 60 degrees down to half of the height (A_ef), inside the shaft.
    """
    side = min(side, shape.side)
    spread = min(side + shape.height / 2 / math.tan(math.radians(60)), shape.side)
    loaded = side**2
    share = min(loaded / (spread * shape.side), 0.45)
    beta = min(max(1.5 - 1.1 * share, 1.0), 1.25)
    return beta, beta * loaded * strength.design
