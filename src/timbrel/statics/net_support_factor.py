"""The push that the cracked walls, drum and piers of a vault on a plan bear, over the push.

Many pushes on one wall are followed down together. A cracked pier is dear: its factor is that of a
block that could not crack, in closed form, times the share that cracking leaves of it, which is
worked once for pushes that are nearly alike.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job, Wall
from timbrel.job.supports import Ties
from timbrel.statics.built_walls import COARSE
from timbrel.statics.cracked_pier import pier_factor
from timbrel.statics.descent import MOST, Push, descend
from timbrel.statics.net_supports import side_beside, side_of, wall_at
from timbrel.statics.pier_shape import PierShape, pier_shape
from timbrel.statics.piers import middle_of_pier, pier_loads
from timbrel.statics.pushes import beside_ties
from timbrel.statics.strip import Array
from timbrel.statics.support_push import SupportPush
from timbrel.statics.supports import Profile, wall_profile
from timbrel.statics.walls import missing_data, wall_of

LEAST = 0.01  # of the push, under which a support is told to bear none
HALVINGS = 17  # of the logarithm: to a ten-thousandth


def thrust_of(push: SupportPush) -> float:
    """Outward thrust: N a metre of wall, N on a pier."""
    return float(np.hypot(*push.total[:2])) if push.force is None else push.force.level


def figures(push: SupportPush) -> tuple[float, float, float, float, float]:
    """A push as five plain values: level, along, down (N a metre), into and over (m) of a wall; x, y,
    z (N) and the couple of the push about the springing (N m, along x and y) on a pier, beside its
    ties where the push is told so."""
    if push.force is None:
        x, y, z = (float(part) for part in push.total)
        if push.tied:
            return x, y, z, float(push.couple[0]), float(push.couple[1])
        return x, y, z, x * push.over, y * push.over
    f = push.force
    return f.level, f.along, f.down, f.into, f.over


def ties_stay(job: Job) -> bool:
    """Are there ties for good."""
    ties = job.walls.ties
    return ties is not None and ties.stay == "for good"


def ties_hold(job: Job, family: str) -> bool:
    """Do ties for good take thrust off walls or piers; the ring of a dome is a part of its drum."""
    return ties_stay(job) and family != "dome"


@dataclass(frozen=True)
class WallBears:
    """A wall or drum of known sizes. ties: those that hold it, None where none do."""

    job: Job
    name: str
    profile: Profile
    ties: Ties | None = None

    def factors(self, pushes: Array, dead: float, dense: Array) -> Array:
        """(k,) multiples of pushes (k, 5), unfactored, that the cracked wall bears. dead: factor on
        pushes and on all that the wall weighs and carries. dense: (k,) factors on its density."""
        return wall_factors(self.profile, self._push(pushes, np.full(len(pushes), dead), dense))

    def falls(self, pushes: Array, dead: Array) -> NDArray[np.bool_]:
        """(k,) does the wall fall under pushes (k, 5), unfactored, grown by factors (k,)."""
        push = self._push(pushes, dead, np.ones(len(pushes)))
        return np.asarray(descend(self.profile, push).fallen)

    def _push(self, pushes: Array, dead: Array, dense: Array) -> Push:
        level, along, down, into, over = pushes.T
        # What stands over the springing does not grow with the density of the wall.
        head = self.profile.head / self.profile.tributary * (1 - dense)
        held = (down * into + head * self.profile.head_at) / (down + head)
        every = Push(dead * level, dead * along, dead * (down + head), held, over, dead * dense)
        return beside_ties(every, self.ties)


def wall_factors(profile: Profile, push: Push) -> Array:
    """(k,) multiples of the level thrust at which a wall falls, loads from above kept; infinite
    where nothing pushes it or it bears MOST times the push."""
    low, high = np.full(len(push.level), LEAST), np.full(len(push.level), MOST)

    def fallen(factor: Array) -> NDArray[np.bool_]:
        grown = Push(
            push.level * factor, push.along * factor, push.down, push.into, push.over, push.dead
        )
        return np.asarray(descend(profile, grown).fallen)

    never = (push.level <= 0) | ~fallen(high)
    at_once = fallen(low)
    for _ in range(HALVINGS):
        middle = np.sqrt(low * high)
        falls = fallen(middle)
        low, high = np.where(falls, low, middle), np.where(falls, middle, high)
    return np.where(never, np.inf, np.where(at_once, 0.0, low))


@dataclass(frozen=True)
class PierBears:
    """A pier of known sizes."""

    wall: Wall
    name: str
    shape: PierShape

    def blocks(self, pushes: Array, dense: Array) -> Array:
        """(k,) multiples of pushes (k, 5) that a block of its shape bears: the resultant at the edge
        of some bed. All factors of a combination on permanent loads leave it."""
        edge = self._edges()
        own = self.shape.own[None] * dense[:, None, None]
        head = self._above(dense)
        normal = own[..., 0] + (head[:, 0] - pushes[:, 2])[:, None]
        turning = pushes[:, None, 3:] + pushes[:, None, :2] * self.shape.depth[None, :, None]
        tilt = pushes[:, 2:3] * middle_of_pier(self.wall, self.name)
        held = own[..., 1:] + (head[:, 1:] + tilt)[:, None]
        reach = np.where(turning > 0, edge[1], edge[0])
        with np.errstate(divide="ignore", invalid="ignore"):
            factor = (normal[..., None] * reach - held) / turning
        factor = np.where(np.abs(turning) > 0, np.maximum(factor, 0.0), np.inf)
        return np.asarray(factor.min(axis=(1, 2)))

    def cracked(self, push: Array, dense: float) -> float:
        """Multiple of one push (5,) that the cracked pier bears."""
        down, *held = self._above(np.array([dense]))[0]
        loaded = pier_loads(self.wall, self.name, push[:3], push[3:])
        down -= float(push[2])
        return pier_factor(self.shape, replace(loaded, down=down, held=np.array(held), dead=dense))

    def left_by_cracks(self, push: Array, dense: float) -> float:
        """Share of the factor of the block that the cracked pier has, under one push (5,)."""
        block = float(self.blocks(push[None], np.array([dense]))[0])
        return self.cracked(push, dense) / block if 0 < block < np.inf else 1.0

    def _above(self, dense: Array) -> Array:
        """(k, 3) load from above and the shaft over the springing, N, and their couples about its
        middle, N m. dense: (k,) factors on the density of the shaft."""
        light = self.wall.model_copy(update={"density": 0.0})
        loads, every = (
            np.array([found.down, *found.held])
            for found in (pier_loads(wall, self.name, np.zeros(3)) for wall in (light, self.wall))
        )
        return np.asarray(loads + dense[:, None] * (every - loads))

    def _edges(self) -> Array:
        """(2, m, 2) least and greatest x and y of every bed."""
        corners = [bed.corners for bed in self.shape.beds]
        return np.stack([[c.min(axis=0) for c in corners], [c.max(axis=0) for c in corners]])


Bears = WallBears | PierBears


def one_factor(bears: Bears, push: SupportPush, dead: float) -> float:
    """Multiple of one push, unfactored, that a cracked support bears; dead: factor on the push and on
    all that the support weighs and carries."""
    row = np.array(figures(push))
    if isinstance(bears, PierBears):
        return bears.cracked(row, 1.0)
    return float(bears.factors(row[None], dead, np.ones(1))[0])


def bears_of(
    job: Job, name: str, kind: str, length: float, held: Ties | None = None
) -> Bears | None:
    """What a support bears; None where its sizes are not stated. length: of the wall, m. held: ties
    that hold a wall; a drum has the ring of the job. Raises TimbrelError when the data of a wall
    contradict each other."""
    if kind == "pier":
        wall, _ = wall_at(job, name)
        if wall.pier is None or wall.height is None:
            return None
        beside = wall_of(job, side_beside(name))
        return PierBears(wall, name, pier_shape(wall, name, beside))
    side = side_of(name)
    wall = wall_of(job, side)
    if missing_data(wall, side) is not None:
        return None
    ties = job.walls.ties if name == "ring" else held
    return WallBears(job, name, wall_profile(wall, side, length).coarser(COARSE), ties)
