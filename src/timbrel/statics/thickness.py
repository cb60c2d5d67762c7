"""The geometric factor: how much of the thickness the vault could lose.

The strip is thinned about the middle of each joint; loads, curve and friction stay as they are and
the masonry does not crush. The least share of the thickness that still holds a line is

    min over lines of max over joints |M| / (N t / 2),   M about the middle of the joint,

a ratio of linear functions. It is closed in on from above: each step solves a linear program for a
line that is better than the last one everywhere by the same share of its own normal force
(Crouzeix, Ferland and Schaible 1985). Every step is itself a thrust line, so the answer is never on
the unsafe side; it stops when no line is better.

The steps of several strips and loads are taken together (:mod:`timbrel.statics.row_exchange`); what
that leaves open goes to a general solver.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.joint_rows import JointRows
from timbrel.statics.row_exchange import IN_BOX, Broken, Start, State, exchange
from timbrel.statics.solver import quiet_solver
from timbrel.statics.strip import Array, Strip, ThrustLine

STEPS = 30
CLOSE = 1e-7
LEAST_NORMAL = 1e-6  # scaled: a line pushes on every joint
FREE = 1e7  # bound on the scaled unknowns


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
    return least_thicknesses([(strip, loads)], over=over)[0]


def least_thicknesses(
    asked: Sequence[tuple[Strip, Array]], *, over: float = 0.0
) -> list[LeastThickness | None]:
    """As :func:`least_thickness`, of several strips (all of as many joints) and loads together."""
    joints = [JointRows(strip, w, np.zeros((0, strip.voussoirs, 3))) for strip, w in asked]
    every = [_rows(rows) for rows in joints]
    share = np.full(len(asked), over)
    weight = np.ones((len(asked), len(joints[0].strip.thickness)))
    best: list[tuple[float, Array] | None] = [None] * len(asked)
    names = np.full((len(asked), 4), IN_BOX)
    going = list(range(len(asked)))
    for _ in range(STEPS):
        if not going:
            break
        found, names[going] = _better(
            [every[i] for i in going], share[going], weight[going], names[going]
        )
        still = []
        for i, x in zip(going, found, strict=True):
            if x is None:
                continue
            normal = every[i].reach @ x
            needed = every[i].share(x)
            before = best[i]
            if before is not None and needed > before[0] * (1 - CLOSE):
                continue
            best[i] = needed, x
            share[i], weight[i] = needed, normal
            if needed > over:
                still.append(i)
        going = still
    return [
        LeastThickness(b[0], rows.line(b[1][:3], 1.0, np.zeros(0))) if b else None
        for b, rows in zip(best, joints, strict=True)
    ]


@dataclass(frozen=True)
class _Rows:
    """What the joints of one strip feel, (n + 1, 4) over the springing (x, z, moment) and one.

    moment: about the middle of the shell. reach: moment of the normal force about it at a face.
    spare: further reach outward that backing gives, which is not thinned. limits: (m, 4) what must
    not be negative: the normal force less the least one, room to slide either way.
    """

    moment: Array
    reach: Array
    spare: Array
    limits: Array

    def share(self, x: Array) -> float:
        """Share of the thickness that a line needs."""
        moment, normal = self.moment @ x, np.maximum(self.reach @ x, 1e-12)
        out = np.where(moment > 0, np.maximum(moment - self.spare @ x, 0.0), -moment)
        return float(np.max(out / normal))


def _rows(joints: JointRows) -> _Rows:
    strip = joints.strip
    normal = joints.along(strip.across)
    half = strip.shell_thickness[:, None] / 2 / joints.length
    spare = np.zeros_like(normal)
    if strip.backing is not None:
        spare = strip.backing[:, None] / joints.length * normal
    limits = [normal - [0.0, 0.0, 0.0, LEAST_NORMAL]]
    if strip.friction is not None:
        shear = joints.along(strip.along)
        limits += [strip.grip * normal - shear, strip.grip * normal + shear]
    return _Rows(joints.about(strip.shell_middle), half * normal, spare, np.vstack(limits))


class _ThinnedRows:
    """Rows of P strips over the springing and the margin by which a line is better.

    share: (P,) share of the thickness. weight: (P, n + 1) what the margin counts at each joint.
    """

    def __init__(self, strips: Sequence[_Rows], share: Array, weight: Array) -> None:
        blocks = [np.vstack([s.moment, s.reach, s.spare, s.limits]).T for s in strips]
        self._row = np.stack(blocks)
        self._share, self._weight = share, weight

    def keep(self, which: NDArray[np.intp]) -> None:
        """Go on with some of the strips only."""
        self._row = self._row[which]
        self._share, self._weight = self._share[which], self._weight[which]

    def worst(self, x: Array) -> Broken:
        """The row that each strip breaks most at x (P, 4)."""
        n = self._weight.shape[1]
        values = np.einsum("pk,pkm->pm", x[:, :3], self._row[:, :3])
        values += self._row[:, 3]
        moment, reach, limits = values[:, :n], values[:, n : 2 * n], values[:, 3 * n :]
        room = self._share[:, None] * reach - np.abs(moment) - self._weight * x[:, 3:]
        room += np.where(moment < 0, 0.0, values[:, 2 * n : 3 * n])
        every = np.arange(len(x))
        j, i = np.argmin(room, axis=1), np.argmin(limits, axis=1)
        limit = limits[every, i] < room[every, j]
        side = np.where(moment[every, j] < 0, -1.0, 1.0)
        row = self._share[:, None] * self._row[every, :, n + j]
        row -= side[:, None] * self._row[every, :, j]
        row += np.where(side < 0, 0.0, 1.0)[:, None] * self._row[every, :, 2 * n + j]
        row[limit] = self._row[every, :, 3 * n + i][limit]
        level = row[:, 3].copy()
        row[:, 3] = np.where(limit, 0.0, -self._weight[every, j])
        gap = np.where(limit, limits[every, i], room[every, j])
        return Broken(gap, row, level, np.where(limit, 2 * n + i, np.where(side < 0, n + j, j)))

    def named(self, names: NDArray[np.intp]) -> Start:
        """The rows of given names (P, k), as a start."""
        n, every = self._weight.shape[1], np.arange(len(names))[:, None]
        limit, lower = names >= 2 * n, (names >= n) & (names < 2 * n)
        j = np.where(limit, 0, names % n)
        side = np.where(lower, -1.0, 1.0)
        share = self._share[:, None, None]
        row = share * self._row[every, :, n + j] - side[:, :, None] * self._row[every, :, j]
        row += np.where(lower, 0.0, 1.0)[:, :, None] * self._row[every, :, 2 * n + j]
        row[limit] = self._row[every, :, np.maximum(names + n, 0)][limit]
        level = row[:, :, 3].copy()
        row[:, :, 3] = np.where(limit, 0.0, -self._weight[every, j])
        return Start(row, level, names)


def _better(
    strips: Sequence[_Rows], share: Array, weight: Array, names: NDArray[np.intp]
) -> tuple[list[Array | None], NDArray[np.intp]]:
    """The line inside `share` of the thickness by the greatest margin, of each; None if none.

    Gives (4,) each: the unknowns and 1 for the loads. The margin at a joint counts by its weight.
    names: (P, 4) of the rows that held the last answers; those of the new ones go along.
    """
    rows = _ThinnedRows(strips, share, weight)
    goal = np.tile([0.0, 0.0, 0.0, -1.0], (len(strips), 1))
    low, high = np.full(goal.shape, -FREE), np.full(goal.shape, FREE)
    high[:, 3] = np.maximum(share, 0.0)
    done = exchange(rows, goal, low, high, rows.named(names))
    found: list[Array | None] = []
    for i, strip in enumerate(strips):
        if done.state[i] == State.SOLVED:
            found.append(np.append(done.x[i, :3], 1.0))
        elif done.state[i] == State.REFUSED:
            found.append(None)
        else:
            found.append(_better_alone(strip, float(share[i]), weight[i]))
    return found, done.names


def _better_alone(rows: _Rows, share: float, weight: Array) -> Array | None:
    """The same from the general solver."""
    import highspy

    reach = share * rows.reach
    outward = reach + rows.spare - rows.moment
    block = np.vstack([outward, reach + rows.moment, rows.limits])
    margin = np.concatenate([-weight, -weight, np.zeros(len(rows.limits))])
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = 4, len(block)
    lp.col_cost_ = np.array([0.0, 0.0, 0.0, -1.0])
    lp.col_lower_ = np.full(4, -FREE)
    lp.col_upper_ = np.array([FREE, FREE, FREE, max(share, 0.0)])
    lp.row_lower_ = -block[:, 3]
    lp.row_upper_ = np.full(len(block), highspy.kHighsInf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.arange(len(block) + 1) * 4
    lp.a_matrix_.index_ = np.tile(np.arange(4), len(block))
    lp.a_matrix_.value_ = np.column_stack([block[:, :3], margin]).ravel()
    solver = quiet_solver(presolve="off", solver="simplex", primal_feasibility_tolerance=1e-9)
    solver.passModel(lp)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return np.append(np.asarray(solver.getSolution().col_value)[:3], 1.0)
