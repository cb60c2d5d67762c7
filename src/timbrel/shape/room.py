"""The measured room: corners from its tapes, how well they close, and the real line of its walls.

x runs along AB from A, y into the room, z is the level above the datum. Tapes are plan lengths.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Room as StatedRoom
from timbrel.job.model import WallOffsets
from timbrel.shape.closure import Closing, closing_values, suspects, worst_closure
from timbrel.shape.tape import CORNERS, Array, Figure, Tape, fit, tapes_of
from timbrel.verdict import Check, judge
from timbrel.words import LengthUnit, Message, TimbrelError, say

LEAST_ANGLE = np.radians(30.0)
"""Corners sharper than this are no room that is spanned from wall to wall; common practice."""

MOVED = 0.005
"""A corner that swapped diagonals move by less than this is where it was, m."""


@dataclass(frozen=True)
class Measure:
    """One tape: what was given, what the figure makes of it, and what the others would close at.

    misclosure: given less fitted. closing: the value that all the other measures make of it.
    """

    name: str
    given: float
    fitted: float
    misclosure: float
    closing: float | None


@dataclass(frozen=True)
class WallLine:
    """The wall as it really runs along a side: plan polyline (n, 2), corner to corner.

    bulge: furthest into the room; hollow: furthest out of it; both positive, m.
    """

    side: str
    line: Array
    bulge: float
    hollow: float


@dataclass(frozen=True)
class Room:
    """The room as solved.

    corners: (4, 3), A, B, C, D going round. angles: (4,) at the corners, rad. misclosure: greatest
    difference between a diagonal or further measure and what all the other measures make of it, m.
    swapped_angles: the angles if the two diagonals had been exchanged, None when that would not
    close or would change nothing. notes: what to look at, in sentences. near_end, far_end: what
    stands there, as the job states it: a free end carries nothing.
    """

    corners: Array
    angles: Array
    measures: tuple[Measure, ...]
    misclosure: float
    checks: tuple[Check, ...]
    walls: tuple[WallLine, ...] = ()
    swapped_angles: Array | None = None
    notes: tuple[Message, ...] = ()
    near_end: str = "wall"
    far_end: str = "wall"


def solve_room(room: StatedRoom, length_unit: LengthUnit = "mm") -> Room:
    """Corners, closure and walls of a measured room.

    Raises TimbrelError when it does not close within ``room.refuse`` (every measure's closing
    value, and the likely slips, stand in ``more``), or when the corners make no room. `length_unit`
    is the unit of the tape that was used: feet slip by feet and inches.
    """
    tapes = tapes_of(room)
    figure = fit(tapes)
    assert figure is not None  # six tapes and more always have a best figure
    closings = closing_values(tapes, figure, length_unit)
    misclosure = worst_closure(closings, figure)
    if misclosure > room.refuse:
        raise _refusal(room, tapes, figure, closings, misclosure)
    angles = corner_angles(figure.corners)
    _refuse_shape(figure.corners, angles)
    walls = tuple(_wall_line(figure.corners, wall) for wall in room.wall_offsets)
    swapped = _swapped(room, figure)
    levels = [getattr(room.levels, name) for name in CORNERS]
    return Room(
        corners=np.column_stack([figure.corners, levels]),
        angles=angles,
        measures=_measures(figure, closings),
        misclosure=misclosure,
        checks=(_closure_check(room, misclosure), *(_wall_check(room, wall) for wall in walls)),
        walls=walls,
        swapped_angles=None if swapped is None else corner_angles(swapped),
        notes=_notes(room, figure, misclosure, swapped, tapes),
        near_end=room.near_end,
        far_end=room.far_end,
    )


def corner_angles(corners: Array) -> Array:
    """Inner angles (4,) at A, B, C, D, rad; over pi where a corner points inwards."""
    after = np.roll(corners, -1, axis=0) - corners
    before = np.roll(corners, 1, axis=0) - corners
    cross = after[:, 0] * before[:, 1] - after[:, 1] * before[:, 0]
    turned = np.arctan2(cross, np.sum(after * before, axis=1))
    return np.asarray(np.where(turned < 0, turned + 2 * np.pi, turned))


def _measures(figure: Figure, closings: tuple[Closing, ...]) -> tuple[Measure, ...]:
    return tuple(
        Measure(c.name, c.given, c.given - float(r), float(r), c.closing)
        for c, r in zip(closings, figure.residual, strict=True)
    )


def _refusal(
    room: StatedRoom,
    tapes: tuple[Tape, ...],
    figure: Figure,
    closings: tuple[Closing, ...],
    misclosure: float,
) -> TimbrelError:
    """The sentence for a room that does not close, the closing values behind it."""
    more = [_closing_sentence(c) for c in closings]
    found = suspects(tapes, figure, room.warn)
    by_name = {c.name: c for c in closings}
    if len(found) == 1 and by_name[found[0]].closing is not None:
        wrong = by_name[found[0]]
        message = say(
            "The room does not close, and the fault is in {name}: {given:length} was given, and "
            "all the other measures agree on {closing:length}; accepted: {refuse:length} at most "
            "between them.",
            name=wrong.name,
            given=wrong.given,
            closing=wrong.closing,
            refuse=room.refuse,
        )
        return TimbrelError(message, key=f"room.{wrong.name}", more=tuple(more))
    if np.isinf(misclosure):
        message = say(
            "The room does not close: no room has these sides and diagonals; one measure at least "
            "is far out."
        )
    else:
        message = say(
            "The room does not close: a diagonal or further measure is {misclosure:length} from "
            "what the others make of it; accepted: {refuse:length} at most (room.refuse).",
            misclosure=misclosure,
            refuse=room.refuse,
        )
    if found:
        names = ", ".join(found)
        more.insert(0, say("The fault lies in one of these: {names}.", names=names))
    elif figure.spare == 1:
        more.insert(
            0,
            say(
                "Six measures cannot tell which one is wrong: take one more, slanting across the "
                "room, and state it under room.further."
            ),
        )
    else:
        more.insert(0, say("More than one measure is wrong: no single one explains it."))
    return TimbrelError(message, key="room", more=tuple(more))


def _closing_sentence(closing: Closing) -> Message:
    if closing.closing is None:
        return say("{name}: no value closes it.", name=closing.name)
    values = {"name": closing.name, "given": closing.given, "closing": closing.closing}
    if closing.slip is not None:
        return say(
            "{name} would close at {closing:length}, and {given:length} was given: {slip}",
            slip=closing.slip,
            **values,
        )
    return say("{name} would close at {closing:length}, and {given:length} was given.", **values)


def _refuse_shape(corners: Array, angles: Array) -> None:
    for name, angle in zip(CORNERS, angles, strict=True):
        if angle >= np.pi - 1e-9:
            raise TimbrelError(
                say(
                    "The measures close, but corner {name} would point into the room; accepted: "
                    "four corners that all point outwards. Were two measures exchanged?",
                    name=name,
                ),
                key="room",
            )
        if angle < LEAST_ANGLE:
            raise TimbrelError(
                say(
                    "The measures close, but corner {name} would be {angle:angle}; accepted: "
                    "{least:angle} or more. Were two measures exchanged?",
                    name=name,
                    angle=float(angle),
                    least=float(LEAST_ANGLE),
                ),
                key="room",
            )


def _swapped(room: StatedRoom, figure: Figure) -> Array | None:
    """The corners if the diagonals had been exchanged; None when that does not close or matter."""
    turned = room.model_copy(update={"AC": room.BD, "BD": room.AC})
    tapes = tapes_of(turned)
    other = fit(tapes)
    if other is None or worst_closure(closing_values(tapes, other), other) > room.warn:
        return None
    moved = np.linalg.norm(other.corners - figure.corners, axis=1)
    return other.corners if np.max(moved) > MOVED else None


def _notes(
    room: StatedRoom,
    figure: Figure,
    misclosure: float,
    swapped: Array | None,
    tapes: tuple[Tape, ...],
) -> tuple[Message, ...]:
    notes = []
    if misclosure > room.warn:
        found = suspects(tapes, figure, room.warn)
        if len(found) == 1:
            notes.append(say("Measure {name} again: the others agree without it.", name=found[0]))
        else:
            notes.append(say("Measure the sides and diagonals again before the first tile."))
    if swapped is not None:
        here, there = corner_angles(figure.corners), corner_angles(swapped)
        notes.append(
            say(
                "If the two diagonals were exchanged the room would close as well: corner A would "
                "be {there:angle} instead of {here:angle}, B {there_b:angle} instead of "
                "{here_b:angle}. Hold the drawing against the room.",
                here=float(here[0]),
                there=float(there[0]),
                here_b=float(here[1]),
                there_b=float(there[1]),
            )
        )
    return tuple(notes)


def _closure_check(room: StatedRoom, misclosure: float) -> Check:
    return judge(
        "room.closure",
        say("The room's measures close"),
        misclosure,
        room.warn,
        kind="length",
        at_least=False,
        reason=say(
            "Greatest difference between a diagonal or further measure and what all the other "
            "measures make of it."
        ),
        source="least squares on the tapes; limit: common practice, no source",
    )


def _wall_check(room: StatedRoom, wall: WallLine) -> Check:
    return judge(
        f"room.wall.{wall.side}",
        say("Wall {side} runs straight enough", side=wall.side),
        max(wall.bulge, wall.hollow),
        room.bulge_most,
        kind="length",
        at_least=False,
        reason=say(
            "The wall bulges {bulge:length} into the room and hollows {hollow:length}; the joint "
            "along it takes up the limit, beyond it the wall is dressed or the springing cut in.",
            bulge=wall.bulge,
            hollow=wall.hollow,
        ),
        source="room.bulge_most; common practice, no source",
    )


def _wall_line(corners: Array, wall: WallOffsets) -> WallLine:
    """The wall's polyline from its offsets, which are positive into the room."""
    start, end = corners[CORNERS[wall.side[0]]], corners[CORNERS[wall.side[1]]]
    length = float(np.linalg.norm(end - start))
    along = (end - start) / length
    inward = np.array([-along[1], along[0]])
    offsets = np.asarray(wall.offsets, float)
    stations = np.minimum(np.arange(len(offsets)) * wall.step, length)
    line = start + stations[:, None] * along + offsets[:, None] * inward
    if stations[-1] < length - 1e-6:
        line = np.vstack([line, end])
    return WallLine(
        wall.side, line, float(max(offsets.max(), 0.0)), float(max(-offsets.min(), 0.0))
    )
