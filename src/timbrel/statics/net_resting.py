"""A net some of whose nodes rest on props, which push straight up and never pull: does it stand?

Props under the box of an opening are a support like any other, but one that only pushes up. A state of
equilibrium that counts on their push is as good as the props are (safe theorem, Heyman 1966): they are
there, wedged tight, until the work is told to do without them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from timbrel.statics.net import Net, outward_of
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_program import NetProgram
from timbrel.statics.net_rows import NetRows, net_rows
from timbrel.statics.net_solid import Array, Index
from timbrel.statics.net_symmetry import of_loads

UPWARD = 2
"""The row of a node in which forces upward are in balance."""


class RestingNet:
    """A net under a dead load, with props under some nodes (k,)."""

    def __init__(self, net: Net, dead: NetLoad, props: Index) -> None:
        self.net = net
        resting = np.zeros(net.grid.size)
        resting[props] = 1.0
        self.rows = net_rows(net.grid, net.struts, of_loads(net.group, dead.weight, resting))
        self.program = NetProgram(
            _propped(self.rows, resting),
            dead.weight,
            places=net.grid.place[self.rows.node].astype(float),
        )

    def share_of_dead(self) -> float:
        """Greatest share (0 to 1) of the dead load that struts and props carry."""
        found = self.program.share_of_dead()
        return 0.0 if found is None else min(found.factor, 1.0)

    def least_thrust(self) -> Array | None:
        """(m,) force in each strut, N, in the state of least outward thrust on all supports together,
        whatever the props take; None when there is no state."""
        grid, struts = self.net.grid, self.net.struts
        outward = outward_of(grid)
        start, end = struts.ends(grid)
        way = (end - start)[:, :2] / np.linalg.norm(end - start, axis=1)[:, None]
        push = np.einsum("ma,ma->m", way, outward[struts.j] - outward[struts.i])
        shared = np.bincount(self.rows.orbit, push, minlength=len(self.rows.members))
        cost = np.zeros(self.program.rows.matrix.shape[1])
        cost[: len(shared)] = shared
        found = self.program.extreme(cost)
        return None if found is None else found.force[self.rows.orbit]


def _propped(rows: NetRows, resting: Array) -> NetRows:
    """The rows with a push upward on every resting node that has some."""
    from scipy import sparse

    here = np.flatnonzero((rows.part == UPWARD) & (resting[rows.node] > 0))
    every = np.arange(len(here))
    size = (rows.matrix.shape[0], len(here))
    push = sparse.coo_array((np.ones(len(here)), (here, every)), shape=size)
    return replace(rows, matrix=sparse.hstack([rows.matrix, push], format="csr"))
