"""The nets of one vault from coarse to fine, each drawn when it is first asked for, and asked with
every load without drawing it again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net import Net, NetQuestion, crushing_of, draw_net
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_crushing import Crushing
from timbrel.statics.net_fineness import grid_of, reach_over
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_opened import grids_over
from timbrel.statics.net_solid import NetGrid
from timbrel.statics.net_vaults import VaultSolid

STANDS = 1 - 1e-6  # of the dead load


@dataclass(frozen=True)
class Rung:
    """One net of a vault, the loads on its nodes, and its crushing strength where the job states
    one. steps: its fineness."""

    steps: int
    net: Net
    acts: NetActions
    crushing: Crushing | None

    def question(self, load: NetLoad | None = None) -> NetQuestion:
        """The net under its dead load and a variable one."""
        return NetQuestion(self.net, self.acts.dead, load, crushing=self.crushing)

    def pattern(self, key: str) -> NetLoad | None:
        return next((p for p in self.acts.patterns if p.key == key), None)


class Rungs:
    """The ladder of nets of a vault."""

    def __init__(self, job: Job, solid: VaultSolid) -> None:
        self._job, self._solid = job, solid
        self._grids = grids_over(job, solid)
        self.steps = tuple(self._grids)
        self._drawn: dict[int, Rung] = {}
        self._stands: tuple[int, float] | None = None

    def __len__(self) -> int:
        return len(self.steps)

    def first_that_stands(self) -> tuple[int, float]:
        """The coarsest net that carries the dead load, or the finest, and the share that it
        carries."""
        if self._stands is None:
            self._stands = self._look()
        return self._stands

    def _look(self) -> tuple[int, float]:
        share = 0.0
        for k in range(len(self)):
            share = self[k].question().share_of_dead()
            if share >= STANDS:
                return k, share
        return len(self) - 1, share

    @property
    def drawn(self) -> tuple[Rung, ...]:
        return tuple(self._drawn.values())

    def __getitem__(self, k: int) -> Rung:
        """The k-th net from the coarsest, drawn once."""
        if k not in self._drawn:
            steps = self.steps[k]
            self._drawn[k] = draw_rung(self._job, self._solid, steps, self._grids[steps])
        return self._drawn[k]


def draw_rung(job: Job, solid: VaultSolid, steps: int, opened: NetGrid | None = None) -> Rung:
    """A net of so many steps over a vault; opened: its grid where that has openings."""
    grid = grid_of(solid, steps) if opened is None else opened
    net = draw_net(solid, grid, reach_over(solid))
    strength = job.masonry.crushing
    crushing = None if strength is None else crushing_of(net, strength)
    return Rung(steps, net, net_actions(job, solid, grid), crushing)


def mirrored(net: Net, dead: NetLoad, one: NetLoad, other: NetLoad) -> bool:
    """Does a symmetry of the vault and its dead load carry one load onto another."""
    size = float(np.abs(dead.weight).max()) * 1e-9
    return any(
        np.abs(dead.weight[g] - dead.weight).max() <= size
        and np.abs(other.weight[g] - one.weight).max() <= 1e-9 * np.abs(one.weight).max()
        for g in net.group
    )
