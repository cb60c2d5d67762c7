"""Sleeper walls over a vault on a plan: lines of load that carry the floor.

They run along the y axis, set out from the middle of the plan either way, as under a barrel
(:mod:`timbrel.statics.floor`). Each stands on its own line, as high as the floor is over the extrados
there, and takes the floor of half a bay on either side; what lies beyond the last half bay goes to
the springing walls. Over an opening there is neither wall nor floor: a wall ends at the edge on either
side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Fill
from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.floor import GRAVITY
from timbrel.statics.net_loads import NetLoad, plan_shares
from timbrel.statics.net_lumping import plan_pieces, without_holes
from timbrel.statics.net_solid import Array, Index, NetGrid
from timbrel.statics.plan_outlines import outline_of
from timbrel.words import Message, say

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

PIECES = 96  # of a wall along its length
NEAREST = 9  # cells looked at for a spot


@dataclass(frozen=True)
class Sleepers:
    """Sleeper walls of a vault. x: (k,) of their middles. fill: as the job states it."""

    vault: Any
    fill: Fill
    x: Array

    @classmethod
    def of(cls, vault: Any, fill: Fill) -> Sleepers | None:
        """None where the job states none."""
        if fill.kind != "sleeper walls":
            return None
        x0, _, x1, _ = outline_of(vault).bounds
        reach = (x1 - x0) / 2 - fill.sleeper_thickness / 2
        count = math.floor(reach / fill.sleeper_spacing)
        middle = (x0 + x1) / 2
        return cls(vault, fill, middle + fill.sleeper_spacing * np.arange(-count, count + 1))

    def own(self, grid: NetGrid, top: float, beds: int) -> NetLoad:
        """Their own weight, up to the level `top`."""
        import shapely

        whole = without_holes(grid, outline_of(self.vault))
        _, y0, _, y1 = whole.bounds
        spots, long = [], []
        middle = (np.arange(PIECES) + 0.5) / PIECES
        for x in self.x:
            line = shapely.intersection(whole, shapely.LineString([(x, y0), (x, y1)]))
            for part in shapely.get_parts(line):
                low, high = part.bounds[1], part.bounds[3]
                y = low + middle * (high - low)
                spots.append(np.column_stack([np.full(PIECES, x), y]))
                long.append(np.full(PIECES, (high - low) / PIECES))
        at = np.concatenate(spots) if spots else np.zeros((0, 2))
        extrados = BlockSolid(self.vault).levels(at, float(self.vault.thickness))
        height = np.nan_to_num(np.maximum(top - extrados, 0.0))
        unit = self.fill.sleeper_density * GRAVITY * self.fill.sleeper_thickness
        weight = unit * height * (np.concatenate(long) if long else np.zeros(0))
        return spots_load(grid, "fill", say("Sleeper walls"), at, weight, beds)

    def pressed(
        self,
        grid: NetGrid,
        key: str,
        title: Message,
        outline: BaseGeometry,
        pressure: float,
        beds: int,
    ) -> NetLoad:
        """A pressure on the floor over an outline, brought down on the lines of the walls."""
        import shapely

        bay, outline = self.fill.sleeper_spacing / 2, without_holes(grid, outline)
        _, y0, _, y1 = outline.bounds
        spots, weight = [np.zeros((0, 2))], [np.zeros(0)]
        for x in self.x:
            part = shapely.intersection(outline, shapely.box(x - bay, y0, x + bay, y1))
            if part.area <= 0:
                continue
            pieces = plan_pieces(grid, part)
            spots.append(np.column_stack([np.full(len(pieces.area), x), pieces.plan[:, 1]]))
            weight.append(pressure * pieces.area)
        return spots_load(grid, key, title, np.concatenate(spots), np.concatenate(weight), beds)


def spots_load(
    grid: NetGrid, key: str, title: Message, at: Array, weight: Array, beds: int
) -> NetLoad:
    """Weights (p,) at places (p, 2) in plan, each on the cell that it stands on."""
    nodes = np.zeros(grid.size)
    if len(at):
        cell, share = _cells_under(grid, at)
        np.add.at(nodes, grid.cells[cell], share * weight[:, None])
    return NetLoad(key, title, nodes, (1.0,) * beds, float(weight.sum()), weight @ at)


def _cells_under(grid: NetGrid, at: Array) -> tuple[Index, Array]:
    """The cell under each place (p, 2) and the shares (p, 4) of its corners."""
    plan = grid.middle[grid.cells][..., :2]
    away = np.linalg.norm(plan.mean(axis=1)[None] - at[:, None], axis=2)
    near = np.argsort(away, axis=1)[:, : min(NEAREST, len(plan))]
    share = plan_shares(plan[near], np.broadcast_to(at[:, None], (*near.shape, 2)))
    best = np.abs(share).sum(axis=2).argmin(axis=1)
    rows = np.arange(len(at))
    return near[rows, best], share[rows, best]
