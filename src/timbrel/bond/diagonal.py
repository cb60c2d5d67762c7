"""A layer laid at 45 degrees: straight courses over the unrolled web, cut true all round.

The courses and the perpends lie on a square grid; where it begins is searched so that no piece at
an edge is under the least closer, then for the fewest cut pieces. At an edge the trade's rule
holds: a piece too small takes half of its neighbour.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from timbrel.bond.bedding import Bedding, Laid
from timbrel.bond.courses import Courses, fill_trimmed
from timbrel.bond.gauging import CourseGauge, Rows
from timbrel.bond.layout import Flags, Floats
from timbrel.bond.recut import recut
from timbrel.bond.shapes import shape_pieces
from timbrel.bond.stock import Stock
from timbrel.bond.walls import WalledRows

HALF_RIGHT = np.sqrt(0.5)
ALONG = np.array([HALF_RIGHT, HALF_RIGHT])
SQUARE = np.array([-HALF_RIGHT, HALF_RIGHT])
LINES = 7
"""Lines across a course on which its ends are read."""
PHASES = 8
"""Beginnings of the grid that are tried each way."""
DRAWN = 12
"""Best beginnings that are drawn until one leaves no piece under the least."""
BED_JOINTS = 5
"""Joints between courses that are tried where the best leaves a sliver. The ends of the range are not:
joints that widen over a double curve would leave it."""
Score = tuple[int, int, float, float]
SLIVER = 1e-4
"""Strips of the web with less area than this are joint, not tile (m2)."""


def lay_diagonal(bed: Bedding, stagger: str) -> Laid:
    """The layer with the best beginning of its grid."""
    stock = bed.stock
    joint = stock.joint.best
    room = bed.development.outline.buffer(-joint, join_style="mitre")
    tried = _tried(room, stock, stagger, joint)
    if min(score[0] for score, *_ in tried) > 0:
        # Corners hold the last course of both sides: other bed joints move one against the other.
        for bed_joint in np.linspace(stock.joint.least, stock.joint.most, BED_JOINTS + 2)[1:-1]:
            tried += _tried(room, stock, stagger, float(bed_joint))
    found: list[tuple[float, Laid]] = []
    for _, courses, rows, between in sorted(tried, key=lambda t: t[0])[:DRAWN]:
        widths = np.full(courses.count, stock.across)
        gauge = CourseGauge(widths, widths, between, between, courses.cut)
        walled = WalledRows(rows, np.ones((courses.count, 2), dtype=bool))
        pieces = fill_trimmed(courses, rows, stock)
        shapes = shape_pieces(courses, pieces, room, np.zeros((len(pieces.joint), 2)))
        least = float(shapes.area.min()) / stock.across
        found.append((-least, Laid(bed, gauge, courses, walled, pieces, room)))
        if least >= stock.least_along - 1e-6:
            break
    best = min(found, key=lambda f: f[0])[1]
    creased = bool(np.any(bed.creases))
    return replace(best, pieces=recut(best.courses, best.pieces, room, stock, creased=creased))


def _tried(
    room: Any, stock: Stock, stagger: str, bed_joint: float
) -> list[tuple[Score, Courses, Rows, float]]:
    """Every beginning of the grid with one joint between its courses, and how it does."""
    pitch = stock.across + bed_joint
    off = abs(bed_joint - stock.joint.best)
    tried = []
    for i in range(PHASES):
        courses = strips(room, stock.across, pitch, i / PHASES * pitch)
        odd = np.arange(courses.count) % 2 == 1
        shift = np.where(odd & (stagger == "half"), 0.5, 0.0)
        for k in range(PHASES):
            phase = (shift + k / PHASES) * (stock.along + stock.joint.best)
            rows = grid_rows(courses, phase, stock)
            score = (*shortcomings(rows, stock), off, abs(i - PHASES / 2))
            tried.append((score, courses, rows, bed_joint))
    return tried


def strips(room: Any, width: float, pitch: float, phase: float) -> Courses:
    """Courses at 45 degrees that cover a room (shapely polygon), and where its edge ends them."""
    from shapely import area, bounds, box, get_coordinates, intersection, linestrings
    from shapely.affinity import affine_transform

    # Turned so that the courses run along x.
    turned = affine_transform(room, [*ALONG, *SQUARE, 0.0, 0.0])
    x0, y0, x1, y1 = turned.bounds
    middle = np.arange(y0 + phase - pitch, y1 + pitch, pitch) + width / 2
    covered = area(intersection(box(x0, middle - width / 2, x1, middle + width / 2), turned))
    middle, covered = middle[covered > SLIVER], covered[covered > SLIVER]
    level = middle[:, None] + np.linspace(-0.5, 0.5, LINES) * (width - 1e-6)
    ends = np.stack(
        [np.stack([np.full_like(level, x), level], axis=-1) for x in (x0 - 1, x1 + 1)], axis=-2
    )
    read = bounds(intersection(linestrings(ends.reshape(-1, 2, 2)), turned))
    start, end = read[:, 0].reshape(level.shape), read[:, 2].reshape(level.shape)
    # The corners of the room reach further than any line that is read.
    corners = get_coordinates(turned)
    holds = np.abs(corners[None, :, 1] - middle[:, None]) <= width / 2
    outer = np.where(holds, corners[None, :, 0], np.nan)
    part = np.isnan(start).any(axis=1)
    near, far = _ends(start, end, outer, part, covered / width)
    origin = middle[:, None] * SQUARE
    n = len(middle)
    edge = np.stack([np.full(n, width / 2), np.zeros(n)], axis=1)
    along = np.broadcast_to(ALONG, (n, 2)).copy()
    return Courses(origin, along, -edge, edge, near, far, np.zeros(n, dtype=bool))


def _ends(
    start: Floats, end: Floats, outer: Floats, part: Flags, mean: Floats
) -> tuple[Floats, Floats]:
    """Least, mean and greatest s of both ends; a strip that is only partly covered (a corner)
    counts by its mean length about its middle."""
    reach = np.concatenate([start, end, outer], axis=1)
    least, most = np.nanmin(reach, axis=1), np.nanmax(reach, axis=1)
    middle = (least + most) / 2
    with np.errstate(invalid="ignore"):
        near = np.stack([least, start.mean(axis=1), start.max(axis=1)], axis=1)
        far = np.stack([end.min(axis=1), end.mean(axis=1), most], axis=1)
    near[part, 1], near[part, 2] = (middle - mean / 2)[part], middle[part]
    far[part, 0], far[part, 1] = middle[part], (middle + mean / 2)[part]
    return near, far


def grid_rows(courses: Courses, phase: Floats, stock: Stock) -> Rows:
    """Rows whose perpends lie on a grid: (n,) `phase` is the s of one perpend of each course."""
    joint = stock.joint.best
    pitch = stock.along + joint
    least = stock.least_along
    near, far = courses.near, courses.far
    # First and last perpend that leave a piece of the least closer.
    first = phase + np.ceil((near[:, 1] + least + joint / 2 - phase) / pitch) * pitch
    last = phase + np.floor((far[:, 1] - least - joint / 2 - phase) / pitch) * pitch
    wholes = np.rint((last - first) / pitch)
    head = end_pieces(first - joint / 2 - near[:, 1], near[:, 1] - near[:, 0], stock)
    tail = end_pieces(far[:, 1] - last - joint / 2, far[:, 2] - far[:, 1], stock)[:, ::-1]
    short = wholes < 0
    head[short], tail[short] = shared(courses, stock)[short, :2], np.nan
    few = shared(courses, stock)[:, 2]
    tail[short, 0] = few[short]
    wholes = np.maximum(wholes, 0).astype(np.int64)
    return Rows(head, wholes, tail, np.full(courses.count, joint))


def end_pieces(length: Floats, over: Floats, stock: Stock) -> Floats:
    """One or two pieces that make up a mean length at a wall: (n, 2), the outer one first.

    over: (n,) how much the outer piece's longest side exceeds its mean.
    """
    joint, least = stock.joint.best, stock.least_along
    longest = stock.along - over
    one = length <= longest
    inner = np.maximum(length - joint - longest, stock.half)
    inner = np.where(length - joint - inner < least, least, inner)
    return np.stack(
        [np.where(one, length, length - joint - inner), np.where(one, np.nan, inner)], axis=1
    )


def shared(courses: Courses, stock: Stock) -> Floats:
    """Rows too short for the grid: one, two or three equal pieces (n, 3), nan where none."""
    joint = stock.joint.best
    reach = courses.far[:, 2] - courses.near[:, 0]
    pieces = np.clip(np.ceil((reach + joint) / (stock.along + joint)), 1, 3)
    each = (courses.length - (pieces - 1) * joint) / pieces
    return np.where(np.arange(3) < pieces[:, None], each[:, None], np.nan)


def shortcomings(rows: Rows, stock: Stock) -> tuple[int, int]:
    """Pieces under the least closer, and cut pieces."""
    ends = np.concatenate([rows.head, rows.tail], axis=1)
    there = np.isfinite(ends)
    return int(np.sum(ends[there] < stock.least_along - 1e-6)), int(there.sum())
