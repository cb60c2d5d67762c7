"""A pier as it is built: a square shaft and the buttresses that stand against it, bed by bed.

The shaft stands under a corner of the vault. Where the walls of that corner state a buttress, one
stands against the pier on that side, outward: even, sloped or stepped. x and y are those of the
plan; the middle of the shaft is the origin. Kern and block are those of the whole bed: the kern from
its area and second moments (strength of materials), the block as the part that lies point for point
about the resultant, S and S turned half round it. On a rectangle that is (b - 2 ex)(h - 2 ey).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from timbrel.job.model import Wall
from timbrel.job.supports import Buttress
from timbrel.statics.floor import GRAVITY
from timbrel.statics.strip import Array
from timbrel.statics.supports import standing_out

BEDS = 48
JUST_OVER = 1e-8  # a bed is judged by what stands just over it: at a step by the thinner part, m
OUTWARD = {"A": (-1.0, -1.0), "B": (1.0, -1.0), "C": (1.0, 1.0), "D": (-1.0, 1.0)}
"""Out of the room at each corner, along x and y."""

Box = tuple[float, float, float, float]
"""x and y of the near left corner, x and y of the far right one."""


@dataclass(frozen=True)
class Leaning:
    """A buttress against a pier. axis: 0 along x, 1 along y. way: 1 or -1. buttress: as stated."""

    axis: int
    way: float
    buttress: Buttress

    def box(self, half: float, out: float) -> Box:
        """What it takes of a bed where it stands `out` of a shaft of half side `half`."""
        wide = self.buttress.width / 2
        near, far = sorted((self.way * half, self.way * (half + out)))
        return (near, -wide, far, wide) if self.axis == 0 else (-wide, near, wide, far)


@dataclass(frozen=True)
class Bed:
    """A bed of a pier. boxes: the shaft and what leans on it."""

    boxes: tuple[Box, ...]

    @cached_property
    def outline(self) -> Any:
        """As one polygon of shapely."""
        from shapely import box, union_all

        return union_all([box(*corners) for corners in self.boxes])

    @cached_property
    def area(self) -> float:
        return float(self.outline.area)

    @cached_property
    def middle(self) -> Array:
        """(2,) middle of its area."""
        return np.array([self.outline.centroid.x, self.outline.centroid.y])

    @cached_property
    def second(self) -> Array:
        """(2, 2) second moments of its area about its middle, m4; boxes that do not overlap."""
        found = np.zeros((2, 2))
        for a, b, c, d in self.boxes:
            part = (c - a) * (d - b)
            away = np.array([(a + c) / 2, (b + d) / 2]) - self.middle
            found += part * (np.diag([(c - a) ** 2, (d - b) ** 2]) / 12 + np.outer(away, away))
        return found

    @cached_property
    def leaning(self) -> Array:
        """(2, 2) slope of the stress over the mean one for a resultant off the middle, 1/m2."""
        return np.asarray(np.linalg.inv(self.second) * self.area)

    @cached_property
    def corners(self) -> Array:
        """(4 n, 2) of all its boxes."""
        return np.array([(x, y) for a, b, c, d in self.boxes for x in (a, c) for y in (b, d)])

    @property
    def sizes(self) -> Array:
        """(2,) along x and y."""
        return np.asarray(np.ptp(self.corners, axis=0))

    def kern_use(self, at: Array) -> Array:
        """(...,) share of the kern that resultants at (..., 2) use: over 1 an edge opens."""
        off = np.asarray(at) - self.middle
        lean = off @ self.leaning
        return np.asarray((-(lean @ (self.corners - self.middle).T)).max(axis=-1))

    def edge_use(self, at: Array) -> Array:
        """(...,) how far resultants at (..., 2) stand out: 1 at the edge of the whole bed."""
        low, high = self.corners.min(axis=0), self.corners.max(axis=0)
        off = np.asarray(at) - self.middle
        reach = np.where(off > 0, high - self.middle, self.middle - low)
        return np.asarray((np.abs(off) / reach).max(axis=-1))

    def block(self, at: Array) -> Array:
        """(...,) area that bears evenly with its middle under resultants at (..., 2), m2."""
        at = np.asarray(at, float)
        if len(self.boxes) == 1:
            a, b, c, d = self.boxes[0]
            near, far = at - [a, b], [c, d] - at
            sides = 2 * np.maximum(np.minimum(near, far), 0.0)
            return np.asarray(sides[..., 0] * sides[..., 1])
        from shapely import area, intersection
        from shapely.affinity import affine_transform

        turned = [
            affine_transform(self.outline, [-1, 0, 0, -1, 2 * float(x), 2 * float(y)])
            for x, y in at.reshape(-1, 2)
        ]
        areas = area(intersection(self.outline, np.array(turned)))
        return np.asarray(areas.reshape(at.shape[:-1]))

    def grown(self, by: float) -> Bed:
        """The same with `by` more on every side of each part: a footing and its toe."""
        return Bed(tuple((a - by, b - by, c + by, d + by) for a, b, c, d in self.boxes))


@dataclass(frozen=True)
class PierShape:
    """side: of the square shaft, height: from its base to the springing, m. weight: of the shaft,
    N/m3. leanings: buttresses against it."""

    side: float
    height: float
    weight: float
    leanings: tuple[Leaning, ...] = ()

    @cached_property
    def depth(self) -> Array:
        """(m,) of its beds under the springing, m."""
        return np.linspace(0.0, self.height, BEDS + 1)

    def bed(self, depth: float) -> Bed:
        """The bed at a depth under the springing."""
        return Bed(tuple(box for box, _ in self.parts(depth)))

    def parts(self, depth: float) -> list[tuple[Box, float]]:
        """Shaft and buttresses at a depth under the springing, each with its unit weight, N/m3."""
        half = self.side / 2
        found: list[tuple[Box, float]] = [((-half, -half, half, half), self.weight)]
        for leaning in self.leanings:
            out = standing_out(leaning.buttress, self.height, np.array([depth]))
            if out[0] > 0:
                weight = leaning.buttress.density * GRAVITY
                found.append((leaning.box(half, float(out[0])), weight))
        return found

    @cached_property
    def beds(self) -> tuple[Bed, ...]:
        """The beds at :attr:`depth`; equal ones are one."""
        made: dict[tuple[Box, ...], Bed] = {}
        found = []
        for depth in self.depth:
            bed = self.bed(max(float(depth) - JUST_OVER, 0.0))
            found.append(made.setdefault(bed.boxes, bed))
        return tuple(found)

    @cached_property
    def half_way(self) -> Array:
        """(m - 1,) depths half way from one bed to the next, where the slices are cut."""
        return np.asarray((self.depth[1:] + self.depth[:-1]) / 2)

    @cached_property
    def own(self) -> Array:
        """(m, 3) weight (N) of all that stands under the springing over each bed, and its moments
        (N m) about the middle of the shaft, along x and y."""
        step = self.height / BEDS
        found = np.zeros((BEDS + 1, 3))
        for j, depth in enumerate(self.half_way, 1):
            for (a, b, c, d), weight in self.parts(float(depth)):
                part = (c - a) * (d - b) * step * weight
                found[j] += part * np.array([1.0, (a + c) / 2, (b + d) / 2])
        return np.asarray(np.cumsum(found, axis=0))


def pier_shape(wall: Wall, corner: str, beside: Wall | None = None) -> PierShape:
    """The pier at a corner. wall: the one that states it, left or right; beside: the near or far
    wall, whose buttress stands against the pier the other way. Side and height are known."""
    assert wall.pier is not None and wall.height is not None
    found = []
    for axis, (own, way) in enumerate(zip((wall, beside), OUTWARD[corner], strict=True)):
        if own is not None and own.buttress is not None:
            found.append(Leaning(axis, way, own.buttress))
    return PierShape(wall.pier, wall.height, wall.density * GRAVITY, tuple(found))
