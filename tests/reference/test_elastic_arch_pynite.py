"""The elastic arch against the general-purpose frame library PyNiteFEA, 200 straight elements."""

from __future__ import annotations

import numpy as np
import pytest
from Pynite import FEModel3D
from tests.conftest import Evidence

from timbrel.statics.elastic import ElasticArch, elastic_answer

SPAN, RISE, THICKNESS, MODULUS, N = 4.0, 0.9, 0.02, 1.2e9, 200


def axis() -> np.ndarray:
    radius = SPAN**2 / (8 * RISE) + RISE / 2
    half = np.arcsin(SPAN / 2 / radius)
    turn = np.linspace(-half, half, N + 1)
    return np.column_stack(
        [radius * np.sin(turn) + SPAN / 2, radius * (np.cos(turn) - np.cos(half))]
    )


def frame(points: np.ndarray, loads: np.ndarray, thickness: np.ndarray) -> FEModel3D:
    model = FEModel3D()
    model.add_material("masonry", MODULUS, MODULUS / 2.4, 0.2, 0.0)
    for k, (x, z) in enumerate(points):
        model.add_node(f"n{k}", x, z, 0)
        model.def_support(f"n{k}", *([k in (0, N)] * 2), True, True, True, k in (0, N))
        model.add_node_load(f"n{k}", "FX", loads[k, 0])
        model.add_node_load(f"n{k}", "FY", loads[k, 1])
    for k, t in enumerate(thickness):
        model.add_section(f"s{k}", t, t**3 / 12, t**3 / 12, t**3 / 6)
        model.add_member(f"m{k}", f"n{k}", f"n{k + 1}", "masonry", f"s{k}")
    model.analyze_linear(check_statics=False)
    return model


@pytest.mark.parametrize("one_sided", [False, True], ids=["even", "one-sided"])
def test_segment_against_a_frame(one_sided: bool, evidence: Evidence) -> None:
    points = axis()
    thickness = np.full(N, THICKNESS)
    loads = np.zeros((N + 1, 2))
    loads[:, 1] = -2.0
    loads[N // 3] += (3.0, -50.0)
    if one_sided:
        thickness[: N // 2] = 0.05
        loads[: N // 2, 1] -= 4.0
    arch = ElasticArch.uniform(points, thickness, MODULUS)
    answer = elastic_answer(arch, loads)
    reactions = frame(points, loads, thickness).nodes["n0"]
    case = "one-sided second layer" if one_sided else "own weight and a hand"
    for what, theirs, ours in (
        ("thrust", reactions.RxnFX["Combo 1"], answer.thrust),
        ("springing moment", -reactions.RxnMZ["Combo 1"], answer.moment_left),
    ):
        evidence(f"fixed segment, {case}: {what}", theirs, ours, "PyNiteFEA, 200 elements")
        assert ours == pytest.approx(theirs, rel=5e-3)


def test_influence_lines_are_reciprocal() -> None:
    """Maxwell: what a load at i does at j (here through the thrust) mirrors left to right."""
    points = axis()
    arch = ElasticArch.uniform(points, THICKNESS, MODULUS)

    def thrust(joint: int) -> float:
        loads = np.zeros((N + 1, 2))
        loads[joint, 1] = -1.0
        return elastic_answer(arch, loads).thrust

    for joint in (10, 40, 77):
        assert thrust(joint) == pytest.approx(thrust(N - joint), rel=1e-9)
