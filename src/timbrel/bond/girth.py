"""Pieces round a ring: where the perpends stand so that they break those they must break.

A ring is a closed row. Its perpends are placed on a fine grid by dynamic programming
(Bellman 1957): first the greatest lap that can be had (a bottleneck path); then, keeping it, the
fewest pieces that are not whole, with joints nearest to the best.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from timbrel.bond.layout import Floats, Ints

STEP = 0.002
"""Fineness of the places that are tried (m)."""


@dataclass(frozen=True)
class Window:
    """A kind of piece: least, best and greatest step from perpend to perpend (m), and its price."""

    least: float
    best: float
    most: float
    price: float


Span = tuple[int, int, int, Window]


@dataclass(frozen=True)
class Round:
    """Perpends round a ring. places: (n,) from 0 to the girth (m). window: (n,) kind of the piece
    that follows each. lap: least distance from what must be broken (m)."""

    places: Floats
    window: Ints
    lap: float


def distances(girth: float, count: int, others: Floats) -> Floats:
    """Distance of each of `count` places round a ring from the nearest of the others (m)."""
    if not len(others):
        return np.full(count, np.inf)
    others = np.sort(others % girth)
    places = np.arange(count) * (girth / count)
    wrapped = np.concatenate([[others[-1] - girth], others, [others[0] + girth]])
    after = np.searchsorted(wrapped, places)
    return np.asarray(np.minimum(wrapped[after] - places, places - wrapped[after - 1]))


@dataclass(frozen=True)
class Grid:
    """A ring cut into places. apart: (n+1,) distance of each from what must be broken, from the
    place where the row begins round to the same place again. origin: that place. step: m."""

    apart: Floats
    origin: int
    step: float
    strides: Strides


def grid_of(girth: float, windows: list[Window], others: Floats) -> Grid | None:
    """The places of a ring and the strides of its pieces; None when no piece fits a stride."""
    count = max(round(girth / STEP), 1)
    step = girth / count
    spans = [
        (k, int(np.ceil(w.least / step - 1e-9)), int(np.floor(w.most / step + 1e-9)), w)
        for k, w in enumerate(windows)
    ]
    spans = [span for span in spans if span[2] >= span[1]]
    if not spans:
        return None
    apart = distances(girth, count, others)
    origin = int(np.argmax(apart))
    turned = np.append(np.roll(apart, -origin), apart[origin])
    return Grid(turned, origin, step, strides_of(spans, step))


def greatest_lap(girth: float, windows: list[Window], others: Floats, enough: float) -> float:
    """The greatest least distance, up to `enough`, that a closed row of pieces keeps from others;
    negative when none closes."""
    grid = grid_of(girth, windows, others)
    return min(_greatest_lap(grid.apart, grid.strides), enough) if grid else -1.0


def place_round(girth: float, windows: list[Window], others: Floats, lap: float) -> Round | None:
    """Perpends of a ring of a given girth that keep `lap` from `others` (m round the ring), of
    the least price; None when no number of pieces closes the ring so."""
    grid = grid_of(girth, windows, others)
    found = _cheapest(grid.apart, grid.strides, lap) if grid else None
    if grid is None or found is None:
        return None
    places, kinds = found
    reached = float(grid.apart[places].min()) if len(others) else float("inf")
    return Round(np.asarray((places + grid.origin) * grid.step), kinds, reached)


@dataclass(frozen=True)
class Strides:
    """Every stride that a piece may make, longest first. low, high: in places. price: (high - low
    + 1,), infinite where no piece makes it. kind: of the cheapest window that does."""

    low: int
    high: int
    price: Floats
    kind: Ints


def strides_of(spans: list[Span], step: float) -> Strides:
    """All windows in one."""
    low, high = min(s[1] for s in spans), max(s[2] for s in spans)
    stride = np.arange(high, low - 1, -1)
    prices = np.stack(
        [
            np.where(
                (stride >= a) & (stride <= b), w.price + np.abs(stride * step - w.best), np.inf
            )
            for _, a, b, w in spans
        ]
    )
    cheapest = prices.argmin(axis=0)
    names = np.array([k for k, _, _, _ in spans])
    return Strides(low, high, prices.min(axis=0), names[cheapest])


def _greatest_lap(apart: Floats, strides: Strides) -> float:
    """The greatest least distance that any closed row of pieces keeps; negative when none closes."""
    count, pad = len(apart) - 1, strides.high
    best = np.full(pad + count + 1, -1.0)
    best[pad] = apart[0]
    # Views of memory that the loop fills: a run of places depends only on those before it.
    before = sliding_window_view(best, len(strides.price))
    barred = np.where(np.isfinite(strides.price), 0.0, -np.inf)
    for start in range(1, count + 1, strides.low):
        stop = min(start + strides.low, count + 1)
        reach = (before[start:stop] + barred).max(axis=1)
        best[pad + start : pad + stop] = np.minimum(reach, apart[start:stop])
    return float(best[-1])


def _cheapest(apart: Floats, strides: Strides, lap: float) -> tuple[Ints, Ints] | None:
    """The closed row of least price whose perpends all keep `lap`: places and kinds."""
    count, pad = len(apart) - 1, strides.high
    cost = np.full(pad + count + 1, np.inf)
    cost[pad] = 0.0
    chosen = np.zeros(count + 1, dtype=np.int64)
    before = sliding_window_view(cost, len(strides.price))
    barred = np.where(apart >= lap - 1e-9, 0.0, np.inf)
    for start in range(1, count + 1, strides.low):
        stop = min(start + strides.low, count + 1)
        offers = before[start:stop] + strides.price
        chosen[start:stop] = offers.argmin(axis=1)
        cost[pad + start : pad + stop] = offers.min(axis=1) + barred[start:stop]
    if not np.isfinite(cost[-1]):
        return None
    places, kinds, at = [], [], count
    while at > 0:
        kinds.append(strides.kind[chosen[at]])
        at -= strides.high - int(chosen[at])
        places.append(at)
    return np.array(places[::-1]), np.array(kinds[::-1])
