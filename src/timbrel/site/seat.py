"""The springing seat: a chase in the wall, a corbel or a ledger before it, square to the curve.

Section axes here: x into the wall from its face, y up from the springing. The curve comes down
into the wall at the slope of its tangent there, `a` to the level; the seat stands square to it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.shape.seating import STEEP, seat_kind, springing_slopes
from timbrel.shape.vault import Barrel
from timbrel.site.ends import ends_of
from timbrel.site.seat_shape import (
    CORBEL_STEP,
    alternate_bays,
    bracket_section,
    chase_section,
    polygon_area,
)
from timbrel.site.seat_walls import Side, refuse_depth
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from timbrel.statics.proof import Statics

Floats = NDArray[np.float64]

BULKING = 1.5
"""Loose debris over solid masonry, by volume (from memory)."""


@dataclass(frozen=True)
class Bearing:
    """One state of the vault on the seat.

    load, bound: which. force: square to the seat, N/m; along: in its plane, up and out of the room
    positive, N/m. pressed: width that is counted on, half the thickness: at the least and the
    greatest thrust the line of limit analysis touches a face by definition, so the resultant is
    taken at the edge of the middle third instead, where the greatest stress of a straight
    distribution is 2 N/t. pressure: N/m2. slip: friction (tangent) that the state asks of the seat,
    either way; slip_inward: against sliding into the room.
    """

    load: Message
    bound: str
    force: float
    along: float
    pressed: float
    pressure: float
    slip: float
    slip_inward: float


def bearing(load: Message, bound: str, force: float, along: float, pressed: float) -> Bearing:
    """The state from its two parts on the seat, N/m, and the width that is counted on, m."""
    slip = abs(along) / force if force > 0 else math.inf
    inward = slip if along < 0 or force <= 0 else 0.0
    return Bearing(load, bound, force, along, pressed, force / pressed, slip, inward)


@dataclass(frozen=True)
class SeatBay:
    """One bay of a seat that rises along its wall. start, end: along the wall in plan from its first
    corner, m. start_level, level, end_level: of the intrados on the face of the wall, at the middle
    between them `level`, m. slope: of the curve into the wall there, rad. depth: into the wall, m."""

    number: int
    start: float
    end: float
    start_level: float
    level: float
    end_level: float
    slope: float
    depth: float


@dataclass(frozen=True)
class Seat:
    """The seat on one wall.

    slope: of the curve at the springing to the level, rad, the steeper of both ends; negative where
    it comes up to the wall (the upper end of a flight). angle: of the
    seat face to the level, rad. section: (n, 2) outline of the chase, or of the corbel or ledger
    before the wall (negative x stands in the room). depth: greatest depth into the wall. height:
    on the face of the wall, m. stands_out: into the room, m. length: of wall, m. bays: lengths cut
    at a time; turns: (bay numbers of each turn), so that never more than one in so many is open.
    debris: loose, m3. bearing: the state that presses most. bearings: of the states under the least
    thrust and of those under the greatest the one that presses most, the one that asks most
    friction, the one that slides most into the room; empty without statics. notes: how to do it.
    rising: its bays one by one where the springing rises along the wall, empty where it is level.
    """

    side: Side
    kind: str
    slope: float
    angle: float
    section: Floats
    depth: float
    height: float
    stands_out: float
    length: float
    bays: int
    turns: tuple[tuple[int, ...], ...]
    debris: float
    bearing: Bearing | None
    notes: tuple[Message, ...]
    rising: tuple[SeatBay, ...] = ()
    bearings: tuple[Bearing, ...] = ()

    @property
    def slipping(self) -> Bearing | None:
        """The state that leans most off the square."""
        return max(self.bearings, key=lambda b: b.slip, default=None)

    def under(self, bound: str) -> Bearing | None:
        """The state that presses the seat most under the least or under the greatest thrust."""
        return pressing_most(b for b in self.bearings if b.bound == bound)


def _slope(vault: Barrel, side: Side) -> float:
    at = 0 if side == "left" else 1
    slopes = [springing_slopes(end.curve, end.tilt)[at] for end in ends_of(vault)]
    return max(slopes, key=abs)


def governing(states: Iterable[Bearing]) -> tuple[Bearing, ...]:
    """Under either bound the states that press most, slide most, and slide most into the room."""
    by_bound: dict[str, list[Bearing]] = {}
    for state in states:
        by_bound.setdefault(state.bound, []).append(state)
    kept: list[Bearing] = []
    for same in by_bound.values():
        found = (
            max(same, key=lambda b: b.pressure),
            max(same, key=lambda b: b.slip),
            max(same, key=lambda b: b.slip_inward),
        )
        kept += list(dict.fromkeys(found))
    return tuple(kept)


def pressing_most(states: Iterable[Bearing]) -> Bearing | None:
    """The state that presses a seat most; None where there is none."""
    return max(states, key=lambda b: b.pressure, default=None)


def _bearings(statics: Statics, side: Side) -> tuple[Bearing, ...]:
    joint, outward = (0, -1.0) if side == "left" else (-1, 1.0)
    return governing(
        bearing(
            case.title,
            case.bound,
            abs(float(case.line.normal[joint])),
            outward * float(case.line.shear[joint]),
            float(case.line.thickness[joint]) / 2,
        )
        for station in statics.stations
        for case in station.cases
    )


def _wall_length(vault: Barrel, side: Side) -> float:
    near, far = ends_of(vault)
    ends = (near.left, far.left) if side == "left" else (near.right, far.right)
    return float(np.linalg.norm(ends[1] - ends[0]))


@dataclass(frozen=True)
class Springing:
    """What a seat is made for. slope: of the curve there to the level, rad. length: of wall, m.
    thickness: of the shell, m. bearings: what presses it, where that is known. round_about: the wall
    closes on itself."""

    side: Side
    slope: float
    length: float
    thickness: float
    bearings: tuple[Bearing, ...] = ()
    round_about: bool = False


def plan_seat(job: Job, vault: Barrel, side: Side, statics: Statics | None = None) -> Seat:
    """The seat on one springing wall of a barrel or a flight.

    Raises TimbrelError when the chase is deeper than the wall, or the curve too steep for one.
    """
    bearings = _bearings(statics, side) if statics is not None else ()
    slope, length = _slope(vault, side), _wall_length(vault, side)
    return make_seat(job, Springing(side, slope, length, vault.thickness, bearings))


def make_seat(job: Job, at: Springing) -> Seat:
    """The seat of a springing. Raises TimbrelError as `plan_seat` does."""
    stated, slope = job.seat, at.slope
    kind = seat_kind(job, slope)
    depth = height = out = debris = 0.0
    if kind == "chase":
        if abs(slope) > STEEP:
            raise TimbrelError(
                say(
                    "seat.kind is 'chase' and the curve springs at {slope:angle}: a chase square "
                    "to it would run far up the wall; give 'corbel' or 'ledger', or a lower rise.",
                    slope=slope,
                ),
                key="seat.kind",
            )
        section = chase_section(slope, at.thickness, stated.depth, stated.clearance)
        depth = float(section[:, 0].max())
        height = float(section[3, 1] - section[0, 1])
        refuse_depth(job, at.side, depth)
        debris = polygon_area(section) * at.length * BULKING
    else:
        section = bracket_section(slope, at.thickness)
        out = -float(section[:, 0].min())
        height = float(np.ptp(section[:, 1]))
    turns = alternate_bays(at.length, stated.bay, stated.turns, round_about=at.round_about)
    return Seat(
        side=at.side,
        kind=kind,
        slope=slope,
        angle=math.pi / 2 - slope,
        section=section,
        depth=depth,
        height=height,
        stands_out=out,
        length=at.length,
        bays=sum(map(len, turns)),
        turns=turns,
        debris=debris,
        bearing=pressing_most(at.bearings),
        bearings=at.bearings,
        notes=_notes(kind, stated.bay, stated.turns, slope, out),
    )


def _notes(kind: str, bay: float, turns: int, slope: float, out: float) -> tuple[Message, ...]:
    if kind == "chase":
        return (
            say(
                "Cut the chase {bay:length} at a time, one bay in {turns:count}; pack and let each "
                "harden before the bay beside it is opened: the wall is never undercut.",
                bay=bay,
                turns=turns,
            ),
            say(
                "The seat stands square to the curve, {angle:angle} to the level; try it with the "
                "template. Cut back to sound masonry, brush, wet.",
                angle=math.pi / 2 - slope,
            ),
            say("Cut by hand or with a light tool; no hammering over fresh work."),
        )
    if kind == "corbel":
        courses = math.ceil(1.0 / CORBEL_STEP)
        return (
            say(
                "Each corbelled course stands out by at most a third of its height: {out:length} "
                "needs {height:length} of courses, tailed into the wall.",
                out=out,
                height=out * courses,
            ),
            _before_the_wall(out),
        )
    return (
        say(
            "The ledger carries the whole thrust and weight of the vault through its fixings: an "
            "engineer sizes it and its bolts, and it is tied across or the wall takes the thrust."
        ),
        _before_the_wall(out),
    )


def _before_the_wall(out: float) -> Message:
    """Where the curve springs when its seat stands before the wall."""
    return say(
        "The curve springs from the front edge: the room's measures are taken there, and the face "
        "of the wall stands {out:length} behind it.",
        out=out,
    )
