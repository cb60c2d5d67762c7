"""Circles through measured points: Kasa 1976 and Pratt 1987 against scipy and exact arcs.

Kasa, IEEE Trans. Instrum. Meas. 25 (1976); Pratt, SIGGRAPH 1987; geometric fit by
scipy.optimize.least_squares; that Kasa leans to small circles on short arcs: Chernov 2010, ch. 5.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares
from tests.conftest import Evidence

from timbrel.shape.circle import kasa_circle, pratt_circle
from timbrel.words import TimbrelError


def arc(radius: float, half: float, n: int, noise: float = 0.0, seed: int = 0) -> np.ndarray:
    turn = np.linspace(-half, half, n)
    rough = radius + np.random.default_rng(seed).normal(0, noise, n)
    return np.column_stack([3 + rough * np.sin(turn), 1 + rough * np.cos(turn)])


@given(st.floats(0.5, 20), st.floats(0.2, 3.0), st.integers(3, 60))
def test_exact_arcs_are_found(radius: float, half: float, n: int) -> None:
    points = arc(radius, half, n)
    for fit in (kasa_circle, pratt_circle):
        circle = fit(points)
        assert circle.radius == pytest.approx(radius, rel=1e-6)
        assert circle.centre == pytest.approx((3, 1), abs=1e-5 * radius)
        assert np.abs(circle.distance(points)).max() < 1e-6 * radius


def test_noisy_points_against_the_geometric_fit(evidence: Evidence) -> None:
    points = arc(3.0, 0.8, 40, noise=0.002, seed=7)

    def misfit(p: np.ndarray) -> np.ndarray:
        return np.hypot(points[:, 0] - p[0], points[:, 1] - p[1]) - p[2]

    best = least_squares(misfit, [3, 1, 3]).x[2]
    ours = pratt_circle(points).radius
    evidence("circle through 40 noisy points, radius (Pratt)", best, ours, "scipy least_squares")
    assert ours == pytest.approx(best, rel=2e-4)
    assert kasa_circle(points).radius == pytest.approx(best, rel=2e-2)


def test_kasa_leans_to_small_circles_on_short_arcs() -> None:
    fits = [
        (kasa_circle(p).radius, pratt_circle(p).radius)
        for p in (arc(3.0, 0.3, 40, noise=0.005, seed=s) for s in range(40))
    ]
    kasa, pratt = np.mean(fits, axis=0)
    assert kasa < pratt
    assert abs(pratt - 3.0) < abs(kasa - 3.0)


def test_points_on_a_line_are_refused() -> None:
    line = np.column_stack([np.arange(5.0), 2 * np.arange(5.0)])
    for fit in (kasa_circle, pratt_circle):
        with pytest.raises(TimbrelError, match="straight line"):
            fit(line)
