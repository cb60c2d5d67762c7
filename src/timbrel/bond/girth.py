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
    spans: list[Span]


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
    return Grid(np.append(np.roll(apart, -origin), apart[origin]), origin, step, spans)


def greatest_lap(girth: float, windows: list[Window], others: Floats, enough: float) -> float:
    """The greatest least distance, up to `enough`, that a closed row of pieces keeps from others;
    negative when none closes."""
    grid = grid_of(girth, windows, others)
    return min(_greatest_lap(grid.apart, grid.spans), enough) if grid else -1.0


def place_round(girth: float, windows: list[Window], others: Floats, lap: float) -> Round | None:
    """Perpends of a ring of a given girth that keep `lap` from `others` (m round the ring), of
    the least price; None when no number of pieces closes the ring so."""
    grid = grid_of(girth, windows, others)
    found = _cheapest(grid.apart, grid.spans, lap, grid.step) if grid else None
    if grid is None or found is None:
        return None
    places, kinds = found
    reached = float(grid.apart[places].min()) if len(others) else float("inf")
    return Round(np.asarray((places + grid.origin) * grid.step), kinds, reached)


def _blocks(count: int, spans: list[Span]) -> list[tuple[int, int]]:
    """Runs of places that depend only on the places before the run."""
    size = min(low for _, low, _, _ in spans)
    return [(k, min(k + size, count + 1)) for k in range(1, count + 1, size)]


def _greatest_lap(apart: Floats, spans: list[Span]) -> float:
    """The greatest least distance that any closed row of pieces keeps; negative when none closes."""
    count = len(apart) - 1
    pad = max(high for _, _, high, _ in spans)
    best = np.full(pad + count + 1, -1.0)
    best[pad] = apart[0]
    for start, stop in _blocks(count, spans):
        reach = np.full(stop - start, -1.0)
        for _, low, high, _ in spans:
            before = best[pad + start - high : pad + stop - low]
            np.maximum(reach, sliding_window_view(before, high - low + 1).max(axis=1), out=reach)
        best[pad + start : pad + stop] = np.minimum(reach, apart[start:stop])
    return float(best[-1])


def _cheapest(
    apart: Floats, spans: list[Span], lap: float, step: float
) -> tuple[Ints, Ints] | None:
    """The closed row of least price whose perpends all keep `lap`: places and kinds."""
    count = len(apart) - 1
    pad = max(high for _, _, high, _ in spans)
    cost = np.full(pad + count + 1, np.inf)
    cost[pad] = 0.0
    stride = np.zeros(count + 1, dtype=np.int64)
    kind = np.zeros(count + 1, dtype=np.int64)
    # Reversed: the sliding window runs from the longest stride to the shortest.
    prices = [
        w.price + np.abs(np.arange(high, low - 1, -1) * step - w.best) for _, low, high, w in spans
    ]
    for start, stop in _blocks(count, spans):
        rows = np.arange(stop - start)
        least = np.full(stop - start, np.inf)
        for (k, low, high, _), price in zip(spans, prices, strict=True):
            before = cost[pad + start - high : pad + stop - low]
            offers = sliding_window_view(before, high - low + 1) + price
            at = offers.argmin(axis=1)
            offer = offers[rows, at]
            better = offer < least
            least = np.where(better, offer, least)
            stride[start:stop] = np.where(better, high - at, stride[start:stop])
            kind[start:stop] = np.where(better, k, kind[start:stop])
        cost[pad + start : pad + stop] = np.where(apart[start:stop] >= lap - 1e-9, least, np.inf)
    if not np.isfinite(cost[-1]):
        return None
    places, kinds, at = [], [], count
    while at > 0:
        kinds.append(kind[at])
        at -= int(stride[at])
        places.append(at)
    return np.array(places[::-1]), np.array(kinds[::-1])
