"""The models that all stages of one vault share: nets of the first layers and one elastic shell.

Nets are drawn once a number of layers; stages take their parts. The shell is drawn over the same cells;
what differs from stage to stage is which cells are there and how stiff and thick they are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.statics.building.buckling import critical_thrust
from timbrel.statics.building.elastic_shell import ElasticShell
from timbrel.statics.building.laying import middles_of
from timbrel.statics.building.opened_grids import kerb_weight, opened_grids
from timbrel.statics.net_actions import layer_weights
from timbrel.statics.net_solid import Array, Index, NetGrid, Support
from timbrel.statics.net_stage import LayerNet, layer_net
from timbrel.statics.net_vaults import solid_of

Marks = NDArray[np.bool_]
STEPS = {"groin": 16, "cloister": 16, "sail": 16, "dome": 12}
"""Steps of the stages' nets: a chord must stay inside a single layer."""
REACH = {"groin": 2, "cloister": 2, "sail": 3, "dome": 2}
"""Rows and columns that struts span: more found no other stage to stand in the examples, but on a
sail, whose courses are arches of their own."""
OPENED_REACH = {**REACH, "groin": 3, "cloister": 3}
"""... and round openings, whose bent lines take away many of the shorter ones."""
SPOTS = 5
"""Places along a tile at which its weight is set down on its bed."""


@dataclass(frozen=True)
class ShellState:
    """What the elastic shell of a state is made of.

    there: (q,) cells that lie there. bending: (q,) share of the stiffness in bending. thickness:
    (q,) m.
    """

    there: Marks
    bending: Array
    thickness: Array


