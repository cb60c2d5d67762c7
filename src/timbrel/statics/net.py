"""The strut net of a vault and what is asked of it.

A net is a static model in the sense of the safe theorem (Heyman 1966): struts, compression only, in
the masonry, between lines through the thickness that do not break. Every state found is in
equilibrium with the loads, so its load factor is a lower bound, provided the layers act as one.
What that asks of the beds between layers is told by :mod:`timbrel.statics.net_beds`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.net_crushing import Crushing
from timbrel.statics.net_level import LevelLoad, level_rows, level_symmetries, unheld
from timbrel.statics.net_linear import Solver
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_program import NetProgram, NetState
from timbrel.statics.net_rows import NetRows, net_rows
from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid, Support
from timbrel.statics.net_struts import Struts, draw_struts
from timbrel.statics.net_symmetry import level_turn, of_loads, symmetries

REACH = 3
GREATEST = 10.0
"""Times the whole load on one support: a thrust past it has a lever under an eightieth of the span,
which shortening takes away."""


@dataclass(frozen=True)
class Net:
    """Lines, candidate struts and the symmetries of the vault ((g, n), the identity first)."""

    solid: NetSolid
    grid: NetGrid
    struts: Struts
    reach: int
    group: Index


@dataclass(frozen=True)
class NetAnswer:
    """One state of equilibrium of a net.

    factor: multiple of the variable load that the net carries, infinite when nothing found bounds it.
    more: it carries more but was followed no further. rigid: the same with the strength left out (nan
    when it was not asked).
    carried: the multiple in the state itself. force: (m,) in each strut, N. reaction: (n, 3) that
    the supports put on the vault, N. velocity: (n, 3) of the middles of the lines in the mechanism that
    bounds the net and lean: (n, 3) of their extrados ends beside that, scaled to a largest velocity
    of one (zero where no mechanism was asked).
    alike: how many symmetries of vault and load were used. residual, gap: of the program.
    """

    factor: float
    carried: float
    force: Array
    reaction: Array
    velocity: Array
    lean: Array
    alike: int
    residual: float
    gap: float
    more: bool = False
    rigid: float = np.nan


def draw_net(solid: NetSolid, grid: NetGrid, reach: int = REACH) -> Net:
    """Draw every candidate strut to a reach into the masonry."""
    group = symmetries(grid)
    return Net(solid, grid, draw_struts(solid, grid, reach, group), reach, group)


class NetQuestion:
    """A net under given loads, ready to be asked.

    dead: permanent loads together; variable: the load that is driven. use_symmetry: off solves the
    full program. support: the one whose thrust alone is asked for. crushing: of the same net, when
    the strength is limited. unheld: level parts of the variable load press where no strut presses
    back, so there is no state under any of it.
    """

    def __init__(
        self,
        net: Net,
        dead: NetLoad,
        variable: NetLoad | None = None,
        *,
        use_symmetry: bool = True,
        support: Support | None = None,
        crushing: Crushing | None = None,
        solver: Solver = "band",
    ) -> None:
        self.net, self.dead, self.variable = net, dead, variable
        loads = [dead.weight] + ([variable.weight] if variable else [])
        self.support, self.crushing = support, crushing
        self.group = of_loads(net.group, *loads) if use_symmetry else net.group[:1]
        if support is not None:
            stays = np.sort(self.group[:, support.nodes], axis=1) == np.sort(support.nodes)
            self.group = self.group[stays.all(axis=1)]
        pushed = None
        if isinstance(variable, LevelLoad):
            self.group = level_symmetries(net.grid, self.group, variable)
        self.rows = net_rows(net.grid, net.struts, self.group)
        if isinstance(variable, LevelLoad):
            pushed = level_rows(self.rows, variable)
        self.unheld = isinstance(variable, LevelLoad) and unheld(self.rows, variable)
        self.program = NetProgram(
            self.rows,
            dead.weight,
            variable.weight if variable else None,
            pushed=pushed,
            places=net.grid.place[self.rows.node].astype(float),
            crushing=(crushing, crushing.kept_faces(self.group)) if crushing else None,
            solver=solver,
        )

    def share_of_dead(self) -> float:
        """Greatest share (0 to 1) of the dead load that the net carries; under 1 the vault has no
        state of equilibrium in this net."""
        found = self.program.share_of_dead()
        return 0.0 if found is None else min(found.factor, 1.0)

    def load_factor(self, followed: float = np.inf) -> NetAnswer | None:
        """The greatest multiple of the variable load, looked for up to `followed` of them; None
        without equilibrium under dead load."""
        found = self.program.load_factor(followed)
        return None if found is None else self._answer(found, mechanism=True)

    def thrust(self, *, least: bool, factor: float = 0.0) -> NetAnswer | None:
        """The state of least (or greatest) outward thrust of the support, or of all supports
        together, under the dead load and a multiple of the variable one; None when there is no
        state, or no greatest thrust."""
        cost = self.thrust_cost()
        if self.unheld and factor:
            return None
        found = self.program.extreme(cost if least else -cost, factor)
        if found is None or (not least and self._boundless(float(cost @ found.force), factor)):
            return None
        state = NetState(found.force, factor, factor, found.dual, found.residual, found.gap)
        return self._answer(state, mechanism=False)

    def _boundless(self, thrust: float, factor: float) -> bool:
        """Does nothing but the strength bound a greatest thrust (N)? A net's straight struts may find
        a bound where an arch has none, or one on a lever that no real support leaves the vault."""
        if self.crushing is not None:
            return False
        load = float(self.dead.weight.sum())
        asked = 1 if self.support is not None else len(self.net.grid.supports)
        if self.variable is not None:
            load += factor * float(self.variable.weight.sum())
        return thrust > GREATEST * load * asked

    def thrust_cost(self) -> Array:
        """(orbits,) outward thrust on the support, or on all, per newton in each shared force."""
        grid, struts = self.net.grid, self.net.struts
        outward = outward_of(grid, self.support)
        start, end = struts.ends(grid)
        direction = (end - start) / np.linalg.norm(end - start, axis=1)[:, None]
        push = np.einsum("ma,ma->m", direction[:, :2], outward[struts.j] - outward[struts.i])
        return np.bincount(self.rows.orbit, push, minlength=len(self.rows.members)).astype(float)

    def _answer(self, state: NetState, *, mechanism: bool) -> NetAnswer:
        grid = self.net.grid
        force = state.force[self.rows.orbit]
        load = np.zeros((grid.size, 3))
        load[:, 2] = -self.dead.weight
        if isinstance(self.variable, LevelLoad):
            load += state.carried * self.variable.force
        elif self.variable is not None:
            load[:, 2] -= state.carried * self.variable.weight
        velocity, lean = np.zeros((grid.size, 3)), np.zeros((grid.size, 3))
        if mechanism:
            velocity, lean = motion(grid, self.rows, self.group, state.dual)
            # The sign of duals is the solver's: a mechanism is told as the load sinks.
            if self.variable is not None and self.variable.weight @ velocity[:, 2] > 0:
                velocity, lean = -velocity, -lean
        return NetAnswer(
            state.factor,
            state.carried,
            force,
            reactions(self.net, force, load),
            velocity,
            lean,
            len(self.group),
            state.residual,
            state.gap,
            state.more,
            state.rigid,
        )


def outward_of(grid: NetGrid, support: Support | None = None) -> Array:
    """(n, 2) level vectors whose product with a push at a node is its thrust on a support, or on all.

    In a corner where two walls meet a push is a n1 + b n2 of their directions: a is the thrust on the
    one, b on the other.
    """
    found = np.zeros((grid.size, 2))
    walls: dict[int, list[tuple[Array, float]]] = {}
    for one in grid.supports:
        counts = 1.0 if support is None or one.name == support.name else 0.0
        for node, way in zip(one.nodes.tolist(), one.outward, strict=True):
            walls.setdefault(node, []).append((way, counts))
    for node, met in walls.items():
        ways, counted = np.array([way for way, _ in met]), np.array([c for _, c in met])
        found[node] = np.linalg.lstsq(ways, counted, rcond=None)[0]
    return found


def crushing_of(net: Net, strength: float) -> Crushing:
    """The crushing strength (N/m2) of a net, to be put to its questions."""
    return Crushing(net.solid, net.grid, net.struts, strength)


def reactions(net: Net, force: Array, load: Array) -> Array:
    """(n, 3) what the supports put on the vault: against the struts and loads (n, 3) that arrive."""
    grid, struts = net.grid, net.struts
    start, end = struts.ends(grid)
    push = (end - start) / np.linalg.norm(end - start, axis=1)[:, None] * force[:, None]
    arriving = np.zeros((grid.size, 3))
    np.add.at(arriving, struts.j, push)
    np.add.at(arriving, struts.i, -push)
    arriving += load
    return np.where(grid.held[:, None], -arriving, 0.0)


def motion(grid: NetGrid, rows: NetRows, group: Index, dual: Array) -> tuple[Array, Array]:
    """Velocities of all lines' middles, and of their extrados ends beside that (n, 3), from the
    duals of the kept rows. A kept row stands for all that the symmetries make alike."""
    velocity, lean = np.zeros((grid.size, 3)), np.zeros((grid.size, 3))
    share = np.array([len(np.unique(group[:, k])) for k in rows.node])
    dual = dual / share
    for part in range(3):
        here = rows.part == part
        velocity[rows.node[here]] += dual[here][:, None] * rows.axes[rows.node[here], part]
    for part in (3, 4):
        here = rows.part == part
        lean[rows.node[here]] += dual[here][:, None] * rows.frames[rows.node[here], part - 3]
    centred = grid.middle - grid.middle.mean(axis=0)
    kept = np.unique(rows.node)
    for g in group[1:]:
        spin = level_turn(centred, centred[g])
        velocity[g[kept]] = velocity[kept] @ spin.T
        lean[g[kept]] = lean[kept] @ spin.T
    top = max(float(np.abs(velocity).max()), 1e-300)
    return velocity / top, lean / top


__all__ = [
    "Net", "NetAnswer", "NetQuestion", "Solver", "crushing_of", "draw_net", "motion", "outward_of",
    "reactions",
]  # fmt: skip
