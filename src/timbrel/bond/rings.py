"""Rings of a dome: gauged along the meridian, each closed round by whole, half or tapered tiles.

A rectangular tile on a ring leaves a joint that is wider below than above. Whole tiles are laid
where both widths stay in the range; where the ring is too tight for them, halves; where it is too
tight for halves, every tile is cut to a taper (common practice, no source; the widths derived).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from timbrel.bond.girth import STEP, Round, Window, greatest_lap, place_round
from timbrel.bond.laps import wanted_lap
from timbrel.bond.layout import Floats, Ints, Piece
from timbrel.bond.meridian import Meridian
from timbrel.bond.overlay import BESIDE
from timbrel.bond.stock import Stock
from timbrel.words import TimbrelError, say

TURN = 2 * np.pi
EASY = 0.002
"""A straight closer is cut this much short of the longest that would do (m)."""
ALIKE = 0.024
"""Tapered pieces within this of each other count as alike when a ring is filled (m)."""


@dataclass(frozen=True)
class Ring:
    """One ring. low, high: slant lengths of its edges; u_low, u_high: the same as shares of the
    meridian; below, above: radii there; width: of its tiles. kinds: (n,) of :class:`Piece`.
    begin: (n,) where each piece begins, joint included, and share: (n,) of the ring, in turns.
    bottom, top: (n,) lower and upper length of each piece (m)."""

    low: float
    high: float
    u_low: float
    u_high: float
    below: float
    above: float
    width: float
    kinds: Ints
    begin: Floats
    share: Floats
    bottom: Floats
    top: Floats

    @property
    def joints(self) -> tuple[Floats, Floats]:
        """Lower and upper width of the joint of each piece (m)."""
        turn = self.share * TURN
        return turn * self.below - self.bottom, turn * self.above - self.top


@dataclass(frozen=True)
class RingGauge:
    """Rings along the meridian. edges: (n, 2) slant lengths. joint: m. widths: (n,). key: the
    radius of the closing piece at the crown, 0 where there is an oculus."""

    edges: Floats
    joint: float
    widths: Floats
    key: float


def ring_gauges(slant: float, keys: tuple[float, ...], stock: Stock) -> list[RingGauge]:
    """Every division of the meridian whose bed joints are in the range, with whole or half rings
    at the springing and at the top.

    keys: radii of the round key that closes the crown; 0 for an oculus, which the upper edge of
    the last ring closes.
    """
    found = []
    sizes = (stock.across, stock.half_across)
    for key, first, last in product(keys, sizes, sizes):
        for count in range(2, int(slant / (stock.across + stock.joint.least)) + 3):
            widths = np.full(count, stock.across)
            widths[0], widths[-1] = first, last
            joints = count + (1 if key else 0)
            joint = (slant - key - float(widths.sum())) / joints
            if stock.takes(joint):
                top = np.cumsum(widths + joint)
                found.append(RingGauge(np.stack([top - widths, top], axis=1), joint, widths, key))
    return found


def straight_windows(below: float, above: float, stock: Stock) -> list[Window]:
    """Steps at mid-width of whole tiles, halves and straight closers, in this order, whose joints
    stay in the range above and below. A kind that none fits has an empty window."""
    middle = (below + above) / 2
    joint = stock.joint
    found = []
    for size, price in ((stock.along, 0.0), (stock.half, 0.5)):
        low, high = (size + joint.least) / above, (size + joint.most) / below
        best = min(max((size + joint.best) / middle, low), high)
        found.append(Window(low * middle, best * middle, high * middle, price))
    # The longest piece whose joint is not too narrow above when it is just wide enough below.
    spare = min(joint.best - joint.least, joint.most - joint.best)
    longest = 2 * spare / max(below - above, 1e-9) * middle - joint.best
    longest = min(longest, stock.along) - EASY
    closer = Window(stock.least_along + joint.best, longest + joint.best, longest + joint.best, 2.0)
    return [*found, closer]


def tapered_windows(below: float, above: float, stock: Stock) -> list[Window]:
    """Steps of tiles cut to a taper: nearly whole, or anything not under the least closer."""
    joint = stock.joint.best
    longest = (stock.along + joint) / below * (below + above) / 2
    least = stock.least_along + joint
    return [
        Window(max(longest - ALIKE, least), longest, longest, 0.1),
        Window(least, longest, longest, 2.0),
    ]


def place_ring(
    below: float, above: float, stock: Stock, others: Floats, wanted: float
) -> tuple[Round, bool] | None:
    """The perpends of one ring, and whether its tiles are tapered; None when it cannot close.

    The lap is the one wanted, or the greatest that pieces of any length can keep: straight tiles
    where they keep it, tapered ones where only they do.
    """
    girth = TURN * (below + above) / 2
    tapered = tapered_windows(below, above, stock)
    lap = min(wanted, greatest_lap(girth, tapered, others, wanted))
    straight = straight_windows(below, above, stock)
    fits = any(window.most - window.least > STEP for window in straight[:2])
    placed = place_round(girth, straight, others, lap) if fits else None
    if placed:
        return placed, False
    placed = place_round(girth, tapered, others, lap)
    return (placed, True) if placed else None


def cut_round(
    placed: Round, taper: bool, below: float, above: float, width: float, stock: Stock
) -> tuple[Ints, Floats, Floats, Floats, Floats]:
    """Kinds, beginnings, shares, lower and upper lengths of the pieces of a ring."""
    middle = (below + above) / 2
    begin = placed.places / (TURN * middle)
    share = np.diff(np.append(begin, begin[0] + 1.0))
    turn = share * TURN
    if taper:
        kinds = np.full(len(begin), int(Piece.CUT))
        return kinds, begin, share, turn * below - stock.joint.best, turn * above - stock.joint.best
    sizes = np.array([stock.along, stock.half, 0.0])[placed.window]
    size = np.where(placed.window == 2, turn * middle - stock.joint.best, sizes)
    kinds = np.array([int(Piece.WHOLE), int(Piece.HALF), int(Piece.CUT)])[placed.window]
    if width < stock.across - 1e-9:
        kinds = np.full(len(begin), int(Piece.CUT))
    return kinds, begin, share, size, size


def lay_rings(
    number: int, meridian: Meridian, gauge: RingGauge, stock: Stock, under: list[Ring]
) -> list[Ring]:
    """Every ring from the springing up, its perpends broken over the ring below it and over the
    rings of the layer under it."""
    shares = meridian.u(gauge.edges.ravel()).reshape(-1, 2).tolist()
    radii = meridian.radius(gauge.edges.ravel()).reshape(-1, 2).tolist()
    reach = BESIDE / meridian.length
    rings: list[Ring] = []
    for k, (low, high) in enumerate(gauge.edges.tolist()):
        (u_low, u_high), (below, above) = shares[k], radii[k]
        girth = TURN * (below + above) / 2
        beneath = rings[-1:] + [
            ring for ring in under if min(u_high, ring.u_high) - max(u_low, ring.u_low) > reach
        ]
        others = np.concatenate([np.zeros(0), *(ring.begin for ring in beneath)]) * girth
        found = place_ring(below, above, stock, others, wanted_lap(stock, stock))
        if found is None:
            raise _no_ring(number, k, girth, stock)
        width = float(gauge.widths[k])
        cut = cut_round(*found, below, above, width, stock)
        rings.append(Ring(low, high, u_low, u_high, below, above, width, *cut))
    return rings


def _no_ring(number: int, k: int, girth: float, stock: Stock) -> TimbrelError:
    return TimbrelError(
        say(
            "Ring {ring} of layer {layer} cannot close: a girth of {girth:length} takes no number "
            "of tiles {tile:length} long with joints from {least:length} to {most:length}, nor "
            "tapered ones; widen the range, change the tile or leave an oculus.",
            ring=k + 1,
            layer=number,
            girth=girth,
            tile=stock.along,
            least=stock.joint.least,
            most=stock.joint.most,
        ),
        key=f"layers.{number - 1}.joint",
    )
