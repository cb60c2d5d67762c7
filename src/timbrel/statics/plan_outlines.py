"""Where loads stand in plan: the outline of the vault, and the arrangements of the imposed load.

The outline is that of the springing line: what stands further out stands on the walls. Both bounds
of the load factor take their loads from here, so that they speak of the same load.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.words import Message, say

if TYPE_CHECKING:
    from shapely import Polygon

SIDES = 2880
"""Sides of the polygon in the place of a circle: a multiple of the rays of every net."""
PATCH = 0.25
"""Share of the plan's side of the square patch at the middle."""


def outline_of(vault: Any) -> Polygon:
    """The plan that the vault covers, m. A circle is a polygon of the same area."""
    from shapely import Polygon

    if vault.family != "dome":
        return Polygon(np.asarray(vault.room.corners, float)[:, :2])
    rings = [_circle(vault.centre[:2], vault.base.span / 2)]
    if vault.oculus:
        rings.append(_circle(vault.centre[:2], vault.oculus / 2))
    return Polygon(rings[0], rings[1:])


def arrangements(vault: Any) -> list[tuple[str, Message, Polygon]]:
    """Keys, titles and outlines of the imposed load: everywhere, on halves, a quarter, a patch at
    the middle. Halves part at the middle of the area; sides are those of the x and y axes."""
    from shapely import box

    whole = outline_of(vault)
    (x0, y0, x1, y1), middle = whole.bounds, whole.centroid
    x, y = float(middle.x), float(middle.y)
    wide, deep = PATCH / 2 * (x1 - x0), PATCH / 2 * (y1 - y0)
    return [
        ("full", say("Imposed, everywhere"), whole),
        ("half.left", say("Imposed, left half"), whole & box(x0, y0, x, y1)),
        ("half.right", say("Imposed, right half"), whole & box(x, y0, x1, y1)),
        ("half.near", say("Imposed, near half"), whole & box(x0, y0, x1, y)),
        ("half.far", say("Imposed, far half"), whole & box(x0, y, x1, y1)),
        ("quarter", say("Imposed, one quarter"), whole & box(x0, y0, x, y)),
        (
            "patch",
            say("Imposed, a patch at the middle"),
            whole & box(x - wide, y - deep, x + wide, y + deep),
        ),
    ]


def outline_at(vault: Any, pattern: str) -> Polygon:
    """The outline of one arrangement, by its key."""
    return next(outline for key, _, outline in arrangements(vault) if key == pattern)


def parts_of(outline: Polygon, fine: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Middles (p, 2) and areas (p,) of the squares into which an outline is cut, `fine` each way;
    their areas and first moments add up to those of the outline."""
    import shapely

    x0, y0, x1, y1 = outline.bounds
    xs, ys = np.linspace(x0, x1, fine + 1), np.linspace(y0, y1, fine + 1)
    left, near = np.meshgrid(xs[:-1], ys[:-1])
    right, far = np.meshgrid(xs[1:], ys[1:])
    squares = shapely.box(left, near, right, far).ravel()
    shapely.prepare(outline)
    squares = squares[shapely.intersects(outline, squares)]
    whole = shapely.covers(outline, squares)
    squares[~whole] = shapely.intersection(squares[~whole], outline)
    area = shapely.area(squares)
    squares, area = squares[area > 0], area[area > 0]
    return shapely.get_coordinates(shapely.centroid(squares)), np.asarray(area)


def _circle(centre: NDArray[np.float64], radius: float) -> NDArray[np.float64]:
    turn = 2 * np.pi / SIDES
    around = turn * np.arange(SIDES)
    alike = radius * np.sqrt(turn / np.sin(turn))
    return np.asarray(centre + alike * np.stack([np.cos(around), np.sin(around)], axis=1))
