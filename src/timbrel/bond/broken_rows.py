"""Rows broken at an opening: where they end, and what is done with a piece too small.

Where an opening crosses a course, or leaves too narrow a strip of it, the row ends there on either
side. Where it leaves a strip wide enough to saw, the strip is a row of its own between two joints,
so that no tile is notched. A piece under the least closer shares with its neighbour: one whole tile
less, and two of half of both (common practice, no source). A strip too narrow to saw is run solid
with the mortar of the ring.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from timbrel.bond.bedding import Laid
from timbrel.bond.courses import Courses, Pieces
from timbrel.bond.laps import LEAST_LAP, THICKNESSES
from timbrel.bond.layout import Floats, Piece
from timbrel.bond.stock import Stock

LINES = 9
"""Lines across a course on which an opening is read."""
SQUARE = 0.012
"""An opening whose end moves no more than this across a course is cut square to it (m)."""
LEAN = 0.006
"""How far from its sides an opening is read (m)."""
SIDE = 0.9
"""A straight side is as long as this share of the opening; a shorter chord is a bulge of it."""
TRIED = 60
"""Places to either side that are tried for a perpend that must keep off those below."""
TRIED_BOTH = 17
"""Places that are tried for each of two perpends."""
REACH = 4
"""Pieces at an opening that may be divided anew."""
SLACK = 0.001
"""What the piece at the edge keeps over the least closer: its end is not quite square (m)."""
SPARE = 0.002
"""What a moved perpend keeps over the least lap (m)."""
EDGE = 1e-6


@dataclass(frozen=True)
class Break:
    """What an opening does to one course, in s along it.

    near, far: mean s at which the row ends and goes on. reach: (2,) how far the pieces at the edge
    run on to be cut true. strip: does a row of its own remain between. solid: area that is left to
    mortar (m2).
    """

    near: float
    far: float
    reach: tuple[float, float]
    strip: bool
    solid: float


@dataclass(frozen=True)
class Bit:
    """One piece of a row while it is broken. source: index in the row's pieces, for what it keeps.
    cut: must it be cut."""

    begin: float
    end: float
    source: int
    cut: bool


def break_rows(laid: Laid, holes: list[Floats], below: Floats) -> tuple[Laid, float]:
    """The layer with its rows ended at the openings (flat outlines), and the area left solid.

    below: (k, 2, 2) joints of the neighbouring layers on this face, which moved perpends keep off.
    """
    pieces, stock = laid.pieces, laid.bed.stock
    solid = 0.0
    kept: list[tuple[int, Bit]] = []
    touched: set[int] = set()
    for course in range(laid.courses.count):
        mine = np.flatnonzero(pieces.course == course)
        found = [
            b for hole in holes if (b := break_at(laid.courses, stock, course, hole)) is not None
        ]
        row = [Bit(float(pieces.begin[i]), float(pieces.end[i]), int(i), False) for i in mine]
        others = _perpends_below(laid, course, below) if found else below[:0, 0, 0]
        for broken in sorted(found, key=lambda b: b.near):
            row = broken_row(row, broken, stock, others)
            solid += broken.solid
            touched.add(course)
        kept += [(course, bit) for bit in row]
    if not touched:
        return laid, 0.0
    return replace(laid, pieces=_gathered(pieces, kept)), solid


def break_at(courses: Courses, stock: Stock, course: int, hole: Floats) -> Break | None:
    """What a hole (flat outline) does to one course; None where it does not end its row."""
    from shapely import LineString, Polygon, box, intersection

    along = courses.along[course]
    moved = hole - courses.origin[course]
    turned = np.stack([moved @ along, moved @ np.array([-along[1], along[0]])], axis=1)
    middle = float(turned[:, 0].mean())
    low, high = (
        float(line[course, 0] + middle * line[course, 1]) for line in (courses.low, courses.high)
    )
    shape = Polygon(turned)
    far = float(np.abs(turned[:, 0]).max()) + 1.0
    part = shape.intersection(box(-far, low, far, high))
    if part.area < 1e-9:
        return None
    o0, o1 = part.bounds[1::2]
    under, over = o0 - low, high - o1
    remain = max(under, over)
    read = []
    bottom, top = max(o0, low), min(o1, high)
    # Its sides may lean on the course: the first and last line would read a corner only.
    lean = min(LEAN, (top - bottom) / 4)
    for o in np.linspace(bottom + lean, top - lean, LINES):
        crossed = shape.intersection(LineString([(-far, o), (far, o)]))
        if not crossed.is_empty:
            read.append(crossed.bounds[::2])
    ends = np.array(read)
    near, on = float(ends[:, 0].mean()), float(ends[:, 1].mean())
    square = bool(np.ptp(ends, axis=0).max() < SQUARE)
    straight = on - near > SIDE * float(np.ptp(turned[:, 0]))
    if square and remain >= stock.least_across:
        if not straight:
            return None
        return Break(near, on, (near, on), True, 0.0)
    reach = (float(ends[:, 0].max()), float(ends[:, 1].min()))
    if not square and remain > EDGE:
        # It cuts the course aslant: the row ends where too little of its width is left.
        o = low + stock.least_across if under >= over else high - stock.least_across
        crossed = shape.intersection(LineString([(-far, o), (far, o)]))
        if crossed.is_empty or crossed.length < EDGE:
            return None
        first, last = (float(s) for s in crossed.bounds[::2])
        # Mean ends of the pieces there, whose corner the opening cuts off.
        levels = np.linspace(low, high, 4 * LINES)
        cuts = intersection(shape, [LineString([(-far, o), (far, o)]) for o in levels])
        ends = np.array([(first, last) if c.is_empty else c.bounds[::2] for c in cuts])
        near = float(np.minimum(ends[:, 0], first).mean())
        on = float(np.maximum(ends[:, 1], last).mean())
        spare = box(first, low, last, high).difference(shape).area
        return Break(near, on, (first, last), False, float(spare))
    solid = box(near, low, on, high).difference(shape).area if remain > EDGE else 0.0
    return Break(near, on, reach, False, float(solid))


def _perpends_below(laid: Laid, course: int, below: Floats) -> Floats:
    """Where perpends of the layer below lie under a course: (k,) s along it."""
    courses = laid.courses
    along = courses.along[course]
    moved = below - courses.origin[course]
    s, o = moved @ along, moved @ np.array([-along[1], along[0]])
    across = np.abs(np.diff(o, axis=1)[:, 0]) > np.abs(np.diff(s, axis=1)[:, 0])
    middle = s.mean(axis=1)
    low, high = (line[course, 0] + middle * line[course, 1] for line in (courses.low, courses.high))
    under = (o.max(axis=1) > low) & (o.min(axis=1) < high)
    return np.asarray(middle[across & under])


def broken_row(row: list[Bit], broken: Break, stock: Stock, others: Floats) -> list[Bit]:
    """A row ended on both sides of a break, its small pieces shared with their neighbours."""
    joint = stock.joint.best
    before = [b for b in row if b.begin < broken.near - EDGE]
    after = [b for b in row if b.end > broken.far + EDGE]
    near = _ended(before, broken.near, broken.reach[0], stock, others)
    far = _mirrored(_ended(_mirrored(after), -broken.far, -broken.reach[1], stock, -others))
    between: list[Bit] = []
    if broken.strip:
        start, stop = broken.near + joint, broken.far - joint
        inside = [
            replace(b, cut=True) for b in row if b.end > start + EDGE and b.begin < stop - EDGE
        ]
        inside = _ended(inside, stop, stop, stock, others)
        between = _mirrored(_ended(_mirrored(inside), -start, -start, stock, -others))
    return [*near, *between, *far]


def _mirrored(row: list[Bit]) -> list[Bit]:
    return [replace(b, begin=-b.end, end=-b.begin) for b in reversed(row)]


def _ended(row: list[Bit], at: float, reach: float, stock: Stock, others: Floats) -> list[Bit]:
    """A row that ends at `at` (its last piece drawn on to `reach`, where it is cut true).

    Its last pieces are divided anew where the last one is too small, or cut aslant too long, or
    where a perpend would stand over one of the layer below; as few of them as will do.
    """
    if not row:
        return row
    last = row[-1]
    to = max(at, reach)
    # Where the side leans on the course the opening begins as much before its mean as it ends past.
    clear = min(at, 2 * at - reach)
    flush = last.end <= clear + EDGE and at - last.end <= stock.joint.most
    size = min(last.end, at) - last.begin
    sound = flush or stock.least_along + SLACK <= size <= stock.along - (to - at) + EDGE
    as_it_is = row if flush else [*row[:-1], replace(last, end=to, cut=True)]
    zone = row[-REACH:]
    enough = max(LEAST_LAP, THICKNESSES * stock.thickness) + SPARE
    choices = [(-min(_clear(zone[1:], stock, others), enough), 0, 0.0, as_it_is)] if sound else []
    for taken in range(1, len(zone) + 1):
        if any(choice[0] <= -enough for choice in choices):
            break
        for shift, lengths in _shares(row[-taken].begin, at, to, taken, stock):
            bits = _cut_to(lengths, row[-taken:], to, stock.joint.best)
            whole = [*row[:-taken], *bits]
            clear = _clear([*zone[1 : len(zone) - taken + 1], *bits[1:]], stock, others)
            choices.append((-min(clear, enough), taken, shift, whole))
            if clear >= enough:
                break
    return min(choices, key=lambda c: c[:3])[3] if choices else as_it_is


def _clear(bits: list[Bit], stock: Stock, others: Floats) -> float:
    """Least distance of the perpends before some pieces from those below."""
    marks = np.array([bit.begin - stock.joint.best / 2 for bit in bits])
    apart = np.abs(marks[:, None] - others)
    return float(apart.min()) if apart.size else float(np.inf)


def _shares(
    start: float, at: float, to: float, taken: int, stock: Stock
) -> Iterator[tuple[float, tuple[float, ...]]]:
    """Lengths of the pieces from `start` to `at`, alike at first, then shifted both ways; with the
    shift. to: where the longest edge of the last one ends."""
    joint = stock.joint.best
    least, longest = stock.least_along - EDGE, stock.along - (to - at) + EDGE
    for count in range(max(taken - 1, 1), taken + 2):
        room = at - start - (count - 1) * joint
        each = room / count
        for first, last in _shifts(count, stock.along / 2):
            rest = room - 2 * each - first - last
            middle = [rest / (count - 2)] * (count - 2) if count > 2 else []
            lengths = (room,) if count == 1 else (each + first, *middle, each + last)
            most = max(lengths[:-1], default=0.0)
            fits = least + SLACK <= lengths[-1] <= longest and most <= stock.along + EDGE
            if fits and min(lengths) >= least:
                yield abs(first) + abs(last), lengths


def _shifts(count: int, most: float) -> Iterator[tuple[float, float]]:
    """How much longer than alike the first and the last of some pieces are made, least first."""
    if count == 1:
        return iter([(0.0, 0.0)])
    if count == 2:
        steps = np.linspace(0, most, TRIED)
        return ((sign * float(s), -sign * float(s)) for s in steps for sign in (1, -1))
    grid = np.linspace(-most, most, TRIED_BOTH)
    pairs = [(float(a), float(b)) for a in grid for b in grid]
    return iter(sorted(pairs, key=lambda p: abs(p[0]) + abs(p[1])))


def _cut_to(lengths: tuple[float, ...], old: list[Bit], to: float, joint: float) -> list[Bit]:
    """Pieces of given lengths in the place of the last ones of a row; the last is drawn on."""
    bits, begin = [], old[0].begin
    for k, length in enumerate(lengths):
        end = begin + length if k < len(lengths) - 1 else to
        bits.append(replace(old[min(k, len(old) - 1)], begin=begin, end=end, cut=True))
        begin += length + joint
    return bits


def _gathered(pieces: Pieces, kept: list[tuple[int, Bit]]) -> Pieces:
    """The pieces of all rows, numbered anew."""
    course = np.array([c for c, _ in kept], dtype=np.int64)
    source = np.array([b.source for _, b in kept], dtype=np.int64)
    cut = np.array([b.cut for _, b in kept], dtype=bool)
    first = np.concatenate([[True], course[1:] != course[:-1]])
    index = np.arange(len(course))
    number = index - np.maximum.accumulate(np.where(first, index, 0))
    at_wall = (number == 0) | np.append(first[1:], True)
    return Pieces(
        course=course,
        number=number,
        begin=np.array([b.begin for _, b in kept]),
        end=np.array([b.end for _, b in kept]),
        kind=np.where(cut, int(Piece.CUT), pieces.kind[source]),
        trim=pieces.trim[source] & (at_wall | ~cut),
        last=np.append(first[1:], True),
        joint=pieces.joint[source],
    )
