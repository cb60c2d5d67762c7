"""Many small linear programs solved together, by exchanging one row of each basis at a time.

Each program has k unknowns (four, of a strip) and some hundreds of rows:

    least of  c x  over  low <= x <= high  with  g x + h >= 0  for every row (g, h).

The method is the dual simplex (Lemke 1954): start at a corner of the box that is best for the
goal; as long as a row is broken, the row that is broken most takes the place of one of the k rows
that hold the answer, the one whose multiplier first falls to nothing. With so few unknowns a round
costs hardly more for fifty programs than for one, since all of them share each step in numpy.

No answer is believed for being reached. It is SOLVED only when no row is broken and the k rows
that hold it give the goal with multipliers that are not negative (the two conditions of duality;
nothing better exists then); it is REFUSED only when a broken row is opposed to rows of the basis
with multipliers that prove that they cannot all be kept (Farkas 1902). All else stays OPEN, for a
general solver.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.strip import Array

ROUNDS = 120
KEPT = 1e-9  # scaled amount by which a row may be broken
SHARP = 1e-8  # share by which multipliers may miss the goal, or be under nought
SMALL = 1e-11  # share of the greatest entry under which an entry counts as nought
CLEARLY = 1e-6  # amount by which a row must be broken to prove that a program has no answer
IN_BOX = -1  # name of a side of the box
WORTH = 0.75  # share of the programs still open under which those that are done are dropped


class State(IntEnum):
    """What became of a program."""

    OPEN = 0
    SOLVED = 1
    REFUSED = 2


@dataclass(frozen=True)
class Broken:
    """The row that each of P programs breaks most, or comes nearest to breaking.

    gap: (P,) g x + h there, under nought where it is broken. row: (P, k) g. level: (P,) h. name:
    (P,) a number of its own for each row, from nought.
    """

    gap: Array
    row: Array
    level: Array
    name: NDArray[np.intp]


class Rows(Protocol):
    """The rows of several programs."""

    def worst(self, x: Array) -> Broken:
        """The row that each program breaks most at x (P, k)."""
        ...

    def keep(self, which: NDArray[np.intp]) -> None:
        """Go on with some of the programs only; the others are done."""
        ...


@dataclass(frozen=True)
class Exchanged:
    """x: (P, k) the answers, of use where `state` (P,) says SOLVED. names: (P, k) of the rows that
    hold them, under nought for a side of the box."""

    x: Array
    state: NDArray[np.int8]
    names: NDArray[np.intp]


@dataclass(frozen=True)
class Start:
    """Rows to start from, of programs much like these that are solved already.

    row: (P, k, k). level: (P, k). names: (P, k); with one under nought, or where the rows do not
    give the goal with multipliers that are not negative, a corner of the box is taken instead.
    """

    row: Array
    level: Array
    names: NDArray[np.intp]


def exchange(
    rows: Rows, goal: Array, low: Array, high: Array, start: Start | None = None
) -> Exchanged:
    """Solve P programs together. goal, low, high: (P, k); low and high finite."""
    answers = np.zeros(goal.shape)
    state = np.full(len(goal), State.OPEN, dtype=np.int8)
    held = np.full(goal.shape, IN_BOX)
    live = np.arange(len(goal))
    basis, level, names = _corner(goal, low, high)
    if start is not None:
        _put_start(basis, level, names, start, goal)
    for _ in range(ROUNDS):
        try:
            inverse = np.linalg.inv(basis)
        except np.linalg.LinAlgError:
            break  # what is still open goes to the general solver
        x = -np.einsum("pij,pj->pi", inverse, level)
        broken = _with_box(rows.worst(x), x, low, high)
        multipliers = np.einsum("pi,pij->pj", goal, inverse)
        leaving, opposed = _leaving(multipliers, np.einsum("pi,pij->pj", broken.row, inverse))
        kept = broken.gap >= -KEPT
        ended = kept | opposed
        if ended.any():
            answers[live[ended]], held[live[ended]] = x[ended], names[ended]
            state[live[kept & gives_goal(basis, multipliers, goal)]] = State.SOLVED
            state[live[opposed & ~kept & (broken.gap < -CLEARLY)]] = State.REFUSED
            if ended.all():
                break
        turn = np.flatnonzero(~ended)
        place = turn, leaving[turn]
        basis[place], level[place] = broken.row[turn], broken.level[turn]
        names[place] = broken.name[turn]
        if len(turn) < WORTH * len(live):
            rows.keep(turn)
            live, goal, low, high = live[turn], goal[turn], low[turn], high[turn]
            basis, level, names = basis[turn], level[turn], names[turn]
    return Exchanged(answers, state, held)


def _corner(goal: Array, low: Array, high: Array) -> tuple[Array, Array, NDArray[np.intp]]:
    """The sides of the box that meet at its best corner for the goal."""
    basis = np.where(goal >= 0, 1.0, -1.0)[:, :, None] * np.eye(goal.shape[1])
    return basis, np.where(goal >= 0, -low, high), np.full(goal.shape, IN_BOX)


def _put_start(
    basis: Array, level: Array, names: NDArray[np.intp], start: Start, goal: Array
) -> None:
    """Put the rows of a start in the place of the box where they serve."""
    turned = np.abs(np.linalg.det(start.row)) > SMALL * np.linalg.norm(start.row, axis=2).prod(1)
    some = np.flatnonzero(turned & (start.names > IN_BOX).all(axis=1))
    if len(some):
        row = start.row[some]
        multipliers = np.einsum("pi,pij->pj", goal[some], np.linalg.inv(row))
        some = some[gives_goal(row, multipliers, goal[some])]
        basis[some], level[some] = start.row[some], start.level[some]
        names[some] = start.names[some]


def _with_box(broken: Broken, x: Array, low: Array, high: Array) -> Broken:
    """The rows that are broken most, the sides of the box among them."""
    room = np.concatenate([x - low, high - x], axis=1)
    side = np.argmin(room, axis=1)
    gap = room[np.arange(len(x)), side]
    out = np.flatnonzero(gap < np.minimum(broken.gap, -KEPT))
    if not len(out):
        return broken
    k = x.shape[1]
    column, upper = side[out] % k, side[out] >= k
    broken.gap[out] = gap[out]
    broken.row[out] = 0.0
    broken.row[out, column] = np.where(upper, -1.0, 1.0)
    broken.level[out] = np.where(upper, high[out, column], -low[out, column])
    broken.name[out] = IN_BOX
    return broken


def _leaving(multipliers: Array, share: Array) -> tuple[NDArray[np.intp], NDArray[np.bool_]]:
    """Which row of each basis gives way to the row that enters; and where none can.

    share: (P, k) the entering row as a sum of the rows of the basis. Of rows whose multipliers fall
    to nothing together the one with the greatest share goes, for the sake of the numbers.
    """
    counts = share > SMALL * np.abs(share).max(axis=1, keepdims=True)
    ratio = np.full(share.shape, np.inf)
    np.divide(np.maximum(multipliers, 0.0), share, out=ratio, where=counts)
    first = ratio.min(axis=1, keepdims=True)
    among = np.where(ratio <= first + SMALL, share, -np.inf)
    return np.argmax(among, axis=1), ~np.isfinite(first[:, 0])


def gives_goal(basis: Array, multipliers: Array, goal: Array) -> NDArray[np.bool_]:
    """Do multipliers that are not negative make the goal of the rows that hold the answer."""
    made = np.einsum("pj,pjk->pk", multipliers, basis)
    size = SHARP * np.maximum(1.0, np.abs(multipliers).max(axis=1))
    missed = np.abs(made - goal).max(axis=1)
    return np.asarray((missed <= size) & (multipliers.min(axis=1) >= -size))
