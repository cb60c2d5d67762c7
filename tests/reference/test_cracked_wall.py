"""A wall that cannot pull, against a march down the wall bed by bed and against hand working.

Hand working (derived): T = 1 m, g = 20 kN/m3, height 3 m, P = 30 kN/m down on the middle of the
head, H = 10 kN/m at the head. Moments about the outer face at the base: P T/2 + g T^2 h/2 =
15 + 30 = 45, H h = 30: rigid factor 1.50. The resultant leaves the middle third where
15 + 10 y - 10 y = (30 + 20 y)/3, y = 0.75 m, N = 45 kN/m; there c' = (10 - 30)/45 = -4/9, so the
crack arrives at the outer face 9/4 m lower, at 3.00 m: the factor of the cracked wall is 1.00.
"""

import numpy as np
import pytest

from timbrel.statics.cracked_wall import (
    HeadLoads,
    Stem,
    opening_depth,
    overturning_factor,
    resultant,
    rigid_factor,
)


def march(stem: Stem, level: float, down: float, moment: float, steps: int = 60000) -> float:
    """Width pressed at the base, adding slices that weigh only as far as they are pressed."""
    dy = stem.height / steps
    normal, about = down, moment
    pressed = stem.thickness
    for _ in range(steps):
        normal += stem.weight * pressed * dy
        about += stem.weight * pressed**2 / 2 * dy - level * dy
        pressed = min(stem.thickness, 3 * about / normal)
        if pressed <= 0:
            return 0.0
    return pressed


def test_hand_worked_wall(evidence):
    stem = Stem(thickness=1.0, height=3.0, weight=20e3)
    head = HeadLoads(level=10e3, down=30e3, moment=15e3)
    rigid, cracked = rigid_factor(stem, head, 0.0), overturning_factor(stem, head, 0.0)
    evidence("wall, rigid factor", 1.5, rigid, "hand-worked, moments about the toe")
    evidence("wall, cracked factor", 1.0, cracked, "hand-worked, closed form of the crack")
    assert rigid == pytest.approx(1.5)
    assert opening_depth(stem, head) == pytest.approx(0.75)
    assert cracked == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize(
    ("thickness", "height", "level", "down", "lean"),
    [(0.6, 3.0, 4e3, 40e3, 0.25), (0.45, 2.0, 3e3, 30e3, 0.24), (1.2, 6.0, 9e3, 25e3, 0.7)],
)
def test_against_the_march(thickness, height, level, down, lean, evidence):
    stem = Stem(thickness, height, 18e3)
    head = HeadLoads(level, down, down * lean)
    pressed = resultant(stem, head, np.array([height]))[2][0]
    marched = march(stem, level, down, down * lean)
    evidence(
        f"width pressed at the base, {height:.0f} m wall", marched, pressed, "march, 60 000 beds"
    )
    assert opening_depth(stem, head) is not None
    assert pressed == pytest.approx(marched, rel=1e-3)
    factor = overturning_factor(stem, head, 0.0)
    assert march(stem, level * factor * 0.995, down, down * lean) > 0
    assert march(stem, level * factor * 1.005, down, down * lean) == 0
    assert factor < rigid_factor(stem, head, 0.0)


def test_slender_wall_falls_at_about_half_the_rigid_factor():
    stem = Stem(thickness=0.8, height=6.0, weight=18e3)
    head = HeadLoads(level=1e3, down=10e3, moment=4e3)
    share = overturning_factor(stem, head, 0.0) / rigid_factor(stem, head, 0.0)
    assert 0.3 < share < 0.6


def test_wall_without_thrust_does_not_fall():
    stem = Stem(thickness=0.5, height=3.0, weight=18e3)
    assert overturning_factor(stem, HeadLoads(0.0, 1e4, 2.5e3), 0.0) == np.inf
