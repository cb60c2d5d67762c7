"""The same thrust programs put to a general linear-programming solver, one by one.

For what :mod:`timbrel.statics.row_exchange` leaves open, and to be held against it. The model is
passed once and asked many times; friction and the chords of the stress block enter as rows where an
answer breaks them, so that it stays small.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.solver import quiet_solver
from timbrel.statics.strip import Array
from timbrel.statics.thrust_rows import StripRows, chord

BROKEN = 1e-7  # scaled moment or force by which a row may be broken


class ThrustSolver:
    """One strip's linear program. Columns: springing (x, z, moment), then the loads."""

    def __init__(self, strip: StripRows) -> None:
        import highspy

        self._strip = strip
        self._columns = strip.rows.shape[1]
        self._inside = strip.rows[: 2 * strip.joints]
        self._friction = strip.rows[2 * strip.joints : strip.kept]
        self._normal = strip.rows[strip.kept :]
        self._highs = quiet_solver(
            presolve="off", solver="simplex", primal_feasibility_tolerance=1e-9
        )
        self._optimal = highspy.HighsModelStatus.kOptimal
        self._added: set[int] = set()
        self._chords: set[tuple[int, float]] = set()
        self._pass()

    def solve(self, goal: Array, low: Array, high: Array) -> Array | None:
        """Least of goal (columns,) between bounds; None where nothing keeps all rows."""
        every = np.arange(self._columns)
        self._highs.changeColsBounds(self._columns, every, low, high)
        self._highs.changeColsCost(self._columns, every, goal)
        while True:
            self._highs.run()
            if self._highs.getModelStatus() != self._optimal:
                return None
            x = np.asarray(self._highs.getSolution().col_value)
            if not self._add_broken(x):
                return x

    def _pass(self) -> None:
        import highspy

        lp = highspy.HighsLp()
        m, k = self._inside.shape
        lp.num_col_, lp.num_row_ = k, m
        lp.col_cost_ = np.zeros(k)
        lp.col_lower_ = np.zeros(k)
        lp.col_upper_ = np.zeros(k)
        lp.row_lower_ = np.zeros(m)
        lp.row_upper_ = np.full(m, highspy.kHighsInf)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.arange(m + 1) * k
        lp.a_matrix_.index_ = np.tile(np.arange(k), m)
        lp.a_matrix_.value_ = self._inside.ravel()
        self._highs.passModel(lp)

    def _add_broken(self, x: Array) -> bool:
        """Add the rows of friction and crushing that an answer breaks; tell whether any."""
        slips = [i for i in np.flatnonzero(self._friction @ x < -BROKEN) if i not in self._added]
        self._added.update(int(i) for i in slips)
        rows, least = self._broken_chords(x)
        block = np.vstack([self._friction[slips], rows])
        m, k = block.shape
        if not m:
            return False
        self._highs.addRows(
            m,
            np.concatenate([np.zeros(len(slips)), least]),
            np.full(m, np.inf),
            m * k,
            np.arange(m) * k,
            np.tile(np.arange(k), m),
            block.ravel(),
        )
        return True

    def _broken_chords(self, x: Array) -> tuple[Array, Array]:
        """Chords of the stress block's parabola, N^2 = 2 f (moment about the face), broken by x."""
        strength, full = self._strip.strength, self._strip.full
        if strength is None or full is None:
            return self._inside[:0], np.zeros(0)
        normal = self._normal @ x
        lower, upper = np.tile(chord(full, normal), 2)
        slope, least = (lower + upper) / (2 * strength), -lower * upper / (2 * strength)
        rows = self._inside - slope[:, None] * np.vstack([self._normal, self._normal])
        broken = [
            i
            for i in np.flatnonzero(rows @ x < least - BROKEN)
            if (int(i), float(upper[i])) not in self._chords
        ]
        self._chords.update((int(i), float(upper[i])) for i in broken)
        return rows[broken], least[broken]
