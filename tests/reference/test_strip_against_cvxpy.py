"""The strip's linear program against the same question put block by block in cvxpy.

Here every voussoir is a free body with two upright and two level joint forces at the joint ends
(Livesley 1978), which shares neither unknowns nor rows with the program under test.
"""

import cvxpy as cp
import numpy as np
import pytest

from timbrel.statics.crushing import needed_strength
from timbrel.statics.strip import Strip
from timbrel.statics.thrust_program import ThrustProgram


def segment(seed: int) -> tuple[Strip, np.ndarray, np.ndarray]:
    """A segment of uneven voussoirs, uneven thickness, with a side load among the others."""
    rng = np.random.default_rng(seed)
    n = 24
    half = 0.9 + 0.3 * rng.random()
    a = np.concatenate([[-half], np.sort(rng.uniform(-half, half, n - 1)), [half]])
    way = np.column_stack([np.sin(a), np.cos(a)])
    t = 0.30 + 0.10 * rng.random(n + 1)
    strip = Strip((2 - t[:, None] / 2) * way, (2 + t[:, None] / 2) * way, friction=0.5)
    middle = (a[1:] + a[:-1]) / 2
    at = 2 * np.column_stack([np.sin(middle), np.cos(middle)])
    weight = 1e3 * np.diff(a) * 2
    force = np.column_stack([0.02 * weight, -weight])
    moved = np.column_stack([np.zeros(n), -1e3 * rng.random(n) * (middle > 0.1)])

    def wrench(f: np.ndarray) -> np.ndarray:
        return np.column_stack([f, at[:, 0] * f[:, 1] - at[:, 1] * f[:, 0]])

    return strip, wrench(force), wrench(moved)


def block_by_block(strip: Strip, dead: np.ndarray, live: np.ndarray, goal: str) -> float:
    """goal: "factor", "least" and "greatest" thrust, or the "strength" that the load needs."""
    n = strip.voussoirs
    size = 1.0 if goal == "factor" else 1e3  # numbers near one, for the solver's sake
    dead, live = dead / size, live / size
    inner, outer, shear = cp.Variable(n + 1), cp.Variable(n + 1), cp.Variable(n + 1)
    factor = cp.Variable(nonneg=True)
    rules = [inner >= 0, outer >= 0, cp.abs(shear) <= strip.friction * (inner + outer)]

    def wrench(j: int) -> list:
        nx, nz = strip.across[j]
        ex, ez = strip.along[j]
        fx = (inner[j] + outer[j]) * nx + shear[j] * ex
        fz = (inner[j] + outer[j]) * nz + shear[j] * ez
        (ax, az), (bx, bz) = strip.inner[j], strip.outer[j]
        turn = (
            inner[j] * (ax * nz - az * nx)
            + outer[j] * (bx * nz - bz * nx)
            + shear[j] * (ax * ez - az * ex)
        )
        return [fx, fz, turn]

    for i in range(n):
        left, right = wrench(i), wrench(i + 1)
        for k in range(3):
            rules.append(left[k] - right[k] + dead[i, k] + factor * live[i, k] == 0)
    push = wrench(0)[0]
    need = cp.max(
        cp.hstack(
            cp.quad_over_lin(inner[j] + outer[j], 2 * one[j] * strip.thickness[j])
            for one in (inner, outer)
            for j in range(n + 1)
        )
    )
    if goal == "strength":
        rules.append(factor == 1)
    elif goal != "factor":
        rules.append(factor == 0)
    wanted = {
        "factor": cp.Maximize(factor),
        "least": cp.Minimize(push),
        "greatest": cp.Maximize(push),
        "strength": cp.Minimize(need),
    }[goal]
    problem = cp.Problem(wanted, rules)
    problem.solve(solver=cp.CLARABEL)
    assert problem.status == "optimal"
    return float(problem.value) * size


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_same_answers(seed, evidence):
    strip, dead, live = segment(seed)
    program = ThrustProgram(strip, dead, live[None])
    ours = {
        "factor": float(program.load_factor(0).factors[0]),
        "least": program.least_thrust().line.thrust,
        "greatest": program.greatest_thrust().line.thrust,
        "strength": needed_strength(strip, dead + live),
    }
    for goal, value in ours.items():
        other = block_by_block(strip, dead, live, goal)
        evidence(f"strip {seed}, {goal}", other, value, "the same program written in cvxpy")
        assert value == pytest.approx(other, rel=1e-4 if goal == "strength" else 1e-5)


def test_friction_that_governs_is_seen_by_both():
    strip, dead, live = segment(4)
    slippery = Strip(strip.inner, strip.outer, friction=0.28)
    found = ThrustProgram(slippery, dead, live[None]).load_factor(0)
    free = ThrustProgram(Strip(strip.inner, strip.outer), dead, live[None]).load_factor(0)
    assert found.factors[0] < free.factors[0] * 0.99
    other = block_by_block(slippery, dead, live, "factor")
    assert found.factors[0] == pytest.approx(other, rel=1e-5)
