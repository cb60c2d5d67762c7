"""Courses on an unrolled web, and the pieces of their rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np

from timbrel.bond.gauging import CourseGauge, Rows
from timbrel.bond.layout import Flags, Floats, Ints, Piece
from timbrel.bond.spread import Spread
from timbrel.bond.stock import Stock
from timbrel.shape.development import edge_shares

ACROSS = np.linspace(0.0, 1.0, 5)
"""Where the wall line is read across a course."""
MEAN = np.array([7.0, 32.0, 12.0, 32.0, 7.0]) / 90
"""Weights of those readings in the mean (Boole's rule)."""


class Development(Protocol):
    """A web unrolled at one offset (see :mod:`timbrel.shape`)."""

    surface: Any
    near_cut: Floats
    far_cut: Floats

    @property
    def outline(self) -> Any:
        """The web in the flat plane, cut true to the walls (a shapely polygon)."""
        ...

    def flat(self, u: Floats, v: Floats) -> Floats:
        """Flat coordinates (..., 2) of common coordinates."""
        ...

    def lift(self, xy: Floats) -> tuple[Floats, Floats]:
        """Common coordinates of flat ones."""
        ...


@dataclass(frozen=True)
class EndLine:
    """One end of an unrolled web as a line, from the left springing to the right one.

    u, v: (k,) common coordinates. points: (k, 2) flat. across: (k,) distance from the left
    springing, square to the rulings. along: (k,) length of the wall line itself, where a rod lies.
    """

    u: Floats
    v: Floats
    points: Floats
    across: Floats
    along: Floats

    @property
    def length(self) -> float:
        """Distance from springing to springing, square to the rulings."""
        return float(self.across[-1])

    def u_at(self, across: Floats) -> Floats:
        """Common coordinate u at a distance across."""
        return np.interp(across, self.across, self.u)

    def v_at(self, u: Floats) -> Floats:
        """Common coordinate v of the wall at u."""
        return np.interp(u, self.u, self.v)

    def across_at(self, u: Floats) -> Floats:
        """Distance across at a common coordinate u."""
        return np.interp(u, self.u, self.across)

    def rod(self, across: Floats) -> Floats:
        """Distance along the wall line at a distance across."""
        return np.interp(across, self.across, self.along)


def end_lines(development: Development | Spread) -> tuple[EndLine, EndLine]:
    """The near and the far end of a web."""
    if isinstance(development, Spread):
        walls = [spread_line(development, *line.T) for line in (development.near, development.far)]
        return walls[0], walls[1]
    u = edge_shares(development.surface)
    near = development.flat(u, development.near_cut)
    far = development.flat(u, development.far_cut)
    rulings = development.flat(u, np.ones_like(u)) - development.flat(u, np.zeros_like(u))
    rulings /= np.hypot(*rulings.T)[:, None]
    middle = rulings[1:] + rulings[:-1]
    middle /= np.hypot(*middle.T)[:, None]
    lines = []
    for v, points in ((development.near_cut, near), (development.far_cut, far)):
        step = np.diff(points, axis=0)
        square = middle[:, 0] * step[:, 1] - middle[:, 1] * step[:, 0]
        across = np.concatenate([[0.0], np.cumsum(square)])
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*step.T))])
        lines.append(EndLine(u, v, points, across, along))
    return lines[0], lines[1]


def spread_line(spread: Spread, u: Floats, v: Floats) -> EndLine:
    """An end wall of a web that is curved both ways, along which (u, v) runs."""
    points = spread.flat(u, v)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    return EndLine(u, v, points, points[:, 1] - points[0, 1], along)


@dataclass(frozen=True)
class Courses:
    """Strips of a web, each with its own axes: s along it from `origin`, o to its left.

    origin, along: (n, 2). low, high: (n, 2) offset of the lower and upper edge at s = 0 and its
    slope. near, far: (n, 3) least, mean and greatest s of the wall across the course. cut: (n,)
    lengthwise.
    """

    origin: Floats
    along: Floats
    low: Floats
    high: Floats
    near: Floats
    far: Floats
    cut: Flags

    @property
    def count(self) -> int:
        """Number of courses."""
        return len(self.origin)

    @property
    def length(self) -> Floats:
        """Clear length at the middle of the wall lines: (n,)."""
        return self.far[:, 1] - self.near[:, 1]

    def skew(self) -> Floats:
        """How much the wall runs out of square over the course, near and far: (n, 2)."""
        return np.stack([np.ptp(self.near, axis=1), np.ptp(self.far, axis=1)], axis=1)

    def width(self, course: Ints, s: Floats) -> Floats:
        """Width of course number `course` at s."""
        low, high = self.low[course], self.high[course]
        return np.asarray(high[..., 0] - low[..., 0] + s * (high[..., 1] - low[..., 1]))

    def place(self, course: Ints, s: Floats, o: Floats) -> Floats:
        """Flat point at s along and o across course number `course`: (..., 2)."""
        t = self.along[course]
        normal = np.stack([-t[..., 1], t[..., 0]], axis=-1)
        return self.origin[course] + s[..., None] * t + o[..., None] * normal

    def edge(self, course: Ints, s: Floats, upper: bool) -> Floats:
        """Flat point at s on the lower or upper edge: (..., 2)."""
        line = (self.high if upper else self.low)[course]
        return self.place(course, s, line[..., 0] + s * line[..., 1])


