"""The interior point of nets: begun near a like program, and where nothing holds the load."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import sparse
from tests.statics.test_net import groin_net, half_loaded

from timbrel.statics.net import Net, NetQuestion, crushing_of
from timbrel.statics.net_interior import solve_interior
from timbrel.statics.net_linear import LinearNet
from timbrel.statics.net_loads import NetLoad

STEPS = 8


@pytest.fixture(scope="module")
def groin() -> tuple[Net, NetLoad, NetLoad]:
    net = groin_net(STEPS)
    return (net, *half_loaded(net))


@settings(max_examples=8, deadline=None)
@given(st.lists(st.floats(0.0, 1.5), min_size=2, max_size=3), st.booleans())
def test_a_question_asked_again_answers_as_a_new_one(
    groin: tuple[Net, NetLoad, NetLoad], factors: list[float], strong: bool
) -> None:
    net, dead, live = groin
    crushing = crushing_of(net, 2e6) if strong else None
    again = NetQuestion(net, dead, live, crushing=crushing)
    cost = again.thrust_cost()
    for factor in factors:
        ours = again.thrust(least=True, factor=factor)
        new = NetQuestion(net, dead, live, crushing=crushing).thrust(least=True, factor=factor)
        assert (ours is None) == (new is None)
        if ours is not None and new is not None:
            # One force of each set of like ones.
            _, one = np.unique(again.rows.orbit, return_index=True)
            assert cost @ ours.force[one] == pytest.approx(cost @ new.force[one], rel=1e-5)


def test_chords_of_the_strength_put_in_step_by_step_lead_to_the_optimum_of_all(
    groin: tuple[Net, NetLoad, NetLoad],
) -> None:
    net, dead, live = groin
    crushing = crushing_of(net, 1.5e6)
    ours = NetQuestion(net, dead, live, crushing=crushing).load_factor()
    other = NetQuestion(net, dead, live, crushing=crushing, solver="highs").load_factor()
    assert ours is not None and other is not None
    assert ours.factor < ours.rigid * (1 - 1e-4)  # the strength matters
    # Which chords are broken hangs on the answer among equals: as near as a chord may be broken.
    assert ours.factor == pytest.approx(other.factor, rel=1e-3)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.integers(2, 6), st.integers(3, 14))
def test_a_load_that_nothing_holds_is_told_as_by_another_solver(
    seed: int, rows: int, columns: int
) -> None:
    """Cones of random struts: the load lies inside, or outside by more than rounding."""
    rng = np.random.default_rng(seed)
    matrix = sparse.csr_array(rng.normal(size=(rows, columns)))
    load = rng.normal(size=rows)
    other = LinearNet(matrix, load, solver="highs").solve(np.zeros(rows), load)
    ours = LinearNet(matrix, load).solve(np.zeros(rows), load)
    assert ours is not None and other is not None
    assert ours.factor == pytest.approx(other.factor, abs=1e-6)
    held = LinearNet(matrix, load).solve(load)
    assert (held is None) == (other.factor < 0.5)


def test_its_duals_prove_that_nothing_holds() -> None:
    """Two struts that both push to the right hold no load to the right (Farkas 1902)."""
    matrix = sparse.csr_array(np.array([[1.0, 1.0], [1.0, -1.0]]))
    load = np.array([-1.0, 0.0])
    net = LinearNet(matrix, load)
    found = solve_interior(net.band, np.zeros(2), np.zeros(2), load, 1.0)
    assert found is not None and found.factor == 0.0 and found.steps < 20
    assert (matrix.T @ found.dual).max() <= 1e-9
    assert abs(load @ found.dual) == pytest.approx(1.0)
    refused = solve_interior(net.band, load, np.zeros(2), None, 1.0)
    assert refused is not None and refused.refuted
