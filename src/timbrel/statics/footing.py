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
from timbrel.statics.supports import Profile


@dataclass(frozen=True)
class Bearing:
    """A footing under k loads, for the length of wall that a support carries.

    width: B. eccentricity: (k,) from its middle, outward positive. effective: (k,) B - 2e. total:
    (k,) N, the footing's own weight in it. area: (k,) that bears, m2. pressure: (k,) N/m2.
    sliding: (k,) factor. level: (k,) N, that of the footing itself in it.
    """

    width: float
    eccentricity: Array
    effective: Array
    total: Array
    area: Array
    pressure: Array
    sliding: Array
    level: Array


def effective_width(width: float, eccentricity: Array) -> Array:
    """B' = B - 2 e (Meyerhof 1953); nothing once the load is at the edge."""
    return np.maximum(width - 2 * np.abs(np.asarray(eccentricity)), 0.0)


def footing_state(
    ground: Ground,
    profile: Profile,
    normal: Array,
    at: Array,
    level: Array,
    dead: Array,
    sway: Array | float = 0.0,
) -> Bearing:
    """The footing under a support whose base carries normal forces (N) at `at` from its inner face.

    level: horizontal forces, N; dead: factors on the footing's own weight; sway: its level push as a
    share of that, outward positive. Under a buttress the
    footing follows wall and buttress with the same toe all round; the part of it that is centred on
    the load bears.
    """
    thickness = float(profile.thickness[-1])
    out, web = float(profile.web[-1]), float(profile.web_width[-1])
    width = max(ground.footing or thickness, thickness if out > 0 else 0.0)
    toe = ground.toe if ground.toe is not None else (width - thickness) / 2
    outer, inner = thickness + toe, thickness + toe - width
    long = profile.tributary if out <= 0 else float(profile.width[-1])
    parts = [(inner, outer, long)]
    if out > 0:
        wall_edge = float(profile.flange[-1]) + toe
        parts = [(inner, wall_edge, long), (wall_edge, outer, web + 2 * toe)]
    area = sum((b - a) * across for a, b, across in parts)
    middle = sum((b**2 - a**2) / 2 * across for a, b, across in parts) / area
    own = np.asarray(dead) * ground.density * GRAVITY * area * ground.depth
    total = np.asarray(normal) + own
    lever = np.asarray(normal) * np.asarray(at) + own * middle + np.asarray(level) * ground.depth
    lever = lever + np.asarray(sway) * own * ground.depth / 2
    place = lever / np.maximum(total, 1e-9)
    reach = np.maximum(np.minimum(outer - place, place - inner), 0.0)
    bears = sum(
        across * np.maximum(np.minimum(b, place + reach) - np.maximum(a, place - reach), 0.0)
        for a, b, across in parts
    )
    pressure = np.where(reach > 0, total / np.maximum(bears, 1e-12), np.inf)
    push = np.abs(np.asarray(level) + np.asarray(sway) * own)
    sliding = np.where(push > 0, ground.friction * total / np.maximum(push, 1e-12), np.inf)
    eccentricity = place - (outer + inner) / 2
    return Bearing(
        width,
        eccentricity,
        effective_width(width, eccentricity),
        total,
        np.asarray(bears),
        pressure,
        sliding,
        push,
    )
