"""An interior-point method for the programs of a net, whose rows lie in a narrow band.

min c x, A x - d k = b, 0 <= x, 0 <= k <= most: forces x of the struts and one driven factor k. A
line of the net is joined only to its neighbours, so A D A' is a band matrix and its Cholesky
factor costs little; a general solver does not see this and took nearly three times as long on the
same program (benchmarks/bench_net.py measures both in one run). The driven column touches every
row; it is kept out of the band and put back by the Sherman-Morrison formula.

Source: Mehrotra 1992, "On the implementation of a primal-dual interior point method" (predictor and
corrector); Gondzio 1996, "Multiple centrality corrections in a primal-dual method", and 1998, "Warm
start of the primal-dual method applied in the cutting-plane scheme" (from memory); Wright 1997,
"Primal-Dual Interior-Point Methods", chapter 10 (starting point).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.net_band import Band
from timbrel.statics.net_solid import Array

STEPS = 90
CLOSE = 1e-8  # relative gap and infeasibility of the dual wanted
BALANCED = 1e-7  # infeasibility of the primal wanted; the forces are mended afterwards
PATIENCE = 6  # steps without progress after which the best point is taken
EXACT = 1e-10  # relative residual at which a solution of the rows is left alone
TURNS = 4  # refinements of a solution of the rows
STEP_SHARE = 0.995
CENTRINGS = 2  # further correctors of a step
FAR = 1e3  # times all loads: forces so great are none
ROUNDING = 1e-14
NEAR = 1e-2  # gap and infeasibility of a point from which a like program may be begun
ROOM = 1e-2  # share of a limit that is left free at such a start
STRAYS = 1e-9  # over all loads: what a step leaves out of balance beyond what it should


@dataclass(frozen=True)
class Underway:
    """A point from which a program much like this one may be begun: x (m,), factor, dual (rows,) of
    the rows and of the greatest factor, and the mean product of x and z there."""

    x: Array
    factor: float
    dual: Array
    most_dual: float
    mean: float


@dataclass(frozen=True)
class InteriorPoint:
    """Where the method stopped: x (m,), factor k, dual (rows,), relative gap and infeasibility.
    refuted: the duals tell that no x holds what has to be held. underway: a point on the way, still
    far from every bound; None when there was none. reached: the last point itself, from which the
    same program may be followed on."""

    x: Array
    factor: float
    dual: Array
    gap: float
    primal: float
    steps: int
    refuted: bool = False
    underway: Underway | None = None
    reached: Underway | None = None


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
        self.left: Array | None = None  # what the last step should have left out of balance
        self.refines = False

    def rows(self, x: Array) -> Array:
        return np.asarray(self.band.matrix @ x[:-1] + self.g * x[-1])

    def columns(self, y: Array) -> Array:
        return np.append(self.band.across @ y, self.g @ y)

    def solver(self, weight: Array) -> Callable[[Array], tuple[Array, Array]]:
        """Solves (A, g) diag(weight) (A, g)' y = r for y and (A, g)' y."""
        factor = self.band.factor(weight[:-1])
        across = factor.solve(self.g)
        bottom = 1 + weight[-1] * float(self.g @ across)

        def once(r: Array) -> Array:
            y = factor.solve(r)
            return np.asarray(y - across * (weight[-1] * float(self.g @ y) / bottom))

        def solve(r: Array) -> tuple[Array, Array]:
            y = once(r)
            columns = self.columns(y)
            return self._refined(r, weight, once, y, columns) if self.refines else (y, columns)

        return solve

    def _refined(
        self, r: Array, weight: Array, once: Callable[[Array], Array], y: Array, columns: Array
    ) -> tuple[Array, Array]:
        """A solution bettered against the true rows: the factor loses digits near the end."""
        miss = r - self.rows(weight * columns)
        for _ in range(TURNS):
            if np.abs(miss).max() <= EXACT * np.abs(r).max():
                break
            better = y + once(miss)
            across = self.columns(better)
            left = r - self.rows(weight * across)
            if np.abs(left).max() > 0.5 * np.abs(miss).max():
                break
            y, columns, miss = better, across, left
        return y, columns

    def start(self, first: float) -> _Point:
        """Wright 1997, 10.4, with the factor at `first`."""
        weight = np.append(np.ones(len(self.c) - 1), 0.0)
        solve = self.solver(weight)
        x = weight * solve(self.b - self.g * first)[1]
        y, columns = solve(self.rows(weight * self.c))
        z = self.c - columns
        x, z = x[:-1], z[:-1]
        x = x + max(-1.5 * x.min(), 0.0)
        z = z + max(-1.5 * z.min(), 0.0)
        inner = max(float(x @ z), 1e-8)
        x_up, z_up = 0.5 * inner / max(z.sum(), 1e-8), 0.5 * inner / max(x.sum(), 1e-8)
        return _Point(np.append(x + x_up + 1e-6, first), y, np.append(z + z_up + 1e-6, 1.0), 1.0)

    def resume(self, near: Underway) -> _Point:
        """From a point of a program with the same rows and columns or fewer, the others last (rows
        of limits, each with a slack of its own), and another right side."""
        old, rows = len(near.x), len(near.dual)
        k = min(near.factor, 0.98 * self.most)
        x = np.append(near.x, np.zeros(len(self.c) - 1 - old))
        miss = self.band.back(self.b - self.rows(np.append(x, k)))
        dual = np.append(near.dual, np.zeros(len(miss) - rows))
        room = self.band.back(np.abs(self.b))[rows:]
        x[old:] = np.maximum(miss[rows:], ROOM * room + 1e-3)
        dual[rows:] = -near.mean / x[old:]
        x = np.maximum(x, 1e-8)
        y = dual[self.band.order]
        w = max(near.most_dual, near.mean / max(self.most - k, 1e-6))
        z = self.c - self.columns(y)
        z[-1] = max(z[-1] + w, near.mean / max(k, 1e-6))
        z[:-1] = np.maximum(z[:-1], np.minimum(0.1 * near.mean / x, 100.0))
        return _Point(np.append(x, max(k, 1e-8)), y, z, w)

    def underway(self, p: _Point) -> Underway:
        mean = (float(p.x @ p.z) + (self.most - p.x[-1]) * p.w) / (len(p.x) + 1)
        return Underway(p.x[:-1], float(p.x[-1]), self.band.back(p.y), p.w, mean)

    def measure(self, p: _Point) -> tuple[float, float, float, Array, Array]:
        """Relative gap, infeasibilities of primal and dual, and the two residuals."""
        rp = self.b - self.rows(p.x)
        if self.left is not None and not self.refines:
            self.refines = bool(np.abs(rp - self.left).max() > STRAYS * self.size)
        rd = self.c - self.columns(p.y) - p.z
        rd[-1] += p.w
        value = float(self.c @ p.x)
        bound = float(self.b @ p.y) - self.most * p.w
        gap = abs(value - bound) / (1 + abs(value))
        return gap, float(np.abs(rp).max()) / self.size, float(np.abs(rd).max()) / 2, rp, rd

    def refuted(self, p: _Point) -> bool:
        """Do the duals tell that nothing holds b, or where b is nil any of the driven load.

        b y = x A'y + k g y, so with no strut that shuts (A'y <= 0) there is no x (Farkas 1902).
        Where some shut a little, only forces FAR beyond all loads could; that is taken for none,
        on the safe side. Such programs have no interior, and steps in them lead nowhere.
        """
        bare = not self.b.any()
        if bare and (self.c[:-1].any() or not self.g.any()):
            return False
        shut = float((self.band.across @ p.y).max(initial=0.0))
        shut += ROUNDING * float(np.abs(p.y).max(initial=0.0))
        driven = float(self.g @ p.y)
        loads = float(np.abs(self.b).sum()) + self.most * float(np.abs(self.g).sum())
        sinks = float(self.b @ p.y) - self.most * max(driven, 0.0) if not bare else -driven
        return sinks > shut * FAR * loads > 0

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
            y, columns = solve(rp + self.rows(weight * h))
            x = weight * (columns - h)
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
        self.left = (1 - ap) * rp
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
    fastest = float((change / np.maximum(value, 1e-300)).min())
    return -1 / fastest if fastest < 0 else 1e3


def _refuted(program: _Interior, point: _Point, step: int) -> InteriorPoint:
    """No x; where only the driven load is there to be held, none of it is, and that is the optimum.
    The dual is scaled to one unit of work of the driven load."""
    dual = program.band.back(point.y)
    work = abs(float(program.g @ point.y))
    if not program.b.any():
        return InteriorPoint(np.zeros(len(point.x) - 1), 0.0, dual / work, 0.0, 0.0, step)
    return InteriorPoint(np.zeros(len(point.x) - 1), 0.0, dual, np.inf, np.inf, step, refuted=True)


def solve_interior(
    band: Band,
    right: Array,
    cost: Array,
    driven: Array | None,
    most: float,
    near: Underway | None = None,
    close: float = CLOSE,
) -> InteriorPoint | None:
    """The optimum, or the best point reached; None when the method cannot start.

    band: of the (rows, m) matrix. driven: (rows,) load that the factor multiplies; its cost is -1.
    most: greatest factor. near: of a program much like this one, of the same costs, from which to
    begin; where that leads to no optimum it is begun afresh. close: relative gap and infeasibility
    of the dual wanted.
    """
    nothing = driven is None
    g = np.zeros(band.size) if driven is None else -driven[band.order]
    b = right[band.order]
    program = _Interior(band, b, g, np.append(cost, 0.0 if nothing else -1.0), most)
    if near is not None and len(near.x) <= len(cost) and len(near.dual) <= len(right):
        found = _followed(program, lambda: program.resume(near), close)
        if found is not None and (
            found.refuted or (found.gap < close and found.primal < BALANCED * close / CLOSE)
        ):
            return found
        program = _Interior(band, b, g, program.c, most)
    return _followed(program, lambda: program.start(min(1.0, most / 2)), close)


def _followed(
    program: _Interior, begin: Callable[[], _Point], close: float
) -> InteriorPoint | None:
    """Step by step to the optimum."""
    from scipy.linalg import LinAlgError

    best, best_merit, last, step = None, np.inf, 0, 0
    least = np.full(3, np.inf)
    underway = None
    balanced = BALANCED * close / CLOSE
    try:
        point = begin()
        for step in range(STEPS):
            gap, primal, dual, rp, rd = program.measure(point)
            merit = max(gap / close, primal / balanced, dual / close)
            if merit < best_merit:
                best_merit, best = merit, (point, gap, primal)
            # A point may come nearer in balance while its gap still swings.
            here = np.array([gap, primal, dual])
            if merit < best_merit * 1.001 or (here < 0.9 * least).any():
                last = step
            least = np.minimum(least, here)
            if primal > balanced and program.refuted(point):
                return _refuted(program, point, step)
            if underway is None and step > 0 and max(gap, primal) < NEAR:
                underway = program.underway(point)
            if merit < 1 or step - last > PATIENCE or not np.isfinite(merit):
                break
            point = program.step(point, rp, rd)
    except (LinAlgError, ValueError):
        pass  # the factor broke down: the best point so far is what there is
    if best is None:
        return None
    point, gap, primal = best
    factor = float(point.x[-1]) if program.g.any() else 0.0
    y = program.band.back(point.y)
    reached = program.underway(point)
    return InteriorPoint(
        point.x[:-1], factor, y, gap, primal, step, underway=underway, reached=reached
    )
