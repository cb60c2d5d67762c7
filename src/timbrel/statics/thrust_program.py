"""The thrust line of a strip as a linear program, passed once and asked many times.

Unknowns: force (x, z) and moment at the left springing, the share of the dead load and the factor
of each variable load. Rows: at every joint the moment about either end of the joint keeps the
resultant inside the thickness. Friction and crushing enter as rows where an answer breaks them, so
that the model stays small. The parabola of the stress block is replaced by chords, which lie on
the safe side.

Forces are scaled by the mean load of a voussoir, lengths by the span. What the solver says of its
own answer is not believed: every answer is looked at again as a thrust line.

Source: safe theorem, Heyman 1966; the linear program is the plane case of Livesley 1978, "Limit
analysis of structures formed from rigid blocks".
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.joint_rows import JointRows
from timbrel.statics.solver import quiet_solver
from timbrel.statics.strip import Array, Strip, ThrustLine

UNLIMITED = 1e3  # factor on the dead load's own scale beyond which a load is called unlimited
FREE = 1e7  # bound on the scaled unknowns at the springing
BROKEN = 1e-7  # scaled moment or force by which a row may be broken
CHORD_RATIO = 1.1  # ratio of neighbouring normal forces between which the parabola is a chord
CHORD_COUNT = 80


@dataclass(frozen=True)
class Found:
    """An answer of the program: the line, and the factors of dead and variable loads in it."""

    line: ThrustLine
    dead: float
    factors: Array


class ThrustProgram:
    """The linear program of one strip under a dead load and several variable ones.

    dead: (n, 3) wrenches on the voussoirs. variable: (p, n, 3). The answers are `None` when no
    thrust line exists; `share_of_dead` then says how much of the dead load can be carried.
    """

    def __init__(self, strip: Strip, dead: Array, variable: Array) -> None:
        import highspy

        self.strip = strip
        self.dead = dead
        self.variable = variable
        self.rows = JointRows(strip, dead, variable)
        self._size = self.rows.size
        self._columns = 4 + len(variable)
        inside = np.vstack([self.rows.about(strip.inner), -self.rows.about(strip.outer)])
        self._highs = quiet_solver(
            presolve="off", solver="simplex", primal_feasibility_tolerance=1e-9
        )
        self._optimal = highspy.HighsModelStatus.kOptimal
        self._pass(inside)
        self._limits = self._friction_rows()
        self._normal = self.rows.along(strip.across)
        self._moments = inside
        self._added: set[int] = set()
        self._chords: set[tuple[int, bool, int]] = set()

    # -- what may be asked ---------------------------------------------------------------------

    def least_thrust(self, dead: float = 1.0, factors: Array | None = None) -> Found | None:
        """The line of least horizontal thrust at the left springing."""
        return self._ask(0, 1.0, dead, factors)

    def greatest_thrust(self, dead: float = 1.0, factors: Array | None = None) -> Found | None:
        """The line of greatest horizontal thrust at the left springing."""
        return self._ask(0, -1.0, dead, factors)

    def load_factor(self, pattern: int, dead: float = 1.0) -> Found | None:
        """The line that carries the greatest multiple of one variable load beside the dead load.

        A factor that is infinite is bounded by nothing short of crushing.
        """
        self._fix(dead, np.zeros(len(self.variable)))
        self._highs.changeColBounds(4 + pattern, 0.0, UNLIMITED)
        found = self._solve(4 + pattern, -1.0)
        if found is None:
            return None
        factors = found.factors.copy()
        if factors[pattern] * self._size[pattern] > 0.999 * UNLIMITED:
            factors[pattern] = np.inf
        return Found(found.line, found.dead, factors)

    def share_of_dead(self, dead: float = 1.0, factors: Array | None = None) -> float:
        """The greatest share (0 to 1) of the dead load that has a thrust line.

        Under 1, the strip does not stand. This question always has an answer: a strip that carries
        nothing.
        """
        held = np.zeros(len(self.variable)) if factors is None else factors
        self._fix(dead, held)
        self._highs.changeColBounds(3, 0.0, dead)
        found = self._solve(3, -1.0)
        if found is None:
            if factors is None:
                raise RuntimeError("the empty strip was refused by the solver")
            return 0.0
        return float(np.clip(found.dead / dead, 0.0, 1.0))

    # -- the model -----------------------------------------------------------------------------

    def _friction_rows(self) -> Array:
        if self.strip.friction is None:
            return np.zeros((0, self._columns))
        normal = self.strip.friction * self.rows.along(self.strip.across)
        shear = self.rows.along(self.strip.along)
        return np.vstack([normal - shear, normal + shear])

    def _pass(self, rows: Array) -> None:
        import highspy

        lp = highspy.HighsLp()
        m, k = rows.shape
        lp.num_col_, lp.num_row_ = k, m
        lp.col_cost_ = np.zeros(k)
        lp.col_lower_ = np.concatenate([np.full(3, -FREE), [1.0], np.zeros(k - 4)])
        lp.col_upper_ = np.concatenate([np.full(3, FREE), [1.0], np.zeros(k - 4)])
        lp.row_lower_ = np.zeros(m)
        lp.row_upper_ = np.full(m, highspy.kHighsInf)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.arange(m + 1) * k
        lp.a_matrix_.index_ = np.tile(np.arange(k), m)
        lp.a_matrix_.value_ = rows.ravel()
        self._highs.passModel(lp)

    def _fix(self, dead: float, factors: Array) -> None:
        self._highs.changeColBounds(3, dead, dead)
        count = len(self.variable)
        if count:
            held = np.asarray(factors, dtype=float) * self._size
            self._highs.changeColsBounds(count, np.arange(4, 4 + count), held, held)

    # -- the asking ----------------------------------------------------------------------------

    def _ask(self, column: int, cost: float, dead: float, factors: Array | None) -> Found | None:
        held = np.zeros(len(self.variable)) if factors is None else np.asarray(factors)
        self._fix(dead, held)
        return self._solve(column, cost)

    def _solve(self, column: int, cost: float) -> Found | None:
        costs = np.zeros(self._columns)
        costs[column] = cost
        self._highs.changeColsCost(self._columns, np.arange(self._columns), costs)
        while True:
            self._highs.run()
            if self._highs.getModelStatus() != self._optimal:
                return None
            x = np.asarray(self._highs.getSolution().col_value)
            if not self._add_broken(x):
                return self._found(x)

    def _add_broken(self, x: Array) -> bool:
        """Add the rows of friction and crushing that an answer breaks; tell whether any."""
        rows: list[Array] = []
        lower: list[Array] = []
        if len(self._limits):
            broken = np.flatnonzero(self._limits @ x < -BROKEN)
            new = [int(i) for i in broken if int(i) not in self._added]
            if new:
                self._added.update(new)
                rows.append(self._limits[new])
                lower.append(np.zeros(len(new)))
        if self.strip.crushing is not None:
            for row, least in self._broken_chords(x):
                rows.append(row[None, :])
                lower.append(np.array([least]))
        if not rows:
            return False
        block = np.vstack(rows)
        m, k = block.shape
        self._highs.addRows(
            m,
            np.concatenate(lower),
            np.full(m, np.inf),
            m * k,
            np.arange(m) * k,
            np.tile(np.arange(k), m),
            block.ravel(),
        )
        return True

    def _broken_chords(self, x: Array) -> list[tuple[Array, float]]:
        """Chords of the stress block's parabola, N^2 = 2 f (moment about the face), broken by x."""
        assert self.strip.crushing is not None
        strength = self.strip.crushing * self.rows.length / self.rows.force
        normal = self._normal @ x
        full = strength * self.strip.thickness / self.rows.length
        step = np.log(np.maximum(full, 1e-300) / np.maximum(normal, 1e-300)) / np.log(CHORD_RATIO)
        step = np.clip(np.floor(step), 0, CHORD_COUNT).astype(int)
        upper = full * CHORD_RATIO ** -step.astype(float)
        lower = np.where(step == CHORD_COUNT, 0.0, upper / CHORD_RATIO)
        found: list[tuple[Array, float]] = []
        half = len(self._moments) // 2
        for outer in (False, True):
            moment_rows = self._moments[half:] if outer else self._moments[:half]
            needed = ((lower + upper) * normal - lower * upper) / (2 * strength)
            for i in np.flatnonzero(moment_rows @ x < needed - BROKEN):
                name = (int(i), outer, int(step[i]))
                if name in self._chords:
                    continue
                self._chords.add(name)
                slope = (lower[i] + upper[i]) / (2 * strength)
                row = moment_rows[i] - slope * self._normal[i]
                found.append((row, float(-lower[i] * upper[i] / (2 * strength))))
        return found

    def _found(self, x: Array) -> Found:
        factors = x[4:] / self._size
        return Found(self.rows.line(x[:3], float(x[3]), factors), float(x[3]), factors)
