"""The mechanism of rigid blocks that bounds the load least, by linear programming.

Unknown are the velocity and the turn of every block about its middle. Joints do not slide and do not
shut (:mod:`timbrel.statics.blocks_joints`); the imposed load does the work of one newton metre; the
work that the dead load takes is least. That work is the load factor of the mechanism.

The program only proposes: what is told is computed afresh from the motions
(:mod:`timbrel.statics.blocks_check`). Source: kinematic theorem for masonry without tension or
sliding, Heyman 1966; as a linear program, Livesley 1978 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.statics.blocks_joints import Joints
from timbrel.statics.blocks_solid import Array, Index
from timbrel.statics.solver import quiet_solver, run_stoppably

if TYPE_CHECKING:
    import scipy.sparse

UNIT = 1e3  # N m of work of the imposed load


@dataclass(frozen=True)
class Motions:
    """What the program proposes. about: (b, 3) points of the blocks. move: (b, 6) velocity there and
    turn. factor: its load factor."""

    about: Array
    move: Array
    factor: float


@dataclass(frozen=True)
class BlockWork:
    """(b, 6) work of dead and live load by unit motions of the blocks, N and N m."""

    dead: Array
    live: Array


def work_of(points: Array, weight: Array, owner: Index, about: Array) -> Array:
    """(b, 6) work of plumb weights at points when their blocks move."""
    found = np.zeros((len(about), 6))
    arm = points - about[owner]
    np.add.at(found[:, 2], owner, -weight)
    np.add.at(found[:, 3], owner, -weight * arm[:, 1])
    np.add.at(found[:, 4], owner, weight * arm[:, 0])
    return found


def row_places(joints: Joints) -> tuple[tuple[Array, Array], ...]:
    """Direction and point of the three jumps that forbid sliding: two at the place of each joint,
    one a metre off, which forbids turning in its plane."""
    along, third, place = joints.along, joints.third, joints.place
    return (along, place), (third, place), (along, place + third)


def least_mechanism(
    joints: Joints, about: Array, work: BlockWork, strength: float | None = None
) -> Motions | None:
    """The mechanism of least load factor; None when no motion lets the imposed load sink.

    strength: N/m2 at which joints crush: they may then shut, and the masonry that shuts takes that
    stress times the volume. Without it they may not.
    """
    import scipy.sparse as sp

    matrix, nil, pressed = _rows(joints, about, work, strength is not None)
    cost = -work.dead.ravel() / UNIT
    rows = matrix.shape[0]
    if strength is not None:
        shut = sp.identity(len(pressed), format="csc")
        none = sp.csc_matrix((nil, len(pressed)))
        last = sp.csc_matrix((1, len(pressed)))
        matrix = sp.hstack([matrix, sp.vstack([none, shut, last])]).tocsc()
        cost = np.concatenate([cost, strength * pressed / UNIT])
    lower = np.zeros(rows)
    upper = np.full(rows, np.inf)
    upper[:nil] = 0.0
    lower[-1] = upper[-1] = 1.0
    free = 6 * len(about)
    least = np.full(matrix.shape[1], -np.inf)
    least[free:] = 0.0
    most = np.full(matrix.shape[1], np.inf)
    # A corner's seat is a line: it has no area to crush on.
    most[free:][pressed[: matrix.shape[1] - free] <= 0] = 0.0
    found = _solve(matrix, (lower, upper), cost, (least, most))
    if found is None:
        return None
    return Motions(about, found[0][:free].reshape(-1, 6), found[1])


def most_sinking(joints: Joints, about: Array, work: BlockWork) -> float:
    """The most work (N m) that the imposed load can do while no block moves faster than one: nothing
    where the blocks are locked. Always has an answer."""
    matrix, nil, _ = _rows(joints, about, work, False)
    upper = np.full(matrix.shape[0], np.inf)
    upper[:nil] = 0.0
    one = np.ones(matrix.shape[1])
    found = _solve(
        matrix[:-1],
        (np.zeros(matrix.shape[0] - 1), upper[:-1]),
        -work.live.ravel() / UNIT,
        (-one, one),
    )
    return np.inf if found is None else -found[1] * UNIT


def _solve(
    matrix: scipy.sparse.csc_matrix,
    bounds: tuple[Array, Array],
    cost: Array,
    limits: tuple[Array, Array],
) -> tuple[Array, float] | None:
    """Least cost with rows within bounds and columns within limits; None without an optimum."""
    import highspy

    columns = matrix.shape[1]
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = columns, matrix.shape[0]
    lp.col_cost_ = cost
    lp.col_lower_, lp.col_upper_ = limits
    lp.row_lower_, lp.row_upper_ = bounds
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = matrix.indptr
    lp.a_matrix_.index_ = matrix.indices
    lp.a_matrix_.value_ = matrix.data
    solver = quiet_solver(solver="ipm", run_crossover="off")
    solver.passModel(lp)
    run_stoppably(solver)
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    values = np.array(solver.getSolution().col_value)
    return values, float(solver.getInfo().objective_function_value)


def _rows(
    joints: Joints, about: Array, work: BlockWork, crushes: bool
) -> tuple[scipy.sparse.csc_matrix, int, Array]:
    """The matrix, its last row the work of the imposed load; how many first rows are nil; the area
    that each of the others, which tell how far a joint opens, stands for."""
    import scipy.sparse as sp

    every = np.arange(len(joints))
    solid = every[~joints.mirror]
    slides = [jump_rows(joints, about, solid, way, at) for way, at in row_places(joints)]
    points, area = joints.pressed() if crushes else (joints.points, np.zeros((len(joints), 0)))
    opens = [
        jump_rows(joints, about, every, joints.normal, points[:, k]) for k in range(points.shape[1])
    ]
    last = sp.csr_matrix(work.live.reshape(1, -1) / UNIT)
    matrix = sp.vstack([*slides, *opens, last]).tocsc()
    return matrix, len(slides) * len(solid), area.T.ravel()


def jump_rows(
    joints: Joints, about: Array, chosen: Index, way: Array, at: Array
) -> scipy.sparse.csr_matrix:
    """(c, 6 b) rows that give the jump across chosen joints along `way` at points `at` (j, 3)."""
    from scipy import sparse

    row, column, value = [], [], []
    for block, sign in ((joints.first, -1.0), (joints.second, 1.0)):
        here = np.flatnonzero(block[chosen] >= 0)
        j = chosen[here]
        k = block[j]
        turn = np.cross(at[j] - about[k], way[j])
        row.append(np.repeat(here, 6))
        column.append((6 * k[:, None] + np.arange(6)).ravel())
        value.append(sign * np.concatenate([way[j], turn], axis=1).ravel())
    shape = (len(chosen), 6 * len(about))
    entries = np.concatenate(value), (np.concatenate(row), np.concatenate(column))
    return sparse.csr_matrix(entries, shape=shape)
