"""The lap of two layers that lie on each other, reached and wanted."""

from __future__ import annotations

from typing import Any

import numpy as np

from timbrel.bond.layout import Floats, Lap, LayerBond
from timbrel.bond.overlay import length_over, nearest
from timbrel.bond.stock import Stock

LEAST_LAP = 0.040
THICKNESSES = 2
"""Lap at least the greater of 40 mm and two tile thicknesses. Common practice, no source.

Of two tiles the thinner counts: what must pass over a joint from one layer to the other is never
more than the thinner tile can carry (derived).
"""
AIM = 1 / 3
"""Good work laps a third to half of a tile. Common practice, no source."""


def wanted_lap(lower: Stock, upper: Stock) -> float:
    """The least lap that is asked for between two layers (m)."""
    return max(LEAST_LAP, THICKNESSES * min(lower.thickness, upper.thickness))


def aimed_lap(lower: Stock, upper: Stock) -> float:
    """A third of the smallest measure of either tile, where it exceeds the least (m)."""
    smallest = min(lower.along, lower.across, upper.along, upper.across)
    return max(AIM * smallest, wanted_lap(lower, upper))


def measure_lap(
    lower: LayerBond, upper: LayerBond, stocks: tuple[Stock, Stock], webs: Any, inner: float
) -> Lap:
    """The lap as laid, measured on the inner face of the upper layer.

    webs: (surface, development of that face) of each web. inner: offset of that face.
    """
    least: float | None = None
    tiles: tuple[str, ...] = ()
    at: Floats | None = None
    over = longest = length = 0.0
    reach = max(stocks[0].along, stocks[1].along, stocks[0].across, stocks[1].across)
    for web, (surface, development) in enumerate(webs):
        mine = [np.flatnonzero(layer.joint_web == web) for layer in (lower, upper)]
        lines = [
            development.flat(*np.moveaxis(layer.joints[k], -1, 0))
            for layer, k in zip((lower, upper), mine, strict=True)
        ]
        if not len(lines[1]):
            continue
        length += float(np.hypot(*(lines[1][:, 1] - lines[1][:, 0]).T).sum())
        if not len(lines[0]):
            continue
        total, run = length_over(lines[0], lines[1], lower.joint_width[mine[0]])
        over, longest = over + total, max(longest, run)
        found = nearest(lines[0], lines[1], reach)
        if found and (least is None or found.distance < least):
            least = found.distance
            follows = lower.joint_tile[mine[0][found.lower]], upper.joint_tile[mine[1][found.upper]]
            tiles = (lower.names[follows[0]], upper.names[follows[1]])
            u, v = development.lift(found.at)
            at = surface.point(u, v, inner)
    return Lap(
        lower=lower.layer,
        upper=upper.layer,
        reached=least,
        wanted=wanted_lap(*stocks),
        aim=aimed_lap(*stocks),
        tiles=tiles,
        where=None if at is None else (float(at[0]), float(at[1]), float(at[2])),
        over_share=over / length if length else 0.0,
        over_longest=longest,
    )
