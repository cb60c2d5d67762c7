"""A vault of the same curve with more rise, and what that adds: tiles, layer by layer."""

from __future__ import annotations

import math
from typing import Protocol

from timbrel.job.model import Job
from timbrel.statics.alternative import Alternative
from timbrel.words import say


class Shelled(Protocol):
    """A vault of any family, as far as it is paid for."""

    def area(self, offset: float) -> float: ...

    @property
    def volume(self) -> float: ...


def raised(job: Job, factor: float) -> Job:
    """The job with its rise, which it states, at a multiple."""
    assert job.curve.rise is not None
    curve = job.curve.model_copy(update={"rise": job.curve.rise * factor})
    return job.model_copy(update={"curve": curve})


def raising(
    job: Job, before: Shelled, after: Shelled, rise: float, reserve: float, thrust: float | None
) -> Alternative:
    """More rise is paid in tiles: those of the greater surface."""
    area = after.area(0.0) - before.area(0.0)
    tiles, cost, known = 0.0, 0.0, True
    for layer in job.layers:
        tile, joint = job.tiles[layer.tile], layer.joint.best
        count = area / ((tile.length + joint) * (tile.width + joint)) * (1 + tile.breakage)
        tiles += count
        known = known and tile.price is not None
        cost += count * (tile.price or 0.0)
    material = say(
        "{area:area} more of vault, {tiles:count} tiles; its labour and the rest of the order "
        "come with a new plan",
        area=area,
        tiles=math.ceil(tiles),
    )
    return Alternative(
        "rise", say("More rise"), rise, reserve, thrust, material,
        after.volume - before.volume, 0.0, cost if known else None,
    )  # fmt: skip
