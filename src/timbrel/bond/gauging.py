"""Gauging: how many tiles a length takes, and how wide the joints come out.

Pure arithmetic on lengths. The trade's rules (common practice, no source): share the difference
over all joints inside their range; close in wholes or halves; a piece too small is never laid, one
whole tile less is laid and two of half of (tile + piece) are cut; along the arc what does not close
is taken at the springings, never at the crown.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from timbrel.bond.layout import Flags, Floats, Ints
from timbrel.bond.stock import Stock

SNAP = 0.0005
"""Change of the joint that is worth a whole or half end when the pitch is to be kept (m)."""
TIE = 0.0005
"""A half end is as good as a whole one whose joint is this much further from the best (m)."""
EASE = 1e-9


@dataclass(frozen=True)
class Rows:
    """How each course is filled from its start to its end.

    head: (n, 2) lengths of the opening pieces, nan where there is none. wholes: (n,) whole tiles
    after them. tail: (n, 2) closing pieces. joint: (n,) nan when the row cannot close.
    """

    head: Floats
    wholes: Ints
    tail: Floats
    joint: Floats

    def where(self, mine: Flags, other: Rows) -> Rows:
        """These rows where `mine` is true, the other's elsewhere."""
        return Rows(
            np.where(mine[:, None], self.head, other.head),
            np.where(mine, self.wholes, other.wholes),
            np.where(mine[:, None], self.tail, other.tail),
            np.where(mine, self.joint, other.joint),
        )


def pair(one: Floats) -> Floats:
    """One piece and no second: (n, 2)."""
    return np.stack([one, np.full_like(one, np.nan)], axis=1)


def close_with(
    length: Floats, head: Floats, last: Floats, stock: Stock, wish: float | Floats
) -> Rows:
    """Rows of given opening pieces, wholes and a given last piece; the joint takes what is left.

    head: (n, 2). The number of wholes is the one whose joint is nearest to `wish`; nan where that
    leaves the range.
    """
    used, gaps = np.nansum(head, axis=1) + last, np.isfinite(head).sum(axis=1) + 2
    wholes = np.maximum(np.rint((length - used - gaps * wish) / (stock.along + wish)), 0)
    joint = (length - used - wholes * stock.along) / (wholes + gaps)
    inside = stock.takes(joint)
    return Rows(head, wholes.astype(np.int64), pair(last), np.where(inside, joint, np.nan))


def single_pieces(length: Floats, greatest: Floats, stock: Stock) -> Rows:
    """Rows of one piece: whole, half, or cut to the length. greatest: (n, 2) as at each end."""
    longest = greatest.sum(axis=1) - stock.along
    joint = np.full_like(length, np.nan)
    piece = np.full_like(length, np.nan)
    for size in (stock.half, stock.along):
        gap = (length - size) / 2
        fits = stock.takes(gap) & (size <= longest + EASE)
        joint, piece = np.where(fits, gap, joint), np.where(fits, size, piece)
    rest = length - 2 * stock.joint.best
    cut = np.isnan(joint) & (rest >= stock.least_along - EASE) & (rest <= longest)
    joint, piece = np.where(cut, stock.joint.best, joint), np.where(cut, rest, piece)
    nothing = np.full((len(length), 2), np.nan)
    return Rows(pair(piece), np.zeros(len(length), dtype=np.int64), nothing, joint)


def close_cut(
    length: Floats,
    head: Floats,
    greatest: Floats,
    stock: Stock,
    wish: float | Floats,
    outer: Floats | None = None,
) -> Rows:
    """Rows that keep the joint `wish` and close with one cut piece, or with two when it is small.

    head: (n, 2). greatest: (n,) longest closing piece (less than a tile where the wall is skew).
    outer: (n,) length of the piece at the wall when two are cut; nan or None: both alike.
    """
    tile, least = stock.along, stock.least_along
    wish = np.broadcast_to(np.asarray(wish, dtype=float), length.shape)
    used, gaps = np.nansum(head, axis=1), np.isfinite(head).sum(axis=1) + 2
    wholes = np.ceil((length - used - gaps * wish - greatest - EASE) / (tile + wish))
    wholes = np.maximum(wholes, 0)
    rest = length - used - wholes * tile - (wholes + gaps) * wish
    joint = wish.copy()
    small = rest < least - EASE
    eased = (length - used - wholes * tile - least) / (wholes + gaps)
    ease = small & (eased >= stock.joint.least) & (np.abs(eased - wish) < SNAP)
    joint[ease], rest[ease] = eased[ease], least
    small &= ~ease
    last = pair(rest)
    split = (tile + rest) / 2
    two = small & (wholes >= 1) & (split >= least - EASE)
    at_wall = split if outer is None else np.where(np.isfinite(outer), outer, split)
    at_wall = np.minimum(np.minimum(at_wall, greatest), tile + rest - least)
    two &= at_wall >= least - EASE
    last[two] = np.stack([tile + rest - at_wall, at_wall], axis=1)[two]
    wholes = np.where(two, wholes - 1, wholes)
    # Too short for a whole between them: first and last share what there is.
    few = small & ~two
    shared = (used + rest) / 2
    head = np.where(few[:, None], pair(shared), head)
    last[few, 0] = shared[few]
    joint[few & ((gaps > 3) | (shared < least - EASE))] = np.nan
    return Rows(head, wholes.astype(np.int64), last, joint)


