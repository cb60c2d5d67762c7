"""The rings of a dome as they are struck: radius, level, and the rod from a centre.

A rod turns on a pin that stands over the middle of the springing ring, at the level from which
the meridian is struck. Where the meridian is one circle the rod keeps one length all over; else each
ring has its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.bond.layout import Bond
from timbrel.shape.dome import Dome


@dataclass(frozen=True)
class RingMark:
    """The lower edge of one ring of tiles, on the inner face of its layer. radius: level, from the
    middle. level: above the datum. rod: from the pin to the edge, m. turn: about the pin, rad, from
    the level (negative under it)."""

    layer: int
    ring: int
    radius: float
    level: float
    rod: float
    turn: float


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
        meridian = next((r for r in layer.gauge.rods if len(r.marks) == layer.courses + 1), None)
        if meridian is None:
            continue
        rings = vault.rings(vault.ring_at(meridian.marks[:-1], place.inner), place.inner)
        for k, (radius, level) in enumerate(zip(rings.radius, rings.level, strict=True), 1):
            rise = float(level) - float(pin[2])
            found.append(
                RingMark(
                    layer.layer,
                    k,
                    float(radius),
                    float(level),
                    float(np.hypot(radius, rise)),
                    float(np.arctan2(rise, radius)),
                )
            )
    return tuple(found)
