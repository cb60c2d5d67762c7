"""The trimmer as a flat arch in the shell, its bars, and a round ring.

A cut arch presses on the trimmer with w (N/m) over the length L of the opening. The flat arch that
carries it has a lever arm f = d - c in the ring's width d, where c is the depth of its block of
stress, so that its push along the axis is P = w L2 / (8 f) (parabola; Heyman 1982, The Masonry
Arch, for the flat arch as a line of thrust in the depth of a lintel). With c = P / (fd t) the
greatest moment it can carry is fd t d2 / 4. Nothing beyond the opening pushes back along the axis:
the bars of the ring do. A round ring pressed alike all round carries N = p r.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ARM = 0.75
"""Lever arm over the ring's width where no crushing strength is stated. Common practice, no
source."""
BLOCK = 2 / 3
"""Of the thickness that a block of stress fills whose resultant stands at a third of it."""
STEEL = 1.15
"""Partial factor of the bars (EN 1992-1-1:2004, table 2.1N)."""


@dataclass(frozen=True)
class FlatArch:
    """A trimmer under its load. load: N/m. length: m. arm: m. push: along the axis at each corner,
    N. reaction: at each end, N. use: of its strength, None when no strength is stated."""

    load: float
    length: float
    arm: float
    push: float
    reaction: float
    use: float | None


def flat_arch(
    load: float, length: float, width: float, thickness: float, strength: float | None
) -> FlatArch:
    """The flat arch in a ring `width` deep and `thickness` thick, pressed by `load` over `length`.

    strength: design crushing strength, N/m2, or None. Where the arch cannot carry the load its use
    is over 1 and its arm half of the width, the most that can be had of it.
    """
    moment, reaction = load * length**2 / 8, load * length / 2
    if strength is None:
        arm = ARM * width
        return FlatArch(load, length, arm, moment / arm, reaction, None)
    block = strength * BLOCK * thickness
    use = moment / (block * width**2 / 4)
    arm = width / 2 * (1 + math.sqrt(max(1 - use, 0.0)))
    return FlatArch(load, length, arm, moment / arm, reaction, use)


def bar_needed(push: float, yield_strength: float) -> float:
    """Diameter of one bar that takes a push (m)."""
    return math.sqrt(4 * push * STEEL / yield_strength / math.pi)


def bar_resistance(diameter: float, yield_strength: float) -> float:
    """What one bar takes, N (EN 1992-1-1:2004, 3.2.7)."""
    return math.pi * diameter**2 / 4 * yield_strength / STEEL


def ring_thrust(pressure: float, radius: float) -> float:
    """Thrust of a ring pressed alike all round: p r, N (pressure in N/m of its girth)."""
    return pressure * radius
