"""The linear program of a net: share of the dead load, load factor, extremes.

Forces are scaled so that the mean load of a node is one, the variable load so that it weighs as
much as the dead load. The program is solved by our interior point, which uses the band of the
rows (:mod:`timbrel.statics.net_interior`), and by HiGHS's, without crossover and with presolve, as
a second opinion and where ours stops short. What a solver says of its own answer is not believed:
an answer is first mended (the forces that it uses are corrected, each in proportion to itself,
until every row is in balance: the affine scaling of Dikin 1967), rid of what carries next to
nothing, then looked at for residual and sign.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from timbrel.statics.net_interior import Band, solve_interior
from timbrel.statics.net_rows import NetRows
from timbrel.statics.net_solid import Array, Index
from timbrel.statics.net_threads import one_thread
from timbrel.statics.solver import quiet_solver

Solver = Literal["band", "highs"]

UNLIMITED = 50.0  # times the vault's own weight beyond which a load is called unlimited
TOLERANCE = 1e-9
MENDED = 1e-10  # residual over the mean nodal load that mending aims at
BROKEN = 1e-7  # ... and that an answer may have
MENDINGS = 4
NONE = 1e-30  # weight of an idle strut in the mending
IDLE = 1e-4  # of the mean nodal load: struts that carry less are tried to be left out
CREDIBLE = 1e-4  # gap over which the band method's point is left for HiGHS to better


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
        self.band = Band(rows.matrix, *keys)
        self._solver = solver
        loaded = max(int(np.count_nonzero(dead)), 1)
        self.mean = max(float(np.abs(dead).sum()) / loaded, 1e-300)
        self._dead = rows.load(dead) / self.mean
        self._scale = 1.0
        self._variable = None
        if variable is not None:
            self._scale = float(np.abs(dead).sum()) / max(float(np.abs(variable).sum()), 1e-300)
            self._variable = rows.load(variable) / self.mean * self._scale

    def share_of_dead(self) -> NetState | None:
        """The greatest share (at most 1) of the dead load that the net carries."""
        return self._solve(self._dead, np.zeros_like(self._dead), most=1.0)

    def load_factor(self) -> NetState | None:
        """The greatest multiple of the variable load beside the dead load; None when the net does
        not carry the dead load."""
        if self._variable is None:
            raise ValueError("this net has no variable load")
        found = self._solve(self._variable, self._dead, most=UNLIMITED)
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
        return self._solve(None, held, cost=cost / scale)

    def _solve(
        self, driven: Array | None, held: Array, *, most: float = 1.0, cost: Array | None = None
    ) -> NetState | None:
        costs = np.zeros(self.band.matrix.shape[1]) if cost is None else np.asarray(cost, float)
        if self._solver == "band":
            with one_thread():
                found = solve_interior(self.band, held, costs, driven, most)
            if found is not None and found.gap < CREDIBLE:
                state = self._settled(found.x, found.factor, found.dual, found.gap, held, driven)
                if state is not None:
                    return state
        x, factor, dual = highs_interior(self.rows.matrix, held, costs, driven, most)
        return self._settled(x, factor, dual, float("nan"), held, driven)

    def _settled(
        self,
        x: Array,
        factor: float,
        dual: Array,
        gap: float,
        held: Array,
        driven: Array | None,
    ) -> NetState | None:
        """The answer mended; None when it is not in balance all the same."""
        if len(x) != self.band.matrix.shape[1] or not np.isfinite(x).all():
            return None
        wanted = held if driven is None else held + factor * driven
        with one_thread():
            x = mend(self.band, wanted, np.maximum(x, 0.0))
            rid = mend(self.band, wanted, np.where(x > IDLE, x, 0.0))
        if np.abs(self.band.rows(rid) - wanted).max() <= BROKEN:
            x = np.where(rid > IDLE / 10, rid, 0.0)
            with one_thread():
                x = mend(self.band, wanted, x)
        residual = float(np.abs(self.band.rows(x) - wanted).max())
        if not residual <= BROKEN:
            return None
        return NetState(x * self.mean, factor, factor, dual, residual, gap)


def highs_interior(
    matrix: Any, right: Array, cost: Array, driven: Array | None, most: float
) -> tuple[Array, float, Array]:
    """The same question asked of HiGHS: forces, driven factor and duals of the rows."""
    import highspy
    from scipy import sparse

    upper = np.full(matrix.shape[1], highspy.kHighsInf)
    if driven is not None:
        matrix = sparse.hstack([matrix, sparse.csr_array(-driven[:, None])])
        cost, upper = np.append(cost, -1.0), np.append(upper, most)
    matrix = matrix.tocsc()
    lp = highspy.HighsLp()
    lp.num_row_, lp.num_col_ = matrix.shape
    lp.col_cost_ = cost
    lp.col_lower_ = np.zeros(lp.num_col_)
    lp.col_upper_ = upper
    lp.row_lower_ = lp.row_upper_ = right
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = matrix.indptr
    lp.a_matrix_.index_ = matrix.indices
    lp.a_matrix_.value_ = matrix.data
    solver = quiet_solver(
        solver="ipx", run_crossover="off", presolve="on", ipm_optimality_tolerance=TOLERANCE
    )
    solver.passModel(lp)
    solver.run()
    answer = solver.getSolution()
    x, dual = np.asarray(answer.col_value), np.asarray(answer.row_dual)
    if driven is None:
        return x, 0.0, dual
    return x[:-1], float(x[-1]) if len(x) else 0.0, dual


def mend(band: Band, right: Array, x: Array) -> Array:
    """Bring every row into balance by changing each force in proportion to itself."""
    from scipy.linalg import LinAlgError

    for _ in range(MENDINGS):
        miss = right - band.rows(x)
        if np.abs(miss).max() < MENDED:
            break
        weight = np.minimum(x, 1.0) ** 2
        weight[weight == 0] = NONE
        try:
            step = weight * (band.across @ band.solve(weight, miss)[band.order])
        except LinAlgError:
            break
        x = np.where(x > 0, np.maximum(x + step, 0.0), 0.0)
    return x
