"""From the job and the solved room to the vault's surface, by family."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.barrel import Barrel
from timbrel.shape.ends import Seats, end_curves
from timbrel.shape.layers import LayerPlace, place_layers
from timbrel.shape.seating import faces_behind

if TYPE_CHECKING:
    from timbrel.shape.room import Room

__all__ = ["Barrel", "LayerPlace", "shape_vault"]


def shape_vault(job: Job, room: Room) -> Any:
    """The vault that the job describes, in its room.

    A :class:`Barrel`, :class:`Flight`, :class:`CrossedVault` (groin, cloister), :class:`Sail` or
    :class:`Dome`; see :mod:`timbrel.shape.surface` for what they share. Raises TimbrelError for
    what cannot be: a rise or a shell that the curve does not allow, a plan that is not convex,
    springing levels that twist a web, an oculus too large.
    """
    layers = place_layers(job)
    family = job.curve.family
    if family in ("barrel", "flight"):
        return _spanning(job, room, layers)
    from timbrel.shape.covering import crossed, dome, sail

    draw = {"sail": sail, "dome": dome}.get(family, crossed)
    return draw(job, room, layers)


def _spanning(job: Job, room: Room, layers: tuple[LayerPlace, ...]) -> Barrel:
    thickness = layers[-1].outer
    ends = end_curves(job.curve, np.asarray(room.corners, float), thickness)
    curves = tuple((end.directrix, Seats(end.left, end.right).slope) for end in ends)
    behind = faces_behind(job, curves, thickness)
    if job.curve.family == "flight":
        from timbrel.shape.flight import Flight

        return Flight(room, layers, thickness, ends, behind)
    return Barrel(room, layers, thickness, ends, behind)
