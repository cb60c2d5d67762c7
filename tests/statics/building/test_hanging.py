"""Hanging tiles, settling and buckling of the first layer."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.statics.building.buckling import critical_thrust
from timbrel.statics.building.hanging import hanging_row, hanging_tile
from timbrel.statics.building.settling import crown_after
from timbrel.words import TimbrelError


@given(st.floats(0.15, 0.5), st.floats(0.08, 0.3), st.floats(0.01, 0.04), st.floats(0.005, 0.015))
def test_a_tile_on_its_bed_alone_is_the_closed_form(
    length: float, width: float, thickness: float, joint: float
) -> None:
    """One edge: even shear W / (l t) and bending W (w/2) / (l t^2 / 6), put together by hand."""
    asked = hanging_tile(length, width, thickness, joint, 1800.0, 0.0, neighbour=False)
    weight = 1800 * 9.81 * thickness * length * width
    pull = weight * width / 2 / (length * thickness**2 / 6)
    slide = weight / (length * thickness)
    assert asked.tension == pytest.approx(pull / 2 + math.hypot(pull / 2, slide), rel=1e-6)


def test_a_neighbour_takes_a_part_of_a_common_tile() -> None:
    tile = (0.28, 0.14, 0.015, 0.010, 1800.0, 0.0)
    assert hanging_tile(*tile).tension < hanging_tile(*tile, neighbour=False).tension


def test_an_upright_tile_asks_nothing_across_its_joints() -> None:
    assert hanging_tile(0.28, 0.14, 0.015, 0.01, 1800.0, math.pi / 2).tension < 1e-9


def test_a_row_that_hangs_asks_more_with_each_tile() -> None:
    arc = np.column_stack([np.arange(1, 6) * 0.15, np.zeros(5)])
    tension = hanging_row(arc, np.full(5, 40.0), 0.015)
    assert tension[0] == pytest.approx(6 * 40 * 0.15 / 0.015**2)
    assert tension[4] == pytest.approx(tension[0] * 15)


def test_crown_drop_is_the_exact_three_hinge_geometry() -> None:
    """c = sqrt(a^2 + r^2), a + spread/2 = c cos(b - turn): derived, exact for a symmetric arch."""
    a, r, spread = 2.0, 0.9, 0.02
    c, b = math.hypot(a, r), math.atan2(r, a)
    turn = b - math.acos((a + spread / 2) / c)
    drop = r - c * math.sin(b - turn)
    got = crown_after(np.array([0.0, 0]), np.array([a, r]), np.array([2 * a, 0.0]), spread)
    assert got.drop == pytest.approx(drop, rel=1e-12)
    assert got.shift == pytest.approx(spread / 2, rel=1e-9)


def test_an_arch_that_is_let_through_says_so() -> None:
    with pytest.raises(TimbrelError, match="lets the arch through"):
        crown_after(np.array([0.0, 0]), np.array([2, 0.05]), np.array([4.0, 0]), 0.05)


def test_buckling_of_a_half_circle_by_hand() -> None:
    """Half angle 90 degrees: q = 3 E I / R^3."""
    t, e, radius = 0.02, 1e9, 2.0
    assert critical_thrust(math.pi * radius, math.pi, t, e) == pytest.approx(
        3 * e * t**3 / 12 / radius**2
    )
