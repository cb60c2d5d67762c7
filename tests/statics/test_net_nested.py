"""Larger candidate sets never carry less: families on a plan, in rooms out of square. A sail between
walls is left out: nothing but its strength bounds it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from timbrel.shape.vault import shape_vault
from timbrel.statics.net import NetQuestion, draw_net
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_loads import lump, own_weight, pieces
from timbrel.statics.net_vaults import solid_of
from timbrel.words import say

TITLE = say("Load")
MOST = 1e4  # times 1 kN/m2: past it nothing but crushing bounds a load, and nothing is compared
ROOM = np.array([[0, 0, 2.1], [3.6, 0, 2.1], [3.6, 3.6, 2.1], [0, 3.6, 2.1]], float)


@pytest.mark.parametrize("family", ["groin", "cloister", "dome"])
@settings(
    max_examples=2,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    moved=st.lists(st.floats(-0.15, 0.15), min_size=8, max_size=8),
    turn=st.floats(0.0, 2 * np.pi),
)
def test_more_candidates_never_carry_less(
    trial_job: Any, family: str, moved: list[float], turn: float
) -> None:
    corners = ROOM.copy()
    corners[:, :2] += np.reshape(moved, (4, 2))
    stated: Any = SimpleNamespace(
        corners=corners, measures=(), checks=(), near_end="wall", far_end="wall"
    )
    vault = shape_vault(trial_job(curve={"family": family, "rise": 800}), stated)
    solid = solid_of(vault).thinned(0.5)
    factors = []
    for reach in (1, 2, 3):
        net = draw_net(solid, grid_of(solid, 6), reach)
        parts = pieces(solid, net.grid)
        side = (parts.point[:, :2] - corners[:, :2].mean(axis=0)) @ (np.cos(turn), np.sin(turn)) > 0
        dead = lump(net.grid, parts, "d", TITLE, own_weight(solid, parts, 18e3), ())
        live = lump(net.grid, parts, "l", TITLE, parts.level * side * 1e3, ())
        answer = NetQuestion(net, dead, live).load_factor(MOST)
        factors.append(0.0 if answer is None else answer.factor)
    assert factors[1] >= factors[0] * (1 - 1e-6)
    assert factors[2] >= factors[1] * (1 - 1e-6)
    # So thin a vault may carry nothing, or all that its strength bears: nothing was compared then.
    assume(0 < factors[2] < MOST)
