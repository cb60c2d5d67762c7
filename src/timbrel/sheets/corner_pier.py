"""The masonry under a corner's seat, drawn where it stands: a free pier, or walls that run on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import Board

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from timbrel.site.corner_seat import CornerSeat

Floats = NDArray[np.float64]


def draw_pier(board: Board, seat: CornerSeat, ways: list[Floats], far: float) -> None:
    """In plan at the springing: masonry with the pocket cut into it. What of a pier stands in the room
    under the springer is dashed.

    ways: along the two sides of the room; far: how far along them is drawn (m).
    """
    from shapely import Polygon, box

    back = seat.depth + 0.4 * seat.reach
    half = seat.width / 2
    ends = [way * far for way in ways]
    paper = box(ends[0][0], -back, ends[1][0], max(end[1] for end in ends))
    behind = [np.array([ends[1][0], -back]), np.array([ends[0][0], -back])]
    room = Polygon(np.array([np.zeros(2), ends[0], *behind, ends[1]]))
    whole = room if seat.pier is None else Polygon(seat.pier)
    shown = whole.intersection(paper)
    if seat.kind != "corbel":
        shown = shown.difference(box(-half, -seat.depth, half, far + back))
    for ring in _rings(shown):
        board.hatch([ring], "WALL HATCH", gap_mm=2.2)
    edge = paper.buffer(-1e-4)
    for line in _lines(shown.boundary.intersection(edge)):
        board.line(line, "WALL")
    if seat.pier is not None:
        covered = whole.boundary.intersection(edge).difference(shown.buffer(1e-6))
        for line in _lines(covered):
            board.line(line, "BELOW")
        board.lines([(np.zeros(2), end) for end in ends], "AXIS")


def pier_front(seat: CornerSeat, low: float) -> list[tuple[float, float]]:
    """Front of the masonry under the springing along the groin's line, from `low` up (x into the pier,
    y up, m): in the corner of the room, or where a pier stands farther in, with its head level."""
    into = 0.0 if seat.pier is None else max(float(seat.pier[0, 1]), 0.0)
    if into < 1e-3 or seat.kind == "corbel":
        return [(0.0, low)]
    return [(-into, low), (-into, 0.0), (0.0, 0.0)]


def _rings(shape: BaseGeometry) -> list[Floats]:
    parts = getattr(shape, "geoms", [shape])
    return [np.asarray(p.exterior.coords)[:-1] for p in parts if p.geom_type == "Polygon"]


def _lines(shape: BaseGeometry) -> list[Floats]:
    from shapely import line_merge

    merged = line_merge(shape) if shape.geom_type == "MultiLineString" else shape
    parts = getattr(merged, "geoms", [merged])
    return [np.asarray(p.coords) for p in parts if p.geom_type == "LineString" and p.length > 0]
