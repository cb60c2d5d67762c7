"""How the rows of a later layer open and close, so that they break the perpends below.

Every opening is tried in every course, with every way to close it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.bond.bedding import Bedding, Laid
from timbrel.bond.courses import Courses
from timbrel.bond.gauging import (
    CourseGauge,
    Rows,
    keep_pitch,
    pair,
)
from timbrel.bond.layout import Flags, Floats, Ints
from timbrel.bond.overlay import BESIDE
from timbrel.bond.stock import Stock
from timbrel.bond.walls import longest_ends

STEP = 0.005
"""A lap greater by less than this is no better (m)."""
RATIOS = (1.0, 2.0, 0.5)
"""Pitches that keep step with the pitch below."""
MOST_TAPERED = 60
"""Divisions with tapered courses that are tried, fewest cut courses first."""
SHORTLIST = 2
"""Divisions of the arc whose rows are tried, best bed joints first."""
LEAST_STAGGER = 0.25
"""Courses of one layer break their perpends by this share of a tile at least."""
RATIOS = (1.0, 2.0, 0.5)
"""Pitches that keep step with the pitch below."""
MOST_TAPERED = 60
"""Divisions with tapered courses that are tried, fewest cut courses first."""
SHORTLIST = 2
"""Divisions of the arc whose rows are tried, best bed joints first."""
LEAST_STAGGER = 0.25
"""Courses of one layer break their perpends by this share of a tile at least."""
LEAST_STAGGER = 0.25
"""Courses of one layer break their perpends by this share of a tile at least."""


@dataclass(frozen=True)
class Starts:
    """How the rows of a layer start.

    head: (n, 2) opening pieces. outer: (n,) piece at the far wall where two are cut. wish: (n,)
    joints. lap: m. cuts: pieces.
    """

    head: Floats
    outer: Floats
    wish: Floats
    lap: float
    cuts: int


def worths(lap: Floats, enough: float) -> Ints:
    """Laps in steps, up to what is aimed at."""
    return np.floor(np.minimum(lap, enough) / STEP + 1e-6).astype(np.int64)


def worth(lap: float, enough: float) -> int:
    """One lap in steps, up to what is aimed at."""
    return int(worths(np.array(lap), enough))


def odd_courses(count: int, stagger: str) -> Flags:
    """Which courses are shifted by half a tile."""
    odd: Flags = np.arange(count) % 2 == 1
    return odd if stagger == "half" else np.zeros_like(odd)


def wished_joint(courses: Courses, lower: Laid, over: Flags, stock: Stock) -> Floats:
    """Joint of each row that keeps step with the courses below it: (n,).

    over: (n, k) the courses below each. The best joint where no simple ratio of the pitches fits
    the range.
    """
    joints = lower.walled.rows.joint
    joints = np.where(np.isfinite(joints), joints, stock.joint.best)
    below = over @ joints / np.maximum(over.sum(axis=1), 1)
    pitch = lower.bed.stock.along + below
    wish = np.full(courses.count, np.nan)
    for ratio in RATIOS:
        joint = ratio * pitch - stock.along
        wish = np.where(np.isnan(wish) & stock.takes(joint), joint, wish)
    return np.where(np.isnan(wish), stock.joint.best, wish)


def overlaps(bed: Bedding, gauge: CourseGauge, lower: Laid) -> Flags:
    """Which courses (n) lie over which below (k) by more than a corner: (n, k)."""
    line, below = bed.near, lower.bed.near
    mine = gauge.edges(far=False)
    theirs = line.across_at(below.u_at(lower.gauge.edges(far=False)))
    shared = np.minimum(mine[:, None, 1], theirs[None, :, 1]) - np.maximum(
        mine[:, None, 0], theirs[None, :, 0]
    )
    return np.asarray(shared > BESIDE)


def perpends(rows: Rows, stock: Stock) -> Floats:
    """Places of the perpends of rows from the near wall: (n, k), nan where there is none."""
    most = int(rows.wholes.max(initial=0))
    middle = np.where(np.arange(most) < rows.wholes[:, None], stock.along, np.nan)
    sizes = np.concatenate([rows.head, middle, rows.tail], axis=1)
    there = np.isfinite(sizes)
    joint = rows.joint[:, None]
    place = np.cumsum(np.where(there, sizes + joint, 0.0), axis=1) + joint / 2
    last = np.cumsum(there[:, ::-1], axis=1)[:, ::-1] == 1
    return np.asarray(np.where(there & ~last, place, np.nan))


def perpends_below(bed: Bedding, lower: Laid) -> tuple[Floats, Ints]:
    """Middles of the perpends below, flat on this bed (k, 2), and the course each is in."""
    pieces, courses = lower.pieces, lower.courses
    ahead = ~pieces.last
    course, s = pieces.course[ahead], (pieces.end + pieces.joint / 2)[ahead]
    points = (courses.edge(course, s, upper=False) + courses.edge(course, s, upper=True)) / 2
    u, v = lower.bed.development.lift(points)
    return bed.development.flat(u, v), course


def trial_heads(stock: Stock) -> Floats:
    """Opening pieces that are tried (m, 2): whole, half, cut, and pairs where one is too small.

    Of a pair the outer piece is the least that is allowed, or both are alike.
    """
    least, tile = stock.least_along, stock.along
    single = np.concatenate([[tile, stock.half], np.arange(least, tile, STEP)])
    both = tile + np.arange(0.0, least, 2 * STEP)
    both = both[both / 2 >= least - 1e-9]
    return np.concatenate(
        [
            pair(single),
            np.stack([both / 2, both / 2], axis=1),
            np.stack([np.full_like(both, least), both - least], axis=1),
        ]
    )


def trial_tails(stock: Stock) -> Floats:
    """Pieces at the far wall that are tried where two must be cut there; nan: both alike."""
    return np.array([np.nan, stock.least_along, stock.half, 0.8 * stock.along])


@dataclass(frozen=True)
class Tried:
    """What each opening gives in each course, with its best closing.

    lap: (n, m). cuts: (n, m) pieces. outer: (n, m) piece at the far wall.
    """

    lap: Floats
    cuts: Floats
    outer: Floats


def start_laps(
    bed: Bedding, courses: Courses, lower: Laid, wish: Floats, over: Flags, heads: Floats
) -> Tried:
    """Try every opening, and every way to close it, in each course."""
    stock = bed.stock
    tails = trial_tails(stock)
    n, m, t = courses.count, len(heads), len(tails)
    skew = courses.skew()
    trims = ~(stock.takes(wish[:, None] - skew / 2) & stock.takes(wish[:, None] + skew / 2))
    longest = np.repeat(longest_ends(courses, trims, stock), m * t, axis=0)
    head = np.tile(np.repeat(heads, t, axis=0), (n, 1))
    head[:, 0] = np.minimum(head[:, 0], longest[:, 0])
    length, joint = np.repeat(courses.length, m * t), np.repeat(wish, m * t)
    rows = keep_pitch(length, head, np.tile(tails, n * m), longest, stock, joint)
    mine = perpends(rows, stock).reshape(n, m * t, -1) + courses.near[:, 1, None, None]
    points, course = perpends_below(bed, lower)
    laps = np.full((n, m * t), np.inf)
    for i in range(n):
        below = np.sort((points[over[i, course]] - courses.origin[i]) @ courses.along[i])
        if len(below):
            laps[i] = gaps_to(below, mine[i])
    closes = np.isfinite(rows.joint.reshape(n, m * t))
    # A row that no trial closes is left solid, or refused when it is laid.
    laps[~closes] = np.where(closes.any(axis=1), -1.0, np.inf)[np.nonzero(~closes)[0]]
    ends = np.concatenate([rows.head, rows.tail], axis=1)
    cuts = np.sum(np.isfinite(ends) & (np.abs(ends - stock.along) > 1e-6), axis=1)
    best = np.argmax(laps.reshape(n, m, t), axis=2)
    at = np.arange(n)[:, None], np.arange(m)[None, :], best
    return Tried(laps.reshape(n, m, t)[at], cuts.reshape(n, m, t)[at].astype(float), tails[best])


def gaps_to(below: Floats, places: Floats) -> Floats:
    """Least distance of each row of places (m, k; nan where none) from the sorted ones below."""
    place = np.where(np.isfinite(places), places, np.inf)
    after = np.searchsorted(below, place)
    upper = below[np.minimum(after, len(below) - 1)]
    under = below[np.maximum(after - 1, 0)]
    return np.asarray(np.minimum(np.abs(place - under), np.abs(place - upper)).min(axis=1))


def best_starts(
    bed: Bedding, courses: Courses, gauge: CourseGauge, lower: Laid, stagger: str, enough: float
) -> Starts:
    """The starts of the even and the odd courses that break the perpends below best.

    Within the layer itself, courses that stagger keep at least a quarter of a tile apart.
    """
    stock = bed.stock
    over = overlaps(bed, gauge, lower)
    wish = wished_joint(courses, lower, over, stock)
    joint = float(wish.mean())
    heads = trial_heads(stock)
    tried = start_laps(bed, courses, lower, wish, over, heads)
    laps, cuts = tried.lap, tried.cuts
    odd = odd_courses(courses.count, stagger)
    even_lap, even_cuts = laps[~odd].min(axis=0), cuts[~odd].sum(axis=0)
    if not odd.any():
        one = best_of(worths(even_lap, enough), even_cuts, even_lap)
        chosen = np.full(courses.count, one)
        lap, cut = even_lap[one], even_cuts[one]
    else:
        odd_lap, odd_cuts = laps[odd].min(axis=0), cuts[odd].sum(axis=0)
        opening = np.nansum(heads, axis=1) + joint * np.isfinite(heads).sum(axis=1)
        turn = (opening[:, None] - opening[None, :]) / (stock.along + joint)
        apart = np.abs(turn - np.rint(turn))
        both = np.minimum(even_lap[:, None], odd_lap[None, :])
        value = np.where(apart >= LEAST_STAGGER - 1e-6, worths(both, enough), -1)
        total = even_cuts[:, None] + odd_cuts[None, :]
        flat = best_of(value.ravel(), total.ravel(), both.ravel())
        even, other = (int(k) for k in np.unravel_index(flat, both.shape))
        chosen = np.where(odd, other, even)
        lap, cut = both[even, other], total[even, other]
    outer = tried.outer[np.arange(courses.count), chosen]
    return Starts(heads[chosen], outer, wish, float(lap), int(cut))


def best_of(value: Ints, cuts: Floats, lap: Floats) -> int:
    """Index of the greatest value, of those the fewest cuts, of those the greatest lap."""
    return int(np.lexsort((-lap, cuts, -value))[0])
