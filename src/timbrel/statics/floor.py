"""What stands on the extrados of one section: fill, sleeper walls, pressures, by columns over it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from timbrel.job import sense_loads
from timbrel.job.model import Fill, Job
from timbrel.statics.backed import Backed
from timbrel.statics.strip import Array, StripLoad
from timbrel.words import say

GRAVITY = 9.81
UNIT_WEIGHT = sense_loads.UNIT_WEIGHT


@dataclass(frozen=True)
class FillLevels:
    """Level of the top of the fill, one for the whole vault; of each lift, bottom up.

    top is None without fill.
    """

    top: float | None
    lifts: tuple[float, ...] = ()


class Floor:
    """What stands on the extrados of one section, by columns over it."""

    def __init__(
        self,
        job: Job,
        extrados: Array,
        pieces: int,
        fill: FillLevels,
        backed: Backed | None = None,
    ) -> None:
        """backed: what backs the haunches; columns then stand on its top, and are parted where the
        joints come out of it."""
        self.loads = job.loads
        self.extrados = extrados.copy()
        self.outer = extrados[::pieces]
        if backed is not None:
            self.extrados[:, 1] = np.maximum(self.extrados[:, 1], backed.top)
            self.outer = backed.crest
        self.top = fill.top
        self.lift_levels = fill.lifts
        self.whole = (float(extrados[0, 0]), float(extrados[-1, 0]))
        self.middle = (self.whole[0] + self.whole[1]) / 2
        self.walls = self._walls(job.loads.fill)

    def _walls(self, fill: Fill) -> Array:
        """(k, 2) left and right faces of the sleeper walls, set out from the crown."""
        if fill.kind != "sleeper walls":
            return np.zeros((0, 2))
        half = fill.sleeper_thickness / 2
        reach = (self.whole[1] - self.whole[0]) / 2 - half
        count = math.floor(reach / fill.sleeper_spacing)
        centres = self.middle + fill.sleeper_spacing * np.arange(-count, count + 1)
        return np.column_stack([centres - half, centres + half])

    def fill(self, unit_weight: float | None = None) -> StripLoad:
        """Weight of the fill, of its lifts or of the sleeper walls, up to its top.

        unit_weight: takes the place of the fill's own (water-logged).
        """
        fill = self.loads.fill
        if fill.kind == "sleeper walls":
            weight = fill.sleeper_density * GRAVITY
            return StripLoad("fill", say("Sleeper walls"), *self._columns(self.walls, weight))
        whole = np.array([self.whole])
        title = say("Fill over the haunches")
        if fill.lifts and unit_weight is None:
            return StripLoad("fill", title, *self._lifts(whole))
        weight = unit_weight or fill.unit_weight or UNIT_WEIGHT[fill.kind]
        return StripLoad("fill", title, *self._columns(whole, weight))

    def _lifts(self, whole: Array) -> tuple[Array, Array]:
        """Lifts of several materials: each weighs by the difference to the one under it."""
        assert self.top is not None
        force = np.zeros((len(self.outer) - 1, 2))
        moment = np.zeros(len(force))
        lifts = self.loads.fill.lifts
        below = 0.0
        for level, lift in zip(self.lift_levels, lifts, strict=True):
            # From this lift's top down, its material stands in the place of all above it.
            for top, weight in ((level, lift.unit_weight), (below, -lift.unit_weight)):
                if top:
                    part, at = self._columns(whole, weight, top)
                    force += part
                    moment += part[:, 1] * at[:, 0]
            below = level
        at = (self.outer[1:] + self.outer[:-1]) / 2
        at[:, 0] = np.where(force[:, 1] < 0, moment / np.minimum(force[:, 1], -1e-12), at[:, 0])
        return force, at

    def depth_at(self, x: float) -> float:
        """Depth of fill over the extrados at x, m."""
        if self.top is None or len(self.walls):
            return 0.0
        return max(self.top - float(np.interp(x, self.extrados[:, 0], self.extrados[:, 1])), 0.0)

    def _columns(
        self, ranges: Array, unit_weight: float, level: float | None = None
    ) -> tuple[Array, Array]:
        """Columns of material between the extrados and a level (the top), inside ranges of x."""
        top = self.top if level is None else level
        assert top is not None
        x = np.union1d(self.extrados[:, 0], ranges.ravel())
        x = x[(x >= self.whole[0]) & (x <= self.whole[1])]
        high = np.maximum(top - np.interp(x, self.extrados[:, 0], self.extrados[:, 1]), 0.0)
        middle, width = (x[1:] + x[:-1]) / 2, np.diff(x)
        inside = ((middle[:, None] > ranges[:, 0]) & (middle[:, None] < ranges[:, 1])).any(axis=1)
        weight = unit_weight * width * (high[1:] + high[:-1]) / 2 * inside
        lean = width * (high[1:] - high[:-1]) / 6 / np.maximum(high[1:] + high[:-1], 1e-12)
        return self.gather(middle + lean, weight, middle)

    def gather(self, x: Array, weight: Array, owner: Array) -> tuple[Array, Array]:
        """Forces and points on voussoirs from weights at x, owned by the voussoir at `owner`."""
        n = len(self.outer) - 1
        which = np.clip(np.searchsorted(self.outer[:, 0], owner, side="right") - 1, 0, n - 1)
        total = np.bincount(which, weight, n)
        first = np.bincount(which, weight * x, n)
        middle = (self.outer[1:] + self.outer[:-1]) / 2
        at = middle.copy()
        loaded = total != 0
        at[loaded, 0] = first[loaded] / total[loaded]
        return np.column_stack([np.zeros(n), -total]), at

    def pressed(self, pressure: float, start: float, end: float) -> tuple[Array, Array]:
        """A pressure on plan between two x; with sleeper walls, each takes half a bay a side."""
        if len(self.walls):
            spacing = self.loads.fill.sleeper_spacing
            centre = self.walls.mean(axis=1)
            low = np.maximum(centre - spacing / 2, start)
            high = np.minimum(centre + spacing / 2, end)
            weight = pressure * np.maximum(high - low, 0.0)
            return self._spread(self.walls, weight)
        edges = np.union1d(self.outer[:, 0], [start, end])
        edges = edges[(edges >= start - 1e-12) & (edges <= end + 1e-12)]
        middle = (edges[1:] + edges[:-1]) / 2
        return self.gather(middle, pressure * np.diff(edges), middle)

    def _spread(self, ranges: Array, weight: Array) -> tuple[Array, Array]:
        """Weights spread evenly over ranges of x."""
        edges = np.union1d(self.outer[:, 0], ranges.ravel())
        middle, width = (edges[1:] + edges[:-1]) / 2, np.diff(edges)
        inside = (middle[:, None] > ranges[:, 0]) & (middle[:, None] < ranges[:, 1])
        density = inside @ (weight / (ranges[:, 1] - ranges[:, 0]))
        return self.gather(middle, density * width, middle)
