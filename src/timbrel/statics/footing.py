"""The ground under a wall: effective width, bearing, sliding.

Meyerhof 1953, "The bearing capacity of foundations under eccentric and inclined loads": the load
bears evenly on the width B - 2e. EN 1997-1 6.5.4: an eccentricity over a third of the width (a sixth
beyond the middle third) calls for special care.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.supports import Ground
from timbrel.statics.floor import GRAVITY
from timbrel.statics.strip import Array


@dataclass(frozen=True)
class Bearing:
    """A footing under k loads, a metre of wall.

    width: B. eccentricity: (k,) from its middle, outward positive. effective: (k,) B - 2e. pressure:
    (k,) N/m2. sliding: (k,) factor.
    """

    width: float
    eccentricity: Array
    effective: Array
    pressure: Array
    sliding: Array


def effective_width(width: float, eccentricity: Array) -> Array:
    """B' = B - 2 e (Meyerhof 1953); nothing once the load is at the edge."""
    return np.maximum(width - 2 * np.abs(np.asarray(eccentricity)), 0.0)


def footing_state(
    ground: Ground, wall_thickness: float, normal: Array, at: Array, level: Array, dead: Array
) -> Bearing:
    """The footing under a wall whose base carries normal forces (N/m) at `at` from its inner face.

    level: horizontal forces, N/m; dead: factors on the footing's own weight.
    """
    width = ground.footing or wall_thickness
    toe = ground.toe if ground.toe is not None else (width - wall_thickness) / 2
    middle = wall_thickness + toe - width / 2
    own = np.asarray(dead) * ground.density * GRAVITY * width * ground.depth
    total = np.asarray(normal) + own
    moment = np.asarray(normal) * (np.asarray(at) - middle) + np.asarray(level) * ground.depth
    eccentricity = moment / np.maximum(total, 1e-9)
    effective = effective_width(width, eccentricity)
    pressure = np.where(effective > 0, total / np.maximum(effective, 1e-12), np.inf)
    push = np.abs(np.asarray(level))
    sliding = np.where(push > 0, ground.friction * total / np.maximum(push, 1e-12), np.inf)
    return Bearing(width, eccentricity, effective, pressure, sliding)