def ruled_courses(
    development: Development | Spread, near: EndLine, far: EndLine, gauge: CourseGauge
) -> Courses:
    """Courses that follow the rulings from the near end to the far one."""
    ends = []
    for line in (near, far):
        edges = line.u_at(gauge.edges(far=line is far))
        u = edges[:, :1] + (edges[:, 1:] - edges[:, :1]) * ACROSS
        ends.append(development.flat(u, line.v_at(u)))
    start, end = (points[:, [0, -1]].mean(axis=1) for points in ends)
    along = end - start
    # Where the web runs out to a point only the ruling tells the way.
    bare = np.hypot(*along.T) < 1e-3
    u = near.u_at(gauge.edges(far=False).mean(axis=1))[bare]
    along[bare] = development.flat(u, np.ones_like(u)) - development.flat(u, np.zeros_like(u))
    along /= np.hypot(*along.T)[:, None]
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1)
    s = [np.einsum("nki,ni->nk", points - start[:, None], along) for points in ends]
    o = [np.einsum("nki,ni->nk", points - start[:, None], normal) for points in ends]
    lines = []
    for k in (0, -1):
        run = s[1][:, k] - s[0][:, k]
        slope = np.where(np.abs(run) > 1e-3, o[1][:, k] - o[0][:, k], 0.0)
        slope /= np.where(np.abs(run) > 1e-3, run, 1.0)
        tapered = np.stack([o[0][:, k] - slope * s[0][:, k], slope], axis=1)
        straight = np.stack([(k + 0.5) * -gauge.near, np.zeros(gauge.count)], axis=1)
        lines.append(np.where(gauge.cut[:, None], tapered, straight))
    walls = [np.stack([x.min(axis=1), x @ MEAN, x.max(axis=1)], axis=1) for x in s]
    return Courses(start, along, lines[0], lines[1], walls[0], walls[1], gauge.cut)


@dataclass(frozen=True)
class Pieces:
    """Tiles of the rows, in order. course: (m,) from 0. number: (m,) from 0.

    begin, end: (m,) s of the two ends. kind: (m,). trim: (m,) must be cut to the wall line. last:
    (m,) is the last of its row. joint: (m,) of its row.
    """

    course: Ints
    number: Ints
    begin: Floats
    end: Floats
    kind: Ints
    trim: Flags
    last: Flags
    joint: Floats

    def without(self, gone: Flags) -> Pieces:
        """The pieces but for some."""
        keep = ~gone
        return Pieces(
            self.course[keep],
            self.number[keep],
            self.begin[keep],
            self.end[keep],
            self.kind[keep],
            self.trim[keep],
            self.last[keep],
            self.joint[keep],
        )


def fill(courses: Courses, rows: Rows, trims: Flags, stock: Stock, lead: Floats) -> Pieces:
    """The pieces of every row.

    trims: (n, 2) is the near, the far end cut to the wall line. lead: (n,) joint at the near end.
    """
    course, number, begin, end, last = placed(courses, rows, lead, stock)
    trim = (trims[course, 0] & (number == 0)) | (trims[course, 1] & last)
    kind = kinds(end - begin, trim | courses.cut[course], stock)
    return Pieces(course, number, begin, end, kind, trim, last, rows.joint[course])


def fill_trimmed(courses: Courses, rows: Rows, stock: Stock) -> Pieces:
    """The pieces of rows whose ends already leave a joint, trimmed wherever the edge meets them."""
    course, number, begin, end, last = placed(courses, rows, np.zeros(courses.count), stock)
    trim = (number == 0) | last
    trim |= (begin < courses.near[course, 2]) | (end > courses.far[course, 0])
    kind = kinds(end - begin, trim, stock)
    return Pieces(course, number, begin, end, kind, trim, last, rows.joint[course])


def kinds(size: Floats, cut: Flags, stock: Stock) -> Ints:
    """Whole, half or cut by the length; what `cut` marks is cut whatever its length."""
    kind = np.full(len(size), int(Piece.CUT), dtype=np.int64)
    kind[~cut & (np.abs(size - stock.along) < 1e-6)] = Piece.WHOLE
    kind[~cut & (np.abs(size - stock.half) < 1e-6)] = Piece.HALF
    return kind


def placed(
    courses: Courses, rows: Rows, lead: Floats, stock: Stock
) -> tuple[Ints, Ints, Floats, Floats, Flags]:
    """Course, number, begin, end of every piece, and whether it is the last of its row.

    lead: (n,) joint at the near wall.
    """
    n, most = courses.count, int(rows.wholes.max(initial=0))
    middle = np.where(np.arange(most) < rows.wholes[:, None], stock.along, np.nan)
    sizes = np.concatenate([rows.head, middle, rows.tail], axis=1)
    # A row that cannot close is left solid.
    there = np.isfinite(sizes) & np.isfinite(rows.joint)[:, None]
    joints = rows.joint[:, None]
    origin = courses.near[:, 1] + lead - rows.joint
    end = origin[:, None] + np.cumsum(np.where(there, sizes + joints, 0.0), axis=1)
    begin = end - np.where(there, sizes, 0.0)
    course = np.broadcast_to(np.arange(n)[:, None], sizes.shape)[there]
    number = (np.cumsum(there, axis=1) - 1)[there]
    last = number == (there.sum(axis=1) - 1)[course]
    return course, number, begin[there], end[there], last
