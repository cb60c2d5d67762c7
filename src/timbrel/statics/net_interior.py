"""An interior-point method for the programs of a net, whose rows lie in a narrow band.

min c x, A x - d k = b, 0 <= x, 0 <= k <= most: forces x of the struts and one driven factor k. A
line of the net is joined only to its neighbours, so A D A' is a band matrix and its Cholesky
factor costs little; a general solver does not see this and took nearly three times as long on the
same program (benchmarks/bench_net.py measures both in one run). The driven column touches every
row; it is kept out of the band and put back by the Sherman-Morrison formula.

Source: Mehrotra 1992, "On the implementation of a primal-dual interior point method" (predictor and
corrector); Gondzio 1996, "Multiple centrality corrections in a primal-dual method"; Wright 1997,
"Primal-Dual Interior-Point Methods", chapter 10 (starting point).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.net_solid import Array, Index

STEPS = 90
CLOSE = 1e-8  # relative gap and infeasibility of the dual wanted
BALANCED = 1e-7  # infeasibility of the primal wanted; the forces are mended afterwards
PATIENCE = 6  # steps without progress after which the best point is taken
EXACT = 1e-10  # relative residual at which a solution of the rows is left alone
TURNS = 4  # refinements of a solution of the rows
STEP_SHARE = 0.995
CENTRINGS = 2  # further correctors of a step
REGULAR = 1e-14


@dataclass(frozen=True)
class InteriorPoint:
    """Where the method stopped: x (m,), factor k, dual (rows,), relative gap and infeasibility."""

    x: Array
    factor: float
    dual: Array
    gap: float
    primal: float
    steps: int


class Band:
    """A D A' as a band. Rows are ordered as they come, as `keys` order them, or by Cuthill and McKee
    (1969), whichever is narrowest; the products of the entries of each column are laid out once."""

    def __init__(self, matrix: Any, *keys: Array) -> None:
        from scipy import sparse
        from scipy.sparse.csgraph import reverse_cuthill_mckee

        self.size = matrix.shape[0]
        pattern = (abs(matrix) @ abs(matrix).T).tocoo()
        orders = [np.argsort(key, kind="stable") for key in keys]
        orders.append(np.arange(self.size))
        if self.size:
            orders.append(np.asarray(reverse_cuthill_mckee(pattern.tocsr(), symmetric_mode=True)))
        widths = []
        for order in orders:
            place = np.empty(self.size, np.int64)
            place[order] = np.arange(self.size)
            widths.append(int(np.abs(place[pattern.row] - place[pattern.col]).max(initial=0)))
        self.order: Index = orders[int(np.argmin(widths))]
        self.width = min(widths)
        self.matrix = matrix.tocsr()[self.order]
        columns = self.matrix.tocsc()
        columns.sort_indices()
        self.across = columns.T
        self._products = sparse.csc_array(
            self._lay_out(columns), shape=((self.width + 1) * self.size, columns.shape[1])
        )

    def _lay_out(self, columns: Any) -> tuple[Array, Index, Index]:
        """Every product of two entries of a column, where it falls in the band."""
        count = np.diff(columns.indptr)
        start = np.zeros(len(count) + 1, np.int64)
        start[1:] = np.cumsum(count * (count + 1) // 2)
        value, place = np.empty(start[-1]), np.empty(start[-1], np.int32)
        for size in np.unique(count):
            which = np.flatnonzero(count == size)
            low, high = np.tril_indices(size)
            entry = columns.indptr[which][:, None] + np.arange(size)
            row, data = columns.indices[entry], columns.data[entry]
            here = start[which][:, None] + np.arange(len(low))
            value[here] = data[:, low] * data[:, high]
            place[here] = (row[:, low] - row[:, high]) * self.size + row[:, high]
        return value, place, start

    def factor(self, weight: Array) -> tuple[Array, Array]:
        """Cholesky factor of A diag(weight) A' in lower band form, its rows and columns scaled to
        a unit diagonal, and the scales."""
        from scipy.linalg import cholesky_banded

        band = (self._products @ weight).reshape(self.width + 1, self.size)
        scale = 1 / np.sqrt(np.maximum(band[0], 1e-300))
        band *= scale
        for k in range(self.width + 1):
            band[k, : self.size - k] *= scale[k:]
        band[0] += REGULAR
        return np.asarray(cholesky_banded(band, overwrite_ab=True, lower=True)), scale

    def rows(self, x: Array) -> Array:
        """A x, rows in the matrix's own order."""
        found = np.empty(self.size)
        found[self.order] = self.matrix @ x
        return found

    def solve(self, weight: Array, right: Array) -> Array:
        """y of A diag(weight) A' y = right, rows in the matrix's own order."""
        from scipy.linalg import cho_solve_banded

        factor, scale = self.factor(weight)
        found = np.empty(self.size)
        found[self.order] = scale * cho_solve_banded((factor, True), scale * right[self.order])
        return found


