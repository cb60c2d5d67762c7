"""Is the chase too deep for its wall; does it bear what presses on it; does the shell slide off."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.site.seat import Bearing, Seat
from timbrel.site.seat_walls import wall_name, wall_of_seat
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

CHASE_MOST = 1 / 3
"""Deepest chase over the wall's thickness (from memory, common practice)."""


def seat_checks(job: Job, seat: Seat) -> tuple[Check, ...]:
    """Depth of the chase against the wall; bearing on the seat under the worst thrust, least or
    greatest; before the wall, where no chase holds the shell, friction against sliding off."""
    wall, where = wall_of_seat(job, seat.side), wall_name(seat.side)
    checks = []
    if seat.kind == "chase":
        limit = None if wall.thickness is None else wall.thickness * CHASE_MOST
        reason = (
            say("The thickness of the wall is not given: walls.{side}.thickness.", side=seat.side)
            if limit is None
            else say(
                "At most a third of the wall, cut one bay in {turns:count}.", turns=job.seat.turns
            )
        )
        checks.append(
            judge(
                f"site.seat.{seat.side}.depth",
                say("{wall}: depth of the chase", wall=where),
                seat.depth,
                limit,
                kind="length",
                at_least=False,
                reason=reason,
                source="common practice, from memory",
            )
        )
    bearing = seat.bearing
    if bearing is None:
        reason = say("The vault has no thrust line, so the pressure on the seat is not known.")
    elif job.seat.bearing is None:
        reason = say("The bearing strength of the wall is not given: seat.bearing.")
    else:
        reason = say(
            "{force:line_load} square to the seat on {width:length}, half of it, under the {bound} "
            "thrust ({load}).",
            force=bearing.force,
            width=bearing.pressed,
            bound=bound_name(bearing),
            load=bearing.load,
        )
    checks.append(
        judge(
            f"site.seat.{seat.side}.bearing",
            say("{wall}: pressure on the seat", wall=where),
            bearing.pressure if bearing else None,
            job.seat.bearing,
            kind="stress",
            at_least=False,
            reason=reason,
            source="resultant at the edge of the middle third: 2 N/t",
        )
    )
    if seat.kind != "chase":
        checks.append(_slip(job, seat))
    return tuple(checks)


def _slip(job: Job, seat: Seat) -> Check:
    """The wall behind a corbel or a ledger stops the shell outward; inward only friction does."""
    worst = max(seat.bearings, key=lambda b: b.slip_inward, default=None)
    if worst is None:
        reason = say("The vault has no thrust line, so the friction on the seat is not known.")
    else:
        reason = say(
            "Into the room, under the {bound} thrust ({load}); outward the wall behind stops it.",
            bound=bound_name(worst),
            load=worst.load,
        )
    return judge(
        f"site.seat.{seat.side}.slip",
        say("{wall}: friction against sliding off the seat", wall=wall_name(seat.side)),
        worst.slip_inward if worst else None,
        wall_of_seat(job, seat.side).friction,
        kind="ratio",
        at_least=False,
        reason=reason,
        source="equilibrium on the plane of the seat, derived",
    )


def bound_name(state: Bearing) -> Message:
    """Which of the two extreme states."""
    return say("least") if state.bound == "least" else say("greatest")
