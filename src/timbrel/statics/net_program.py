"""The linear program of a net: share of the dead load, load factor, extremes.

Forces are scaled so that the mean load of a node is one, the variable load so that it weighs as
much as the dead load.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.net_linear import LinearNet, Solution, Solver
from timbrel.statics.net_rows import NetRows
from timbrel.statics.net_solid import Array, Index

UNLIMITED = 50.0  # times the vault's own weight beyond which a load is called unlimited


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

    dead, variable: (n,) downward on the nodes, N. keys: orders of the rows to try for the band.
    """

    def __init__(
        self,
        rows: NetRows,
        dead: Array,
        variable: Array | None = None,
        *,
        keys: tuple[Index, ...] = (),
        solver: Solver = "band",
    ) -> None:
        self.rows = rows
        loaded = max(int(np.count_nonzero(dead)), 1)
        self.mean = max(float(np.abs(dead).sum()) / loaded, 1e-300)
        self._dead = rows.load(dead) / self.mean
        self._scale = 1.0
        self._variable = None
        if variable is not None:
            self._scale = float(np.abs(dead).sum()) / max(float(np.abs(variable).sum()), 1e-300)
            self._variable = rows.load(variable) / self.mean * self._scale
        sides = [self._dead] + ([] if self._variable is None else [self._variable])
        self.linear = LinearNet(rows.matrix, *sides, keys=keys, solver=solver)

    def share_of_dead(self) -> NetState | None:
        """The greatest share (at most 1) of the dead load that the net carries."""
        return self._state(self.linear.solve(np.zeros_like(self._dead), self._dead, most=1.0))

    def load_factor(self) -> NetState | None:
        """The greatest multiple of the variable load beside the dead load; None when the net does
        not carry the dead load."""
        if self._variable is None:
            raise ValueError("this net has no variable load")
        found = self._state(self.linear.solve(self._dead, self._variable, most=UNLIMITED))
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
        return self._state(self.linear.solve(held, cost=cost / scale))

    def _state(self, found: Solution | None) -> NetState | None:
        if found is None:
            return None
        force = found.x * self.mean
        return NetState(force, found.factor, found.factor, found.dual, found.residual, found.gap)
