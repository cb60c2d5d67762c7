"""Does the pier bear the corner's seat; does the springer slide on it; is too much cut away."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.site.corner_seat import CornerSeat, CornerThrust
from timbrel.site.corner_stated import pier_side
from timbrel.site.seat_checks import CHASE_MOST
from timbrel.statics.net_supports import wall_at
from timbrel.verdict import Check, judge
from timbrel.words import Message, say


def corner_checks(job: Job, seat: CornerSeat) -> tuple[Check, ...]:
    """Depth of the pocket, pressure on the seat, friction that the thrust asks of it."""
    checks = () if seat.kind == "corbel" else (_depth(job, seat),)
    return (*checks, _bearing(job, seat), _slip(job, seat))


def _depth(job: Job, seat: CornerSeat) -> Check:
    side, key = pier_side(job, seat.corner)
    reason = (
        say("The side of the pier is not given: {key}.", key=key)
        if side is None
        else say("At most a third of the pier, one corner open at a time.")
    )
    return judge(
        f"site.seat.{seat.corner}.depth",
        say("Corner {corner}: depth of the pocket", corner=seat.corner),
        seat.depth,
        None if side is None else side * CHASE_MOST,
        kind="length",
        at_least=False,
        reason=reason,
        source="common practice, from memory",
    )


def _bearing(job: Job, seat: CornerSeat) -> Check:
    worst = seat.worst
    if worst is None:
        reason = _unknown()
    elif job.seat.bearing is None:
        reason = say("The bearing strength of the wall is not given: seat.bearing.")
    elif seat.borne < 0.999:
        key = pier_side(job, seat.corner)[1]
        reason = say(
            "{force:force} square to the seat, {width:length} by {thick:length}, of which "
            "{share:percent} lies on the pier, under the {bound} thrust ({load}); a smaller {key}_out "
            "brings the pier under it.",
            force=worst.square,
            width=seat.width,
            thick=seat.thickness,
            share=seat.borne,
            bound=bound_name(worst),
            load=worst.load,
            key=key,
        )
    else:
        reason = say(
            "{force:force} square to the seat, {width:length} by {thick:length}, under the {bound} "
            "thrust ({load}).",
            force=worst.square,
            width=seat.width,
            thick=seat.thickness,
            bound=bound_name(worst),
            load=worst.load,
        )
    return judge(
        f"site.seat.{seat.corner}.bearing",
        say("Corner {corner}: pressure on the seat", corner=seat.corner),
        worst.pressure if worst else None,
        job.seat.bearing,
        kind="stress",
        at_least=False,
        reason=reason,
        source="resultant at the edge of the middle third: twice the mean",
    )


def _slip(job: Job, seat: CornerSeat) -> Check:
    worst, (wall, _) = seat.slipping, wall_at(job, seat.corner)
    reason = (
        _unknown()
        if worst is None
        else say(
            "The {bound} thrust ({load}) comes at {lean:angle} to the level on a seat at "
            "{angle:angle}.",
            bound=bound_name(worst),
            load=worst.load,
            lean=worst.lean,
            angle=seat.angle,
        )
    )
    return judge(
        f"site.seat.{seat.corner}.slip",
        say("Corner {corner}: friction that the seat is asked for", corner=seat.corner),
        worst.slip if worst else None,
        wall.friction,
        kind="ratio",
        at_least=False,
        reason=reason,
        source="equilibrium on the plane of the seat, derived",
    )


def bound_name(state: CornerThrust) -> Message:
    """Which of the two extreme states."""
    return say("least") if state.bound == "least" else say("greatest")


def _unknown() -> Message:
    return say("The vault has no state of compression, so its thrust is not known.")
