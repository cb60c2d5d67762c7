"""The load factor of a net with an opening, by a program written apart and solved by scipy's HiGHS.

Layout of bars as a linear program: Dorn, Gomory and Greenberg 1964. Every free line is a rigid body on
which struts and loads act: three forces and three moments, summed here from the ends of the struts
alone, with the struts that shapely finds outside the opening.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse
from scipy.optimize import linprog
from shapely import LineString, Polygon
from tests.opened_vaults import opened_vault

from timbrel.shape.opened_plan import openings_of
from timbrel.statics.net_opened import outline_of
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_vaults import solid_of


@pytest.mark.parametrize(("family", "rung"), [("dome", 0), ("cloister", 0)])
def test_the_same_factor_comes_from_a_program_written_apart(family: str, rung: int) -> None:
    job, vault = opened_vault(family)
    net = Rungs(job, solid_of(vault))[rung]
    grid, struts = net.net.grid, net.net.struts
    start, end = struts.ends(grid)
    # The opening is missed by a strut's own plan but for what the shell's lean moves it aside.
    hole = Polygon(outline_of(vault, openings_of(job, vault)[0])).buffer(-vault.thickness / 2)
    lines = zip(start[:, :2], end[:, :2], strict=True)
    crossing = [LineString([a, b]).intersects(hole) for a, b in lines]
    assert not any(crossing)
    push = (end - start) / np.linalg.norm(end - start, axis=1)[:, None]
    free = np.flatnonzero(~grid.held)
    place = np.full(grid.size, -1)
    place[free] = np.arange(len(free))
    rows, columns, values = [], [], []
    for node, point, sign in ((struts.i, start, -1.0), (struts.j, end, 1.0)):
        which = np.flatnonzero(place[node] >= 0)
        force = sign * push[which]
        moment = np.cross(point[which] - grid.middle[node[which]], force)
        six = np.concatenate([force, moment], axis=1)
        rows.append((6 * place[node[which]])[:, None] + np.arange(6))
        columns.append(np.repeat(which[:, None], 6, axis=1))
        values.append(six)
    flat = [np.concatenate([a.ravel() for a in part]) for part in (values, rows, columns)]
    matrix = sparse.coo_array((flat[0], (flat[1], flat[2])), shape=(6 * len(free), struts.size))
    load = net.pattern("half.left")
    assert load is not None
    dead, moving = np.zeros(6 * len(free)), np.zeros(6 * len(free))
    dead[2::6], moving[2::6] = net.acts.dead.weight[free], load.weight[free]
    scale = float(np.abs(dead).max())
    equal = sparse.hstack([matrix, sparse.coo_array(-moving[:, None] / scale)]).tocsc()
    cost = np.zeros(struts.size + 1)
    cost[-1] = -1.0
    found = linprog(cost, A_eq=equal, b_eq=dead / scale, bounds=(0, None), method="highs")
    assert found.status == 0
    answer = net.question(load).load_factor()
    assert answer is not None
    assert answer.factor == pytest.approx(-found.fun, rel=1e-4)
