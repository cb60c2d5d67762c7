"""One linear program over the struts of a net, solved, mended and measured.

min c x, A x = held + k driven, x >= 0, 0 <= k <= most, the factor k at cost -1. What cannot carry is
left out first (:mod:`timbrel.statics.net_presolve`). The program is solved by our interior point,
which uses the band of the rows (:mod:`timbrel.statics.net_interior`), and by HiGHS's, without
crossover and with presolve, as a second opinion and where ours stops short. What a solver says of its
own answer is not believed: an answer is first mended (the forces that it uses are corrected, each in
proportion to itself, until every row is in balance: the affine scaling of Dikin 1967), rid of
what carries next to nothing, then looked at for residual and sign.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net_band import Band
from timbrel.statics.net_interior import CLOSE, Underway, solve_interior
from timbrel.statics.net_presolve import presolve
from timbrel.statics.net_solid import Array
from timbrel.statics.net_threads import one_thread
from timbrel.statics.solver import quiet_solver, run_stoppably

Solver = Literal["band", "highs"]

TOLERANCE = 1e-9
MENDED = 1e-10  # residual that mending aims at
BROKEN = 1e-6  # ... and that an answer may have; a certificate asks for 1e-6 of the whole load
MENDINGS = 4
NONE = 1e-30  # weight of an idle strut in the mending
IDLE = (1e-4, 1e-6)  # of the mean nodal load: struts that carry less are tried to be left out
ROUGH = 1e-4  # relative gap of an answer of which only the broken limits are wanted
CREDIBLE = 1e-4  # gap over which the band method's point is left for HiGHS to better


@dataclass(frozen=True)
class Solution:
    """x: (m,). factor: k. dual: (n,) of the rows. residual: largest row out of balance. gap:
    relative gap of the program's two bounds, nan when the solver does not tell it. underway: a point
    from which the same program with another right side, or with more rows, may be begun. reached: one
    from which the same program may be followed on."""

    x: Array
    factor: float
    dual: Array
    residual: float
    gap: float
    underway: Underway | None = None
    reached: Underway | None = None


class LinearNet:
    """One matrix, to be asked with several right-hand sides and costs.

    matrix: (n, m) sparse. keys: orders (n,) of the rows to try for the band. sides: (n,) all the
    right-hand sides that may be asked (where they are zero a row may leave struts idle).
    """

    def __init__(
        self, matrix: Any, *sides: Array, keys: tuple[Array, ...] = (), solver: Solver = "band"
    ) -> None:
        self.matrix = matrix.tocsr()
        self._solver = solver
        self._kept = presolve(self.matrix, *sides)
        self._columns = self._kept.columns
        self._small = self.matrix[self._kept.rows][:, self._columns]
        self.band = Band(self._small, *(key[self._kept.rows] for key in keys))

    @property
    def live(self) -> NDArray[np.bool_]:
        """(m,) which forces may be other than nothing, as far as the rows show it."""
        found = np.zeros(self.matrix.shape[1], bool)
        found[self._columns] = True
        return found

    def solve(
        self,
        held: Array,
        driven: Array | None = None,
        *,
        most: float = 1.0,
        cost: Array | None = None,
        near: Underway | None = None,
        rough: bool = False,
    ) -> Solution | None:
        """The optimum; None when there is no answer in balance. near: of a program much like it.
        rough: an answer in balance within ROUGH of the optimum will do."""
        costs = np.zeros(self.matrix.shape[1]) if cost is None else np.asarray(cost, float)
        rows = self._kept.rows
        if held[self._kept.lost].any():
            return None  # a load on what nothing holds
        if driven is not None and driven[self._kept.lost].any():
            still = self.solve(held)
            return still and replace(still, dual=self._let_go(driven))
        if not len(rows):
            return Solution(np.zeros(self.matrix.shape[1]), 0.0, np.zeros(len(held)), 0.0, 0.0)
        few = costs[self._columns]
        right, push = held[rows], None if driven is None else driven[rows]
        for close in () if self._solver == "highs" else (ROUGH, CLOSE) if rough else (CLOSE,):
            with one_thread():
                found = solve_interior(self.band, right, few, push, most, near, close)
            if found is not None and found.refuted:
                return None
            if found is not None and found.gap < CREDIBLE:
                settled = self._settled(found.x, found.factor, right, push, rid=close == CLOSE)
                if settled is not None:
                    whole = self._whole(*settled, found.factor, found.dual, found.gap, costs)
                    return replace(whole, underway=found.underway, reached=found.reached)
        x, factor, dual = highs_interior(self._small, right, few, push, most)
        settled = self._settled(x, factor, right, push, rid=True)
        return None if settled is None else self._whole(*settled, factor, dual, np.nan, costs)

    def _let_go(self, driven: Array) -> Array:
        """Duals that drop the driven load on a row that nothing holds."""
        row = int(self._kept.lost[np.abs(driven[self._kept.lost]).argmax()])
        found = np.zeros(len(driven))
        found[row] = -1 / driven[row]
        return found

    def mended(self, wanted: Array, x: Array) -> Array:
        """x (m,) corrected so that the rows come to what is wanted (n,), as far as may be."""
        found = mend(self.band, wanted[self._kept.rows], x[self._columns])
        return self._kept.spread(found, self.matrix.shape[1])

    def _whole(
        self, x: Array, residual: float, factor: float, dual: Array, gap: float, costs: Array
    ) -> Solution:
        forces = self._kept.spread(x, self.matrix.shape[1])
        return Solution(forces, factor, self._kept.duals(self.matrix, costs, dual), residual, gap)

    def _settled(
        self, x: Array, factor: float, held: Array, driven: Array | None, *, rid: bool
    ) -> tuple[Array, float] | None:
        """The answer mended, rid of what carries next to nothing, and its residual; None when it is
        not in balance all the same."""
        if len(x) != self.band.matrix.shape[1] or not np.isfinite(x).all():
            return None
        wanted = held if driven is None else held + factor * driven
        with one_thread():
            x = mend(self.band, wanted, np.maximum(x, 0.0))
            for idle in IDLE if rid else ():
                few = mend(self.band, wanted, np.where(x > idle, x, 0.0))
                if self._missed(few, wanted) <= BROKEN:
                    x = mend(self.band, wanted, np.where(few > idle / 10, few, 0.0))
                    break
        residual = self._missed(x, wanted)
        return (x, residual) if residual <= BROKEN else None

    def _missed(self, x: Array, wanted: Array) -> float:
        """Largest row out of balance."""
        return float(np.abs(self.band.rows(x) - wanted).max(initial=0.0))


def band_keys(places: Array) -> tuple[Array, Array]:
    """Orders of rows by their place (n, 2) on the grid, row by row and column by column."""
    wide = float(places.max(initial=0)) + 2
    return places[:, 0] * wide + places[:, 1], places[:, 1] * wide + places[:, 0]


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
    run_stoppably(solver)
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
