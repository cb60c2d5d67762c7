"""Partitions, loads on one spot and patches, from where they stand in plan to a strip.

A load spreads through the fill and the shell on its way down: by 30 degrees to the upright in the
fill (EN 1991-2, 4.9.1, from memory), by 45 degrees in the shell (common practice). A strip takes
its share of a load whose spread width reaches it; neighbouring strips do not help each other, which
is on the safe side. Nothing spreads beyond the ends of the vault.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Loads
from timbrel.job.supports import LineAction, PatchAction, PointAction
from timbrel.statics.floor import Floor
from timbrel.statics.strip import Array, StripLoad
from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

SPREAD_FILL = math.tan(math.pi / 6)
PIECES = 200
Placed = LineAction | PointAction | PatchAction


def placed_loads(loads: Loads) -> tuple[tuple[str, Placed], ...]:
    """Every placed load with its key in the job."""
    found: list[tuple[str, Placed]] = []
    found += [(f"loads.lines.{i}", p) for i, p in enumerate(loads.lines, 1)]
    found += [(f"loads.points.{i}", p) for i, p in enumerate(loads.points, 1)]
    found += [(f"loads.patches.{i}", p) for i, p in enumerate(loads.patches, 1)]
    return tuple(found)


def refuse_off_plan(vault: Barrel, loads: Loads) -> None:
    """Refuse a load that stands outside the vault's plan."""
    corners = np.asarray(vault.room.corners, float)[:, :2]
    for key, load in placed_loads(loads):
        for x, y in load_ends(load):
            if not _inside(corners, np.array([x, y])):
                raise off_plan(key, load, x, y)


def off_plan(key: str, load: Placed, x: float, y: float) -> TimbrelError:
    """The refusal of a load that stands off the plan at x, y."""
    return TimbrelError(
        say(
            "{key} ({name}) stands at x {x:length}, y {y:length}, which is off the plan of the "
            "vault; accepted: a place inside its corners, x along AB from A, y into the room.",
            key=key,
            name=load.name,
            x=x,
            y=y,
        ),
        key=key,
    )


def load_ends(load: Placed) -> list[tuple[float, float]]:
    """Points in plan between which a load stands: its spot, two ends, four corners."""
    if isinstance(load, LineAction):
        return [(load.x, load.y), (load.x_end, load.y_end)]
    if isinstance(load, PointAction):
        return [(load.x, load.y)]
    return [
        (load.x + i * load.width, load.y + j * load.length)
        for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))
    ]


def _inside(corners: Array, point: Array) -> bool:
    """Is a point inside the corners, which go round anticlockwise; 1 mm of grace."""
    edge = np.roll(corners, -1, axis=0) - corners
    to = point - corners
    cross = edge[:, 0] * to[:, 1] - edge[:, 1] * to[:, 0]
    return bool(np.all(cross >= -1e-3 * np.linalg.norm(edge, axis=1)))


def placed_on_strip(
    vault: Barrel, v: float, floor: Floor, key: str, load: Placed
) -> StripLoad | None:
    """What a strip at a station takes of a placed load; None when it stands too far away."""
    spots, weight, size = _spots(load)
    plane = vault.plane(v)
    from_left = spots - plane.left[:2]
    x = from_left @ plane.across[:2]
    away = np.abs(from_left @ plane.square[:2])
    shell = vault.thickness
    width = np.array([size + 2 * (SPREAD_FILL * floor.depth_at(s) + shell) for s in x])
    # A spot at the edge of the strip's reach counts by the part of it that lies inside.
    reach = np.full(len(x), abs(np.ptp(from_left @ plane.square[:2])) / len(x))
    inside = np.clip((width / 2 - away) / np.maximum(reach, 1e-9) + 0.5, 0.0, 1.0)
    taken = weight / within_ends(vault, spots, width) * inside
    if not taken.any():
        return None
    title = say("{name}", name=load.name)
    return StripLoad(key, title, *floor.gather(x, taken, x))


def within_ends(vault: Barrel, spots: Array, width: Array) -> Array:
    """Widths (k,) along the axis on which loads spread, less what lies beyond the two ends."""
    corners = np.asarray(vault.room.corners, float)[:, :2]
    kept = width.copy()
    for a, b in ((0, 1), (2, 3)):
        way = (corners[b] - corners[a]) / np.linalg.norm(corners[b] - corners[a])
        to = spots - corners[a]
        away = np.abs(way[0] * to[:, 1] - way[1] * to[:, 0])
        kept -= np.maximum(width / 2 - away, 0.0)
    return np.asarray(kept)


def _spots(load: Placed) -> tuple[Array, Array, float]:
    """A load as spots: places (k, 2), weights (k,) and the width on which each stands."""
    if isinstance(load, PointAction):
        return np.array([[load.x, load.y]]), np.array([load.force]), load.patch
    middle = (np.arange(PIECES) + 0.5) / PIECES
    if isinstance(load, LineAction):
        start, end = np.array([load.x, load.y]), np.array([load.x_end, load.y_end])
        length = float(np.linalg.norm(end - start))
        spots = start + middle[:, None] * (end - start)
        return spots, np.full(PIECES, load.load * length / PIECES), 0.0
    # A patch: rows of spots along x; each stands on the whole length of the patch along y.
    spots = np.column_stack(
        [load.x + middle * load.width, np.full(PIECES, load.y + load.length / 2)]
    )
    total = load.pressure * load.width * load.length
    return spots, np.full(PIECES, total / PIECES), load.length