def gauge_rows(
    length: Floats,
    starts_half: Flags,
    greatest: Floats,
    stock: Stock,
) -> Rows:
    """Rows that close in wholes and halves where the joint range allows it.

    length: (n,) clear lengths. starts_half: (n,) which begin with a half. greatest: (n, 2) longest
    first and last piece (a tile, less where the wall is skew). Neighbouring rows close alike, so
    that their joints keep step. A row that cannot close in wholes or halves is closed by cutting.
    """
    head = pair(np.where(starts_half, stock.half, greatest[:, 0]))
    wish = stock.joint.best
    even = close_with(length, head, np.where(starts_half, stock.half, greatest[:, 1]), stock, wish)
    odd = close_with(length, head, np.where(starts_half, greatest[:, 1], stock.half), stock, wish)
    rows = min((even, odd), key=lambda r: (np.isnan(r.joint).sum(), _strain(r, wish, even)))
    other = odd if rows is even else even
    rows = rows.where(np.isfinite(rows.joint), other)
    cut = close_cut(length, head, greatest[:, 1], stock, wish)
    rows = rows.where(np.isfinite(rows.joint), cut)
    alone = single_pieces(length, greatest, stock)
    short = np.isfinite(alone.joint) & (length <= stock.along + 2 * stock.joint.most)
    return alone.where(short, rows)


def _strain(rows: Rows, wish: float, even: Rows) -> float:
    apart = np.abs(rows.joint - wish)
    mean = float(np.nanmean(apart)) if np.isfinite(apart).any() else np.inf
    return mean + (0.0 if rows is even else TIE)


def keep_pitch(
    length: Floats,
    head: Floats,
    outer: Floats,
    greatest: Floats,
    stock: Stock,
    wish: float | Floats,
) -> Rows:
    """Rows that keep step with the layer below: the joint stays, the end takes what comes.

    head: (n, 2) opening pieces. outer: (n,) piece at the far wall when two are cut there, nan for
    two alike. greatest: (n, 2) longest end pieces. An end that is a whole or a half within a hair
    of the joint is made one.
    """
    rows = close_cut(length, head, greatest[:, 1], stock, wish, outer)
    for size in (np.full_like(length, stock.half), greatest[:, 1]):
        neat = close_with(length, head, size, stock, wish)
        rows = neat.where(np.abs(neat.joint - wish) <= SNAP, rows)
    alone = single_pieces(length, greatest, stock)
    short = np.isfinite(alone.joint) & (length <= stock.along + 2 * stock.joint.most)
    return alone.where(short, rows)


@dataclass(frozen=True)
class CourseGauge:
    """How the arc is divided into courses.

    near, far: (n,) widths of the courses at the two ends, from the left springing; they differ
    only in courses that taper. joint_near, joint_far: bed joints there. cut: (n,) which courses
    are cut lengthwise.
    """

    near: Floats
    far: Floats
    joint_near: float
    joint_far: float
    cut: Flags

    @property
    def count(self) -> int:
        """Number of courses."""
        return len(self.near)

    def edges(self, far: bool) -> Floats:
        """Lower and upper edge of each course at one end, from the left springing: (n, 2)."""
        widths = self.far if far else self.near
        joint = self.joint_far if far else self.joint_near
        top = np.cumsum(widths + joint)
        return np.stack([top - widths, top], axis=1)

    def strain(self, best: float) -> float:
        """How far the joints are from the best."""
        return abs(self.joint_near - best) + abs(self.joint_far - best)


def neat_gauges(near: float, far: float, stock: Stock) -> Iterator[CourseGauge]:
    """Every division into whole courses, with a half one at either springing or none.

    near, far: length of the arc at the two ends, between the springing faces.
    """
    width, half = stock.across, stock.half_across
    for left in (False, True):
        for right in (False, True):
            ends = [half] * (left + right)
            most = int(max(near, far) / (width + stock.joint.least)) + 1
            for wholes in range(max(most - 1 - int(most * 0.2) - 2, 0), most + 1):
                count = wholes + len(ends)
                if count == 0:
                    continue
                spare = wholes * width + sum(ends)
                joints = ((near - spare) / (count + 1), (far - spare) / (count + 1))
                if not stock.takes(min(joints)) or not stock.takes(max(joints)):
                    continue
                widths = np.array([half] * left + [width] * wholes + [half] * right)
                cut = np.array([True] * left + [False] * wholes + [True] * right)
                yield CourseGauge(widths, widths, *joints, cut)


def tapered_gauges(
    near: float, far: float, stock: Stock, most_cut: int = 6
) -> Iterator[CourseGauge]:
    """Divisions with cut courses at both springings that take what the joints cannot.

    The same number at each springing, so that the crown keeps its course; fewest cut ones first.
    """
    width, joint = stock.across, stock.joint
    choices = (joint.best, joint.least, joint.most)
    for each in range(1, most_cut + 1):
        top = int(max(near, far) / (width + joint.least))
        for wholes in range(top, -1, -1):
            count = wholes + 2 * each
            for joint_near in choices:
                for joint_far in choices:
                    a = (near - wholes * width - (count + 1) * joint_near) / (2 * each)
                    b = (far - wholes * width - (count + 1) * joint_far) / (2 * each)
                    if min(a, b) < stock.least_across - EASE or max(a, b) > width + EASE:
                        continue
                    sides, middle = np.ones(each), np.full(wholes, width)
                    cut = np.concatenate([sides, np.zeros(wholes), sides]).astype(bool)
                    yield CourseGauge(
                        np.concatenate([sides * a, middle, sides * a]),
                        np.concatenate([sides * b, middle, sides * b]),
                        joint_near,
                        joint_far,
                        cut,
                    )
