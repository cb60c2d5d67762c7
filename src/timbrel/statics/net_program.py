"""The linear program of a net: share of the dead load, load factor, extremes.

Forces are scaled so that the mean load of a node is one, the variable load so that it weighs as
much as the dead load.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.net_crushing import Crushing, no_cuts
from timbrel.statics.net_linear import LinearNet, Solution, Solver
from timbrel.statics.net_rows import NetRows
from timbrel.statics.net_solid import Array, Index

UNLIMITED = 50.0  # times the vault's own weight beyond which a load is called unlimited
LESS = 1 + 1e-6  # more rows never carry more
ROUNDS = 40  # goes at the chords of the crushing strength


@dataclass(frozen=True)
class NetState:
    """Forces in equilibrium.

    force: (orbits,) N. factor: of the variable load, or the share of the dead load; infinite when
    nothing found bounds it. carried: the multiple in the state itself. dual: (rows,) of the
    program, velocities in the mechanism. residual: largest row out of balance over the mean nodal
    load. gap: relative gap of the program's two
    bounds, when the solver tells it.
    """

    force: Array
    factor: float
    carried: float
    dual: Array
    residual: float
    gap: float


class NetProgram:
    """One net under one dead load and one variable load, asked several questions.

    dead, variable: (n,) downward on the nodes, N. places: (rows, 2) of the rows on the grid, by which
    they are ordered for the band. crushing: with the faces (k,) that stand for all that the
    symmetries make alike. Chords that one question breaks stay for the next.
    """

    def __init__(
        self,
        rows: NetRows,
        dead: Array,
        variable: Array | None = None,
        *,
        places: Array,
        crushing: tuple[Crushing, Index] | None = None,
        solver: Solver = "band",
    ) -> None:
        self.rows = rows
        self._places, self._crushing, self._solver = places, crushing, solver
        loaded = max(int(np.count_nonzero(dead)), 1)
        self.mean = max(float(np.abs(dead).sum()) / loaded, 1e-300)
        self._dead = rows.load(dead) / self.mean
        self._scale = 1.0
        self._variable = None
        if variable is not None:
            self._scale = float(np.abs(dead).sum()) / max(float(np.abs(variable).sum()), 1e-300)
            self._variable = rows.load(variable) / self.mean * self._scale
        self._cuts = no_cuts()
        self._most = np.zeros(0)
        self.linear = self._build()

    def share_of_dead(self) -> NetState | None:
        """The greatest share (at most 1) of the dead load that the net carries."""
        return self._solve(np.zeros_like(self._dead), self._dead, most=1.0)

    def load_factor(self) -> NetState | None:
        """The greatest multiple of the variable load beside the dead load; None when the net does
        not carry the dead load."""
        if self._variable is None:
            raise ValueError("this net has no variable load")
        found = self._solve(self._dead, self._variable, most=UNLIMITED)
        if found is None:
            return None
        carried = found.factor * self._scale
        factor = np.inf if found.factor > 0.99 * UNLIMITED else carried
        dual = found.dual / self._scale
        return NetState(found.force, factor, carried, dual, found.residual, found.gap)

    def extreme(self, cost: Array, factor: float = 0.0) -> NetState | None:
        """The state of least cost (orbits,) per newton under the dead load and a multiple of the
        variable one."""
        held = self._dead
        if self._variable is not None and factor:
            held = held + factor / self._scale * self._variable
        scale = max(float(np.abs(cost).max()), 1e-300)
        return self._solve(held, cost=cost / scale)

    def _build(self) -> LinearNet:
        """The rows of equilibrium, and a row with its own slack for every chord so far."""
        matrix, places = self.rows.matrix, self._places
        sides = [self._dead] + ([] if self._variable is None else [self._variable])
        if self._crushing is not None and self._cuts.size:
            from scipy import sparse

            crushing = self._crushing[0]
            chords, most = crushing.rows(self._cuts, self.rows.orbit, matrix.shape[1])
            self._most = most / self.mean
            slack = sparse.eye_array(self._cuts.size)
            matrix = sparse.block_array([[matrix, None], [chords, slack]], format="csr")
            places = np.concatenate([places, crushing.places(self._cuts)])
            sides = [np.append(side, self._most) for side in sides]
        wide = float(places.max(initial=0)) + 2
        keys = places[:, 0] * wide + places[:, 1], places[:, 1] * wide + places[:, 0]
        return LinearNet(matrix, *sides, keys=keys, solver=self._solver)

    def _solve(
        self,
        held: Array,
        driven: Array | None = None,
        *,
        most: float = 1.0,
        cost: Array | None = None,
    ) -> NetState | None:
        """Solved, and solved again with the chords that the answer breaks until it breaks none."""
        count = self.rows.matrix.shape[1]
        none = np.zeros_like
        for _ in range(ROUNDS):
            found = self.linear.solve(
                np.append(held, self._most),
                None if driven is None else np.append(driven, none(self._most)),
                most=most,
                cost=None if cost is None else np.append(cost, none(self._most)),
            )
            if found is None:
                return None
            force = found.x[:count] * self.mean
            if self._crushing is None:
                return self._state(force, found)
            crushing, kept = self._crushing
            broken = crushing.broken(force[self.rows.orbit], kept).without(self._cuts)
            if not broken.size:
                return self._state(force, found)
            self._cuts = self._cuts.with_(broken)
            self.linear = self._build()
            if driven is not None:
                most = min(most, found.factor * LESS)
        return None

    def _state(self, force: Array, found: Solution) -> NetState:
        dual = found.dual[: len(self._dead)]
        return NetState(force, found.factor, found.factor, dual, found.residual, found.gap)
