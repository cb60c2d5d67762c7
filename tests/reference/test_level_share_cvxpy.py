"""The level share of weight at which a semicircle becomes a mechanism, against cvxpy.

The independent program knows nothing of thrust lines: every voussoir is a free body held by two
pressing forces and a shear at each joint's ends (Livesley 1978), and the level push grows.
"""

import cvxpy as cp
import numpy as np
import pytest

from timbrel.statics.actions import StripActions
from timbrel.statics.level_push import level_shares
from timbrel.statics.strip import Strip, StripLoad
from timbrel.words import say


def semicircle(t: float, n: int = 40, friction: float | None = 0.8) -> StripActions:
    a = np.linspace(-np.pi / 2, np.pi / 2, n + 1)
    way = np.column_stack([np.sin(a), np.cos(a)])
    strip = Strip((1 - t / 2) * way, (1 + t / 2) * way, friction)
    middle = (a[1:] + a[:-1]) / 2
    at = np.column_stack([np.sin(middle), np.cos(middle)])
    force = np.column_stack([np.zeros(n), np.full(n, -1.0)])
    load = StripLoad("layers", say("Layers"), force, at)
    return StripActions(0.0, strip, (load,), (), (), None, 0.0, "")


def independent(acts: StripActions, way: float) -> float:
    strip, load = acts.strip, acts.permanent[0]
    n = strip.voussoirs
    inner, outer, shear = (cp.Variable(n + 1) for _ in range(3))
    share = cp.Variable()
    rules = [inner >= 0, outer >= 0, cp.abs(shear) <= strip.friction * (inner + outer)]
    nx, nz = strip.across.T
    ex, ez = strip.along.T
    (ax, az), (bx, bz) = strip.inner.T, strip.outer.T
    fx = cp.multiply(inner + outer, nx) + cp.multiply(shear, ex)
    fz = cp.multiply(inner + outer, nz) + cp.multiply(shear, ez)
    turn = (
        cp.multiply(inner, ax * nz - az * nx)
        + cp.multiply(outer, bx * nz - bz * nx)
        + cp.multiply(shear, ax * ez - az * ex)
    )
    weight = -load.force[:, 1]
    x, z = load.at.T
    rules += [
        fx[:-1] - fx[1:] + share * (way * weight) == 0,
        fz[:-1] - fz[1:] - weight == 0,
        turn[:-1] - turn[1:] - x * weight - share * (way * z * weight) == 0,
    ]
    problem = cp.Problem(cp.Maximize(share), rules)
    problem.solve(solver=cp.CLARABEL)
    return float(problem.value)


@pytest.mark.parametrize("t", [0.15, 0.25])
def test_share_of_a_semicircle(t, evidence):
    acts = semicircle(t)
    shares = level_shares(acts)
    other = independent(acts, 1.0)
    evidence(f"level share, semicircle t/R {t}", other, shares.right.static, "program in cvxpy")
    assert shares.right.static == pytest.approx(other, rel=1e-5)
    assert shares.left.static == pytest.approx(shares.right.static, rel=1e-6)
    assert shares.right.gap < 1e-4
    assert shares.least == min(shares.right.static, shares.left.static, shares.along)


def test_along_the_axis_friction_holds():
    """At a semicircle's springing the thrust is the shear: each side holds sqrt((mu V)^2 - H^2)."""
    acts = semicircle(0.2)
    shares = level_shares(acts)
    weight = acts.permanent[0].total
    assert 0 < shares.along < 0.8
    assert shares.along * weight < 0.8 * weight


def test_without_friction_the_axis_is_not_known():
    assert level_shares(semicircle(0.2, friction=None)).along is None
