"""Thrusts that a pencil takes on a plan, each by an independent integral.

Sources: the elliptic paraboloid on four edges, N = w a^2/(16 f) (Pucher; restated in texts on shells);
the three-pinned arch, w L^2/(8 f) (statics); meridian force of a sphere w R/(1 + cos a) and the ring
that turns to tension where cos a = (sqrt 5 - 1)/2 (any text on shells; derivable). The slices of a
groin and of a cloister: derived here by integrating strip by strip, no source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from timbrel.shape.plan import QuadPlan
from timbrel.site.hand_laws import STEEPEST_MEMBRANE
from timbrel.site.hand_moments import about_nearer, about_walls

A, F, W = 3.4, 0.7, 2200.0
"""Side, rise (m) and even load (N/m2) of a square vault of parabolas."""


def level(x: float) -> float:
    return 4 * F * x * (A - x) / A**2


def even_square(n: int = 400) -> tuple[QuadPlan, np.ndarray, np.ndarray]:
    corners = np.array([[0, 0, 0], [A, 0, 0], [A, A, 0], [0, A, 0.0]])
    x, y = np.meshgrid(*[(np.arange(n) + 0.5) / n * A] * 2)
    return (
        QuadPlan(corners),
        np.column_stack([x.ravel(), y.ravel()]),
        np.full(n * n, W * A**2 / n**2),
    )


def test_strips_of_a_groin_add_up_to_the_moment_of_its_half() -> None:
    """A strip at y from its wall spans A - 2 y between the groins and rises F - level(y): every
    one of a parabola pushes w A^2/(8 F), and all of them on two corners make M/F."""

    def strip(y: float) -> float:
        return W * (A - 2 * y) ** 2 / (8 * (F - level(y)))

    assert strip(0.3) == pytest.approx(W * A**2 / (8 * F)) == pytest.approx(strip(1.2))
    on_two_corners = 2 * quad(strip, 0, A / 2)[0]
    plan, at, weight = even_square()
    assert about_nearer(plan, at, weight, (3, 1)) / 2 / F == pytest.approx(on_two_corners, rel=1e-4)


def test_strips_of_a_cloister_fall_straight_to_the_corner() -> None:
    """A strip at x along the wall has w x of load and leaves the shell at 4 F/A: w x A/(4 F), half
    of w A^2/(8 F) on the mean; its rulings are pressed all the way (the thrust grows downward)."""

    def at_springing(x: float) -> float:
        return W * min(x, A - x) * A / (4 * F)

    assert at_springing(A / 2) == pytest.approx(W * A**2 / (8 * F))
    total = quad(at_springing, 0, A, points=[A / 2])[0]
    assert total / A == pytest.approx(W * A**2 / (16 * F))
    for x in (0.4, 1.0, 1.6):
        y = np.linspace(0, x, 50)
        thrust = W * (x - y) / (4 * F * (A - 2 * y) / A**2)
        assert (np.diff(thrust) <= 1e-9).all()
    plan, at, weight = even_square()
    _, weights = about_walls(plan, at, weight)
    assert weights[0] / (4 * F / A) == pytest.approx(total, rel=1e-3)


def test_a_web_that_turns_about_its_wall_needs_a_third_of_the_strip() -> None:
    """M/F of the triangle, w A^2/24 over F on the mean: no state of the cloister pushes less."""
    plan, at, weight = even_square()
    moments, _ = about_walls(plan, at, weight)
    inner = quad(lambda y: W * y * (A - 2 * y), 0, A / 2)[0]
    assert moments[0] == pytest.approx(inner, rel=2e-3)
    assert inner / F / A == pytest.approx(W * A**2 / (8 * F) / 3)


def test_an_elliptic_paraboloid_takes_half_of_the_load_each_way() -> None:
    """Pucher: N_x = N_y = w a^2/(16 f), f the rise of each arch."""
    plan, at, weight = even_square()
    on_a_wall = about_nearer(plan, at, weight, (0, 2)) / 4 / F
    assert on_a_wall / A == pytest.approx(W * A**2 / (16 * F), rel=1e-4)


def test_the_ring_of_a_sphere_turns_to_tension() -> None:
    """H of the membrane, (1 - cos a) cot a, is greatest where its ring carries nothing."""
    found = minimize_scalar(lambda a: -(1 - math.cos(a)) / math.tan(a), bounds=(0.2, 1.5),
                            method="bounded", options={"xatol": 1e-10})  # fmt: skip
    assert found.x == pytest.approx(STEEPEST_MEMBRANE, abs=1e-6)
    assert math.degrees(STEEPEST_MEMBRANE) == pytest.approx(51.83, abs=0.005)
