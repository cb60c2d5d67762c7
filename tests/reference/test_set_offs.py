"""A wall with set-offs and a step back over the springing, by hand (statics of plain sums; EN 1996-1-1
6.1.2 from memory of the standard). No source has such a wall worked: sums of rectangles."""

import numpy as np
import pytest

from timbrel.job.model import Wall
from timbrel.job.supports import NationalChoices, WallMasonry
from timbrel.statics.descent import Push, descend, overturning_factor
from timbrel.statics.footing import footing_state
from timbrel.statics.supports import wall_profile
from timbrel.statics.wall_en1996 import vertical_resistance, wall_strength

HAND = "plain sums of rectangles, by hand"
UNIT = 2000 * 9.81


def wall(**changes):
    stated = {
        "thickness": 600,
        "height": 3000,
        "above": 2000,
        "above_thickness": 400,
        "density": 2000,
        "setoffs": [{"under": 1000, "out": 200}, {"under": 2000, "out": 300}],
        **changes,
    }
    return Wall.model_validate(stated)


def push(level, down=10e3, into=0.2):
    one = np.ones(1)
    return Push(level * one, 0 * one, down * one, into * one, 0 * one, one)


def test_weight_and_place_of_the_resultant_at_the_base(evidence):
    """0.4 x 2.0 over the springing at 0.4 from the inner face (outer faces flush), then 0.6, 0.8 and
    0.9 by a metre each; the inner face is one plane."""
    profile = wall_profile(wall(), "left", 5.0)
    parts = [(0.4 * 2.0, 0.4), (0.6, 0.3), (0.8, 0.4), (0.9, 0.45)]
    weight = UNIT * sum(area for area, _ in parts) + 10e3
    turning = UNIT * sum(area * at for area, at in parts) + 10e3 * 0.2 + 2e3 * 3.0
    state = descend(profile, push(2e3))
    assert not (state.edge > 0).any()
    # Beds are 3.0/240 apart: a set-off counts from the bed at it.
    evidence("N at the base (kN/m)", weight / 1e3, state.normal[-1, 0] / 1e3, HAND)
    assert state.normal[-1, 0] == pytest.approx(weight, rel=1e-6)
    evidence("resultant at the base (m)", turning / weight, state.at[-1, 0], HAND)
    assert state.at[-1, 0] == pytest.approx(turning / weight, rel=1e-6)


def test_an_inset_moves_the_wall_over_the_springing():
    """Flush inside instead: its weight stands 0.2 m nearer to the inner face."""
    flush_out = descend(wall_profile(wall(), "left", 5.0), push(2e3))
    flush_in = descend(wall_profile(wall(above_inset=0), "left", 5.0), push(2e3))
    moved = UNIT * 0.4 * 2.0 * 0.2
    assert flush_in.normal[-1, 0] == pytest.approx(flush_out.normal[-1, 0])
    assert (flush_out.at - flush_in.at)[-1, 0] * flush_in.normal[-1, 0] == pytest.approx(moved)


def test_set_offs_help_and_a_thin_wall_over_the_springing_does_not():
    even = overturning_factor(wall_profile(wall(setoffs=[]), "left", 5.0), push(4e3), 0)
    stepped = overturning_factor(wall_profile(wall(), "left", 5.0), push(4e3), 0)
    heavy = overturning_factor(wall_profile(wall(above_thickness=None), "left", 5.0), push(4e3), 0)
    assert stepped > even
    assert heavy > stepped


def test_vertical_resistance_at_three_thicknesses(evidence):
    """0.6, 0.8 and 0.9 m, 3 m high, held: h/t = 5, e_init = 3/450; N 100 kN/m in the middle.
    Base: e = 6.67 mm < 0.05 x 0.9 = 45 mm, Phi = 0.9, N_Rd = 0.9 x 0.9 x f_d."""
    strength = wall_strength(WallMasonry.model_validate({"strength": 5.0}), NationalChoices())
    assert strength is not None
    found = vertical_resistance(
        np.full((3, 1), 100e3),
        np.zeros((3, 1)),
        np.array([0.6, 0.8, 0.9]),
        3.0,
        "held",
        strength,
        NationalChoices(),
    )
    assert found.slenderness == pytest.approx(5.0)
    by_hand = 100e3 / (0.9 * 0.9 * 2.0e6)
    evidence("use at the base", by_hand, float(found.base[0]), "EN 1996-1-1 6.1.2.2, by hand")
    assert float(found.base[0]) == pytest.approx(by_hand)
    assert float(found.head[0]) == pytest.approx(100e3 / (0.9 * 0.6 * 2.0e6))


def test_the_footing_stands_under_the_lowest_set_off():
    """A footing of 1.2 m under 0.9 m: 0.15 m beyond either face, its middle under the base's."""
    stated = wall(ground={"footing": 1200, "bearing": 200})
    profile = wall_profile(stated, "left", 5.0)
    state = footing_state(
        stated.ground, profile, np.array([90e3]), np.array([0.5]), np.array([0.0]), np.ones(1)
    )
    assert state.width == pytest.approx(1.2)
    assert state.eccentricity[0] == pytest.approx(0.5 - 0.45)
    assert state.pressure[0] == pytest.approx(90e3 / (1.2 - 2 * 0.05))
