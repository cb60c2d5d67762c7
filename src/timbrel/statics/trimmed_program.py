"""Equilibrium round an opening as one linear program.

Three strips stand in it together: the two cut arches, from either springing to the edge of the
opening, and the strip beside the opening, from springing to springing. Each edge of the opening has
a trimmer. What a cut arch puts on its trimmer goes on, at the same place of the section, to the
strip beside: `ratio` times as much on each metre of it, because half of the opening's length is
carried on the strip's effective width.

Unknowns: force (x, z) and moment about the section's origin at the left springing of the strip
beside, at the left springing of the left arch, and at the edge where the right arch begins; the
share of the dead load; the factor of one variable load. Rows: at every joint of the three strips
the resultant lies inside the thickness, its shear within friction and its stress block within the
crushing strength (chords of the parabola, on the safe side); at the two trimmers it lies in the
middle third. Heyman 1966 (safe theorem); whatever the program finds is in equilibrium.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.solver import quiet_solver
from timbrel.statics.strip import Array, Strip, ThrustLine, carried, thrust_line

DEAD = 9
"""Column of the share of the dead load; those of the variable loads follow, and last the greater of
the two thrusts on the trimmers."""
TINY = 1e-6
"""Cost of a thrust beside that of the greater one on the trimmers: of equal states the least."""
UNLIMITED = 1e3
BROKEN = 1e-7
CHORD_RATIO = 1.1
CHORDS = 60
ROUNDS = 40
FREE = 1e6
"""Bound on the scaled unknowns."""


@dataclass(frozen=True)
class Loads3:
    """Wrenches (n, 3) about the section's origin on the voussoirs of the three strips."""

    beside: Array
    left: Array
    right: Array

    def times(self, factor: float) -> Loads3:
        """So many times these loads."""
        return Loads3(self.beside * factor, self.left * factor, self.right * factor)

    def plus(self, other: Loads3) -> Loads3:
        """Both together."""
        return Loads3(self.beside + other.beside, self.left + other.left, self.right + other.right)


@dataclass(frozen=True)
class State:
    """One state of equilibrium. Forces in N a metre of their strip.

    dead, factor: of the loads. beside, left, right: the lines. on_left, on_right: (2,) what the cut
    arches put on the left and on the right trimmer. handed: (n, 3) what the strip beside takes over
    from both, on its voussoirs.
    """

    dead: float
    factor: float
    beside: ThrustLine
    left: ThrustLine
    right: ThrustLine
    on_left: Array
    on_right: Array
    handed: Array


