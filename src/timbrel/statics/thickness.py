"""The geometric factor: how much of the thickness the vault could lose.

The strip is thinned about the middle of each joint; loads, curve and friction stay as they are and
the masonry does not crush. The least share of the thickness that still holds a line is

    min over lines of max over joints |M| / (N t / 2),   M about the middle of the joint,

a ratio of linear functions. It is closed in on from above: each step solves a linear program for a
line that is better than the last one everywhere by the same share of its own normal force
(Crouzeix, Ferland and Schaible 1985). Every step is itself a thrust line, so the answer is never on
the unsafe side; it stops when no line is better.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.joint_rows import JointRows
from timbrel.statics.solver import quiet_solver
from timbrel.statics.strip import Array, Strip, ThrustLine

STEPS = 30
CLOSE = 1e-7
SLIPS = 1e-7  # scaled: shear over friction that counts
LEAST_NORMAL = 1e-6  # scaled: a line pushes on every joint


@dataclass(frozen=True)
class LeastThickness:
    """share: least thickness over the thickness there is. line: the line that needs it."""

    share: float
    line: ThrustLine

    @property
    def factor(self) -> float:
        """Geometric factor: thickness over least thickness; under 1 the strip does not stand."""
        return 1 / self.share


def least_thickness(strip: Strip, loads: Array, *, over: float = 0.0) -> LeastThickness | None:
    """The least share of its thickness at which a strip carries given loads ((n, 3) wrenches).

    over: shares under this one are of no interest (another load needs more); the first line found
    at or under it is given. None when no thickness would do (a joint would slide).
    """
    rows = JointRows(strip, loads, np.zeros((0, strip.voussoirs, 3)))
    moment = rows.about(strip.middle)
    half = strip.thickness[:, None] / 2 / rows.length
    reach = half * rows.along(strip.across)
    limits = rows.along(strip.across)
    held = _friction(strip, rows)
    weight = np.ones(len(moment))
    solver = quiet_solver(presolve="off", solver="simplex", primal_feasibility_tolerance=1e-9)
    share = over
    best: tuple[float, Array] | None = None
    for _ in range(STEPS):
        x = _better(solver, moment, reach, limits, share, weight)
        if x is not None and len(held) and np.min(held @ x) < -SLIPS:
            limits, held = np.vstack([limits, held]), held[:0]  # friction governs: hold it too
            x = _better(solver, moment, reach, limits, share, weight)
        if x is None:
            break
        normal = reach @ x
        needed = float(np.max(np.abs(moment @ x) / np.maximum(normal, 1e-12)))
        if best is not None and needed > best[0] * (1 - CLOSE):
            break
        best = (needed, x)
        if needed <= over:
            break
        share, weight = needed, normal
    if best is None:
        return None
    return LeastThickness(best[0], rows.line(best[1][:3], 1.0, np.zeros(0)))


def _friction(strip: Strip, rows: JointRows) -> Array:
    """Rows that keep the shear of every joint within friction; none without friction."""
    normal = rows.along(strip.across)
    if strip.friction is None:
        return normal[:0]
    shear = rows.along(strip.along)
    return np.vstack([strip.friction * normal - shear, strip.friction * normal + shear])


def _better(
    solver: Any, moment: Array, reach: Array, limits: Array, share: float, weight: Array
) -> Array | None:
    """The line that lies inside `share` of the thickness by the greatest margin; None if none.

    Gives (4,): the unknowns and 1 for the loads. The margin at a joint counts by its weight.
    """
    import highspy

    m = len(moment)
    block = np.vstack([share * reach - moment, share * reach + moment, limits])
    margin = np.concatenate([-weight, -weight, np.zeros(len(limits))])
    least = np.zeros(len(block))
    least[2 * m : 3 * m] = LEAST_NORMAL
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = 4, len(block)
    lp.col_cost_ = np.array([0.0, 0.0, 0.0, -1.0])
    lp.col_lower_ = np.array([-1e7, -1e7, -1e7, -1e7])
    lp.col_upper_ = np.array([1e7, 1e7, 1e7, max(share, 0.0)])
    lp.row_lower_ = least - block[:, 3]
    lp.row_upper_ = np.full(len(block), highspy.kHighsInf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.arange(len(block) + 1) * 4
    lp.a_matrix_.index_ = np.tile(np.arange(4), len(block))
    lp.a_matrix_.value_ = np.column_stack([block[:, :3], margin]).ravel()
    solver.passModel(lp)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    x = np.asarray(solver.getSolution().col_value)
    x[3] = 1.0
    return x
