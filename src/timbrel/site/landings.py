"""How a flight joins its landings: the closing courses of every layer, and the steps between them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.bond.layout import Bond
from timbrel.site.seat import Seat
from timbrel.site.stair import Stair, comfort_check, steps_between
from timbrel.verdict import Check
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

RAMP = math.radians(14.0)
"""Slope from seat to seat under which a flight carries a ramp: a riser of 150 mm would want a going
of 600 mm (common practice, no source)."""


@dataclass(frozen=True)
class ClosingCourse:
    """The course of one layer beside a landing. course: its number. width: of its tiles, up the
    slope (m), and joint: between it and the wall, at the near end (m)."""

    layer: int
    course: int
    width: float
    joint: float


@dataclass(frozen=True)
class Landing:
    """One landing. wall: "left" (lower) or "right" (upper). level: of the intrados there, in the
    middle of the wall (m). slope: of the shell to the level, rad, negative where it still climbs
    into the wall. plumb: its thickness measured plumb on the face of the wall (m). into: how deep
    it runs into the wall (m). courses: of every layer."""

    wall: str
    level: float
    slope: float
    plumb: float
    into: float
    courses: tuple[ClosingCourse, ...]


@dataclass(frozen=True)
class Landings:
    """Both landings, the steps between them (None on a ramp), and how they are joined."""

    lower: Landing
    upper: Landing
    stair: Stair | None
    notes: tuple[Message, ...]


def landings_of(vault: Barrel, bond: Bond, seats: tuple[Seat, Seat]) -> Landings | None:
    """The landings of a flight; None of a barrel. seats: left and right."""
    if vault.family != "flight":
        return None
    lower, upper = (_landing(vault, bond, seat) for seat in seats)
    corners = np.asarray(vault.room.corners, float)
    run = float(np.hypot(*(corners[[1, 2]].mean(axis=0) - corners[[0, 3]].mean(axis=0))[:2]))
    height = upper.level - lower.level
    stair = steps_between(height, run) if math.atan2(height, run) >= RAMP else None
    return Landings(lower, upper, stair, _notes(lower, upper, stair))


def landing_checks(landings: Landings | None) -> tuple[Check, ...]:
    """Is the stair of a flight easy to walk."""
    if landings is None or landings.stair is None:
        return ()
    return (comfort_check(landings.stair.rise, landings.stair.going),)


def _landing(vault: Barrel, bond: Bond, seat: Seat) -> Landing:
    first = seat.side == "left"
    place = 0.0 if first else 1.0
    points = np.stack([np.asarray(vault.point(place, v)) for v in (0.0, 1.0)])
    courses = []
    for layer in bond.layers:
        rod = layer.gauge.rod("near")
        course = 1 if first else layer.courses
        joint = rod.marks[0] if first else rod.length - rod.marks[-1]
        width = float(layer.width[layer.course == course].mean())
        courses.append(ClosingCourse(layer.layer, course, width, float(joint)))
    return Landing(
        seat.side,
        float(points[:, 2].mean()),
        seat.slope,
        vault.thickness / max(math.cos(seat.slope), 1e-6),
        seat.depth,
        tuple(courses),
    )


def _notes(lower: Landing, upper: Landing, stair: Stair | None) -> tuple[Message, ...]:
    notes = [
        say(
            "Begin every arch in the seat of the lower landing, its first course full in binder, and "
            "climb; the last course is set in the seat of the upper landing from above, and pressed "
            "home before the next arch is begun."
        ),
        say(
            "All {layers:count} layers run into both walls, {lower:length} at the lower and "
            "{upper:length} at the upper landing: none stops at the face. Floor and finish of a "
            "landing are laid only when the flight is closed in all its layers.",
            layers=len(lower.courses),
            lower=lower.into,
            upper=upper.into,
        ),
    ]
    if stair is None:
        notes.append(say("So flat a flight carries a ramp: no steps are told."))
    else:
        notes.append(
            say(
                "Steps are built on the closed shell, from the lower landing up: {risers:count} risers "
                "of {rise:length} and {goings:count} goings of {going:length}, where both landings "
                "are finished equally far over their springings; if they are not, divide the height "
                "between the finished floors anew.",
                risers=stair.risers,
                rise=stair.rise,
                goings=stair.risers - 1,
                going=stair.going,
            )
        )
    return tuple(notes)
