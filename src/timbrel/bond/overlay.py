"""Joint over joint: two sets of joint lines on one flat surface compared.

Joints that run the same way must keep apart: the lap is the least distance between them where they
lie beside each other. Joints that cross always meet at a point: of them the length that lies over
a joint is what can be judged. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.bond.layout import Floats, Ints

BESIDE = 0.010
"""Lines beside each other over less than this only touch at a corner (m)."""
SAME_WAY = np.cos(np.radians(20.0))
"""Lines that run within 20 degrees of each other run the same way."""
APART = 21.0
"""Degrees between neighbouring ways over which they are not the same."""


@dataclass(frozen=True)
class Nearest:
    """The least distance between joints of two layers that run the same way.

    distance: m. lower, upper: index of the two lines. at: flat point on the upper one.
    """

    distance: float
    lower: int
    upper: int
    at: Floats


class Lines:
    """Lower and upper lines (k, 2, 2), ready to be asked which come near each other."""

    def __init__(self, lower: Floats, upper: Floats) -> None:
        from shapely import STRtree, linestrings

        self._tree, self._upper = STRtree(linestrings(lower)), linestrings(upper)

    def close(self, within: float) -> tuple[Ints, Ints]:
        """Indices of the lower and upper lines that come within a distance."""
        found = self._tree.query(self._upper, predicate="dwithin", distance=within)
        return found[1], found[0]


def beside(lower: Floats, upper: Floats) -> tuple[Floats, Floats, Floats]:
    """For pairs of lines: least distance where they lie beside each other; inf where they do not.

    lower, upper: (k, 2, 2). Answers the distance (k,), the share along the upper line where it is
    met (k,), and the length beside each other (k,).
    """
    a, b = lower[:, 0], lower[:, 1] - lower[:, 0]
    c, d = upper[:, 0], upper[:, 1] - upper[:, 0]
    length_b, length_d = np.hypot(*b.T), np.hypot(*d.T)
    way = b / length_b[:, None]
    same = np.abs(np.einsum("ki,ki->k", way, d)) > SAME_WAY * length_d
    square = np.stack([-way[:, 1], way[:, 0]], axis=1)
    s0 = np.einsum("ki,ki->k", c - a, way)
    s1 = s0 + np.einsum("ki,ki->k", d, way)
    o0 = np.einsum("ki,ki->k", c - a, square)
    o1 = o0 + np.einsum("ki,ki->k", d, square)
    low = np.maximum(np.minimum(s0, s1), 0.0)
    high = np.minimum(np.maximum(s0, s1), length_b)
    step = np.where(np.abs(s1 - s0) > 1e-12, s1 - s0, 1e-12)
    t_low, t_high = (low - s0) / step, (high - s0) / step
    d_low, d_high = o0 + t_low * (o1 - o0), o0 + t_high * (o1 - o0)
    crossing = d_low * d_high < 0
    t_cross = -o0 / np.where(np.abs(o1 - o0) > 1e-15, o1 - o0, 1.0)
    least = np.where(crossing, 0.0, np.minimum(np.abs(d_low), np.abs(d_high)))
    at = np.where(crossing, t_cross, np.where(np.abs(d_low) < np.abs(d_high), t_low, t_high))
    length = high - low
    met = same & (length > BESIDE)
    return np.where(met, least, np.inf), at, np.where(met, length, 0.0)


def alike(lower: Floats, upper: Floats) -> list[tuple[Ints, Ints]]:
    """Indices of lower and upper lines in groups, such that lines that run the same way are in one.

    Ways are parted where no line runs over more than 20 degrees; groups of one side are left out.
    """
    d = np.concatenate([lower, upper])
    d = d[:, 1] - d[:, 0]
    way = np.degrees(np.arctan2(d[:, 1], d[:, 0])) % 180
    order = np.argsort(way)
    gap = np.diff(way[order], append=way[order[:1]] + 180)
    turn = int(np.argmax(gap)) + 1  # ways are a circle: begin after the widest gap
    order, gap = np.roll(order, -turn), np.roll(gap, -turn)
    groups = np.split(order, np.flatnonzero(gap[:-1] > APART) + 1)
    halves = [(g[g < len(lower)], g[g >= len(lower)] - len(lower)) for g in groups]
    return [(below, above) for below, above in halves if len(below) and len(above)]


def nearest(lower: Floats, upper: Floats, reach: float) -> Nearest | None:
    """The least lap of two sets of joint lines (k, 2, 2), looked for as far as `reach` (m).

    None when no two lines that run the same way come so near.
    """
    best: Nearest | None = None
    for below, above in alike(lower, upper):
        found = _nearest_alike(lower[below], upper[above], best.distance if best else reach)
        if found is not None and (best is None or found.distance < best.distance):
            i, j = int(below[found.lower]), int(above[found.upper])
            best = Nearest(found.distance, i, j, found.at)
    return best


def _nearest_alike(lower: Floats, upper: Floats, reach: float) -> Nearest | None:
    lines = Lines(lower, upper)
    within = reach / 8
    while True:
        i, j = lines.close(within)
        distance, share, _ = beside(lower[i], upper[j])
        if len(distance):
            k = int(np.argmin(distance))
            if distance[k] <= within:
                line = upper[j[k]]
                at = line[0] + share[k] * (line[1] - line[0])
                return Nearest(float(distance[k]), int(i[k]), int(j[k]), at)
        if within >= reach:
            return None
        within = min(within * 2, reach)


def length_over(lower: Floats, upper: Floats, widths: Floats) -> tuple[float, float]:
    """Length of the upper lines that lies in the joints of the lower ones, and longest run (m).

    widths: (k,) of the lower joints. Each joint is a strip as long as its line and as wide as its
    joint.
    """
    i, j = Lines(lower, upper).close(float(widths.max(initial=0.0)) / 2)
    a, b = lower[i, 0], lower[i, 1] - lower[i, 0]
    c, d = upper[j, 0], upper[j, 1] - upper[j, 0]
    length = np.hypot(*b.T)
    way = b / length[:, None]
    square = np.stack([-way[:, 1], way[:, 0]], axis=1)
    low, high = np.zeros(len(i)), np.ones(len(i))
    half = widths[i] / 2
    for axis, least, most in ((way, np.zeros(len(i)), length), (square, -half, half)):
        start = np.einsum("ki,ki->k", c - a, axis)
        rate = np.einsum("ki,ki->k", d, axis)
        still = np.abs(rate) < 1e-12
        safe = np.where(still, 1.0, rate)
        t0, t1 = (least - start) / safe, (most - start) / safe
        outside = still & ((start < least) | (start > most))
        low = np.maximum(low, np.where(still, np.where(outside, 1.0, 0.0), np.minimum(t0, t1)))
        high = np.minimum(high, np.where(still, np.where(outside, 0.0, 1.0), np.maximum(t0, t1)))
    runs = np.maximum(high - low, 0.0) * np.hypot(*d.T)
    return float(runs.sum()), float(runs.max(initial=0.0))
