"""What the stages of a vault on a plan come to, as checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from timbrel.job.model import Job
from timbrel.statics.building.building_checks import hold_check, lifts_check, untested_bond
from timbrel.statics.building.lifts import Lifts
from timbrel.statics.building.surface_holding import SurfaceHolding
from timbrel.statics.building.surface_stage import StageAnswer
from timbrel.statics.maturity import BondStrength
from timbrel.verdict import Check, Verdict, judge
from timbrel.words import Message, say

SOURCE = (
    "net of struts on what is laid (Heyman 1966); elastic shell against the binder's own bond tests"
)


def surface_checks(
    job: Job,
    worst: Sequence[StageAnswer],
    holding: SurfaceHolding,
    lifts: Lifts | None,
    strength: BondStrength | None,
) -> tuple[Check, ...]:
    """Closed courses, open courses, the closed layer eased, its spread, buckling, holding, later
    layers by the proposed order, lifts of fill."""
    names: tuple[tuple[str, str, Message], ...] = (
        ("building.course", "course",
         say("Closed courses of the first layer: share of the bond")),
        ("building.open", "open", say("Course that hangs unclosed: share of the bond")),
        ("building.eased", "eased",
         say("First layer with nothing under it: share of the bond")),
        ("building.spread", "spread",
         say("First layer closed, its springings spread: share of the bond")),
        ("building.layer", "layer", say("Later layer as it advances: share of the bond")),
    )  # fmt: skip
    checks = []
    for name, operation, title in names:
        group = [a for a in worst if a.stage.operation == operation]
        if group:
            checks.append(_bond_check(job, name, title, group, strength))
    checks += [_struck_check(a) for a in worst if a.stage.operation == "struck"]
    checks.append(
        judge(
            "building.buckling",
            say("Buckling of the single layer"),
            min(a.buckling for a in worst if a.buckling is not None),
            job.building.buckling_least,
            kind="ratio",
            reason=say("first layer alone, young joints"),
            source="Timoshenko and Gere 1961, art. 7.4; Karman and Tsien 1939",
        )
    )
    checks.append(hold_check(job, holding.hand, untested_bond(job)))
    if lifts is not None:
        checks.append(
            lifts_check(job, lifts, say("a net of struts must exist at every pair of levels"))
        )
    return tuple(checks)


def unjudged(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """The checks of a vault whose stages no net goes round its openings for: they were followed for the
    whole shell, so nothing is judged of them but how a tile is held."""
    reason = say(
        "No net of the stages goes round the openings, so they are followed for the shell without "
        "them; what each opening cuts stands on its box and props until the ring has cured."
    )
    return tuple(
        c if c.name == "building.hold" else replace(
            c, verdict=Verdict.NOT_JUDGED, value=None, reason=reason
        )
        for c in checks
    )  # fmt: skip


def _struck_check(answer: StageAnswer) -> Check:
    """The opened shell without its boxes: a net must lie in it, or the boxes stay."""
    return judge(
        "building.struck",
        say("Boxes of the openings taken away: a net in the opened shell"),
        1.0 if answer.net else 0.0,
        1.0,
        kind="percent",
        reason=say(
            "{stage}: {reason}; held by {holder}",
            stage=answer.stage.title,
            reason=answer.reason,
            holder=answer.holds_by,
        ),
        source="safe theorem, Heyman 1966",
        led=True,
    )


def _bond_check(
    job: Job,
    name: str,
    title: Message,
    group: Sequence[StageAnswer],
    strength: BondStrength | None,
) -> Check:
    answer = max(group, key=lambda a: (a.ratio or 0.0, a.tension))
    known = strength is not None or answer.net
    return judge(
        name,
        title,
        answer.ratio if known else None,
        job.building.ratio_most,
        kind="ratio",
        at_least=False,
        reason=say(
            "{stage}: {reason}; held by {holder}",
            stage=answer.stage.title,
            reason=answer.reason,
            holder=answer.holds_by,
        ),
        source=SOURCE,
        led=bool(answer.wait),
    )
