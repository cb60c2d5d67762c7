"""Fixed and two-hinged parabolic arches, inertia I = I_c sec(slope), no axial shortening.

Karnovsky, Theory of Arched Structures (Springer 2012), table A.19: point load P at the crown gives
a thrust 15 P l / (64 f), a springing moment P l / 32 and a crown moment 3 P l / 64. Two-hinged:
25 P l / (128 f), a common examination result. Temperature: 45 E I_c alpha dT / (4 f^2) (derived).
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.conftest import Evidence

from timbrel.statics.elastic import ElasticArch, elastic_answer

SPAN, RISE, SEGMENTS = 10.0, 2.5, 400
TABLE = "Karnovsky 2012, table A.19"


@pytest.fixture
def arch() -> ElasticArch:
    x = np.linspace(0, SPAN, SEGMENTS + 1)
    axis = np.column_stack([x, 4 * RISE / SPAN**2 * x * (SPAN - x)])
    secant = np.hypot(*np.diff(axis, axis=0).T) / np.diff(x)
    return ElasticArch(axis, secant, np.full(SEGMENTS, np.inf), np.zeros(SEGMENTS + 1))


def crown_load() -> np.ndarray:
    loads = np.zeros((SEGMENTS + 1, 2))
    loads[SEGMENTS // 2, 1] = -1.0
    return loads


def test_point_load_at_the_crown_of_a_fixed_arch(arch: ElasticArch, evidence: Evidence) -> None:
    answer = elastic_answer(arch, crown_load())
    rows = {
        "fixed parabola, load at crown: thrust": (15 * SPAN / (64 * RISE), answer.thrust),
        "the same: springing moment": (SPAN / 32, answer.moment[0]),
        "the same: crown moment": (3 * SPAN / 64, answer.moment[SEGMENTS // 2]),
    }
    for what, (published, ours) in rows.items():
        evidence(what, published, ours, TABLE)
        assert ours == pytest.approx(published, rel=1e-4)


def test_point_load_at_the_crown_of_a_two_hinged_arch(
    arch: ElasticArch, evidence: Evidence
) -> None:
    ends = np.zeros(SEGMENTS + 1, dtype=bool)
    ends[[0, -1]] = True
    answer = elastic_answer(arch.hinged_at(ends), crown_load())
    published = 25 * SPAN / (128 * RISE)
    evidence("two-hinged parabola, load at crown: thrust", published, answer.thrust, "any text")
    assert answer.thrust == pytest.approx(published, rel=1e-4)
    assert abs(answer.moment[0]) < 1e-6


def test_temperature_thrust(arch: ElasticArch, evidence: Evidence) -> None:
    answer = elastic_answer(arch, np.zeros((SEGMENTS + 1, 2)), strain=1e-3)
    published = 45 * 1e-3 / (4 * RISE**2)
    evidence("fixed parabola, temperature thrust", published, answer.thrust, "derived")
    assert answer.thrust == pytest.approx(published, rel=1e-4)