class StageModel:
    """Nets and shells of one vault while it is built.

    opened: grids round its openings, None without openings or where none goes round them. box: (n,)
    nodes that rest on the boxes of openings while these stand. kerbs: (n,) N of rings, kerbs and
    covers. guides: (n,) nodes over the guides.
    """

    def __init__(self, job: Job, vault: Any, bond: Bond) -> None:
        self.job, self.vault = job, vault
        self.steps, self.reach = STEPS[vault.family], REACH[vault.family]
        self.opened = opened_grids(job, vault, self.steps) if job.openings else None
        if self.opened is not None:
            self.steps, self.reach = self.opened.steps, OPENED_REACH[vault.family]
        self._nets: dict[int, LayerNet] = {}
        self._shells: dict[bytes, ElasticShell] = {}
        self.first = self.net(1)
        self.grid: NetGrid = self.first.net.grid
        self.middles = self.first.middles
        parts = self.first.pieces
        self.area: Array = np.bincount(parts.cell, parts.area, self.first.cells).astype(float)
        self.weights = self._weights()
        layer = bond.layers[0]
        self.tile_middles = middles_of(layer)
        self._corners, self._start = layer.corners, layer.start
        share = layer.area / layer.area.sum()
        self._tile_weight: Array = share * self.area.sum() * self.weights[0]
        self._triangles, self.owner = _triangles(self.grid)
        self.held = _held(job, self.grid)
        self.box = np.zeros(self.grid.size, bool)
        self.kerbs: Array = np.zeros(self.grid.size)
        if self.opened is not None:
            self.box[np.concatenate(self.opened.boxes)] = True
            self.kerbs = kerb_weight(job, vault, self.grid)
        self.guides = guide_nodes(vault, self.grid, middle_ribs=job.building.middle_ribs)

    def net(self, layers: int) -> LayerNet:
        """The net of the first layers."""
        if layers not in self._nets:
            grid = self.opened.grids[layers - 1] if self.opened else None
            self._nets[layers] = layer_net(self.vault, layers, self.steps, self.reach, grid)
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
        key = state.there.tobytes() + state.bending.tobytes() + state.thickness.tobytes()
        if key not in self._shells:
            kept = state.there[self.owner]
            owner = self.owner[kept]
            self._shells = {
                key: ElasticShell(
                    self.grid.middle,
                    self._triangles[kept],
                    state.thickness[owner],
                    self.job.building.modulus,
                    state.bending[owner],
                    self.held,
                )
            }
        return self._shells[key]

    def cells_of(self, state: ShellState) -> Index:
        """(t,) the cell of each triangle of a state's shell."""
        return np.asarray(self.owner[state.there[self.owner]])

    def buckling_force(self, thickness: float) -> float:
        """Force along the shell (N/m) at which a single layer buckles.

        Webs of groins and cloisters bend in one direction: half their arch as a hinged one
        (:mod:`timbrel.statics.building.buckling`). Sails and domes bend in two: E t^2/R by the lower
        limit that Karman and Tsien (1939, "The buckling of spherical shells by external pressure",
        J. Aeronaut. Sci. 7) found, p = 0.365 E (t/R)^2, of which p R/2 is the force.
        """
        modulus = self.job.building.modulus
        if self.vault.family in ("groin", "cloister"):
            base = self.vault.base
            turning = float(abs(base.angle(0.0) - base.angle(base.length)))
            return critical_thrust(float(base.length), turning, thickness, modulus)
        return 0.365 / 2 * modulus * thickness**2 / self.radius

    @property
    def radius(self) -> float:
        """Greatest radius of curvature met at the middles of the cells, m."""
        patch = self.vault.patch
        uv = self.grid.uv[self.grid.cells].mean(axis=1)
        _, least = patch.curvatures(uv[:, 0], uv[:, 1])
        return float(1 / max(np.median(least), 1e-3))

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

    def arms(self, tiles: Index, laid: Index, half: Array) -> Array:
        """(k, 3) from the glued edges of hanging tiles to their middles: away from the laid tile
        that is nearest, half their own measure (tiles of the layer,) long, m."""
        apart = self.tile_middles[tiles][:, None] - self.tile_middles[laid][None]
        length = np.linalg.norm(apart, axis=2)
        nearest = length.argmin(axis=1)
        every = np.arange(len(tiles))
        way = apart[every, nearest] / np.maximum(length[every, nearest], 1e-9)[:, None]
        return np.asarray(way * half[tiles][:, None])

    def hung(self, tiles: Index, arms: Array, acting: Marks) -> tuple[Array, Array]:
        """Weight (n,) and moment (n, 3) that tiles of the first layer put on what they are glued
        to: each is spread along its glued edge, on the nearest nodes that act."""
        weight, moment = np.zeros(self.grid.size), np.zeros((self.grid.size, 3))
        nodes = np.unique(self.grid.cells[acting])
        for tile, arm in zip(tiles.tolist(), arms, strict=True):
            share = self._tile_weight[tile] / SPOTS
            for spot in self._spots(tile):
                apart = spot - arm - self.grid.middle[nodes]
                node = nodes[int(np.argmin((apart**2).sum(axis=1)))]
                weight[node] += share
                moment[node] += np.cross(arm, [0.0, 0.0, -share])
        return weight, moment

    def _spots(self, tile: int) -> Array:
        """(SPOTS, 3) places along the longer middle line of a tile."""
        start, end = self._start[tile : tile + 2]
        corners = self._corners[start:end]
        away = corners - self.tile_middles[tile]
        way = np.linalg.svd(away)[2][0]
        reach = away @ way
        shares = (np.arange(SPOTS) + 0.5) / SPOTS
        return np.asarray(
            self.tile_middles[tile] + (reach.min() + shares * np.ptp(reach))[:, None] * way
        )

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
    for support in grid.supports:
        if support.kind == "pier":
            held |= springer_nodes(job, grid, support)
    return held


def springer_nodes(job: Job, grid: NetGrid, pier: Support) -> Marks:
    """Nodes in the solid springer on a pier, which reaches a tile's length from the corner."""
    corner = grid.middle[pier.nodes][:, None, :2]
    apart = np.linalg.norm(grid.middle[None, :, :2] - corner, axis=2).min(axis=0)
    return np.asarray(apart <= job.tiles[job.layers[0].tile].length)


def guide_nodes(vault: Any, grid: NetGrid, *, middle_ribs: bool = False) -> Marks:
    """Nodes over the guides: creases and wall arches, diagonals of a sail; none in a dome, whose
    rod is a measure and carries nothing. middle_ribs: one more stands across the courses at the
    middle of each web: half-way from the wall to the crown in a groin, whose courses run inward, from
    the wall to the crown in the others."""
    found = np.zeros(grid.size, bool)
    if vault.family == "dome":
        return found
    u, v = grid.uv.T
    near = 1e-9
    diagonal = (np.abs(u - v) < near) | (np.abs(u + v - 1) < near)
    rim = (np.abs(u) < near) | (np.abs(u - 1) < near) | (np.abs(v) < near) | (np.abs(v - 1) < near)
    if vault.family == "groin":
        ribs = np.abs(np.maximum(np.abs(u - 0.5), np.abs(v - 0.5)) - 0.25) < near
    else:
        ribs = (np.abs(u - 0.5) < near) | (np.abs(v - 0.5) < near)
    return np.asarray(diagonal | rim | (ribs & middle_ribs))
