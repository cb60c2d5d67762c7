"""A wall or buttress of even thickness that cannot pull: where it opens, and when it falls.

A level thrust H and a load act at the head of a wall of thickness T and unit weight g. Down the
wall the resultant moves outward. From the bed where it leaves the middle third the inner face
opens, and the masonry beyond the crack no longer weighs on what stands. With stresses that vary
straight across the part still pressed, c wide and pressed at its outer edge, equilibrium gives

    N c' = g c^2 / 2 - 3 H,   N' = g c   and so   c'' = 0:

the crack runs straight to the outer face. The wall falls when it arrives there; a rigid block
would still stand (derived; the shape of the crack agrees with Heyman 1992, "Leaning towers").
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.strip import Array

UNLIMITED = 1e3
HALVINGS = 32


@dataclass(frozen=True)
class HeadLoads:
    """What acts at the head of a wall, a metre of wall: all loads but the weight of its stem.

    level: H, outward, N/m. down: total of the downward loads, N/m. moment: their moment about the
    outer face at the head, less that of the level thrust about the same point, N.
    """

    level: float
    down: float
    moment: float


@dataclass(frozen=True)
class Stem:
    """The wall under its head. thickness and height in m; weight: N/m3."""

    thickness: float
    height: float
    weight: float


def resultant(stem: Stem, head: HeadLoads, depth: Array) -> tuple[Array, Array, Array]:
    """Normal force, distance of the resultant from the outer face and pressed width at depths.

    Pressed width 0 and a distance under 0 mean that the wall has fallen there. All are (k,)
    arrays, a metre of wall.
    """
    T, g = stem.thickness, stem.weight
    level = head.level
    normal = head.down + g * T * depth
    arm = (head.moment + g * T**2 / 2 * depth - level * depth) / normal
    pressed = np.clip(np.minimum(3 * arm, 3 * (T - arm)), 0.0, T)
    opens = _opens_at(stem, head, level)
    if opens is None:
        return normal, arm, pressed
    start, width, slope = opens
    below = depth > start
    inner = np.maximum(depth - start, 0.0)
    c = width + slope * inner
    inner = np.minimum(inner, width / -slope if slope < 0 else np.inf)
    first = head.down + g * T * start
    cracked = first + g * (width * inner + slope * inner**2 / 2)
    return (
        np.where(below, cracked, normal),
        np.where(below, c / 3, arm),
        np.where(below, np.maximum(c, 0.0), pressed),
    )


def _opens_at(stem: Stem, head: HeadLoads, level: float) -> tuple[float, float, float] | None:
    """Depth at which the inner face opens, pressed width there and its slope; None if never."""
    T, g = stem.thickness, stem.weight
    # margin(y) = moment about the outer face less N T / 3; it is linear in the depth
    margin = head.moment - head.down * T / 3
    slope = g * T**2 / 6 - level
    if margin <= 0:
        if head.down <= 0 or head.moment <= 0:
            return 0.0, 0.0, -1.0
        start, width = 0.0, 3 * head.moment / head.down
    elif slope < 0:
        start, width = margin / -slope, T
    else:
        return None
    normal = head.down + g * T * start
    return start, width, (g * width**2 / 2 - 3 * level) / normal


def opening_depth(stem: Stem, head: HeadLoads) -> float | None:
    """Depth under the head at which the inner face opens; None when it stays shut."""
    opens = _opens_at(stem, head, head.level)
    return None if opens is None or opens[0] >= stem.height else opens[0]


def stands(stem: Stem, head: HeadLoads, factor: float, arm: float) -> bool:
    """Does the wall stand under a multiple of its thrust, which acts `arm` over the head."""
    grown = _grown(head, factor, arm)
    opens = _opens_at(stem, grown, grown.level)
    if opens is None:
        return True
    start, width, slope = opens
    return slope >= 0 or start + width / -slope >= stem.height


def _grown(head: HeadLoads, factor: float, arm: float) -> HeadLoads:
    more = (factor - 1) * head.level
    return HeadLoads(head.level + more, head.down, head.moment - more * arm)


def overturning_factor(stem: Stem, head: HeadLoads, arm: float) -> float:
    """Multiple of the thrust at which the cracked wall falls about its outer face."""
    if head.level <= 0:
        return np.inf
    low, high = 0.0, rigid_factor(stem, head, arm)
    if not stands(stem, head, low, arm):
        return 0.0
    high = min(high, UNLIMITED)
    if stands(stem, head, high, arm):
        return high
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if stands(stem, head, middle, arm):
            low = middle
        else:
            high = middle
    return low


def rigid_factor(stem: Stem, head: HeadLoads, arm: float) -> float:
    """The same for a block that cannot crack: never the answer, printed for comparison."""
    overturns = head.level * (stem.height + arm)
    if overturns <= 0:
        return np.inf
    weight = stem.weight * stem.thickness**2 / 2 * stem.height
    return (head.moment + head.level * arm + weight) / overturns
