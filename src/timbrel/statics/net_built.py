"""A vault on a plan as it was measured: its net, and how much of its thickness it could lose.

The shell is moved along its normals by the measured deviation, told over the plan; it keeps its
thickness. Offsets in the moved shell are those in the design's less the deviation there, exact while
the deviation changes slowly against the thickness.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net import NetQuestion, draw_net
from timbrel.statics.net_actions import net_actions
from timbrel.statics.net_opened import coarsest_grid
from timbrel.statics.net_solid import Array, NetGrid
from timbrel.statics.net_vaults import VaultSolid, solid_of

STANDS = 1 - 1e-6
REACH = 2
"""Rows and columns that struts span here: half the candidates of the proof's, a lower bound too."""
STEPS = (1.0, 0.85, 0.7, 0.55)
"""Shares of the design's factor at which a built shape is tried."""
HALVINGS = 4
"""Halvings of the share of the thickness: to about 5 % of the factor."""

Deviation = Callable[[Array], Array]
"""Deviation (n,) along the normal, outward positive, m, over places in plan (n, 2)."""


@dataclass(frozen=True)
class MovedSolid(VaultSolid):
    """A vault moved along its normals. design: as it was drawn. moved: the deviation."""

    design: VaultSolid | None = None
    moved: Deviation | None = None

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        assert self.design is not None
        assert self.moved is not None
        middle, half = self.design.lines(u, v)
        flat = middle.reshape(-1, 3)
        off = self.moved(flat[:, :2]).reshape(middle.shape[:-1])
        # A line that spans both faces obliquely (creases, walls) moves as far along itself.
        along = half / (self.design.thickness / 2)
        return middle + off[..., None] * along, half

    def offset(self, points: Array, guess: Array) -> Array:
        assert self.design is not None
        assert self.moved is not None
        off = self.moved(points.reshape(-1, 3)[:, :2]).reshape(points.shape[:-1])
        return np.asarray(self.design.offset(points, guess) - off)

    def thinned(self, share: float) -> VaultSolid:
        assert self.design is not None
        return replace(self, share=share, design=self.design.thinned(share))


@dataclass(frozen=True)
class BuiltFactor:
    """Geometric factor by a coarse net: thickness over the least found to stand. enough: does it
    reach the factor that was asked."""

    factor: float
    enough: bool


def moved_solid(vault: Any, moved: Deviation) -> MovedSolid:
    """The solid of a vault as built."""
    return MovedSolid(vault, 1.0, solid_of(vault), moved)


def coarse_factor(
    job: Job,
    vault: Any,
    moved: Deviation | None,
    wanted: float,
    design: BuiltFactor | None = None,
) -> BuiltFactor:
    """Factor of the shell under its whole dead load on the coarsest net, of the design (moved:
    None) or as built. design: what the design has; the built shape is tried at shares of it, and
    told to have no more. Then the factor asked for is tried, so that the verdict never hangs on the
    steps. Zero where not even the whole thickness stands."""
    solid = solid_of(vault) if moved is None else moved_solid(vault, moved)
    grid = _grid(job, solid, vault, moved)
    dead = net_actions(job, solid, grid).dead
    wanted = max(wanted, 1.0)

    def stands(factor: float) -> bool:
        thin = solid.thinned(1 / factor)
        net = draw_net(thin, replace(grid, half=grid.half / factor), REACH)
        return bool(NetQuestion(net, dead).share_of_dead() >= STANDS)

    if design is not None:
        for step in STEPS:
            if step * design.factor > wanted and stands(step * design.factor):
                return BuiltFactor(step * design.factor, True)
    enough = stands(wanted)
    if enough and design is not None:
        return BuiltFactor(wanted, True)
    if not enough and not stands(1.0):
        return BuiltFactor(0.0, False)
    low, high = (0.0, 1 / wanted) if enough else (1 / wanted, 1.0)
    for _ in range(HALVINGS):
        middle = max((low + high) / 2, high / 2)
        if stands(1 / middle):
            high = middle
        else:
            low = middle
    return BuiltFactor(1 / high, enough)


def _grid(job: Job, solid: VaultSolid, vault: Any, moved: Deviation | None) -> NetGrid:
    grid = coarsest_grid(job, solid_of(vault))
    if moved is None:
        return grid
    middle, half = solid.lines(grid.uv[:, 0], grid.uv[:, 1])
    return replace(grid, middle=middle, half=half)
