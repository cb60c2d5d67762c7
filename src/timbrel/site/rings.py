"""The rings of a dome as they are struck and laid: radius, level, rod, count, closers, joints.

A rod turns on a pin that stands over the middle of the springing ring, at the level from which
the meridian is struck. Where the meridian is one circle the rod keeps one length all over; else each
ring has its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.bond.layout import Bond, LayerBond, Piece
from timbrel.shape.dome import Dome

WIDEST = 0.060
"""What is wider than this between two tiles of a ring is an opening, not a joint (m)."""


@dataclass(frozen=True)
class RingMark:
    """The lower edge of one ring of tiles, on the inner face of its layer. radius: level, from the
    middle. level: above the datum. rod: from the pin to the edge, m. turn: about the pin, rad, from
    the level (negative under it). whole, half, cut: how many pieces of each kind close it round.
    joint_below, joint_above: the mean of its perpends at the lower and the upper edge of the
    tiles (m); None where there are none.
    """

    layer: int
    ring: int
    radius: float
    level: float
    rod: float
    turn: float
    whole: int
    half: int
    cut: int
    joint_below: float | None
    joint_above: float | None

    @property
    def pieces(self) -> int:
        return self.whole + self.half + self.cut


def pin_of(dome: Dome) -> np.ndarray:
    """Where the rod turns (3,): over the middle, at the centre of the meridian's last arc where
    that stands plumb over it, else at the springing."""
    centre = np.asarray(dome.centre, float).copy()
    trammel = dome.base.trammel
    if trammel is not None and len(trammel.arcs) == 1:
        centre[2] += trammel.arcs[0].centre[1]
    return centre


def dome_rings(vault: Any, bond: Bond) -> tuple[RingMark, ...]:
    """Every ring of every layer of a dome; none for other vaults."""
    if not isinstance(vault, Dome):
        return ()
    pin = pin_of(vault)
    found = []
    for layer, place in zip(bond.layers, vault.layers, strict=True):
        meridian = layer.gauge.rod("meridian")
        marks = meridian.marks
        rings = vault.rings(vault.ring_at(marks[:-1], place.inner), place.inner)
        tops = np.append(marks[1:-1] - meridian.joint, marks[-1])
        above = vault.rings(vault.ring_at(tops, place.inner), place.inner).radius
        for k, (radius, level) in enumerate(zip(rings.radius, rings.level, strict=True), 1):
            rise = float(level) - float(pin[2])
            kinds = layer.kind[layer.course == k]
            turns = perpends(layer, k, vault.centre)
            found.append(
                RingMark(
                    layer.layer,
                    k,
                    float(radius),
                    float(level),
                    float(np.hypot(radius, rise)),
                    float(np.arctan2(rise, radius)),
                    int(np.count_nonzero(kinds == Piece.WHOLE)),
                    int(np.count_nonzero(kinds == Piece.HALF)),
                    int(np.count_nonzero(kinds == Piece.CUT)),
                    None if turns is None else turns[0] * float(radius),
                    None if turns is None else turns[1] * float(above[k - 1]),
                )
            )
    return tuple(found)


def perpends(layer: LayerBond, ring: int, centre: np.ndarray) -> tuple[float, float] | None:
    """Mean turns (rad) of a ring's perpends at the lower and the upper edge of its
    tiles; None where no two tiles with four corners stand beside each other."""
    mine = [layer.solid_corners(int(i)) for i in np.flatnonzero(layer.course == ring)]
    tiles = np.array([corners for corners in mine if len(corners) == 4])
    if len(tiles) < 2:
        return None
    away = tiles[:, :, :2] - centre[:2]
    turn = np.arctan2(away[..., 1], away[..., 0])
    # Rings run clockwise: the next tile begins where the turn falls.
    order = np.argsort(-turn[:, 0])
    turn, radius = turn[order], np.hypot(away[..., 0], away[..., 1])[order]
    found = []
    for begins, ends in ((0, 1), (3, 2)):
        gap = np.mod(turn[:, ends] - np.roll(turn[:, begins], -1), 2 * np.pi)
        joints = gap[gap * radius[:, begins] < WIDEST]
        if not len(joints):
            return None
        found.append(float(joints.mean()))
    return found[0], found[1]
