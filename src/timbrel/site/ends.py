"""The two end sections of a barrel as they stand in the room."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.directrix import Directrix
from timbrel.shape.vault import Barrel

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class End:
    """One end of the vault, on the intrados.

    name: "near" or "far". curve: its directrix, x along the chord. left, right: springing points
    (x, y, z) in the room. tilt: slope of the chord (rad), positive when it climbs to the right.
    """

    name: str
    curve: Directrix
    left: Floats
    right: Floats

    @property
    def tilt(self) -> float:
        """Slope of the springing chord, rad."""
        across = math.hypot(self.right[0] - self.left[0], self.right[1] - self.left[1])
        return math.atan2(self.right[2] - self.left[2], across)

    def plumb(self, points: Floats) -> Floats:
        """Chord axes (n, 2) to level distance from the left springing and level (n, 2)."""
        cosine, sine = math.cos(self.tilt), math.sin(self.tilt)
        x, y = points[:, 0], points[:, 1]
        return np.stack([x * cosine - y * sine, self.left[2] + x * sine + y * cosine], axis=-1)


def ends_of(vault: Barrel) -> tuple[End, End]:
    """Near and far end. Their curves stand on the intrados springings (seat 0, 0), wherever the
    measured springing points lie in the shell."""
    near, far = replace(vault.near, seat=(0.0, 0.0)), replace(vault.far, seat=(0.0, 0.0))
    return (
        End("near", near, vault.point(0.0, 0.0), vault.point(1.0, 0.0)),
        End("far", far, vault.point(0.0, 1.0), vault.point(1.0, 1.0)),
    )
