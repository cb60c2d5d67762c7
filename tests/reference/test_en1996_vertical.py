"""EN 1996-1-1:2005 strength and vertical resistance, worked by hand.

No worked example of a book is at hand to quote; the figures are worked by hand from the clauses
(recalled from memory of the standard). Curve of annex G, figure G.1 (E = 1000 fk, e = 0.05 t,
slenderness 20): about 0.63, read from memory.
"""

import numpy as np
import pytest

from timbrel.job.supports import NationalChoices, WallMasonry
from timbrel.statics.wall_en1996 import (
    bed_shear_strength,
    characteristic_strength,
    end_reduction,
    middle_reduction,
    springer_enhancement,
    vertical_resistance,
    wall_strength,
)

HAND = "EN 1996-1-1:2005, worked by hand from the clause (from memory)"


def test_strength_formula(evidence):
    # 0.55 x 10^0.7 x 5^0.3 = 0.55 x 5.0119 x 1.6207 = 4.467
    ours = characteristic_strength(10e6, 5e6, 0.55) / 1e6
    evidence("fk, fb 10, fm 5, K 0.55 (N/mm2)", 4.467, ours, f"{HAND}, 3.6.1.2")
    assert ours == pytest.approx(4.467, abs=5e-4)


def test_strength_is_capped_by_mortar_and_unit():
    assert characteristic_strength(5e6, 20e6, 0.55) == characteristic_strength(5e6, 10e6, 0.55)
    assert characteristic_strength(90e6, 5e6, 0.55) == characteristic_strength(75e6, 5e6, 0.55)


@pytest.mark.parametrize(
    ("share", "slender", "by_hand"),
    [
        # u = (20 x 0.031623 - 0.063)/(0.73 - 0.0585) = 0.56946/0.6715 = 0.84804; 0.9 e^-0.35959
        (0.05, 20.0, 0.62817),
        # u = (15 x 0.031623 - 0.063)/(0.73 - 0.234) = 0.41134/0.496 = 0.82932; 0.6 e^-0.34388
        (0.20, 15.0, 0.42540),
    ],
)
def test_middle_of_the_wall(share, slender, by_hand, evidence):
    ours = float(middle_reduction(np.array([share * 0.2]), 0.2, slender)[0])
    evidence(f"Phi_m, e/t {share}, h/t {slender:.0f}", by_hand, ours, f"{HAND}, annex G")
    assert ours == pytest.approx(by_hand, abs=1e-5)


def test_far_out_the_buckling_column_governs(evidence):
    # 0.64 pi^2 1000 0.1^3/10^2 = 0.06317; annex G alone 0.2 exp(-(0.25323/0.262)^2/2) = 0.1254
    ours = float(middle_reduction(np.array([0.4]), 1.0, 10.0)[0])
    evidence("Phi_m, e/t 0.4, h/t 10", 0.06317, ours, "Yokel 1971, from memory, by hand")
    assert ours == pytest.approx(0.06317, abs=1e-5)


def test_figure_g1_read_from_memory(evidence):
    ours = float(middle_reduction(np.array([0.05]), 1.0, 20.0)[0])
    evidence("Phi_m read from figure G.1", 0.63, ours, "EN 1996-1-1 figure G.1, from memory")
    assert ours == pytest.approx(0.63, abs=0.01)


def test_whole_wall_by_hand(evidence):
    """215 mm wall, 2.7 m, held; 100 kN/m at e 20 mm, 0 and 0; fk 4.467, gamma 2.5.

    e_init = 2700/450 = 6 mm. Head: e = 26 mm, Phi = 1 - 52/215 = 0.7581, N_Rd = 0.7581 x 215 x
    1.7868 = 291.2 kN/m. Middle: e = max(6, 10.75) = 10.75 mm, h/t = 12.56, u = (0.39713 -
    0.063)/(0.73 - 0.0585) = 0.49758, Phi = 0.9 e^-0.12379 = 0.7952.
    """
    national = NationalChoices()
    strength = wall_strength(WallMasonry(unit=10, mortar=5), national)
    wall = vertical_resistance(
        np.full((3, 1), 100e3),
        np.array([[0.020], [0.0], [0.0]]),
        0.215,
        2.7,
        "held",
        strength,
        national,
    )
    capacity = 100.0 / float(wall.head[0])
    evidence("N_Rd at the head of a 215 mm wall (kN/m)", 291.2, capacity, f"{HAND}, 6.1.2")
    assert capacity == pytest.approx(291.2, abs=0.1)
    assert float(wall.reductions[1, 0]) == pytest.approx(0.7952, abs=1e-4)
    assert wall.governs == ("head", 0)


def test_a_free_head_doubles_the_effective_height():
    national = NationalChoices()
    strength = wall_strength(WallMasonry(strength=4), national)
    normal, e = np.full((3, 1), 1e5), np.zeros((3, 1))
    held = vertical_resistance(normal, e, 0.2, 2.0, "held", strength, national)
    free = vertical_resistance(normal, e, 0.2, 2.0, "free", strength, national)
    assert free.slenderness == 2 * held.slenderness == pytest.approx(20.0)
    assert free.middle[0] > held.middle[0]


def test_end_reduction_falls_to_nothing_at_the_face():
    assert end_reduction(np.array([0.1, 0.12]), 0.2) == pytest.approx([0.0, 0.0])


def test_springer_enhancement_by_hand(evidence):
    # share 0.1/0.4 = 0.25: 1.5 - 1.1 x 0.25 = 1.225, under 1.25
    ours = springer_enhancement(0.1, 0.4, 0.0, 2.0)
    evidence("beta of a springer", 1.225, ours, f"{HAND}, 6.1.3")
    assert ours == pytest.approx(1.225)
    assert springer_enhancement(0.4, 0.4, 0.0, 2.0) == pytest.approx(1.005)
    assert springer_enhancement(0.05, 0.4, 0.0, 2.0) == 1.25


def test_bed_shear_by_hand():
    strength = wall_strength(WallMasonry(unit=10, mortar=5), NationalChoices())
    found = bed_shear_strength(np.array([0.5e6, 5e6]), strength, NationalChoices())
    assert found == pytest.approx([0.4e6, 0.65e6])


def test_unknown_masonry_has_no_strength():
    assert wall_strength(WallMasonry(unit=10), NationalChoices()) is None
