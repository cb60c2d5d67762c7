"""The flight: a vault that carries a stair from a lower landing to an upper one.

It is a barrel whose springings stand at different heights: straight rulings across the stair, from
the near end to the far end, and a directrix in the long section from the landing at the left
springing wall to the one at the right. Curves, and why:

- parabola and catenary keep their axis plumb: the parabola is the line of thrust under a load even
  in plan, the catenary the chain hung between the two landings, so neither leans with the stair;
- the segment is turned onto the sloping chord, so that it stays one circle: one trammel, one facet.

The rise is square to the chord at mid run, as a mason sets it off from a line stretched from seat
to seat. Other curves spring plumb or have a crown of their own and make no flight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from timbrel.shape.barrel import Barrel
from timbrel.shape.curves import directrix, rise_range
from timbrel.shape.directrix import Directrix
from timbrel.shape.planecurve import Array, CatenaryProfile, ParabolaProfile, SlopeCurve
from timbrel.words import TimbrelError, say

CURVES = ("segment", "parabola", "catenary")
LEAST_SLOPE, MOST_SLOPE = math.radians(5), math.radians(50)
"""Between a ramp and a ladder."""
MOST_STEEP = math.radians(85)
"""Steepest springing on which a first tile can be set."""


@dataclass(frozen=True)
class Flight(Barrel):
    """A flight between two landings; see :func:`timbrel.shape.vault.shape_vault`."""

    family: ClassVar[str] = "flight"

    @property
    def slope(self) -> float:
        """Slope of the springing chord in the near section, rad."""
        return chord_slope(self.ends[0].left, self.ends[0].right)


def chord_slope(left: Array, right: Array) -> float:
    """Slope of the line from seat to seat, rad, positive climbing to the right."""
    return float(np.arctan2(right[2] - left[2], np.hypot(*(right - left)[:2])))


def flight_directrix(kind: str, left: Array, right: Array, rise: float | None) -> Directrix:
    """The long section of a flight from one seat to the other (3,), either way up.

    Raises TimbrelError for a curve that makes no flight, a slope that is none, or a rise that the
    curve does not allow.
    """
    if kind not in CURVES:
        raise TimbrelError(
            say(
                "curve.directrix is {given}; a flight takes {accepted}.",
                given=kind,
                accepted=", ".join(CURVES),
            ),
            key="curve.directrix",
        )
    slope = chord_slope(left, right)
    if not LEAST_SLOPE <= abs(slope) <= MOST_SLOPE:
        raise TimbrelError(
            say(
                "The springings of the flight stand {height:length} apart in height, a slope of "
                "{slope:angle}; a flight accepts {least:angle} to {most:angle} between the levels "
                "of A and B and of D and C.",
                height=abs(float(right[2] - left[2])),
                slope=abs(slope),
                least=LEAST_SLOPE,
                most=MOST_SLOPE,
            ),
            key="room.levels",
        )
    chord = float(np.linalg.norm(right - left))
    straight = directrix(kind, chord, rise)
    if kind == "segment":
        return _not_too_steep(straight, slope)
    assert rise is not None
    run, sag = chord * math.cos(slope), rise / math.cos(slope)
    draw = _parabola if kind == "parabola" else _chain
    return _not_too_steep(Directrix(kind, chord, rise, draw(run, slope, sag)), slope)


def _parabola(run: float, slope: float, sag: float) -> SlopeCurve:
    """z = x tan(slope) + 4 sag x (run - x)/run^2."""
    climb, fall = math.tan(slope), 4 * sag / run
    profile = ParabolaProfile(run * run / (8 * sag))
    return SlopeCurve(profile, -climb - fall, -climb + fall, tilt=slope)


def _chain(run: float, slope: float, sag: float) -> SlopeCurve:
    """The catenary between seats of unequal height with a plumb sag at mid run.

    With m the parameter at mid run and h = run/(2 a): drop = -2 a sinh(m) sinh(h) and
    sag = a cosh(m) (cosh(h) - 1). The sag falls as a grows: by halving.
    """
    drop = run * math.tan(slope)

    def sag_of(a: float) -> float:
        h = run / (2 * a)
        m = math.asinh(-drop / (2 * a * math.sinh(h)))
        return a * math.cosh(m) * (math.cosh(h) - 1)

    low, high = run / 40, run * 1e4
    for _ in range(200):
        a = math.sqrt(low * high)
        low, high = (a, high) if sag_of(a) > sag else (low, a)
        if high - low < 1e-15 * high:
            break
    h = run / (2 * a)
    m = math.asinh(-drop / (2 * a * math.sinh(h)))
    return SlopeCurve(CatenaryProfile(a), math.sinh(m - h), math.sinh(m + h), tilt=slope)


def _not_too_steep(curve: Directrix, slope: float) -> Directrix:
    steepest = float(max(abs(curve.angle(0.0) + slope), abs(curve.angle(curve.length) + slope)))
    if steepest > MOST_STEEP:
        least, _ = rise_range(curve.kind, curve.span)
        raise TimbrelError(
            say(
                "curve.rise is {rise:length}: on a slope of {slope:angle} the lower springing would "
                "stand at {steep:angle}, and {most:angle} is accepted. A lower rise, down to "
                "{least:length}, springs flatter.",
                rise=curve.rise,
                slope=abs(slope),
                steep=steepest,
                most=MOST_STEEP,
                least=least,
            ),
            key="curve.rise",
        )
    return curve
