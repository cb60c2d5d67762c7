"""How thin a vault on a plan could be under its loads, and what is left of its strength."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.statics.net import NetQuestion
from timbrel.statics.net_reserve import (
    CLOSE,
    STANDS,
    THICKEST,
    THINNEST,
    CoarseNet,
    closed_in,
    coarse_net,
    loaded,
    weighing,
)


@given(limit=st.floats(THINNEST * 1.01, THICKEST * 0.999), near=st.floats(0.001, 5.0))
def test_the_least_share_is_closed_in_on_from_anywhere(limit: float, near: float) -> None:
    asked = []

    def stands(share: float) -> bool:
        asked.append(share)
        return share >= limit

    found = closed_in(stands, near)
    assert found is not None
    assert limit <= found <= limit * (1 + CLOSE) * (1 + 1e-12)
    assert found in asked
    assert min(asked) >= THINNEST and max(asked) <= THICKEST


def test_what_never_and_what_always_stands() -> None:
    assert closed_in(lambda _: False, 1.0) is None
    assert closed_in(lambda _: True, 1.0) == THINNEST


@pytest.fixture(scope="module")
def groin() -> CoarseNet:
    job = changed_job("market-groin")
    return coarse_net(job, vault_of(job))


def test_the_governing_arrangement_needs_the_most_thickness(groin: CoarseNet) -> None:
    """Against asking every arrangement for its own least share."""
    dead = groin.least_share(groin.acts.dead, 0.4)
    assert dead is not None
    found = groin.governing(dead)
    assert found is not None
    every = {
        p.key: groin.least_share(loaded(groin.acts, p), 0.6) or np.inf for p in groin.acts.patterns
    }
    assert every[found.key] == pytest.approx(max(every.values()), rel=2 * CLOSE)
    assert every[found.key] > dead


def test_all_loads_grown_alike_change_nothing(groin: CoarseNet) -> None:
    load = loaded(groin.acts, groin.pattern("half.left"))
    grown = weighing(groin.acts, 3.0 * load.weight)
    assert groin.least_share(grown, 0.6) == groin.least_share(load, 0.6)


def test_loads_and_strength_grown_alike_change_nothing(groin: CoarseNet) -> None:
    """Twice the strength bears twice the loads: the closed form that samples lean on."""
    load = loaded(groin.acts, groin.pattern("half.left"))
    left = groin.strength_left(load, 0.8, 0.6e6)
    assert 1 < left < 10
    assert groin.strength_left(load, 0.8, 1.2e6) == pytest.approx(2 * left, rel=2e-3)


def test_too_little_strength_is_a_share_under_one(groin: CoarseNet) -> None:
    load = loaded(groin.acts, groin.pattern("half.left"))
    assert groin.strength_left(load, 0.8, 0.1e6) < 1


def test_a_shell_raised_all_over_is_as_thick_as_before(groin: CoarseNet) -> None:
    """Moved by one amount everywhere, nodes stand that much further along their normals."""
    moved = groin.moved(lambda plan: np.full(len(plan), 0.004))
    off = moved.grid.middle - groin.grid.middle
    along = groin.grid.half / (groin.solid.thickness / 2)
    assert off == pytest.approx(0.004 * along)
    assert np.array_equal(moved.grid.half, groin.grid.half)
    load = loaded(groin.acts, groin.pattern("half.left"))
    share = moved.least_share(load, 0.6)
    assert share is not None
    assert NetQuestion(moved.drawn(share), load).share_of_dead() >= STANDS
    assert NetQuestion(moved.drawn(share / (1 + 2 * CLOSE)), load).share_of_dead() < STANDS
