"""Verdicts on the springing walls under the unfactored thrusts."""

from __future__ import annotations

from timbrel.job.model import Factors, Wall
from timbrel.statics.walls import AnySide, WallState, missing_data
from timbrel.verdict import Check, judge
from timbrel.words import Message, cite, say


def wall_checks(
    wall: Wall, side: AnySide, states: tuple[WallState, ...], factors: Factors
) -> tuple[Check, ...]:
    """Verdicts on one wall, each under the thrust that governs it."""
    reason = missing_data(wall, side)
    if reason is None and not states:
        reason = say("The vault has no thrust line, so its thrust is not known.")
    if reason is not None:
        return tuple(
            judge(
                f"walls.{side}.{name}",
                title,
                None,
                limit,
                kind="ratio",
                reason=reason,
                source=source,
                at_least=at_least,
            )
            for name, title, limit, source, at_least in _rows(side, factors)
        )
    values = {
        "middle_third": max(states, key=lambda s: s.middle_third),
        "edge": max(states, key=lambda s: s.edge),
        "sliding": min(states, key=lambda s: s.sliding),
        "overturning": min(states, key=lambda s: s.overturning),
    }
    return tuple(
        judge(
            f"walls.{side}.{name}",
            title,
            float(getattr(values[name], name)),
            limit,
            kind="ratio",
            reason=_reason(name, values[name]),
            source=source,
            at_least=at_least,
        )
        for name, title, limit, source, at_least in _rows(side, factors)
    )


def _rows(side: AnySide, factors: Factors) -> tuple[tuple[str, Message, float, str, bool], ...]:
    """Name, title, limit, source and sense of each check of a wall."""
    names = {
        "left": say("Left wall"),
        "right": say("Right wall"),
        "near": say("Near wall"),
        "far": say("Far wall"),
        "ring": say("Drum under the ring"),
    }
    where = names[side]
    return (
        (
            "middle_third",
            say("{wall}: resultant within the middle third, share of it used", wall=where),
            1.0,
            cite("middle third, no tension (common rule)"),
            False,
        ),
        (
            "edge",
            say("{wall}: resultant within the thickness, share of it used", wall=where),
            1.0,
            cite("Heyman 1966, no tension"),
            False,
        ),
        (
            "sliding",
            say("{wall}: factor against sliding on a bed", wall=where),
            factors.sliding_least,
            cite("friction of a bed, common practice; limit loads.factors.sliding_least"),
            True,
        ),
        (
            "overturning",
            say("{wall}: factor against overturning, cracked", wall=where),
            factors.overturning_least,
            cite(
                "cracked wall, derived (docs/statics-strip.md); limit "
                "loads.factors.overturning_least"
            ),
            True,
        ),
    )


def _reason(name: str, state: WallState) -> Message:
    bound = say("least") if state.case.bound == "least" else say("greatest")
    if name == "middle_third" and state.opens is not None:
        return say(
            "Under the {bound} thrust, {thrust:line_load} ({load}), the inner face opens from "
            "{depth:length} under the springing.",
            bound=bound,
            thrust=state.force.level,
            load=state.case.title,
            depth=state.opens,
        )
    if name == "overturning":
        return say(
            "Under the {bound} thrust, {thrust:line_load} ({load}); a block that could not crack "
            "would have {rigid:ratio}.",
            bound=bound,
            thrust=state.force.level,
            load=state.case.title,
            rigid=state.rigid,
        )
    return say(
        "Under the {bound} thrust, {thrust:line_load} ({load}).",
        bound=bound,
        thrust=state.force.level,
        load=state.case.title,
    )
