"""The models that all stages of one vault share: nets of the first layers and one elastic shell.

Nets are drawn once a number of layers; stages take their parts. The shell is drawn over the same cells;
what differs from stage to stage is which cells are there and how stiff and thick they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.statics.building.elastic_shell import ElasticShell
from timbrel.statics.net_actions import layer_weights
from timbrel.statics.net_solid import Array, Index, NetGrid
from timbrel.statics.net_stage import LayerNet, layer_net
from timbrel.statics.net_vaults import solid_of

Marks = NDArray[np.bool_]
STEPS = {"groin": 16, "cloister": 16, "sail": 16, "dome": 12}
"""Steps of the stages' nets: a chord must stay inside a single layer."""
SOFT = 1e-3
"""Stiffness of work that has not set, over that of set work: it hangs, it does not help."""


@dataclass(frozen=True)
class ShellState:
    """What the elastic shell of a state is made of.

    there: (q,) cells that lie there. stiff: (q,) share of the modulus. thickness: (q,) m.
    """

    there: Marks
    stiff: Array
    thickness: Array


class StageModel:
    """Nets and shells of one vault while it is built."""

    def __init__(self, job: Job, vault: Any) -> None:
        self.job, self.vault = job, vault
        self.steps = STEPS[vault.family]
        self._nets: dict[int, LayerNet] = {}
        self._shells: dict[bytes, ElasticShell] = {}
        self.first = self.net(1)
        self.grid: NetGrid = self.first.net.grid
        self.middles = self.first.middles
        self.area = np.bincount(
            self.first.pieces.cell, self.first.pieces.area, minlength=self.first.cells
        )
        self.weights = self._weights()
        self._triangles, self.owner = _triangles(self.grid)
        self.held = _held(job, self.grid)
        self.guides = guide_nodes(vault, self.grid)

    def net(self, layers: int) -> LayerNet:
        """The net of the first layers."""
        if layers not in self._nets:
            self._nets[layers] = layer_net(self.vault, layers, self.steps)
        return self._nets[layers]

    def top(self, layers: int) -> float:
        """Thickness of the first layers, m."""
        return float(self.vault.layers[layers - 1].outer)

    def _weights(self) -> Array:
        """(layers,) N/m2 of each layer with the bed under it."""
        weights, _ = layer_weights(self.job, solid_of(self.vault))
        found, k = [], 0
        for place in self.vault.layers:
            parts = 2 if place.bed else 1
            found.append(sum(weights[k : k + parts]))
            k += parts
        return np.array(found)

    def shell(self, state: ShellState) -> ElasticShell:
        """The elastic shell of a state. A shell asked before is taken up again."""
        key = state.there.tobytes() + state.stiff.tobytes() + state.thickness.tobytes()
        if key not in self._shells:
            kept = state.there[self.owner]
            owner = self.owner[kept]
            modulus = self.job.building.modulus * state.stiff[owner]
            self._shells = {
                key: ElasticShell(
                    self.grid.middle,
                    self._triangles[kept],
                    state.thickness[owner],
                    modulus,
                    self.held,
                )
            }
        return self._shells[key]

    def cells_of(self, state: ShellState) -> Index:
        """(t,) the cell of each triangle of a state's shell."""
        return np.asarray(self.owner[state.there[self.owner]])

    def nodal(self, weight: Array) -> Array:
        """(n,) N on the nodes from (q,) N/m2 on the cells: a quarter of each cell's to each corner
        (a third on triangles), as the shell takes it."""
        force = weight * self.area
        nodes = np.zeros(self.grid.size)
        triangle = self.grid.cells[:, 2] == self.grid.cells[:, 3]
        corners = np.where(triangle, 3, 4)
        for k in range(4):
            share = np.where(triangle & (k == 3), 0.0, force / corners)
            np.add.at(nodes, self.grid.cells[:, k], share)
        return nodes

    def point(self, at: Array, force: float) -> Array:
        """(n,) N on the nodes from a force at a place (2,) in plan: on the nearest free node."""
        apart = np.linalg.norm(self.grid.middle[:, :2] - at, axis=1)
        nodes = np.zeros(self.grid.size)
        nodes[np.argmin(np.where(self.held, np.inf, apart))] = force
        return nodes


def _triangles(grid: NetGrid) -> tuple[Index, Index]:
    """Triangles (t, 3) of all cells and the cell (t,) of each; quadrangles are split by their
    shorter diagonal, by turns where these are alike."""
    found, owner = [], []
    for k, (a, b, c, d) in enumerate(grid.cells.tolist()):
        if c == d:
            found.append((a, b, c))
            owner.append(k)
            continue
        one, other = (float(np.linalg.norm(grid.middle[p] - grid.middle[q]))
                      for p, q in ((a, c), (b, d)))  # fmt: skip
        turn = bool(grid.place[a].sum() % 2)
        first = turn if abs(one - other) < 1e-6 * one else one < other
        found += [(a, b, c), (a, c, d)] if first else [(a, b, d), (b, c, d)]
        owner += [k, k]
    return np.array(found, np.int64), np.array(owner, np.int64)


def _held(job: Job, grid: NetGrid) -> Marks:
    """Nodes in the springings; on a pier those that the solid springer, a tile long, takes in."""
    held = grid.held.copy()
    springer = job.tiles[job.layers[0].tile].length
    for support in grid.supports:
        if support.kind == "pier":
            corner = grid.middle[support.nodes][:, None, :2]
            apart = np.linalg.norm(grid.middle[None, :, :2] - corner, axis=2).min(axis=0)
            held |= apart <= springer
    return held


def guide_nodes(vault: Any, grid: NetGrid) -> Marks:
    """Nodes over the guides: creases and wall arches, diagonals of a sail; none in a dome, whose
    rod is a measure and carries nothing."""
    found = np.zeros(grid.size, bool)
    if vault.family == "dome":
        return found
    u, v = grid.uv.T
    near = 1e-9
    diagonal = (np.abs(u - v) < near) | (np.abs(u + v - 1) < near)
    rim = (np.abs(u) < near) | (np.abs(u - 1) < near) | (np.abs(v) < near) | (np.abs(v - 1) < near)
    return np.asarray(diagonal | rim)
