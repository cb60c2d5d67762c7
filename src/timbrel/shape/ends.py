"""The end curves of a vault that spans between two walls: what is kept from one end to the other."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from timbrel.job.model import Curve
from timbrel.shape.curves import LEAST_RADIUS, directrix
from timbrel.shape.directrix import Directrix
from timbrel.shape.planecurve import Array
from timbrel.shape.ruled import PlacedCurve
from timbrel.words import TimbrelError, say

MOST_TWIST = np.radians(3.0)
"""Greatest difference of slope between the two springing chords: 100 mm over a span of 1.9 m. More
would warp the tiles of a course out of flat (common practice, no source)."""


class Seats(NamedTuple):
    """Measured springing points (3,) of one end."""

    left: Array
    right: Array

    @property
    def span(self) -> float:
        return float(np.linalg.norm(self.right - self.left))

    @property
    def lean(self) -> float:
        """Cosine of the slope of the chord."""
        along = self.right - self.left
        return float(np.hypot(along[0], along[1]) / np.linalg.norm(along))

    @property
    def slope(self) -> float:
        along = self.right - self.left
        return float(np.arctan2(along[2], np.hypot(along[0], along[1])))

    def crown(self, rise: float) -> float:
        """Level of the crown of a curve turned onto the chord."""
        return float((self.left[2] + self.right[2]) / 2 + rise * self.lean)


def end_curves(curve: Curve, corners: Array, thickness: float) -> tuple[PlacedCurve, PlacedCurve]:
    """Intrados curves at AB and CD, each on its own chord.

    Raises TimbrelError when the springing levels twist the vault, or the curve does not allow the
    rise or the shell's thickness.
    """
    A, B, C, D = corners
    near, far = Seats(A, B), Seats(D, C)
    refuse_twist(near.slope, far.slope, "AB", "CD")
    first = _drawn(curve, near, curve.rise, curve.haunch_radius)
    second = _far(curve, first, near, far)
    placed = [
        PlacedCurve(intrados_of(drawn, curve.line, thickness), *seats)
        for drawn, seats in ((first, near), (second, far))
    ]
    return placed[0], placed[1]


def refuse_twist(first: float, second: float, one: str, other: str) -> None:
    """Refuse springing chords whose slopes differ by more than the stated limit."""
    if abs(first - second) > MOST_TWIST:
        raise TimbrelError(
            say(
                "The springing levels slope by {first:angle} along {one} and by {second:angle} "
                "along {other}; they would twist the vault by {twist:angle}, and at most "
                "{most:angle} is accepted. Level up the low corner, or check the levels.",
                first=first,
                one=one,
                second=second,
                other=other,
                twist=abs(first - second),
                most=float(MOST_TWIST),
            ),
            key="room.levels",
        )


def _drawn(curve: Curve, seats: Seats, rise: float | None, haunch: float | None) -> Directrix:
    if curve.family == "flight":
        from timbrel.shape.flight import flight_directrix

        return flight_directrix(curve.directrix, seats.left, seats.right, rise)
    return directrix(curve.directrix, seats.span, rise, haunch)


def _far(curve: Curve, near: Directrix, seats: Seats, far: Seats) -> Directrix:
    """The curve over the far chord, keeping what the mason wants kept."""
    if near.kind == "semicircle":
        drawn = directrix("semicircle", far.span, None)
        if curve.keep == "crown level":
            _refuse_tilted_crown(far.crown(drawn.rise) - seats.crown(near.rise))
        return drawn
    haunch = curve.haunch_radius
    if curve.keep == "rise over span" and haunch is not None:
        haunch *= far.span / near.span
    rise = {
        "rise": near.rise,
        "rise over span": near.rise * far.span / near.span,
        "crown level": (seats.crown(near.rise) - far.crown(0.0)) / far.lean,
    }[curve.keep]
    try:
        return _drawn(curve, far, rise, haunch)
    except TimbrelError as error:
        raise TimbrelError(
            say(
                "At the far end, where curve.keep is {keep}, the rise comes to {rise:length} over "
                "a span of {span:length}, and the curve does not allow it.",
                keep=repr(curve.keep),
                rise=rise,
                span=far.span,
            ),
            key="curve.keep",
            more=(error.message, *error.more),
        ) from error


def _refuse_tilted_crown(drop: float) -> None:
    if abs(drop) > 0.001:
        raise TimbrelError(
            say(
                "curve.keep is 'crown level', but a semicircle rises half its span at each end, "
                "which puts the far crown {drop:length} off the near one; a segment, a parabola or "
                "a three-centre curve can keep the crown level.",
                drop=drop,
            ),
            key="curve.keep",
        )


def inward(line: str, thickness: float) -> float:
    """How far the intrados lies inward of the line that stands on the springing points."""
    return {"intrados": 0.0, "axis": thickness / 2, "extrados": thickness}[line]


def intrados_of(given: Directrix, line: str, thickness: float) -> Directrix:
    """The intrados when the curve on the springing points is the axis or the extrados."""
    s = np.linspace(0, given.length, 65)
    tightest = float(np.min(1 / given.curvature(s)))
    depth = inward(line, thickness)
    if tightest - depth < LEAST_RADIUS:
        raise TimbrelError(
            say(
                "The shell is {thickness:length} thick, but the curve turns on a radius of only "
                "{radius:length} at its tightest; layers must leave {least:length} of radius at "
                "the intrados.",
                thickness=thickness,
                radius=tightest,
                least=LEAST_RADIUS,
            ),
            key="curve.rise",
        )
    drawn = given.parallel(-depth)
    return replace(drawn, kind=given.kind)
