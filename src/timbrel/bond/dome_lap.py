"""The lap of two layers of a dome."""

from __future__ import annotations

from typing import Any

import numpy as np

from timbrel.bond.laps import aimed_lap, wanted_lap
from timbrel.bond.layout import Floats, Ints, Lap, LayerBond
from timbrel.bond.meridian import Meridian
from timbrel.bond.overlay import BESIDE, length_over
from timbrel.bond.rings import TURN
from timbrel.bond.stock import Stock

KEY_SIDES = 12
"""The round key is drawn with so many sides."""


def dome_lap(
    lower: LayerBond, upper: LayerBond, stocks: tuple[Stock, Stock], dome: Any, inner: float
) -> Lap:
    """The lap of two layers of a dome, on the inner face of the upper one: beds along the
    meridian, perpends round the ring on which both stand."""
    meridian = Meridian(dome, inner)
    sets = []
    for layer in (lower, upper):
        u, v = np.moveaxis(layer.joints, -1, 0)
        upright = np.abs(np.diff(v, axis=1)[:, 0]) < 1e-12
        slant = meridian.slant(u)
        sets.append((upright, slant, v, layer.joint_tile))
    (up_a, y_a, v_a, tile_a), (up_b, y_b, v_b, tile_b) = sets
    beds_a, first = np.unique(np.round(y_a[~up_a, 0], 9), return_index=True)
    beds_b, second = np.unique(np.round(y_b[~up_b, 0], 9), return_index=True)
    apart = np.abs(beds_a[:, None] - beds_b)
    i, j = np.unravel_index(int(apart.argmin()), apart.shape)
    least = float(apart[i, j])
    tiles = (tile_a[~up_a][first[i]], tile_b[~up_b][second[j]])
    at = (y_b[~up_b][second[j], 0], v_b[~up_b][second[j], 0])
    shared = np.minimum(y_a[up_a, None, 1], y_b[None, up_b, 1]) - np.maximum(
        y_a[up_a, None, 0], y_b[None, up_b, 0]
    )
    turn = v_a[up_a, None, 0] - v_b[None, up_b, 0]
    middle = y_b[up_b].mean(axis=1)
    radius = meridian.radius(middle)
    round_ring = np.abs(turn - np.rint(turn)) * TURN * radius
    round_ring = np.where(shared > BESIDE, round_ring, np.inf)
    i, j = np.unravel_index(int(round_ring.argmin()), round_ring.shape)
    if round_ring[i, j] < least:
        least = float(round_ring[i, j])
        tiles = (tile_a[up_a][i], tile_b[up_b][j])
        at = (middle[j], v_b[up_b][j, 0])
    place = dome.point(meridian.u(np.array([at[0]])), np.array([at[1]]), inner)[0]
    share, longest = ring_over(sets[0], sets[1], lower.joint_width, meridian)
    return Lap(
        lower.layer,
        upper.layer,
        least,
        wanted_lap(*stocks),
        aimed_lap(*stocks),
        (lower.names[tiles[0]], upper.names[tiles[1]]),
        (float(place[0]), float(place[1]), float(place[2])),
        share,
        longest,
    )


def ring_over(
    lower: tuple[Any, Floats, Floats, Ints],
    upper: tuple[Any, Floats, Floats, Ints],
    widths: Floats,
    meridian: Meridian,
) -> tuple[float, float]:
    """Share of the upper joints over a lower one, and the longest run, ring by ring."""
    _, y_a, v_a, _ = lower
    _, y_b, v_b, _ = upper
    over = length = longest = 0.0
    level = np.round(y_b.mean(axis=1), 6)
    for slant in np.unique(level):
        mine = level == slant
        band = y_b[mine].min() - 0.02, y_b[mine].max() + 0.02
        near = (y_a.max(axis=1) > band[0]) & (y_a.min(axis=1) < band[1])
        girth = TURN * float(meridian.radius(slant))
        lines = np.stack([v_b[mine] * girth, y_b[mine]], axis=2)
        length += float(np.hypot(*(lines[:, 1] - lines[:, 0]).T).sum())
        if near.any():
            below = np.stack([v_a[near] * girth, y_a[near]], axis=2)
            total, run = length_over(below, lines, widths[near])
            over, longest = over + total, max(longest, run)
    return (over / length if length else 0.0), longest
