"""Equal lifts from a level up to another, both sides at once."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from timbrel.site.bed import Bed


@dataclass(frozen=True)
class Lift:
    """One lift, both sides at once. bottom, top: levels. left, right: volumes, m3."""

    number: int
    bottom: float
    top: float
    left: float
    right: float

    @property
    def volume(self) -> float:
        """Both sides, m3."""
        return self.left + self.right


def even_lifts(bed: Bed, low: float, top: float, height: float) -> tuple[Lift, ...]:
    """Equal lifts of at most `height`, from a level (or the lowest point of the shell) to the top."""
    count = max(1, math.ceil((top - low) / height - 1e-9))
    levels = np.linspace(low, top, count + 1)
    found = []
    for number, (bottom, upper) in enumerate(pairwise(levels), 1):
        sides = [bed.volume(upper, s) - bed.volume(bottom, s) for s in ("left", "right")]
        found.append(Lift(number, float(bottom), float(upper), *sides))
    return tuple(found)
