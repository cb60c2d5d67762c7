"""Nets under loads that are not plumb, and their greatest thrust, against separate models.

cvxpy with Clarabel: lines, struts and loads modelled again, six equations a line (the one about the
line itself among them), another algorithm. A semicircle under a level acceleration: the program of
free voussoirs (Livesley 1978) in tests/reference/test_level_share_cvxpy.py.
"""

from __future__ import annotations

from itertools import pairwise

import cvxpy
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import sparse
from tests.reference.test_level_share_cvxpy import independent, semicircle
from tests.reference.test_net_references import Semicircle, job

from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.net import Net, NetQuestion, draw_net
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_grid import sheet_grid
from timbrel.statics.net_lap import LapNet, lap_net
from timbrel.statics.net_level import LevelLoad
from timbrel.statics.net_loads import NetLoad, lump, own_weight, pieces
from timbrel.statics.net_others import Bodies, Body, level_pushes
from timbrel.statics.net_solid import NetGrid
from timbrel.statics.net_vaults import solid_of
from timbrel.words import say

Array = NDArray[np.float64]
TITLE = say("Load")


def modelled(net: Net, dead: NetLoad, push: LevelLoad, factor: float, least: bool) -> float:
    """Least or greatest outward thrust on all supports by cvxpy."""
    grid, struts = net.grid, net.struts
    start, end = struts.ends(grid)
    way = (end - start) / np.linalg.norm(end - start, axis=1)[:, None]
    n, m = grid.size, struts.size
    blocks = []
    for node, point, sign in ((struts.i, start, -1.0), (struts.j, end, 1.0)):
        wrench = np.hstack([sign * way, np.cross(point - grid.middle[node], sign * way)])
        rows = node[:, None] * 6 + np.arange(6)
        columns = np.repeat(np.arange(m)[:, None], 6, axis=1)
        blocks.append(
            sparse.coo_array((wrench.ravel(), (rows.ravel(), columns.ravel())), (6 * n, m))
        )
    matrix = (blocks[0] + blocks[1]).tocsr()
    load = np.zeros((n, 6))
    load[:, 2] = -dead.weight
    load[:, :3] += factor * push.force
    load[:, 3:] += factor * np.cross(grid.half, push.couple)
    size = float(np.abs(load).mean())
    free = np.repeat(~grid.held, 6)
    outward = np.zeros((n, 3))
    met: dict[int, list[Array]] = {}
    for support in grid.supports:
        for node, out in zip(support.nodes.tolist(), support.outward, strict=True):
            met.setdefault(node, []).append(out)
    for node, ways in met.items():
        # In a corner a push a n1 + b n2 is a on the one wall and b on the other.
        outward[node, :2] = ways[0] if len(ways) == 1 else np.linalg.solve(np.array(ways), [1, 1])
    cost = np.einsum("ma,ma->m", way, outward[struts.j] - outward[struts.i])
    force = cvxpy.Variable(m, nonneg=True)
    goal = cvxpy.Minimize(cost @ force) if least else cvxpy.Maximize(cost @ force)
    rules = [matrix[free] @ force == -load.ravel()[free] / size]
    cvxpy.Problem(goal, rules).solve(
        solver=cvxpy.CLARABEL, tol_gap_abs=1e-9, tol_gap_rel=1e-9, tol_feas=1e-9
    )
    return float(cost @ force.value) * size


def shell(grid: NetGrid, solid: object) -> tuple[NetLoad, Bodies]:
    """A shell's own weight on a grid and where it weighs."""
    parts = pieces(solid, grid)  # type: ignore[arg-type]
    weight = own_weight(solid, parts, 18e3)  # type: ignore[arg-type]
    dead = lump(grid, parts, "dead", TITLE, weight, ())
    return dead, Bodies((Body(parts.cell, parts.point, weight),), np.zeros(grid.size))


@pytest.mark.parametrize("least", [True, False])
def test_thrust_of_a_cloister_under_a_level_push(least: bool, evidence) -> None:
    stated = job(family="cloister", directrix="segment", rise=1000)
    solid = solid_of(shape_vault(stated, solve_room(stated.room)))
    net = draw_net(solid, grid_of(solid, 6), 2)
    dead, bodies = shell(net.grid, solid)
    push = level_pushes(net.grid, bodies, 0.1, 0)[0].load
    assert isinstance(push, LevelLoad)
    question = NetQuestion(net, dead, push)
    state = question.thrust(least=least, factor=1.0)
    assert state is not None
    ours = float(question.thrust_cost() @ _shared(question, state.force))
    theirs = modelled(net, dead, push, 1.0, least)
    name = "least" if least else "greatest"
    evidence(f"cloister net with 0.1 g level, {name} thrust (N)", theirs, ours, "cvxpy, Clarabel")
    assert ours == pytest.approx(theirs, rel=1e-5)


def _shared(question: NetQuestion, force: Array) -> Array:
    """Forces that orbits of struts share."""
    found = np.zeros(len(question.rows.members))
    found[question.rows.orbit] = force
    return found


