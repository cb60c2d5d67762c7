"""The linear program of a net: share of the dead load, load factor, extremes.

Forces are scaled so that the mean load of a node is one, the variable load so that it weighs as
much as the dead load.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from timbrel.statics.net_crushing import Crushing, no_cuts
from timbrel.statics.net_interior import Underway
from timbrel.statics.net_linear import ROUGH, LinearNet, Solution, Solver, band_keys
from timbrel.statics.net_rows import NetRows
from timbrel.statics.net_solid import Array, Index

UNLIMITED = 50.0  # times the vault's own weight beyond which a load is called unlimited
BOUNDLESS = 1e3  # times the whole load: a force that nothing bounds
REACHED = 1e-5  # from the most that is followed
LESS = 1.02  # more rows never carry more: the next go looks no further than this
WAYS = 4  # costs whose ways are kept
ROUNDS = 40  # goes at the chords of the crushing strength


@dataclass(frozen=True)
class NetState:
    """Forces in equilibrium.

    force: (orbits,) N. factor: of the variable load, or the share of the dead load; infinite when
    nothing found bounds it. more: it was followed no further. rigid: the same before the strength was
    looked at. carried: the multiple in the state itself. dual: (rows,) of the
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
    more: bool = False
    rigid: float = np.nan


class NetProgram:
    """One net under one dead load and one variable load, asked several questions.

    dead, variable: (n,) downward on the nodes, N. pushed: (rows,) what level parts of the variable load
    add to its right-hand side, N. places: (rows, 2) of the rows on the grid, by which
    they are ordered for the band. crushing: with the faces (k,) that stand for all that the
    symmetries make alike. Chords that one question breaks stay for the next.
    """

    def __init__(
        self,
        rows: NetRows,
        dead: Array,
        variable: Array | None = None,
        *,
        pushed: Array | None = None,
        places: Array,
        crushing: tuple[Crushing, Index] | None = None,
        solver: Solver = "band",
    ) -> None:
        self.rows = rows
        self.places, self._crushing, self._solver = places, crushing, solver
        loaded = max(int(np.count_nonzero(dead)), 1)
        self.mean = max(float(np.abs(dead).sum()) / loaded, 1e-300)
        self._dead = rows.load(dead) / self.mean
        self._scale = 1.0
        self._variable = None
        if variable is not None:
            side = rows.load(variable) if pushed is None else rows.load(variable) + pushed
            size = float(np.abs(variable).sum()) if pushed is None else float(np.abs(side).sum())
            self._scale = float(np.abs(dead).sum()) / max(size, 1e-300)
            self._variable = side / self.mean * self._scale
        self._cuts, self._capped = no_cuts(), False
        self._most = np.zeros(0)
        # Where questions of each cost came by: the next of the same cost begins there.
        self._ways: list[tuple[Array, Underway]] = []
        self.linear = self._plain = self._build()

    def share_of_dead(self) -> NetState | None:
        """The greatest share (at most 1) of the dead load that the net carries."""
        return self._solve(np.zeros_like(self._dead), self._dead, most=1.0)

    def load_factor(self, followed: float = np.inf) -> NetState | None:
        """The greatest multiple of the variable load beside the dead load, but not past `followed`;
        None when the net does not carry the dead load."""
        if self._variable is None:
            raise ValueError("this net has no variable load")
        most = min(UNLIMITED, followed / self._scale)
        found = self._solve(self._dead, self._variable, most=most)
        if found is None:
            return None
        carried, more = found.factor * self._scale, found.factor > most * (1 - REACHED)
        factor = min(followed, carried * (1 + REACHED)) if more else carried
        return replace(
            found,
            factor=np.inf if found.factor > 0.99 * UNLIMITED else factor,
            carried=carried,
            dual=found.dual / self._scale,
            more=more,
            rigid=np.inf if found.rigid > 0.99 * UNLIMITED else found.rigid * self._scale,
        )

    def extreme(self, cost: Array, factor: float = 0.0) -> NetState | None:
        """The state of least cost (orbits,) per newton under the dead load and a multiple of the
        variable one; None when there is no state, or nothing bounds the cost."""
        held = self._dead
        if self._variable is not None and factor:
            held = held + factor / self._scale * self._variable
        scale = max(float(np.abs(cost).max()), 1e-300)
        found = self._solve(held, cost=cost / scale)
        if found is None:
            return None
        limit = BOUNDLESS * float(held.sum()) * self.mean
        # Where the strength limits every face, forces may be great and bounded all the same.
        return found if self._capped or found.force.max(initial=0.0) <= limit else None

    def _build(self) -> LinearNet:
        """The rows of equilibrium, and a row with its own slack for every chord so far."""
        matrix, places = self.rows.matrix, self.places
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
        return LinearNet(matrix, *sides, keys=band_keys(places), solver=self._solver)

    def mended(self, wanted: Array, x: Array) -> Array:
        """Shared forces corrected so that the rows of equilibrium come to what is wanted."""
        return self._plain.mended(wanted, x)

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
        rigid = np.nan
        near = None if cost is None else self._way(cost)
        rough = bool(self._cuts.size)
        for _ in range(ROUNDS):
            found = self.linear.solve(
                np.append(held, self._most),
                None if driven is None else np.append(driven, none(self._most)),
                most=most,
                cost=None if cost is None else np.append(cost, none(self._most)),
                near=near,
                rough=rough,
            )
            near = None if found is None else found.underway
            if cost is not None and near is not None:
                self._keep(cost, near)
            if self._crushing is None:
                return None if found is None else self._state(found.x[:count] * self.mean, found)
            crushing, kept = self._crushing
            if not self._capped and (found is None or _boundless(found, held, driven)):
                # Nothing but the strength bounds it: every face is told so at once.
                self._capped = True
                self._cuts, near = crushing.caps(kept), None
                self.linear = self._build()
                continue
            if found is None:
                return None
            if np.isnan(rigid) and not self._cuts.size:
                rigid = found.factor
            force = found.x[:count] * self.mean
            broken = crushing.broken(force[self.rows.orbit], kept).without(self._cuts)
            if not broken.size and not rough:
                return replace(self._state(force, found), rigid=rigid)
            if driven is not None:
                most = min(most, (found.factor + rough * ROUGH * (1 + found.factor)) * LESS)
            if not broken.size:
                rough, near = False, found.reached
                continue
            # Without chords the optimum itself is told; on the way to the strength it need not be.
            rough = rough or not self._cuts.size
            self._cuts = self._cuts.with_(broken)
            self.linear = self._build()
        return None

    def _way(self, cost: Array) -> Underway | None:
        """Where the last question of the same cost came by; a way from other costs leads astray."""
        return next((way for known, way in self._ways if np.array_equal(known, cost)), None)

    def _keep(self, cost: Array, way: Underway) -> None:
        others = [kept for kept in self._ways if not np.array_equal(kept[0], cost)]
        self._ways = [*others, (cost, way)][-WAYS:]

    def _state(self, force: Array, found: Solution) -> NetState:
        dual, k = found.dual[: len(self._dead)], found.factor
        return NetState(force, k, k, dual, found.residual, found.gap, rigid=k)


def _boundless(found: Solution, held: Array, driven: Array | None) -> bool:
    loads = float(held.sum()) + (0.0 if driven is None else found.factor * float(driven.sum()))
    return bool(found.x.max(initial=0.0) > BOUNDLESS * max(loads, 1.0))
