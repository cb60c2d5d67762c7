"""How thin a vault on a plan could be under given loads, by its coarsest net: the figure that what a
tenth does and the samples follow.

The shell is thinned about its middle as in :mod:`timbrel.statics.net_thickness`, but loads may stand
on it, it may be thicker than stated, and the search starts near where the answer is thought to be.
Struts span two rows and columns: half the candidates of the proof, a lower bound too. Masonry does
not crush here; how much of its strength is used is asked by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net import Net, NetQuestion, crushing_of, draw_net
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_built import Deviation, moved_solid
from timbrel.statics.net_crushing import Crushing
from timbrel.statics.net_level import LevelLoad, parted, together_with_level
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_opened import coarsest_grid
from timbrel.statics.net_solid import Array, NetGrid
from timbrel.statics.net_vaults import VaultSolid, solid_of

REACH = 2
STANDS = 1 - 1e-6
CLOSE = 0.004  # relative width at which the halving stops
FIRST = 1.05  # first step away from where the answer is thought to be; each next one is its square
THINNEST, THICKEST = 0.02, 3.0  # shares of the thickness that are looked at
FOLLOWED = 20.0  # multiples of all loads to which the strength is followed
PART = 0.5  # of the plumb loads, beside which all loads are driven where some are level
ROUNDS = 8  # goes at how much more the level ones are driven
THIN = 1.1  # times the least share under the dead load, at which the loads are compared


@dataclass(frozen=True)
class CoarseNet:
    """The coarsest grid over a vault and the loads on its nodes, unfactored."""

    solid: VaultSolid
    grid: NetGrid
    acts: NetActions

    def moved(self, deviation: Deviation) -> CoarseNet:
        """The same shell moved along its normals. The loads stay on their nodes: they move by
        millimetres."""
        off = deviation(self.grid.middle[:, :2])
        along = self.grid.half / (self.solid.thickness / 2)
        grid = replace(self.grid, middle=self.grid.middle + off[:, None] * along)
        return CoarseNet(moved_solid(self.solid.vault, deviation), grid, self.acts)

    def drawn(self, share: float) -> Net:
        """The net of a share of the thickness."""
        grid = replace(self.grid, half=self.grid.half * share)
        return draw_net(self.solid.thinned(share), grid, REACH)

    def least_share(self, load: NetLoad, near: float = 1.0) -> float | None:
        """Least share of the thickness found to carry a load; None when none that is looked at
        does."""
        return closed_in(lambda share: carries(self.drawn(share), load), near)

    def strength_left(self, load: NetLoad, share: float, strength: float) -> float:
        """Multiple of a load under which no block of stress is too deep, up to FOLLOWED; under 1
        the strength (N/m2) does not suffice."""
        net = self.drawn(share)
        crushing = crushing_of(net, strength)
        plumb, level = parted(load)
        if level is not None:
            return _left_with_level(net, plumb, level, crushing)
        question = NetQuestion(net, load, load, crushing=crushing)
        found = question.load_factor(FOLLOWED - 1)
        # A share under 1 is told as it is: the load beside which the next would stand is not borne.
        return question.share_of_dead() if found is None else 1 + min(found.factor, FOLLOWED - 1)

    def pattern(self, key: str | None) -> NetLoad | None:
        return next((p for p in self.acts.patterns if p.key == key), None)

    def governing(self, dead_share: float) -> NetLoad | None:
        """The arrangement of the imposed load that a thin shell bears least of, beside its dead
        load; None without an imposed load."""
        net = self.drawn(min(THIN * dead_share, THICKEST))
        least, found = np.inf, None
        for pattern in self.acts.patterns:
            answer = NetQuestion(net, self.acts.dead, pattern).load_factor()
            factor = 0.0 if answer is None else answer.factor
            if found is None or factor < least:
                least, found = factor, pattern
        return found


def carries(net: Net, load: NetLoad) -> bool:
    """Is there a state of a net under a load, which may have level parts."""
    plumb, level = parted(load)
    if level is None:
        return NetQuestion(net, load).share_of_dead() >= STANDS
    question = NetQuestion(net, plumb, level)
    found = None if question.unheld else question.load_factor(1.0)
    return found is not None and found.factor >= STANDS


def _left_with_level(net: Net, plumb: NetLoad, level: LevelLoad, crushing: Crushing) -> float:
    """The multiple of plumb and level loads together. Level loads are driven, never held: beside a part
    of what is plumb all the rest is driven, the level loads by as much more as brings both to one
    multiple."""
    held = replace(plumb, weight=PART * plumb.weight, total=PART * plumb.total)
    more, found = 1.0, 0.0
    for _ in range(ROUNDS):
        driven = together_with_level(plumb.key, plumb.title, ((plumb, 1.0), (level, more)))
        question = NetQuestion(net, held, driven, crushing=crushing)
        answer = None if question.unheld else question.load_factor(FOLLOWED - PART)
        if answer is None or answer.factor <= 0:
            return 0.0
        found = PART + min(answer.factor, FOLLOWED - PART)
        wanted = found / (found - PART)
        if abs(wanted / more - 1) < CLOSE:
            break
        more = wanted
    return found


def coarse_net(job: Job, vault: Any) -> CoarseNet:
    """The coarsest grid of a vault with its loads."""
    solid = solid_of(vault)
    grid = coarsest_grid(job, solid)
    return CoarseNet(solid, grid, net_actions(job, solid, grid))


def loaded(acts: NetActions, pattern: NetLoad | None) -> NetLoad:
    """Dead load and a pattern as one load."""
    weight = acts.dead.weight if pattern is None else acts.dead.weight + pattern.weight
    return weighing(acts, weight)


def weighing(acts: NetActions, weight: Array) -> NetLoad:
    """A load of given weights (n,) on the nodes."""
    return replace(acts.dead, weight=weight, total=float(weight.sum()))


def closed_in(stands: Callable[[float], bool], near: float) -> float | None:
    """Least share at which something stands, to within CLOSE, on the side that stands. None where
    even THICKEST does not. It is taken that whatever is thicker stands too."""
    high = low = float(np.clip(near, THINNEST, THICKEST))
    step = FIRST
    if stands(high):
        while high > THINNEST:
            low = max(high / step, THINNEST)
            if not stands(low):
                break
            high, step = low, step * step
        else:
            return high
    else:
        while True:
            if low >= THICKEST:
                return None
            high = min(low * step, THICKEST)
            if stands(high):
                break
            low, step = high, step * step
    while high > low * (1 + CLOSE):
        middle = float(np.sqrt(high * low))
        if stands(middle):
            high = middle
        else:
            low = middle
    return high
