"""From pieces on their courses to polygons: whole tiles all at once, cut ones with shapely."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.bond.courses import Courses, EndLine, Pieces
from timbrel.bond.layout import Floats, Ints

MERGE = 1e-5
"""Corners closer than this are one (m)."""
CRUMB = 5e-4
"""A piece with less area than this is left to the mortar (m2)."""
FINE = 1e-4
"""How true a curved cut is followed (m)."""


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


def shape_pieces(courses: Courses, pieces: Pieces, room: Any, lead: Floats) -> Shapes:
    """Polygons of all pieces; those at walls out of square are cut true to `room`.

    room: shapely polygon that they are cut to. lead: (n, 2) how far from it each piece stays, at
    the near and at the far end of its row.
    """
    begin, end = pieces.begin.copy(), pieces.end.copy()
    first, last = pieces.trim & (pieces.number == 0), pieces.trim & pieces.last
    # What is cut true is cut from a whole tile that runs on under the wall.
    wall_near, wall_far = courses.near[pieces.course, 0], courses.far[pieces.course, 2]
    begin[first] = np.minimum(begin, wall_near)[first]
    end[last] = np.maximum(end, wall_far)[last]
    corners = rectangles(courses, pieces.course, begin, end)
    rings = dict(zip(np.flatnonzero(pieces.trim).tolist(), corners[pieces.trim], strict=True))
    along = courses.along[pieces.course]
    trim_to(rings, room, np.flatnonzero(pieces.trim & (first | ~last)), lead[:, :1] * along)
    trim_to(rings, room, np.flatnonzero(last), -lead[:, 1:] * along)
    counts = np.full(len(begin), 4, dtype=np.int64)
    areas = ring_area(corners)
    for i, ring in rings.items():
        counts[i], areas[i] = len(ring), ring_area(ring)
    start = np.concatenate([[0], np.cumsum(counts)])
    points = np.empty((start[-1], 2))
    plain = ~pieces.trim
    points[(start[:-1][plain, None] + np.arange(4)).ravel()] = corners[plain].reshape(-1, 2)
    for i, ring in rings.items():
        points[start[i] : start[i + 1]] = ring
    return Shapes(points, start, areas)


def trim_to(rings: dict[int, Floats], room: Any, which: Ints, shift: Floats) -> None:
    """Cut some of the rings to the room moved in by their shift (n, 2), in place."""
    from shapely import Polygon, area, get_coordinates, get_parts, intersection

    which = which[[len(rings[i]) > 2 for i in which.tolist()]]
    pieces = [Polygon(rings[i] - shift[i]) for i in which.tolist()]
    for i, shape in zip(which.tolist(), intersection(pieces, room), strict=True):
        parts = [part for part in get_parts(shape) if part.geom_type == "Polygon"]
        ring = tidy(get_coordinates(max(parts, key=area))) if parts else np.zeros((0, 2))
        rings[i] = ring + shift[i]


def tidy(ring: Floats) -> Floats:
    """A ring without its closing point, without near doubles, anticlockwise."""
    ring = ring[:-1]
    apart = np.hypot(*(ring - np.roll(ring, 1, axis=0)).T)
    ring = ring[apart > MERGE]
    if len(ring) < 3:
        return ring[:0]
    return ring if ring_area(ring) > 0 else ring[::-1]


def sound_outline(development: Any) -> Any:
    """The outline of a web as a valid polygon: where it runs out to a point its ends may cross."""
    from shapely import area, get_parts, make_valid

    outline = development.outline
    if outline.is_valid:
        return outline
    return max(get_parts(make_valid(outline)), key=area)


def between_ends(near: EndLine, far: EndLine, margin: float) -> Any:
    """What lies between the two end walls: a shapely polygon in flat coordinates.

    It runs on by `margin` past the springings, where the courses end of themselves.
    """
    from shapely import Polygon

    sides = []
    for points in (near.points, far.points):
        start, end = points[0] - points[1], points[-1] - points[-2]
        sides += [
            points[:1] + margin * start / np.hypot(*start),
            points,
            points[-1:] + margin * end / np.hypot(*end),
        ]
    ring = np.concatenate([*sides[:3], *(side[::-1] for side in sides[:2:-1])])
    return Polygon(ring).simplify(FINE)