@dataclass
class _Point:
    """x: forces and, last, the factor; y: duals of the rows; z: of x >= 0; w: of factor <= most."""

    x: Array
    y: Array
    z: Array
    w: float


class _Interior:
    """One program: rows A in their band order, right side b, driven column g = -d, costs c (the
    factor's last)."""

    def __init__(self, band: Band, b: Array, g: Array, c: Array, most: float) -> None:
        self.band, self.b, self.g, self.c, self.most = band, b, g, c, most

    def rows(self, x: Array) -> Array:
        return np.asarray(self.band.matrix @ x[:-1] + self.g * x[-1])

    def columns(self, y: Array) -> Array:
        return np.append(self.band.across @ y, self.g @ y)

    def solver(self, weight: Array) -> Callable[[Array], Array]:
        """Solves (A, g) diag(weight) (A, g)' y = r."""
        from scipy.linalg import cho_solve_banded

        factor, scale = self.band.factor(weight[:-1])

        def base(r: Array) -> Array:
            return np.asarray(scale * cho_solve_banded((factor, True), scale * r))

        across = base(self.g)
        bottom = 1 + weight[-1] * float(self.g @ across)

        def once(r: Array) -> Array:
            y = base(r)
            return np.asarray(y - across * (weight[-1] * float(self.g @ y) / bottom))

        def solve(r: Array) -> Array:
            """Refined against the true rows: the factor loses digits near the end."""
            y = once(r)
            miss = r - self.rows(weight * self.columns(y))
            for _ in range(TURNS):
                if np.abs(miss).max() <= EXACT * np.abs(r).max():
                    break
                better = y + once(miss)
                left = r - self.rows(weight * self.columns(better))
                if np.abs(left).max() > 0.5 * np.abs(miss).max():
                    break
                y, miss = better, left
            return y

        return solve

    def start(self, first: float) -> _Point:
        """Wright 1997, 10.4, with the factor at `first`."""
        weight = np.append(np.ones(len(self.c) - 1), 0.0)
        solve = self.solver(weight)
        x = weight * self.columns(solve(self.b - self.g * first))
        y = solve(self.rows(weight * self.c))
        z = self.c - self.columns(y)
        x, z = x[:-1], z[:-1]
        x = x + max(-1.5 * x.min(), 0.0)
        z = z + max(-1.5 * z.min(), 0.0)
        inner = max(float(x @ z), 1e-8)
        x_up, z_up = 0.5 * inner / max(z.sum(), 1e-8), 0.5 * inner / max(x.sum(), 1e-8)
        return _Point(np.append(x + x_up + 1e-6, first), y, np.append(z + z_up + 1e-6, 1.0), 1.0)

    def measure(self, p: _Point) -> tuple[float, float, float, Array, Array]:
        """Relative gap, infeasibilities of primal and dual, and the two residuals."""
        rp = self.b - self.rows(p.x)
        rd = self.c - self.columns(p.y) - p.z
        rd[-1] += p.w
        value = float(self.c @ p.x)
        bound = float(self.b @ p.y) - self.most * p.w
        gap = abs(value - bound) / (1 + abs(value))
        return gap, float(np.abs(rp).max()) / self.size, float(np.abs(rd).max()) / 2, rp, rd

    @property
    def size(self) -> float:
        return 1 + max(float(np.abs(self.b).max()), 1.0)

    def step(self, p: _Point, rp: Array, rd: Array) -> _Point:
        """Predictor and corrector."""
        s = max(self.most - p.x[-1], 1e-12)
        mu = (float(p.x @ p.z) + s * p.w) / (len(p.x) + 1)
        inverse = p.z / p.x
        inverse[-1] += p.w / s
        weight = 1 / inverse
        solve = self.solver(weight)

        def towards(xz: Array, sw: float) -> _Point:
            h = rd - xz / p.x
            h[-1] += sw / s
            y = solve(rp + self.rows(weight * h))
            x = weight * (self.columns(y) - h)
            return _Point(x, y, (xz - p.z * x) / p.x, (sw + p.w * x[-1]) / s)

        d = towards(-p.x * p.z, -s * p.w)
        ap, ad = self._reach(p, d)
        after = float((p.x + ap * d.x) @ (p.z + ad * d.z))
        after += (s - ap * d.x[-1]) * (p.w + ad * d.w)
        target = mu * (after / (len(p.x) + 1) / mu) ** 3
        xz, sw = target - p.x * p.z - d.x * d.z, target - s * p.w + d.x[-1] * d.w
        d = towards(xz, sw)
        ap, ad = self._reach(p, d)
        for _ in range(CENTRINGS):
            far_p, far_d = min(1.0, 1.1 * ap + 0.1), min(1.0, 1.1 * ad + 0.1)
            xz = xz + _centring((p.x + far_p * d.x) * (p.z + far_d * d.z), target)
            sw += float(_centring((s - far_p * d.x[-1]) * (p.w + far_d * d.w), target))
            other = towards(xz, sw)
            op, od = self._reach(p, other)
            if min(op, 1.0) + min(od, 1.0) < min(ap, 1.0) + min(ad, 1.0) + 0.02:
                break
            d, ap, ad = other, op, od
        ap, ad = (min(1.0, STEP_SHARE * a) for a in (ap, ad))
        return _Point(p.x + ap * d.x, p.y + ad * d.y, p.z + ad * d.z, p.w + ad * d.w)

    def _reach(self, p: _Point, d: _Point) -> tuple[float, float]:
        """Longest primal and dual steps that keep everything positive."""
        s = self.most - p.x[-1]
        primal = _longest(np.append(p.x, s), np.append(d.x, -d.x[-1]))
        return primal, _longest(np.append(p.z, p.w), np.append(d.z, d.w))


