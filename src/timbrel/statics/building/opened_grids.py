"""The grids on which the stages of a vault with openings are followed.

What an opening cuts stands on its box, wedged on props, until its ring has cured: the nodes round the
opening rest there, on something that pushes up and never pulls. All numbers of layers share one set of
nodes and cells, so that a stage may speak of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.opened_plan import openings_of
from timbrel.statics.net_fineness import LADDER, grid_of
from timbrel.statics.net_kerbs import net_kerbs
from timbrel.statics.net_opened import opened_grid
from timbrel.statics.net_solid import Array, Index, NetGrid
from timbrel.statics.net_stage import lower_layers
from timbrel.statics.net_vaults import solid_of


@dataclass(frozen=True)
class OpenedGrids:
    """steps: how fine. grids: of the first layer, the first two and so on, with the same cells."""

    steps: int
    grids: tuple[NetGrid, ...]

    @property
    def boxes(self) -> tuple[Index, ...]:
        """Nodes round each opening, which rest on its box while that stands."""
        return tuple(hole.rim for hole in self.grids[0].holes)


def opened_grids(job: Job, vault: Any, steps: int) -> OpenedGrids | None:
    """The coarsest grids from so many steps on that go round every opening; None where none does."""
    openings = openings_of(job, vault)
    finer = [n for n in LADDER[vault.family] if n > steps]
    for n in (steps, *finer):
        grids: list[NetGrid] = []
        for count in range(1, len(vault.layers) + 1):
            lower = lower_layers(vault, count)
            solid = solid_of(lower)
            grid = opened_grid(lower, solid, grid_of(solid, n), openings)
            if grid is None or not np.array_equal(grid.cells, (grids or [grid])[0].cells):
                break
            grids.append(grid)
        if len(grids) == len(vault.layers):
            return OpenedGrids(n, tuple(grids))
    return None


def kerb_weight(job: Job, vault: Any, grid: NetGrid) -> Array:
    """(n,) N of all rings, kerbs and covers on the nodes round the openings."""
    found = np.zeros(grid.size)
    for kerb in net_kerbs(job, vault, grid, 0):
        found += kerb.permanent.weight
    return found
