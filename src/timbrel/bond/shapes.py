"""From pieces on their courses to polygons: whole tiles all at once, cut ones with shapely."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.bond.courses import Courses, EndLine, Pieces
from timbrel.bond.layout import Floats, Ints
from timbrel.bond.stock import Stock

MERGE = 1e-5
"""Corners closer than this are one (m)."""


@dataclass(frozen=True)
class Shapes:
    """Polygons as a ragged array. points: (m, 2). start: (n+1,). area: (n,)."""

    points: Floats
    start: Ints
    area: Floats


def rectangles(courses: Courses, course: Ints, begin: Floats, end: Floats) -> Floats:
    """Four corners of each piece, anticlockwise from the near lower one: (n, 4, 2)."""
    corners = [
        courses.edge(course, begin, upper=False),
        courses.edge(course, end, upper=False),
        courses.edge(course, end, upper=True),
        courses.edge(course, begin, upper=True),
    ]
    return np.stack(corners, axis=1)


def ring_area(points: Floats) -> Floats:
    """Signed areas of rings (..., k, 2), positive anticlockwise."""
    x, y = points[..., 0], points[..., 1]
    return np.asarray(
        0.5 * np.sum(x * np.roll(y, -1, axis=-1) - np.roll(x, -1, axis=-1) * y, axis=-1)
    )


def shape_pieces(courses: Courses, pieces: Pieces, stock: Stock, room: Any) -> Shapes:
    """Polygons of all pieces; those at walls out of square are cut true to `room`.

    room: shapely polygon of what the end joints leave (see :func:`within_ends`).
    """
    from shapely import get_coordinates, intersection, polygons

    begin, end = pieces.begin.copy(), pieces.end.copy()
    first, last = pieces.trim & (pieces.number == 0), pieces.trim & pieces.last
    # What is cut true is cut from a whole tile that runs on under the wall.
    wall_near, wall_far = courses.near[pieces.course, 0], courses.far[pieces.course, 2]
    begin[first] = np.minimum(begin, wall_near)[first]
    end[last] = np.maximum(end, wall_far)[last]
    corners = rectangles(courses, pieces.course, begin, end)
    counts = np.full(len(begin), 4, dtype=np.int64)
    areas = ring_area(corners)
    cut = np.flatnonzero(pieces.trim)
    rings: dict[int, Floats] = {}
    for i, shape in zip(cut.tolist(), intersection(polygons(corners[cut]), room), strict=True):
        ring = tidy(get_coordinates(shape))
        rings[i], counts[i], areas[i] = ring, len(ring), ring_area(ring)
    start = np.concatenate([[0], np.cumsum(counts)])
    points = np.empty((start[-1], 2))
    plain = ~pieces.trim
    points[(start[:-1][plain, None] + np.arange(4)).ravel()] = corners[plain].reshape(-1, 2)
    for k, ring in rings.items():
        points[start[k] : start[k + 1]] = ring
    return Shapes(points, start, areas)


def tidy(ring: Floats) -> Floats:
    """A ring without its closing point, without near doubles, anticlockwise."""
    ring = ring[:-1]
    apart = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T)
    ring = ring[apart > MERGE]
    return ring if ring_area(ring) > 0 else ring[::-1]


def within_ends(near: EndLine, far: EndLine, joint: float, margin: float) -> Any:
    """What the two walls leave when each takes a joint: a shapely polygon in flat coordinates.

    It runs on by `margin` past the springings, where the courses end of themselves.
    """
    from shapely import Polygon

    sides = []
    for line, inward in ((near, 1.0), (far, -1.0)):
        along = np.gradient(line.points, axis=0)
        along /= np.hypot(*along.T)[:, None]
        moved = line.points + inward * joint * np.stack([along[:, 1], -along[:, 0]], axis=1)
        sides.append(
            np.concatenate(
                [moved[:1] - margin * along[:1], moved, moved[-1:] + margin * along[-1:]]
            )
        )
    return Polygon(np.concatenate([sides[0], sides[1][::-1]])).simplify(2e-5)
