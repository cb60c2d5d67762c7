"""Rows of a layer at 45 degrees cut again where an edge leaves a piece that no tile gives.

What the grid leaves at an edge is known only once it is cut true. Where an edge runs nearly along a
course the last piece may be longer than a tile: the row goes on in whole tiles. A mason takes a
sliver and its neighbour as one tile where one is long enough, or moves the perpend between them, so
that both are closers; beside a crease what is still too small is left solid in mortar.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.bond.courses import Courses, Pieces
from timbrel.bond.layout import Floats, Piece
from timbrel.bond.shapes import CRUMB, shape_pieces
from timbrel.bond.stock import LEAST_WIDTH, Stock

LONGER = 1e-4
"""A piece longer than a whole tile by more than this cannot be sawn from one (m)."""
PLACES = 12
"""Places of a perpend that are tried between the far ends of two pieces."""


@dataclass(frozen=True)
class _Cut:
    """Pieces of one course as they come out: size, area over the tile's width, of a strip that is too
    narrow to saw less; low, high: ends of each along the course (m)."""

    pieces: Pieces
    size: Floats
    low: Floats
    high: Floats

    def shortest(self, least: float) -> tuple[int, float]:
        """How many are under the least, crumbs apart, and the size of the smallest."""
        kept = self.size[self.size > 0]
        return int((kept < least - 1e-6).sum()), float(kept.min(initial=np.inf))

    def longer(self, along: float) -> int:
        """How many reach further than a whole tile."""
        return int((self.high - self.low > along + LONGER).sum())


def recut(courses: Courses, pieces: Pieces, room: Any, stock: Stock, *, creased: bool) -> Pieces:
    """The pieces with every course cut again that holds one under the least closer.

    room: shapely polygon that they are cut to. creased: do webs meet along an edge of it.
    """
    least = stock.least_along
    parts = []
    for course in np.unique(pieces.course).tolist():
        cut = _cut(courses, pieces.without(pieces.course != course), room, stock)
        if cut.longer(stock.along):
            cut = _cut(courses, _in_tiles(cut, stock), room, stock)
        while cut.shortest(least)[0]:
            better = _better(courses, cut, room, stock)
            if better is None:
                break
            cut = better
        small = (cut.size > 0) & (cut.size < least - 1e-6)
        # Not counted again: what now ends the row would be drawn out to the edge.
        parts.append(cut.pieces.without(small) if creased else cut.pieces)
    return _joined(parts)


def _better(courses: Courses, cut: _Cut, room: Any, stock: Stock) -> _Cut | None:
    """The course with one of its small pieces mended in the best way, the smallest that any way mends;
    None where no way is better."""
    before, least = cut.shortest(stock.least_along), stock.least_along
    small = np.flatnonzero((cut.size > 0) & (cut.size < least - 1e-6))
    for piece in small[np.argsort(cut.size[small])].tolist():
        best, found = before, None
        for pieces in _ways(cut.pieces, piece, stock):
            tried = _cut(courses, pieces, room, stock)
            if tried.longer(stock.along) > cut.longer(stock.along):
                continue
            how = tried.shortest(least)
            if how[0] < best[0] or (found is not None and how[0] == best[0] and how[1] > best[1]):
                best, found = how, tried
        if found is not None:
            return found
    return None


def _ways(pieces: Pieces, small: int, stock: Stock) -> Iterator[Pieces]:
    """One tile in the place of the small piece and a neighbour, or another perpend between them."""
    for low in (small - 1, small):
        high = low + 1
        if low < 0 or high >= len(pieces.begin):
            continue
        begin, end = pieces.begin.copy(), pieces.end.copy()
        begin[high] = begin[low]
        gone = np.arange(len(begin)) == low
        yield _renumbered(_changed(pieces, begin, end, high).without(gone))
        joint = float(pieces.joint[low])
        span = float(pieces.end[high] - pieces.begin[low]) - joint
        for length in np.linspace(0.0, span, PLACES + 2)[1:-1].tolist():
            begin, end = pieces.begin.copy(), pieces.end.copy()
            end[low] = pieces.begin[low] + length
            begin[high] = end[low] + joint
            yield _changed(_changed(pieces, begin, end, low), begin, end, high)


def _changed(pieces: Pieces, begin: Floats, end: Floats, which: int) -> Pieces:
    """A piece that is sawn to another length is cut, whatever it was."""
    kind, trim = pieces.kind.copy(), pieces.trim.copy()
    kind[which], trim[which] = int(Piece.CUT), True
    return replace(pieces, begin=begin, end=end, kind=kind, trim=trim)


def _in_tiles(cut: _Cut, stock: Stock) -> Pieces:
    """The course with its ends run on in whole tiles where a piece there is longer than one."""
    pieces = cut.pieces
    keep, begins, ends = np.ones(len(pieces.begin), bool), list[Floats](), list[Floats]()
    for i in np.flatnonzero(cut.high - cut.low > stock.along + LONGER).tolist():
        joint = float(pieces.joint[i])
        pitch = stock.along + joint
        if pieces.last[i]:
            first = pieces.begin[i] if pieces.number[i] else cut.low[i]
            starts = np.arange(first, cut.high[i], pitch)
        else:
            starts = np.arange(pieces.end[i] - stock.along, cut.low[i] - stock.along, -pitch)[::-1]
        keep[i] = False
        begins.append(starts)
        ends.append(starts + stock.along)
    begin = np.concatenate([pieces.begin[keep], *begins])
    end = np.concatenate([pieces.end[keep], *ends])
    added = len(begin) - int(keep.sum())
    kind = np.concatenate([pieces.kind[keep], np.full(added, int(Piece.CUT))])
    trim = np.concatenate([pieces.trim[keep], np.ones(added, bool)])
    order, n = np.argsort(begin), len(begin)
    made = Pieces(
        np.full(n, pieces.course[0]), np.arange(n), begin[order], end[order], kind[order], trim[order],
        np.zeros(n, bool), np.full(n, pieces.joint[0]),
    )  # fmt: skip
    return _renumbered(made)


def _cut(courses: Courses, pieces: Pieces, room: Any, stock: Stock) -> _Cut:
    shapes = shape_pieces(courses, pieces, room, np.zeros((len(pieces.joint), 2)))
    low, high = np.zeros(len(pieces.joint)), np.zeros(len(pieces.joint))
    for i, course in enumerate(pieces.course.tolist()):
        points = shapes.points[shapes.start[i] : shapes.start[i + 1]]
        if len(points):
            along = (points - courses.origin[course]) @ courses.along[course]
            low[i], high[i] = along.min(), along.max()
    # A crumb is mortar and no piece.
    whole = shapes.area >= CRUMB
    size = np.where(whole, shapes.area / stock.across, 0.0)
    wide = shapes.area / np.maximum(high - low, 1e-9)
    narrow = whole & (wide < LEAST_WIDTH)
    size[narrow] = np.minimum(size, stock.least_along * wide / LEAST_WIDTH)[narrow]
    return _Cut(pieces, size, low, high)


def _renumbered(pieces: Pieces) -> Pieces:
    """The pieces of one course, counted from its near end again."""
    number = np.arange(len(pieces.begin))
    return replace(pieces, number=number, last=number == len(number) - 1)


def _joined(parts: list[Pieces]) -> Pieces:
    names = ("course", "number", "begin", "end", "kind", "trim", "last", "joint")
    return Pieces(*(np.concatenate([getattr(p, name) for p in parts]) for name in names))
