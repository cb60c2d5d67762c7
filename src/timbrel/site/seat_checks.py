"""Is the chase too deep for its wall; does the wall bear what presses on the seat."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.site.seat import Seat
from timbrel.site.seat_walls import wall_name, wall_of_seat
from timbrel.verdict import Check, judge
from timbrel.words import say

CHASE_MOST = 1 / 3
"""Deepest chase over the wall's thickness (from memory, common practice)."""


def seat_checks(job: Job, seat: Seat) -> tuple[Check, ...]:
    """Depth of the chase against the wall; bearing on the seat under the worst thrust."""
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
            "{force:line_load} square to the seat on {width:length}, half of it, under {load}.",
            force=bearing.force,
            width=bearing.pressed,
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
    return tuple(checks)
