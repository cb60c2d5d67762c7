"""The least that the beds must carry, and the load factor within a limit on it: programs of a net
with rows for the bed nearest the middle of the thickness.

Where struts end on the faces every bed sees the same demand, so one bed's rows stand for all; the
demand of all beds is taken from the answer afterwards (:mod:`timbrel.statics.net_beds`) and is the
one that is told.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.net import NetQuestion
from timbrel.statics.net_beds import BedDemand, bed_demand
from timbrel.statics.net_solid import Array
from timbrel.statics.net_threads import one_thread
from timbrel.statics.solver import quiet_solver

SLACK = 1.02  # how far over its least the tension may go while the shear is made least
FLOOR = 1.0  # N/m2 below which a demand is nothing
SIDES = 8  # sides of the polygon inside the circle of shear directions
BROKEN = 1e-6


@dataclass(frozen=True)
class BedLimit:
    """Greatest tension and shear that the beds may carry, N/m2; None: no limit."""

    tension: float | None = None
    shear: float | None = None


@dataclass(frozen=True)
class BedAnswer:
    """Forces (m,) in the struts, the factor of the variable load, and what the beds carry."""

    factor: float
    force: Array
    demand: BedDemand


class BedProgram:
    """Demands on the beds of one question; the vault must have at least one bed."""

    def __init__(self, question: NetQuestion) -> None:
        self.question = question
        self.net = question.net
        beds = self.net.solid.beds
        if not beds:
            raise ValueError("a vault of one layer has no beds")
        self.bed = int(np.argmin(np.abs(beds)))
        self.rows = question.rows
        self.mean = question.program.mean
        self._lay_rows()

    def _lay_rows(self) -> None:
        from scipy import sparse

        grid, struts, rows = self.net.grid, self.net.struts, self.rows
        kept = np.unique(rows.node)
        number = np.full(grid.size, -1)
        number[kept] = np.arange(len(kept))
        half = np.linalg.norm(grid.half, axis=1)
        bed = self.net.solid.beds[self.bed]
        start, end = struts.ends(grid)
        direction = (end - start) / np.linalg.norm(end - start, axis=1)[:, None]
        over_i = (struts.si * half[struts.i] > bed).astype(float)
        over_j = (struts.sj * half[struts.j] > bed).astype(float)
        both = (over_i + over_j) / 2
        area = grid.area()
        shape = (len(kept), len(rows.members))
        parts: list[list[Any]] = [[], [], []]
        for node, push, own in ((struts.i, -direction, over_i), (struts.j, direction, over_j)):
            here = np.flatnonzero((number[node] >= 0) & ((own > 0) | (both > 0)))
            at = node[here]
            local = np.einsum("mab,mb->ma", rows.frames[at], push[here]) / area[at][:, None]
            for k, weight in ((2, own), (0, both), (1, both)):
                value = local[:, k] * weight[here]
                parts[k].append((value, number[at], rows.orbit[here]))
        matrices = []
        for part in parts:
            value, row, column = (np.concatenate(a) for a in zip(*part, strict=True))
            matrices.append(sparse.coo_array((value, (row, column)), shape=shape).tocsr())
        self.kept, self.along, self.across = kept, matrices[2], (matrices[0], matrices[1])
        self.unit = self.mean / float(area[kept].mean())  # N/m2 of a scaled demand

    def _load(self, variable: bool) -> tuple[Array, Array, Array]:
        """Demand of the load itself along and across the kept lines, per scaled newton."""
        load = self.question.variable if variable else self.question.dead
        if load is None:
            none = np.zeros(len(self.kept))
            return none, none, none
        down = -load.weight * load.above[self.bed] / self.mean
        frames = self.rows.frames[self.kept]
        value = (down / self.net.grid.area())[self.kept]
        return value * frames[:, 2, 2], value * frames[:, 0, 2], value * frames[:, 1, 2]

    def least(self, factor: float = 0.0) -> BedAnswer | None:
        """The least tension on the beds under dead load and a multiple of the variable one, and
        the least shear beside it; None when no state was found."""
        first = self._solve(BedLimit(), drive="tension", factor=factor)
        if first is None:
            return None
        tension = max(first[1] * SLACK, FLOOR)
        second = self._solve(BedLimit(tension), drive="shear", factor=factor)
        return self._answer((second or first)[0], factor)

    def load_factor(self, limit: BedLimit) -> BedAnswer | None:
        """The greatest multiple of the variable load within a limit on the beds."""
        found = self._solve(limit, drive="factor")
        return None if found is None else self._answer(found[0], found[1])

    def _answer(self, x: Array, factor: float) -> BedAnswer | None:
        question = self.question
        wanted = self.rows.load(question.dead.weight) / self.mean
        if question.variable is not None:
            wanted = wanted + factor * self.rows.load(question.variable.weight) / self.mean
        with one_thread():
            x = question.program.linear.mended(wanted, np.maximum(x, 0.0))
        if np.abs(question.rows.matrix @ x - wanted).max() > BROKEN:
            return None
        force = x[self.rows.orbit] * self.mean
        loads = [(question.dead, 1.0)]
        if question.variable is not None:
            loads.append((question.variable, factor))
        return BedAnswer(factor, force, bed_demand(self.net, force, loads))

    def _solve(
        self, limit: BedLimit, *, drive: str, factor: float = 0.0
    ) -> tuple[Array, float] | None:
        """Unknowns: shared forces, one driven value. Demands are scaled by the mean pressure."""
        import highspy
        from scipy import sparse

        question = self.question
        dead = self.rows.load(question.dead.weight) / self.mean
        live = np.zeros_like(dead)
        if question.variable is not None:
            live = self.rows.load(question.variable.weight) / self.mean
        driven_load = drive == "factor"
        held = dead if driven_load else dead + factor * live
        scale = self.mean / self.unit  # area that makes demands of order one
        count = self.rows.matrix.shape[1]
        column = -live if driven_load else np.zeros_like(dead)
        blocks = [sparse.hstack([self.rows.matrix, sparse.csr_array(column[:, None])])]
        lower, upper = [held], [held]
        dead_parts, live_parts = self._load(False), self._load(True)

        def add(block: Any, own: Array, moving: Array, most: float | None, driven: bool) -> None:
            if most is None and not driven:
                return
            last = np.full(len(own), -1.0) if driven else np.zeros(len(own))
            fixed = own if driven_load else own + factor * moving
            if driven_load:
                last = last + moving * scale
            blocks.append(sparse.hstack([block * scale, sparse.csr_array(last[:, None])]))
            room = 0.0 if driven else (most or 0.0) / self.unit
            lower.append(np.full(len(own), -np.inf))
            upper.append(room - fixed * scale)

        add(self.along, dead_parts[0], live_parts[0], limit.tension, drive == "tension")
        # A polygon inside the circle: its sides stand off by cos(pi/SIDES).
        inset = np.cos(np.pi / SIDES)
        for k in range(SIDES):
            c, s = np.cos(2 * np.pi * k / SIDES) / inset, np.sin(2 * np.pi * k / SIDES) / inset
            block = c * self.across[0] + s * self.across[1]
            own = c * dead_parts[1] + s * dead_parts[2]
            moving = c * live_parts[1] + s * live_parts[2]
            add(block, own, moving, limit.shear, drive == "shear")
        matrix = sparse.vstack(blocks).tocsc()
        lp = highspy.HighsLp()
        lp.num_row_, lp.num_col_ = matrix.shape
        lp.col_cost_ = np.append(np.zeros(count), -1.0 if driven_load else 1.0)
        lp.col_lower_ = np.zeros(count + 1)
        lp.col_upper_ = np.append(np.full(count, np.inf), 1e4 if driven_load else np.inf)
        lp.row_lower_, lp.row_upper_ = np.concatenate(lower), np.concatenate(upper)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        lp.a_matrix_.start_ = matrix.indptr
        lp.a_matrix_.index_ = matrix.indices
        lp.a_matrix_.value_ = matrix.data
        solver = quiet_solver(solver="ipx", run_crossover="off", presolve="on")
        solver.passModel(lp)
        solver.run()
        x = np.asarray(solver.getSolution().col_value)
        if len(x) != count + 1 or not np.isfinite(x).all():
            return None
        return x[:-1], float(x[-1]) * (1.0 if driven_load else self.unit)
