"""Verdicts on the ties of a vault."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.job.supports import Ties
from timbrel.statics.support_checks import SupportAnswer
from timbrel.statics.ties import TieAnswer
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

PLATE_ENHANCEMENT = 1.25  # least of the bounds of EN 1996-1-1 6.1.3(2) for a load at an edge
DROP_SHARE = 1 / 500  # of the span, crown drop that the ties may cost (common practice, no source)


def tie_checks(
    job: Job,
    tie: TieAnswer | None,
    supports: tuple[SupportAnswer, ...],
    alone: float | None = None,
) -> tuple[Check, ...]:
    """Section, plate and what the stretch costs; nothing without ties.

    alone: multiple of its push that the weaker wall bears without them, in a fire; None: not known.
    """
    ties = job.walls.ties
    if tie is None or ties is None or ties.anchor is None:
        return ()
    strengths = [s.strength for s in supports if s.strength is not None]
    weakest = min((s.design for s in strengths), default=None)
    bearing = say("Strength of the weaker wall under a plate, enhancement 1.25.")
    if weakest is None:
        bearing = say("The job does not state the strength of the walls' masonry.")
    return (
        judge(
            "supports.tie.section",
            say("Ties: share of the resistance used"),
            tie.use,
            1.0,
            kind="percent",
            reason=say(
                "{force:force} a tie; section {gross:force}, thread or hole {net:force}. {fire}",
                force=tie.force,
                gross=tie.gross,
                net=tie.net,
                fire=_fire(ties, alone),
            ),
            source="EN 1993-1-1 6.2.3, EN 1993-1-8 table 3.4",
            at_least=False,
        ),
        judge(
            "supports.tie.bearing",
            say("Ties: pressure of the plate on the masonry"),
            tie.plate_pressure,
            None if weakest is None else PLATE_ENHANCEMENT * weakest,
            kind="stress",
            reason=bearing,
            source="EN 1996-1-1 6.1.3",
            at_least=False,
        ),
        judge(
            "supports.tie.plate",
            say("Ties: thickness of the plate"),
            ties.anchor.thickness,
            tie.plate_needed,
            kind="length",
            reason=say("The plate bends as a cantilever from the nut to its edge."),
            source="EN 1993-1-1 6.2.5, elastic section",
        ),
        judge(
            "supports.tie.drop",
            say("Ties: drop of the crown that their stretch costs"),
            tie.drop,
            tie_span(job) * DROP_SHARE,
            kind="length",
            reason=say(
                "The springings move apart {stretch:length} by load and {warmed:length} by warmth.",
                stretch=tie.stretch,
                warmed=tie.warmed,
            ),
            source="elastic stretch, three hinges (derived); span/500, common practice",
            at_least=False,
        ),
    )


def tie_span(job: Job) -> float:
    """Span against which the drop is judged, m."""
    return max(job.room.AB, job.room.CD)


def _fire(ties: Ties, alone: float | None) -> Message:
    """What a fire would do, or why it need not be feared."""
    if ties.stay == "until cured":
        return say("Until the mortar has cured, under the dead load alone; then it may go.")
    if alone is None:
        return say(
            "A bare tie is lost in a fire; without it the masonry alone must hold, or the tie is "
            "clad."
        )
    return say(
        "A bare tie is lost in a fire. The masonry alone bears {alone:ratio} times its push "
        "under dead and imposed load; where that is under 1 the tie must be clad.",
        alone=alone,
    )
