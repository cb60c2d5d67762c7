"""A tile as it lies in its courses: its measures along and across them, its halves, its closers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from timbrel.job.model import Job, JointRange, Layer

CREASED = ("groin", "cloister")
LEAST_SHARE_SEEN = 0.5
LEAST_SHARE_ABOVE = 1 / 3
LEAST_WIDTH = 0.040
"""Narrowest strip that is sawn off a tile lengthwise (m). Common practice, no source."""
LEAST_CLOSER = 0.070
"""Closers: half a tile in the seen layer, a third above, never under 70 mm along the tile. Where a
web ends in a crease every tile is cut to it, and only the 70 mm count.

Common practice, no source.
"""


@dataclass(frozen=True)
class Stock:
    """One layer's tile as it lies.

    along, across: its measures along and across the course (m). thickness: m. joint: the range
    that the job allows. share: least closer as a share of the tile and its joint.
    """

    name: str
    along: float
    across: float
    thickness: float
    joint: JointRange
    share: float

    @property
    def half(self) -> float:
        """Length of a half tile, so that two halves and a joint make a whole."""
        return (self.along - self.joint.best) / 2

    @property
    def half_across(self) -> float:
        """Width of a tile halved lengthwise."""
        return (self.across - self.joint.best) / 2

    @property
    def least_along(self) -> float:
        """Least length of a closer; a half is always allowed."""
        return min(max(self._least(self.along), LEAST_CLOSER), max(self.half, self._cap()))

    @property
    def least_across(self) -> float:
        """Least width of a course that is cut lengthwise; a half is always allowed."""
        return min(max(self._least(self.across), LEAST_WIDTH), self.half_across)

    def takes(self, joint: Any) -> Any:
        """Is this joint (or each of these) inside the range, to a nanometre."""
        return (joint >= self.joint.least - 1e-9) & (joint <= self.joint.most + 1e-9)

    def _least(self, whole: float) -> float:
        return self.share * (whole + self.joint.best) - self.joint.best

    def _cap(self) -> float:
        return self._least(self.along) if self.share > LEAST_SHARE_SEEN else 0.0


def stock_of(job: Job, layer: Layer, number: int) -> Stock:
    """The stock of layer `number` (from 1). A tile that lies along the arc is turned."""
    tile = job.tiles[layer.tile]
    turned = layer.direction == "along arc"
    share = layer.least_closer
    if share is None:
        # At 45 degrees a corner closes with a triangle, which is never half a tile.
        seen = number == 1 and layer.direction != "diagonal"
        share = LEAST_SHARE_SEEN if seen else LEAST_SHARE_ABOVE
        share = 0.0 if job.curve.family in CREASED else share
    return Stock(
        name=layer.tile,
        along=tile.width if turned else tile.length,
        across=tile.length if turned else tile.width,
        thickness=tile.thickness,
        joint=layer.joint,
        share=share,
    )
