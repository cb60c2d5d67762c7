"""A pier pushed both ways by EN 1996-1-1:2005, worked by hand from the clauses (from memory).

No published worked example of a pier pushed both ways is at hand to quote. Pier 0.6 m square, 2.4 m,
held at its head: h_ef 2.4 m, h_ef/t 4, e_init = 2400/450 = 5.333 mm. Resultant 50 mm off along x and
20 mm along y: ex = 55.33 mm, ey = max(25.33, 0.05 x 600) = 30 mm. Block (1 - 110.67/600)(1 - 60/600) =
0.8156 x 0.9 = 0.7340. Middle: (1 - 0.7340)/2 = 0.1330, u = (4 x 0.031623 - 0.063)/(0.73 - 1.17 x
0.1330) = 0.06349/0.57439 = 0.11054, Phi = 0.7340 x exp(-0.00611) = 0.7295.
"""

import numpy as np
import pytest

from timbrel.job.supports import NationalChoices, WallMasonry
from timbrel.statics.pier_en1996 import pier_resistance, pier_slenderness, springer_bearing
from timbrel.statics.pier_shape import BEDS, PierShape
from timbrel.statics.wall_en1996 import vertical_resistance, wall_strength

HAND = "EN 1996-1-1:2005, worked by hand from the clause (from memory)"
NATIONAL = NationalChoices()
STRENGTH = wall_strength(WallMasonry(strength=4), NATIONAL)


def resistances(shape, at, head="held", normal=2e5):
    where = np.tile(np.asarray(at, float), (BEDS + 1, 1))
    return pier_resistance(shape, np.full(BEDS + 1, normal), where, head, STRENGTH, NATIONAL)


def test_a_pier_pushed_both_ways_by_hand(evidence):
    head, middle, base = resistances(PierShape(0.6, 2.4, 18e3), (0.05, -0.02))
    evidence("Phi at the head of a pier pushed both ways", 0.7340, head.reduction, HAND)
    evidence("Phi in the middle of it", 0.7295, middle.reduction, HAND)
    assert head.away == pytest.approx([0.05533, -0.03], abs=1e-5)
    assert head.reduction == pytest.approx(0.7340, abs=1e-4)
    assert base.reduction == pytest.approx(0.7340, abs=1e-4)
    assert middle.reduction == pytest.approx(0.7295, abs=1e-4)
    assert head.resistance == pytest.approx(0.7340 * 0.36 * 1.6e6, rel=1e-3)
    assert middle.use == pytest.approx(2e5 / (0.7295 * 0.36 * 1.6e6), rel=1e-3)


@pytest.mark.parametrize(("height", "off"), [(3.0, 0.1), (9.0, 0.05), (9.6, 0.12)])
def test_pushed_square_to_a_face_it_is_a_wall_with_the_least_eccentricity_the_other_way(
    height, off
):
    """At head and base: 0.6 m of wall by 6.1.2, times 1 - 2 max(e_init, 0.05 t)/t across."""
    side = 0.6
    head, middle, base = resistances(PierShape(side, height, 18e3), (off, 0.0))
    wall = vertical_resistance(
        np.full((3, 1), 1e5), np.full((3, 1), off), side, height, "held", STRENGTH, NATIONAL
    )
    across = 1 - 2 * max(height / 450, 0.05 * side) / side
    assert head.reduction == pytest.approx(float(wall.reductions[0, 0]) * across)
    assert base.reduction == pytest.approx(float(wall.reductions[2, 0]) * across)
    assert middle.reduction <= float(wall.reductions[1, 0])


def test_slenderness_of_a_pier():
    assert pier_slenderness(PierShape(0.6, 3.0, 18e3), "held") == pytest.approx(5.0)
    assert pier_slenderness(PierShape(0.6, 3.0, 18e3), "free") == pytest.approx(10.0)


def test_a_resultant_outside_bears_nothing():
    head, _, _ = resistances(PierShape(0.6, 2.4, 18e3), (0.29, 0.0))
    assert head.resistance > 0
    for found in resistances(PierShape(0.6, 2.4, 18e3), (0.31, 0.0)):
        assert found.resistance == 0
        assert found.use == np.inf


def test_bed_under_a_springer_by_hand(evidence):
    """0.3 m square on a pier of 0.6 m, 1.0 m high: the load spreads to one side by 0.5/tan 60 = 0.2887
    m, A_ef = 0.5887 x 0.6; A_b/A_ef = 0.09/0.3532 = 0.2548; beta = 1.5 - 1.1 x 0.2548 = 1.2197."""
    beta, bears = springer_bearing(PierShape(0.6, 1.0, 18e3), 0.3, STRENGTH)
    evidence("beta under a springer at the edge of a pier", 1.2197, beta, HAND)
    assert beta == pytest.approx(1.2197, abs=1e-4)
    assert bears == pytest.approx(1.2197 * 0.09 * 1.6e6, rel=1e-4)
    assert springer_bearing(PierShape(0.6, 2.4, 18e3), 0.1, STRENGTH)[0] == 1.25
    # No bed is wider than its pier.
    assert springer_bearing(PierShape(0.6, 2.4, 18e3), 0.9, STRENGTH) == pytest.approx(
        springer_bearing(PierShape(0.6, 2.4, 18e3), 0.6, STRENGTH)
    )
