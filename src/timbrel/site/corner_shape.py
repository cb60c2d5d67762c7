"""What is cut at a corner where two wall arches and a groin come down on one pier.

Both webs narrow to a point in the corner, so that neither has a seat of its own. The corner is built
solid instead, out to a reach along both walls, and the solid springer stands on one plane, square to
the groin's curve in its own plumb plane. Section axes: x into the pier along the groin's line in
plan, y up from the springing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.site.seat_shape import polygon_area

Floats = NDArray[np.float64]

STEP = 0.002
"""Slopes at a corner are taken over so short a run from it, m, and carried back to it."""


@dataclass(frozen=True)
class CornerShape:
    """A corner as it is measured on the vault.

    at: (2,) in plan. towards: (2,) unit, along the groin into the room. slope: of the groin's
    curve there to the level, rad. walls: slopes of the two wall arches, rad, first the one before
    the corner, going round. turns: angles in plan from the groin's line to those two walls, rad.
    plumb: thickness of the shell over the corner, plumb, m. thickness: square to the groin's curve.
    level: depth of the shell at the level of the springing, along the groin's line, m.
    """

    at: Floats
    towards: Floats
    slope: float
    walls: tuple[float, float]
    turns: tuple[float, float]
    plumb: float
    thickness: float
    level: float

    def half_width(self, reach: float) -> float:
        """Half of the width across the groin's line that a springer solid out to `reach` along
        both walls gives, the same on both sides of it: the smaller counts. m."""
        return reach * min(math.sin(turn) for turn in self.turns)


def corner_shape(vault: Any, k: int) -> CornerShape:
    """Corner `k` (A, B, C, D) of a groin, or of a sail on four arches."""
    corners = np.asarray(vault.plan.corners)
    at, level = corners[k, :2], float(corners[k, 2])
    towards = _unit(np.asarray(vault.plan.middle) - at)
    before, after = (_unit(corners[(k + step) % 4, :2] - at) for step in (-1, 1))
    turns = tuple(math.acos(float(np.clip(way @ towards, -1, 1))) for way in (before, after))
    slope, _ = _rise(vault, at, towards, level, 0.0)
    _, plumb = _rise(vault, at, towards, level, vault.thickness)
    # A wall arch lies in the rim of the vault: it is looked at a hair inside.
    arches = tuple(
        _rise(vault, at, _unit(way + 0.01 * towards), level, 0.0)[0] for way in (before, after)
    )
    return CornerShape(
        at=at,
        towards=towards,
        slope=slope,
        walls=(arches[0], arches[1]),
        turns=(turns[0], turns[1]),
        plumb=plumb,
        thickness=plumb * math.cos(slope),
        # The back of a web that springs at a stands t/sin a behind its end, along its wall.
        level=max(
            vault.thickness / (math.sin(arch) * math.cos(turn))
            for arch, turn in zip(arches, turns, strict=True)
        ),
    )


def _rise(vault: Any, at: Floats, way: Floats, level: float, offset: float) -> tuple[float, float]:
    """Slope (rad) and height over the springing (m) of the surface at `offset`, at the corner: both
    from short steps away from it and carried back."""
    steps = STEP * np.array([1.0, 2.0, 3.0])
    points = at + np.outer(steps, way)
    heights = np.asarray(vault.height(points[:, 0], points[:, 1], offset)) - level
    first, second = np.arctan2(np.diff(heights), STEP)
    return float(first + 1.5 * (first - second)), float(
        3 * heights[0] - 3 * heights[1] + heights[2]
    )


def _unit(way: Floats) -> Floats:
    return np.asarray(way / np.hypot(*way))


def bed_section(plumb: float, level: float, clearance: float) -> Floats:
    """Outline (4, 2) of a level bed under a curve that comes down too steeply for a chase: level
    over the depth that the shell takes in the springing, and up to where its back leaves the pier."""
    deep = level + clearance
    return np.array([[0.0, -clearance], [deep, -clearance], [deep, 0.0], [0.0, plumb + clearance]])


def corbel_section(slope: float, thickness: float, out: float) -> Floats:
    """Outline (4, 2) of a skewback on corbelled courses before the corner: it stands out by `out`
    (negative x stands in the room) under the intrados there, level below and plumb behind."""
    front = np.array([-out, out * math.tan(slope)])
    back = front + thickness * np.array([math.sin(slope), math.cos(slope)])
    return np.array([front, back, [0.0, back[1]], [0.0, front[1]]])


def pocket_volume(section: Floats, half: float, turns: tuple[float, float]) -> float:
    """Volume (m3) of a pocket of a section and a half width across the groin's line, cut out of
    walls that run on to both sides of the corner: behind the corner it is the section, and on
    each flank it reaches out to the face of the wall, in a wedge as high as the opening."""
    opening = float(section[-1, 1] - section[0, 1])
    flanks = sum(opening * half**2 / (2 * math.tan(turn)) for turn in turns)
    return 2 * half * polygon_area(section) + flanks
