"""From the job and the solved room to the vault's surface."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Curve, Job
from timbrel.shape.barrel import Barrel
from timbrel.shape.curves import LEAST_RADIUS, directrix
from timbrel.shape.directrix import Directrix
from timbrel.shape.layers import LayerPlace, place_layers
from timbrel.shape.planecurve import Array
from timbrel.shape.ruled import PlacedCurve, Ruled
from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.room import Room

__all__ = ["Barrel", "LayerPlace", "shape_vault"]


def shape_vault(job: Job, room: Room) -> Barrel:
    """The vault that the job describes, in its room.

    Raises TimbrelError when the curve does not allow the rise, or the shell's thickness.
    """
    layers = place_layers(job)
    thickness = layers[-1].outer
    A, B, C, D = np.asarray(room.corners, float)
    near = directrix(
        job.curve.directrix, float(np.linalg.norm(B - A)), job.curve.rise, job.curve.haunch_radius
    )
    far = _far_directrix(job.curve, near, (A, B), (D, C))
    near, far = (_intrados(c, job.curve.line, thickness) for c in (near, far))
    surface = Ruled(PlacedCurve(near, A, B), PlacedCurve(far, D, C))
    return Barrel(room, layers, thickness, surface)


def _far_directrix(
    curve: Curve, near: Directrix, seats: tuple[Array, Array], far_seats: tuple[Array, Array]
) -> Directrix:
    """The curve over the far chord, keeping what the mason wants kept."""
    span = float(np.linalg.norm(far_seats[1] - far_seats[0]))
    haunch = curve.haunch_radius
    if curve.keep == "rise over span" and haunch is not None:
        haunch *= span / near.span
    if near.kind == "semicircle":
        far = directrix("semicircle", span, None)
        if curve.keep == "crown level":
            _refuse_tilted_crown(near, far, seats, far_seats)
        return far
    if curve.keep == "rise":
        rise = near.rise
    elif curve.keep == "rise over span":
        rise = near.rise * span / near.span
    else:
        crown = _crown_level(near.rise, *seats)
        rise = (crown - _crown_level(0.0, *far_seats)) / _lean(*far_seats)
    try:
        return directrix(near.kind, span, rise, haunch)
    except TimbrelError as error:
        raise TimbrelError(
            say(
                "At the far end, where curve.keep is {keep}, the rise comes to {rise:length} over "
                "a span of {span:length}, and the curve does not allow it.",
                keep=repr(curve.keep),
                rise=rise,
                span=span,
            ),
            key="curve.keep",
            more=(error.message, *error.more),
        ) from error


def _lean(left: Array, right: Array) -> float:
    """Cosine of the tilt of a chord."""
    along = right - left
    return float(np.hypot(along[0], along[1]) / np.linalg.norm(along))


def _crown_level(rise: float, left: Array, right: Array) -> float:
    return float((left[2] + right[2]) / 2 + rise * _lean(left, right))


def _refuse_tilted_crown(
    near: Directrix, far: Directrix, seats: tuple[Array, Array], far_seats: tuple[Array, Array]
) -> None:
    drop = _crown_level(far.rise, *far_seats) - _crown_level(near.rise, *seats)
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


def _intrados(given: Directrix, line: str, thickness: float) -> Directrix:
    """The intrados when the curve on the springing points is the axis or the extrados."""
    inward = {"intrados": 0.0, "axis": thickness / 2, "extrados": thickness}[line]
    s = np.linspace(0, given.length, 65)
    tightest = float(np.min(1 / given.curvature(s)))
    if tightest - inward < LEAST_RADIUS:
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
    return given.parallel(-inward)