def _centring(product: Any, target: float) -> Any:
    """What brings products of x and z far from the target back towards it (Gondzio 1996)."""
    change = np.clip(product, 0.1 * target, 10 * target) - product
    return np.maximum(change, -10 * target)


def _longest(value: Array, change: Array) -> float:
    down = change < 0
    return float((value[down] / -change[down]).min()) if down.any() else 1e3


def solve_interior(
    band: Band, right: Array, cost: Array, driven: Array | None, most: float
) -> InteriorPoint | None:
    """The optimum, or the best point reached; None when the method cannot start.

    band: of the (rows, m) matrix. driven: (rows,) load that the factor multiplies; its cost is -1.
    most: greatest factor.
    """
    from scipy.linalg import LinAlgError

    nothing = driven is None
    g = np.zeros(band.size) if driven is None else -driven[band.order]
    program = _Interior(band, right[band.order], g, np.append(cost, 0.0 if nothing else -1.0), most)
    best, best_merit, last, step = None, np.inf, 0, 0
    least = np.full(3, np.inf)
    try:
        point = program.start(min(1.0, most / 2))
        for step in range(STEPS):
            gap, primal, dual, rp, rd = program.measure(point)
            merit = max(gap / CLOSE, primal / BALANCED, dual / CLOSE)
            if merit < best_merit:
                best_merit, best = merit, (point, gap, primal)
            # A point may come nearer in balance while its gap still swings.
            here = np.array([gap, primal, dual])
            if merit < best_merit * 1.001 or (here < 0.9 * least).any():
                last = step
            least = np.minimum(least, here)
            if merit < 1 or step - last > PATIENCE or not np.isfinite(merit):
                break
            point = program.step(point, rp, rd)
    except (LinAlgError, ValueError):
        pass  # the factor broke down: the best point so far is what there is
    if best is None:
        return None
    point, gap, primal = best
    dual_rows = np.empty(band.size)
    dual_rows[band.order] = point.y
    factor = 0.0 if nothing else float(point.x[-1])
    return InteriorPoint(point.x[:-1], factor, dual_rows, gap, primal, step)
