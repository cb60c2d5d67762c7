"""Weights of a vault over its plan, for mechanisms: taken from the job and the shape alone."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.floor import GRAVITY, UNIT_WEIGHT

Array = NDArray[np.float64]


class Weights:
    """Weights (N/m2 of plan) of a vault at plan points, and its faces."""

    def __init__(self, job: Job, vault: Any, share: float = 1.0) -> None:
        self.job, self.vault, self.share = job, vault, share
        self.solid = BlockSolid(vault)
        middle = vault.thickness / 2
        self.low, self.high = middle * (1 - share), middle * (1 + share)
        total = 0.0
        for place, layer in zip(vault.layers, job.layers, strict=True):
            total += place.bed * job.binders[layer.bed_binder or layer.binder].density
            tile, joint = job.tiles[layer.tile], layer.joint.best
            full = tile.length * tile.width / ((tile.length + joint) * (tile.width + joint))
            binder = job.binders[layer.binder].density
            total += place.thickness * (full * tile.density + (1 - full) * binder)
        self.unit = total / vault.thickness * GRAVITY

    def faces(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Levels of foot and top of the (thinned) masonry."""
        return self._level(x, y, self.low), self._level(x, y, self.high)

    def _level(self, x: Array, y: Array, offset: float) -> Array:
        plan = np.stack([x.ravel(), y.ravel()], axis=1)
        return self.solid.levels(plan, offset).reshape(x.shape)

    def dead(self, x: Array, y: Array) -> Array:
        """Of the whole shell and all that lies on it for good, N/m2 of plan."""
        inner = self._level(x, y, 0.0)
        outer = self._level(x, y, float(self.vault.thickness))
        return np.asarray(np.nan_to_num(self.unit * (outer - inner) + self.above(outer)))

    def over(self, plan: Array, floor: float) -> Array:
        """Of the shell over a level and all that lies on it for good, N/m2 of plan at (n, 2)."""
        outer = self.solid.levels(plan, float(self.vault.thickness))
        # Outside the intrados' plan the shell begins under any level that is asked for.
        inner = np.fmax(self.solid.levels(plan, 0.0), floor)
        shell = self.unit * np.maximum(outer - inner, 0.0)
        return np.asarray(np.nan_to_num(shell + self.above(outer)))

    def above(self, outer: Array) -> Array:
        """Of all that lies for good on an extrados at these levels, N/m2 of plan."""
        return np.asarray(self.job.loads.finish + self._fill(outer))

    def _fill(self, outer: Array) -> Array:
        fill, job = self.job.loads.fill, self.job
        if fill.kind == "none":
            return np.zeros(outer.shape)
        chord = float(np.asarray(self.vault.room.corners)[:, 2].mean())
        if fill.lifts:
            found, below = np.zeros_like(outer), -np.inf
            for lift in fill.lifts:
                depth = np.maximum(chord + lift.top - np.maximum(outer, below), 0)
                found, below = found + lift.unit_weight * depth, chord + lift.top
            return np.asarray(found)
        crown = float(np.nanmax(outer))
        top = chord + fill.level if fill.level is not None else crown + job.levels.crown_cover
        if fill.kind == "sleeper walls":
            unit = fill.sleeper_density * GRAVITY * fill.sleeper_thickness / fill.sleeper_spacing
        else:
            unit = fill.unit_weight or UNIT_WEIGHT[fill.kind]
        return np.asarray(unit * np.maximum(top - outer, 0.0))
