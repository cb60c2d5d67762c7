"""The program of three strips round an opening, written again block by block in cvxpy.

cvxpy (Diamond and Boyd 2016, J. Machine Learning Research 17) with the Clarabel solver: every joint
of every strip has its own force and moment, every voussoir its own equilibrium, the stress block its
true parabola as a second-order cone (EN 1996-1-1:2005 6.1.1) in place of chords. Nothing of the
program under test is used but the strips and the loads.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.opened_jobs import hatch, opened

from timbrel.bond.ring import trim_opening
from timbrel.shape.opened import place_openings
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.actions import fill_levels
from timbrel.statics.strip import Strip
from timbrel.statics.trimmed import Beside, sides_of

cp = pytest.importorskip("cvxpy")


def side_of(**changed: Any) -> Beside:
    job = opened([hatch(**changed)])
    vault = shape_vault(job, solve_room(job.room))
    placed = place_openings(job, vault)
    ring = trim_opening(job, vault, placed[0])
    return sides_of(job, vault, placed[0], placed, ring, fill_levels(job, vault))[0]


def factor_by_blocks(side: Beside, index: int) -> float:
    """Greatest multiple of a pattern beside the dead load."""
    beside, left, right = side.strips
    dead, moving = side.dead(), side.pattern(index)
    unit = float(np.abs(dead.beside).sum())
    factor = cp.Variable()
    rules: list[Any] = []

    def joints(strip: Strip, third: int | None) -> tuple[Any, Any]:
        """Force (n + 1, 2) and moment about the origin at every joint, kept inside."""
        force, moment = cp.Variable((strip.voussoirs + 1, 2)), cp.Variable(strip.voussoirs + 1)
        normal = cp.sum(cp.multiply(force, strip.across), axis=1)
        shear = cp.sum(cp.multiply(force, strip.along), axis=1)
        faces = []
        for ends, sign in ((strip.inner, 1.0), (strip.outer, -1.0)):
            about = cp.multiply(ends[:, 0], force[:, 1]) - cp.multiply(ends[:, 1], force[:, 0])
            faces.append(sign * (about - moment))
        rules.extend([face >= 0 for face in faces])
        rules.append(cp.abs(shear) <= 0.6 * normal)
        strength = 4.0e6 / unit
        for face in faces:
            # N^2 <= 2 f (moment about the face).
            rules.append(cp.square(normal) / (2 * strength) <= face)
        if third is not None:
            depth = strip.thickness[third] / 3 * normal[third]
            rules.extend([face[third] >= depth for face in faces])
        return force, moment

    def balance(force: Any, moment: Any, loads: Any, more: dict[int, Any]) -> None:
        count = loads[0].shape[0]
        for i in range(count):
            load = loads[0][i] / unit + factor * (loads[1][i] / unit)
            if i in more:
                load = load + more[i]
            rules.append(force[i + 1] == force[i] + load[:2])
            rules.append(moment[i + 1] == moment[i] + load[2])

    f_left, m_left = joints(left, -1)
    f_right, m_right = joints(right, 0)
    f_beside, m_beside = joints(beside, None)
    balance(f_left, m_left, (dead.left, moving.left), {})
    balance(f_right, m_right, (dead.right, moving.right), {})
    a, b = side.at
    handed = {
        a: side.ratio * cp.hstack([f_left[-1], m_left[-1]]),
        b: -side.ratio * cp.hstack([f_right[0], m_right[0]]),
    }
    balance(f_beside, m_beside, (dead.beside, moving.beside), handed)
    # After it takes over, the strip beside is inside at the very joint too.
    for joint, more in handed.items():
        force, moment = f_beside[joint] + more[:2], m_beside[joint] + more[2]
        x0, z0 = beside.inner[joint]
        x1, z1 = beside.outer[joint]
        rules.append(x0 * force[1] - z0 * force[0] - moment >= 0)
        rules.append(moment - x1 * force[1] + z1 * force[0] >= 0)
    problem = cp.Problem(cp.Maximize(factor), rules)
    problem.solve(solver=cp.CLARABEL)
    assert problem.status == "optimal"
    return float(factor.value)


@pytest.mark.parametrize("place", [{}, {"across": 1350}, {"length": 1000, "width": 450}])
def test_load_factors_agree(place: dict[str, float]) -> None:
    side = side_of(**place)
    kinds = [p.kind for p in side.acts.patterns]
    for index in (kinds.index("half"), kinds.index("line") + 6):
        found = side.program(side.pattern(index)).load_factor()
        assert found is not None
        true = factor_by_blocks(side, index)
        # Chords lie on the safe side of the parabola.
        assert found.factor <= true * (1 + 1e-4)
        assert found.factor == pytest.approx(true, rel=0.01)
