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
from timbrel.statics.solver import quiet_solver

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


def least_mechanism(joints: Joints, about: Array, work: BlockWork) -> Motions | None:
    """The mechanism of least load factor; None when no motion lets the imposed load sink."""
    matrix, nil = _rows(joints, about, work)
    lower = np.zeros(matrix.shape[0])
    upper = np.full(matrix.shape[0], np.inf)
    upper[:nil] = 0.0
    lower[-1] = upper[-1] = 1.0
    found = _solve(matrix, (lower, upper), -work.dead.ravel() / UNIT, np.inf)
    if found is None:
        return None
    move = found[0].reshape(-1, 6)
    return Motions(about, move, found[1])


def most_sinking(joints: Joints, about: Array, work: BlockWork) -> float:
    """The most work (N m) that the imposed load can do while no block moves faster than one: nothing
    where the blocks are locked. Always has an answer."""
    matrix, nil = _rows(joints, about, work)
    upper = np.full(matrix.shape[0], np.inf)
    upper[:nil] = 0.0
    found = _solve(
        matrix[:-1], (np.zeros(matrix.shape[0] - 1), upper[:-1]), -work.live.ravel() / UNIT, 1.0
    )
    return np.inf if found is None else -found[1] * UNIT


def _solve(
    matrix: scipy.sparse.csc_matrix, bounds: tuple[Array, Array], cost: Array, most: float
) -> tuple[Array, float] | None:
    """Least cost over motions within +-most, rows within bounds; None without an optimum."""
    import highspy

    columns = matrix.shape[1]
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = columns, matrix.shape[0]
    lp.col_cost_ = cost
    lp.col_lower_, lp.col_upper_ = np.full(columns, -most), np.full(columns, most)
    lp.row_lower_, lp.row_upper_ = bounds
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = matrix.indptr
    lp.a_matrix_.index_ = matrix.indices
    lp.a_matrix_.value_ = matrix.data
    solver = quiet_solver(solver="ipm", run_crossover="off")
    solver.passModel(lp)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    values = np.array(solver.getSolution().col_value)
    return values, float(solver.getInfo().objective_function_value)


def _rows(joints: Joints, about: Array, work: BlockWork) -> tuple[scipy.sparse.csc_matrix, int]:
    """The matrix, its last row the work of the imposed load, and how many first rows are nil."""
    from scipy import sparse

    every = np.arange(len(joints))
    solid = every[~joints.mirror]
    slides = [jump_rows(joints, about, solid, way, at) for way, at in row_places(joints)]
    shuts = [
        jump_rows(joints, about, every, joints.normal, joints.points[:, k])
        for k in range(joints.points.shape[1])
    ]
    last = sparse.csr_matrix(work.live.reshape(1, -1) / UNIT)
    return sparse.vstack([*slides, *shuts, last]).tocsc(), len(slides) * len(solid)


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