@pytest.mark.parametrize("t", [0.15, 0.25])
def test_level_share_of_a_semicircle(t: float, evidence) -> None:
    """From below: chords of a net lie inside the arch. What is missing halves with the step, and
    drawn on so (Richardson 1911) the share is met within half a per cent."""
    solid, found = Semicircle(t), []
    for steps in (40, 80):
        u, v = np.linspace(0, 1, steps + 1), np.array([0.0, 0.1])
        grid = sheet_grid(solid, u, v, edges=("free", "wall", "free", "wall"))
        net = draw_net(solid, grid, 2)
        dead, bodies = shell(grid, solid)
        right, left = (
            NetQuestion(net, dead, other.load).program.load_factor(1.0)
            for other in level_pushes(grid, bodies, 1.0, 0)[:2]
        )
        assert right is not None and left is not None
        assert right.factor == pytest.approx(left.factor, rel=1e-5)
        found.append(right.factor)
    theirs = independent(semicircle(t, 120), 1.0)
    coarse, fine = found
    drawn = 2 * fine - coarse
    evidence(f"level share by the net, t/R {t}", theirs, drawn, "cvxpy, Clarabel")
    assert coarse < fine < theirs
    assert drawn == pytest.approx(theirs, rel=5e-3)


def pulled(lap: LapNet, tension: float | None, factor: float) -> float:
    """By cvxpy: the greatest multiple of a push with so much tension in the lap, or where it is not
    given the least tension at a multiple."""
    net, push = lap.net, lap.push
    grid, struts = net.grid, net.struts
    start, end = struts.ends(grid)
    pairs = np.stack([lap.first, lap.second], axis=1)
    faces = [
        np.stack([grid.middle[pairs[:, k]] + s * grid.half[pairs[:, k]] for k in (0, 1)])
        for s in (-1, 1)
    ]
    at = np.concatenate([np.stack([start, end]), *faces], axis=1)
    nodes = np.concatenate([np.stack([struts.i, struts.j], axis=1), pairs, pairs])
    pulls = np.concatenate([np.ones(struts.size), -np.ones(2 * len(pairs))])
    way = (at[1] - at[0]) / np.linalg.norm(at[1] - at[0], axis=1)[:, None] * pulls[:, None]
    n, m = grid.size, len(way)
    matrix = sparse.csr_array((6 * n, m))
    for k, sign in ((0, -1.0), (1, 1.0)):
        arm = at[k] - grid.middle[nodes[:, k]]
        wrench = np.hstack([sign * way, np.cross(arm, sign * way)])
        rows = nodes[:, k][:, None] * 6 + np.arange(6)
        columns = np.repeat(np.arange(m)[:, None], 6, axis=1)
        matrix = matrix + sparse.csr_array(
            (wrench.ravel(), (rows.ravel(), columns.ravel())), (6 * n, m)
        )
    free = np.repeat(~grid.held, 6)
    still, moved = np.zeros((n, 6)), np.zeros((n, 6))
    still[:, 2] = -lap.dead.weight
    moved[:, :3] = push.force
    moved[:, 3:] = np.cross(grid.half, push.couple)
    size = float(lap.dead.weight.mean())
    force, much = cvxpy.Variable(m, nonneg=True), cvxpy.Variable(nonneg=True)
    multiple = much if tension is not None else factor
    stretch = force[struts.size : struts.size + len(pairs)] + force[struts.size + len(pairs) :]
    limit = lap.width * (much if tension is None else tension / size)
    balance = matrix[free] @ force == -(still.ravel()[free] + multiple * moved.ravel()[free]) / size
    goal = cvxpy.Minimize(much) if tension is None else cvxpy.Maximize(much)
    cvxpy.Problem(goal, [balance, stretch <= limit]).solve(
        solver=cvxpy.CLARABEL, tol_gap_abs=1e-9, tol_gap_rel=1e-9, tol_feas=1e-9
    )
    return float(much.value) * (size if tension is None else 1.0)


def lapped_groin() -> LapNet:
    stated = job(family="groin", directrix="segment", rise=1000)
    solid = solid_of(shape_vault(stated, solve_room(stated.room)))
    net = draw_net(solid, grid_of(solid, 8), 2)
    dead, bodies = shell(net.grid, solid)
    found = lap_net(net, dead, level_pushes(net.grid, bodies, 1.0, 0)[0].load)
    assert found is not None
    return found


def test_tension_of_the_lap_of_a_groin_that_is_pushed_level(evidence) -> None:
    lap = lapped_groin()
    ours = lap.least_tension(0.1)
    theirs = pulled(lap, None, 0.1)
    assert ours is not None
    evidence(
        "groin net with 0.1 g level, tension of its lap (N/m)", theirs, ours, "cvxpy, Clarabel"
    )
    assert ours == pytest.approx(theirs, rel=1e-4)
    share = lap.share(2 * ours)
    theirs = pulled(lap, 2 * ours, 0.0)
    evidence("groin net, level share with twice that tension", theirs, share, "cvxpy, Clarabel")
    assert share == pytest.approx(theirs, rel=1e-4)
    assert share > 0.1


def test_a_lap_that_carries_nothing_bears_nothing_and_more_bears_no_less() -> None:
    lap = lapped_groin()
    shares = [lap.share(t) for t in (0.0, 20.0, 100.0, 1e5)]
    assert shares[0] == pytest.approx(0.0, abs=1e-5)
    assert all(b >= a * (1 - 1e-6) for a, b in pairwise(shares))
    assert shares[1] > 0.01
    assert lap.least_tension(0.0) == pytest.approx(0.0, abs=1e-3)


def test_what_a_free_edge_cannot_hold_is_seen() -> None:
    """Along the axis of a barrel between free edges nothing presses back: no share is borne."""
    solid = Semicircle(0.2)
    u, v = np.linspace(0, 1, 21), np.array([0.0, 0.1])
    grid = sheet_grid(solid, u, v, edges=("free", "wall", "free", "wall"))
    net = draw_net(solid, grid, 2)
    dead, bodies = shell(grid, solid)
    along = level_pushes(grid, bodies, 1.0, 0)[2].load
    assert NetQuestion(net, dead, along).unheld
    assert NetQuestion(net, dead, along).thrust(least=True, factor=0.01) is None
