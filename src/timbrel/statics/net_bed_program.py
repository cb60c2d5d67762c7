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
from timbrel.statics.net_linear import LinearNet, band_keys
from timbrel.statics.net_program import UNLIMITED
from timbrel.statics.net_solid import Array

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
        start = self.question.thrust(least=True, factor=factor)
        if start is None:
            return None
        loads = [(self.question.dead, 1.0)]
        if self.question.variable is not None:
            loads.append((self.question.variable, factor))
        some = bed_demand(self.net, start.force, loads)
        first = self._least("tension", BedLimit(), some.tension, factor)
        if first is None:
            return None
        there = self._answer(first[0], factor)
        if there is None:
            return None
        tension = max(first[1] * SLACK, FLOOR)
        second = self._least("shear", BedLimit(tension), there.demand.shear, factor)
        return there if second is None else self._answer(second[0], factor) or there

    def load_factor(self, limit: BedLimit) -> BedAnswer | None:
        """The greatest multiple of the variable load within a limit on the beds."""
        dead, live, scale = self._loads()
        blocks, sides, moving = self._limits(limit, 0.0)
        held = np.concatenate([dead, *sides])
        driven = np.concatenate([live, *(-m for m in moving)]) * scale
        found = self._solve(blocks, held, driven, UNLIMITED)
        return None if found is None else self._answer(found[0], found[1] * scale)

    def _answer(self, x: Array, factor: float) -> BedAnswer | None:
        question = self.question
        dead, live, _ = self._loads()
        wanted = dead + factor * live
        x = question.program.mended(wanted, np.maximum(x, 0.0))
        if np.abs(self.rows.matrix @ x - wanted).max() > BROKEN:
            return None
        force = x[self.rows.orbit] * self.mean
        loads = [(question.dead, 1.0)]
        if question.variable is not None:
            loads.append((question.variable, factor))
        return BedAnswer(factor, force, bed_demand(self.net, force, loads))

    def _loads(self) -> tuple[Array, Array, float]:
        """Dead and variable load on the rows, and how many times the variable one weighs as much
        as the dead one."""
        dead = self.rows.load(self.question.dead.weight) / self.mean
        live = np.zeros_like(dead)
        scale = 1.0
        if self.question.variable is not None:
            live = self.rows.load(self.question.variable.weight) / self.mean
            scale = float(np.abs(dead).sum() / max(np.abs(live).sum(), 1e-300))
        return dead, live, scale

    def _limits(self, limit: BedLimit, factor: float) -> tuple[list[Any], list[Array], list[Array]]:
        """Rows that keep the demand within a limit: over shared forces, the room that they leave,
        and what a unit of the variable load takes of it. Demands are scaled to order one."""
        scale = self.mean / self.unit
        dead, live = self._load(False), self._load(True)
        blocks: list[Any] = []
        sides: list[Array] = []
        moving: list[Array] = []

        def add(block: Any, own: Array, more: Array, most: float) -> None:
            blocks.append(block * scale)
            sides.append(most / self.unit - (own + factor * more) * scale)
            moving.append(more * scale)

        if limit.tension is not None:
            add(self.along, dead[0], live[0], limit.tension)
        if limit.shear is not None:
            # A polygon inside the circle: its sides stand off by cos(pi/SIDES).
            inset = np.cos(np.pi / SIDES)
            for k in range(SIDES):
                c, s = (f(2 * np.pi * k / SIDES) / inset for f in (np.cos, np.sin))
                block = c * self.across[0] + s * self.across[1]
                add(block, c * dead[1] + s * dead[2], c * live[1] + s * live[2], limit.shear)
        return blocks, sides, moving

    def _least(
        self, kind: str, limit: BedLimit, start: float, factor: float
    ) -> tuple[Array, float] | None:
        """Forces of the least tension or shear, and how much it is; start: a demand (N/m2) that is
        known to do."""
        start = max(start * SLACK, FLOOR)
        dead, live, _ = self._loads()
        blocks, sides, _ = self._limits(limit, factor)
        driven = [np.zeros(len(dead) + sum(len(side) for side in sides))]
        more = BedLimit(start) if kind == "tension" else BedLimit(shear=start)
        lowered, room, _ = self._limits(more, factor)
        # The driven value is how far the limit is brought down from the start, over the start.
        driven += [np.full(len(side), -start / self.unit) for side in room]
        held = np.concatenate([dead + factor * live, *sides, *room])
        found = self._solve(blocks + lowered, held, np.concatenate(driven), 1.0)
        return None if found is None else (found[0], start * (1 - found[1]))

    def _solve(
        self, blocks: list[Any], held: Array, driven: Array, most: float
    ) -> tuple[Array, float] | None:
        """Shared forces and the driven value, with a slack to every row of a limit."""
        from scipy import sparse

        count = self.rows.matrix.shape[1]
        places = self.question.program.places
        own = self.net.grid.place[self.kept].astype(float)
        matrix = self.rows.matrix
        if blocks:
            limits = sparse.vstack(blocks)
            slack = sparse.eye_array(limits.shape[0])
            matrix = sparse.block_array([[matrix, None], [limits, slack]], format="csr")
            places = np.concatenate([places, *[own] * len(blocks)])
        found = LinearNet(matrix, held, driven, keys=band_keys(places)).solve(
            held, driven, most=most
        )
        return None if found is None else (found.x[:count], found.factor)
