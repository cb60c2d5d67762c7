"""Effective width of a footing under an eccentric load: B' = B - 2e.

Meyerhof 1953, "The bearing capacity of foundations under eccentric and inclined loads" (rule from
memory); figures worked by hand.
"""

import numpy as np
import pytest

from timbrel.job.supports import Ground
from timbrel.statics.footing import effective_width, footing_state
from timbrel.statics.supports import Profile


def block(thickness: float, bay: float = 1.0, web: float = 0.0, web_width: float = 0.0) -> Profile:
    ones = np.ones(2)
    return Profile(
        np.array([0.0, 1.0]),
        thickness * ones,
        web * ones,
        bay * ones,
        web_width * ones,
        18e3,
        18e3,
        bay,
        0.0,
        0.0,
        0.6,
    )


def test_effective_width(evidence):
    ours = float(effective_width(1.2, np.array([0.2]))[0])
    evidence("B' of 1.2 m at e 0.2 m", 0.8, ours, "Meyerhof 1953 (from memory)")
    assert ours == pytest.approx(0.8)
    assert effective_width(1.2, np.array([-0.2, 0.7])) == pytest.approx([0.8, 0.0])


def test_footing_by_hand(evidence):
    """Wall 0.6 m, footing 1.0 m centred, weightless. 90 kN/m at 0.4 m from the inner face, 9 kN/m
    level, 0.5 m deep: e = 0.1 + 9 x 0.5/90 = 0.15 m; B' = 0.7 m; q = 128.57 kN/m2; friction 0.5:
    factor 5."""
    ground = Ground(footing=1000, depth=500, density=1000).model_copy(update={"density": 0.0})
    one = np.array([1.0])
    found = footing_state(ground, block(0.6), 90e3 * one, 0.4 * one, 9e3 * one, one)
    evidence("pressure under the footing (kN/m2)", 128.571, found.pressure[0] / 1e3, "by hand")
    assert found.eccentricity[0] == pytest.approx(0.15)
    assert found.effective[0] == pytest.approx(0.7)
    assert found.pressure[0] == pytest.approx(90e3 / 0.7)
    assert found.sliding[0] == pytest.approx(5.0)


def test_the_footing_weighs_too():
    one = np.array([1.0])
    ground = Ground(depth=500, density=2400)
    found = footing_state(ground, block(0.8), 0.0 * one, 0.0 * one, 0.0 * one, one)
    assert found.pressure[0] == pytest.approx(2400 * 9.81 * 0.5)
    assert found.eccentricity[0] == pytest.approx(0.0, abs=1e-12)


def test_under_a_buttress_the_part_centred_on_the_load_bears():
    """Wall 0.5 m for 1.5 m and a web 0.5 by 0.4 m: a load 0.9 m out bears on 0.2 by 0.4 m."""
    one = np.array([1.0])
    found = footing_state(
        Ground(), block(0.5, 1.5, 0.5, 0.4), 80e3 * one, 0.9 * one, 0.0 * one, one
    )
    assert found.pressure[0] == pytest.approx(80e3 / (0.2 * 0.4))
    inside = footing_state(
        Ground(), block(0.5, 1.5, 0.5, 0.4), 80e3 * one, 0.25 * one, 0.0 * one, one
    )
    assert inside.pressure[0] == pytest.approx(80e3 / (0.5 * 1.5))