class TrimmedProgram:
    """The program of one opening and one strip beside it, passed once and asked many times.

    beside, left, right: the strips; the left arch ends, and the right one begins, at joints `at`
    (two) of the strip beside. ratio: half of the opening's length over the effective width.
    variable: loads of which one at a time is asked for.
    """

    def __init__(
        self,
        beside: Strip,
        left: Strip,
        right: Strip,
        at: tuple[int, int],
        ratio: float,
        dead: Loads3,
        variable: tuple[Loads3, ...],
    ) -> None:
        self.strips = (beside, left, right)
        self.at, self.ratio = at, ratio
        self.dead, self.variable = dead, variable
        self.scale = float(np.abs(dead.beside[:, 1]).sum()) or 1.0
        self.columns = DEAD + 2 + len(variable)
        self.size = np.array([self._size(load) for load in variable])
        self.wrenches = self._wrenches()
        self._chords: set[tuple[int, bool, int]] = set()
        self._pass(self._rows())

    def load_factor(self, pattern: int = 0, dead: float = 1.0) -> State | None:
        """The greatest multiple of one variable load beside the dead load."""
        self._hold((dead, dead), pattern, (0.0, UNLIMITED))
        return self._solve({DEAD + 1 + pattern: -1.0}, pattern)

    def share_of_dead(self) -> float:
        """The greatest share (0 to 1) of the dead load that finds equilibrium."""
        self._hold((0.0, 1.0), 0, (0.0, 0.0))
        found = self._solve({DEAD: -1.0}, 0)
        return 0.0 if found is None else found.dead

    def state(self, dead: float, factor: float, pattern: int = 0) -> State | None:
        """The state under given loads that presses the trimmers least; None when there is none.

        The greater of the two thrusts is made least, so that a symmetric job answers alike on
        both sides.
        """
        held = factor * float(self.size[pattern]) if len(self.size) else 0.0
        self._hold((dead, dead), pattern, (held, held))
        return self._solve({self.columns - 1: 1.0, 0: TINY, 3: TINY, 6: TINY}, pattern)

    def _size(self, load: Loads3) -> float:
        moving = np.abs(load.beside[:, :2]).sum() + np.abs(load.left[:, :2]).sum()
        return float(moving) / self.scale if moving > 0 else 1.0

    # -- the model -----------------------------------------------------------------------------

    def _wrenches(self) -> list[Array]:
        """(joints, 3, columns) of each strip: what the left of each joint puts on its right."""
        found = []
        for strip, name, first in (
            (self.strips[1], "left", 3),
            (self.strips[2], "right", 6),
            (self.strips[0], "beside", 0),
        ):
            felt = np.zeros((strip.voussoirs + 1, 3, self.columns))
            felt[:, np.arange(3), first + np.arange(3)] = 1.0
            felt[:, :, DEAD] = carried(getattr(self.dead, name)) / self.scale
            for k, load in enumerate(self.variable):
                moving = carried(getattr(load, name)) / self.scale / self.size[k]
                felt[:, :, DEAD + 1 + k] = moving
            found.append(felt)
        left, right, beside = found
        a, b = self.at
        taken = self._moved(left[-1], 1, a, -1), self._moved(right[0], 2, b, 0)
        beside[a + 1 :] += self.ratio * taken[0]
        beside[b + 1 :] -= self.ratio * taken[1]
        return [beside, left, right]

    def _moved(self, felt: Array, strip: int, joint: int, end: int) -> Array:
        """A wrench at the end of an arch, carried along the trimmer to the same joint beside."""
        x, z = self.strips[0].middle[joint] - self.strips[strip].middle[end]
        moved = felt.copy()
        moved[2] += x * felt[1] - z * felt[0]
        return moved

    def _rows(self) -> Array:
        blocks: list[Array] = []
        self._normal: list[Array] = []
        self._faces: list[tuple[Array, Array]] = []
        for k, strip in enumerate(self.strips):
            felt, inner, outer = self.wrenches[k], strip.inner, strip.outer
            along, across = strip.along, strip.across
            if k == 0:
                # The joint at a trimmer is felt before and after it hands over.
                a, b = self.at
                felt = np.concatenate([felt, felt[[a + 1, b + 1]] - self._own(0, (a, b))])
                pick = np.append(np.arange(strip.voussoirs + 1), [a, b])
                inner, outer, along, across = inner[pick], outer[pick], along[pick], across[pick]
            normal = np.einsum("jc,jck->jk", across, felt[:, :2])
            shear = np.einsum("jc,jck->jk", along, felt[:, :2])
            near, far = _about(inner, felt), -_about(outer, felt)
            self._normal.append(normal)
            self._faces.append((near, far))
            blocks += [near, far]
            if strip.friction is not None:
                blocks += [strip.friction * normal - shear, strip.friction * normal + shear]
            if k:
                end = -1 if k == 1 else 0
                third = (strip.outer[end] - strip.inner[end]) / 3
                last = felt[[end]]
                blocks += [
                    _about((strip.inner[end] + third)[None], last),
                    -_about((strip.outer[end] - third)[None], last),
                ]
        # The last column is not less than either thrust on the trimmers.
        top = np.stack([-self.wrenches[1][-1, 0], -self.wrenches[2][0, 0]])
        top[:, -1] = 1.0
        return np.concatenate([*blocks, top])

    def _own(self, strip: int, joints: tuple[int, int]) -> Array:
        """What the loads on the voussoirs just right of some joints add, (2, 3, columns)."""
        added = np.zeros((2, 3, self.columns))
        for k, joint in enumerate(joints):
            added[k, :, DEAD] = self.dead.beside[joint] / self.scale
            for i, load in enumerate(self.variable):
                added[k, :, DEAD + 1 + i] = load.beside[joint] / self.scale / self.size[i]
        return added

    def _pass(self, rows: Array) -> None:
        import highspy

        m, k = rows.shape
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = k, m
        lp.col_cost_ = np.zeros(k)
        lp.col_lower_ = np.concatenate([np.full(DEAD, -FREE), np.zeros(k - DEAD)])
        lp.col_upper_ = np.concatenate([np.full(DEAD, FREE), np.zeros(k - DEAD - 1), [FREE]])
        lp.row_lower_ = np.zeros(m)
        lp.row_upper_ = np.full(m, highspy.kHighsInf)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.arange(m + 1) * k
        lp.a_matrix_.index_ = np.tile(np.arange(k), m)
        lp.a_matrix_.value_ = rows.ravel()
        self._highs = quiet_solver(
            presolve="off", solver="simplex", primal_feasibility_tolerance=1e-9
        )
        self._optimal = highspy.HighsModelStatus.kOptimal
        self._highs.passModel(lp)

    # -- the asking ----------------------------------------------------------------------------

    def _hold(self, dead: tuple[float, float], pattern: int, factor: tuple[float, float]) -> None:
        """The bounds of the loads: all variable ones but one are kept away."""
        self._highs.changeColBounds(DEAD, *dead)
        for k in range(len(self.variable)):
            self._highs.changeColBounds(DEAD + 1 + k, *(factor if k == pattern else (0.0, 0.0)))

    def _solve(self, costs: dict[int, float], pattern: int) -> State | None:
        cost = np.zeros(self.columns)
        for column, value in costs.items():
            cost[column] = value
        self._highs.changeColsCost(self.columns, np.arange(self.columns), cost)
        for _ in range(ROUNDS):
            self._highs.run()
            if self._highs.getModelStatus() != self._optimal:
                return None
            x = np.asarray(self._highs.getSolution().col_value)
            if not self._add_chords(x):
                return self._state(x, pattern)
        return None

    def _add_chords(self, x: Array) -> bool:
        """Add the chords of the stress blocks that an answer breaks; tell whether any."""
        rows, least = [], []
        base = 0
        for k, strip in enumerate(self.strips):
            normal_rows = self._normal[k]
            if strip.crushing is None:
                continue
            strength = strip.crushing / self.scale
            pick = np.arange(strip.voussoirs + 1)
            if k == 0:
                pick = np.append(pick, self.at)
            full = strength * strip.thickness[pick]
            normal = np.maximum(normal_rows @ x, 1e-12)
            step = np.clip(np.floor(np.log(full / normal) / np.log(CHORD_RATIO)), 0, CHORDS)
            upper = full * CHORD_RATIO**-step
            lower = np.where(step == CHORDS, 0.0, upper / CHORD_RATIO)
            slope = (lower + upper) / (2 * strength)
            floor = -lower * upper / (2 * strength)
            for outer, face in enumerate(self._faces[k]):
                for i in np.flatnonzero(face @ x < slope * normal + floor - BROKEN):
                    name = (base + int(i), bool(outer), int(step[i]))
                    if name not in self._chords:
                        self._chords.add(name)
                        rows.append(face[i] - slope[i] * normal_rows[i])
                        least.append(float(floor[i]))
            base += len(pick)
        if rows:
            m, k = len(rows), self.columns
            self._highs.addRows(
                m, np.array(least), np.full(m, np.inf), m * k, np.arange(m) * k,
                np.tile(np.arange(k), m), np.concatenate(rows),
            )  # fmt: skip
        return bool(rows)

    def _state(self, x: Array, pattern: int) -> State:
        dead, factor = float(x[DEAD]), 0.0
        loads = self.dead.times(dead)
        if self.variable:
            factor = float(x[DEAD + 1 + pattern] / self.size[pattern])
            loads = loads.plus(self.variable[pattern].times(factor))
        real = x * self.scale
        on_left, on_right = self.wrenches[1][-1] @ real, self.wrenches[2][0] @ real
        handed = np.zeros_like(loads.beside)
        a, b = self.at
        handed[a] += self.ratio * (self._moved(self.wrenches[1][-1], 1, a, -1) @ real)
        handed[b] -= self.ratio * (self._moved(self.wrenches[2][0], 2, b, 0) @ real)
        lines = []
        for strip, start, load in (
            (self.strips[0], real[:3], loads.beside + handed),
            (self.strips[1], real[3:6], loads.left),
            (self.strips[2], real[6:9], loads.right),
        ):
            at_x, at_z = strip.middle[0]
            moment = start[2] - at_x * start[1] + at_z * start[0]
            lines.append(thrust_line(strip, np.array([*start[:2], moment]), load))
        if self.variable and x[DEAD + 1 + pattern] > 0.999 * UNLIMITED:
            factor = float("inf")
        beside, left, right = lines
        return State(dead, factor, beside, left, right, on_left[:2], -on_right[:2], handed)


def _about(points: Array, felt: Array) -> Array:
    """(joints, columns) moment that keeps the resultant outside of a point, positive beyond it."""
    return np.asarray(points[:, :1] * felt[:, 1] - points[:, 1:] * felt[:, 0] - felt[:, 2])
