"""A job with its walls changed: thicker, buttressed, with other piers, without ties."""

from __future__ import annotations

import math
from collections.abc import Callable

from timbrel.job.model import Job, Wall
from timbrel.job.supports import Buttress
from timbrel.words import Message, say

BUTTRESS = (0.45, 2.4)  # width and spacing, m (common practice, no source)


def with_walls(job: Job, **changes: object) -> Job:
    """The job with some of its walls or its ties replaced."""
    return job.model_copy(update={"walls": job.walls.model_copy(update=changes)})


def every_wall(job: Job, change: Callable[[Wall], Wall]) -> Job:
    """The job with all walls that it states changed alike."""
    walls = {
        side: change(wall)
        for side in ("left", "right", "near", "far")
        if (wall := getattr(job.walls, side)) is not None
    }
    return with_walls(job, **walls)


def thickened(wall: Wall, thickness: float) -> Wall:
    """A wall as one leaf of at least a thickness, its footing as much wider, without buttresses."""
    now = wall.thickness or 0.0
    wide = max(thickness, now)
    ground = wall.ground
    if ground.footing is not None:
        ground = ground.model_copy(update={"footing": ground.footing + wide - now})
    new = {"thickness": wide, "leaves": (), "buttress": None, "ground": ground}
    return wall.model_copy(update=new)


def thickening(wall: Wall, thickness: float, length: float) -> float:
    """Masonry that thickens a wall of a length, m3."""
    return (
        max(thickness - (wall.thickness or 0.0), 0.0) * ((wall.height or 0.0) + wall.above) * length
    )


def buttressed(wall: Wall, depth: float) -> Wall:
    """A wall with even buttresses up to its springing."""
    width, spacing = BUTTRESS
    built = Buttress.model_construct(width=width, spacing=spacing, depth=depth)
    return wall.model_copy(update={"buttress": built})


def buttressing(wall: Wall, depth: float, length: float) -> float:
    """Masonry of the buttresses along a wall of a length, m3."""
    width, spacing = BUTTRESS
    return math.ceil(length / spacing) * width * depth * (wall.height or 0.0)


def buttress_title() -> Message:
    width, spacing = BUTTRESS
    return say(
        "Buttresses {width:length} wide at {spacing:length}, outside the walls",
        width=width,
        spacing=spacing,
    )


def with_pier(wall: Wall, side: float) -> Wall:
    """A wall with stouter piers at its ends. Their footings stand out as far as before."""
    return wall.model_copy(update={"pier": max(side, wall.pier or 0.0)})


def stouter_pier(wall: Wall, side: float) -> float:
    """Masonry that makes one pier stouter, m3."""
    now = wall.pier or 0.0
    return max(side**2 - now**2, 0.0) * ((wall.height or 0.0) + wall.above)
