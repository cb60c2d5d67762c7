"""What the stages come to, as checks."""

from __future__ import annotations

from collections.abc import Sequence

from timbrel.job.model import Job
from timbrel.statics.building.holding import Holding
from timbrel.statics.building.lifts import Lifts
from timbrel.statics.building.orders import Order
from timbrel.statics.building.state import StateAnswer
from timbrel.statics.maturity import BondStrength
from timbrel.verdict import Check, judge
from timbrel.words import Message, say


def building_checks(
    job: Job,
    arch_answers: Sequence[StateAnswer],
    answers: Sequence[StateAnswer],
    orders: Sequence[Order],
    holding: Holding,
    lifts: Lifts | None,
    strength: BondStrength | None,
) -> tuple[Check, ...]:
    """Closed arch, buckling, holding, later layers by the proposed order, lifts of fill.

    arch_answers: of the arches, each laid as the order of work says.
    """
    limit = job.building.ratio_most
    source = "elastic arch (Karnovsky 2012) against the binder's own bond tests"
    untested = untested_bond(job)
    closed = max(arch_answers, key=lambda a: a.tension)
    checks = [
        judge(
            "building.arch",
            say("Closed arch with nothing under it: share of the bond"),
            closed.ratio if strength or closed.line is not None else None,
            limit,
            kind="ratio",
            at_least=False,
            reason=closed.reason if strength or closed.line is not None else untested,
            source=source,
        ),
        judge(
            "building.buckling",
            say("Buckling of the single layer"),
            min(a.buckling for a in arch_answers),
            job.building.buckling_least,
            kind="ratio",
            reason=say("closed arch of the first layer alone, young joints"),
            source="Timoshenko and Gere 1961, art. 7.4",
        ),
        hold_check(job, holding, untested),
    ]
    if orders:
        later = [a for a in answers if a.state.operation == "layer" and orders[0].passes(a.state)]
        worst = max(later, key=lambda a: (a.ratio or 0.0, a.tension))
        checks.append(
            judge(
                "building.layer",
                say("Later layer as it advances: share of the bond"),
                worst.ratio if strength or worst.line is not None else None,
                limit,
                kind="ratio",
                at_least=False,
                reason=say("{state}: {reason}", state=worst.state.title, reason=worst.reason)
                if strength or worst.line is not None
                else untested,
                source=source,
            )
        )
    if lifts is not None:
        checks.append(
            lifts_check(job, lifts, say("a thrust line must exist at every pair of levels"))
        )
    return tuple(checks)


def untested_bond(job: Job) -> Message:
    """Why nothing is known of the bond."""
    return say(
        "The binder {binder} has no bond tests (bond.ages_h and bond.strengths at three ages or "
        "more): how strong the young joints are is not known.",
        binder=job.layers[0].binder,
    )


def lifts_check(job: Job, lifts: Lifts, wanted: Message) -> Check:
    """Is one lift apart safe? wanted: what must exist at every pair of levels."""
    return judge(
        "building.lifts",
        say("One side of the fill ahead of the other"),
        lifts.safe,
        job.building.lift,
        kind="length",
        reason=wanted
        if lifts.safe is not None
        else say("no thrust line exists even with both sides filled alike"),
        source="safe theorem, Heyman 1966",
        led=True,
    )


def hold_check(job: Job, holding: Holding, untested: Message) -> Check:
    """The trial decides; the bond curve, which counts nothing before the set, can only clear it."""
    most = job.building.hold_most
    value, reason = holding.known, say("a tile at the crown on two fresh edges")
    if holding.trial is None and holding.seconds is None:
        reason = untested
    elif holding.trial is None and value is not None and value > most:
        reason = say(
            "By the bond tests alone, which count nothing before the set, it could be as long as "
            "{bound:minutes}; hold three trial tiles and state the time as building.hold_trial.",
            bound=value,
        )
        value = None
    return judge(
        "building.hold",
        say("Time a tile is held by hand"),
        value,
        most,
        kind="minutes",
        at_least=False,
        reason=reason,
        source="trial on site; bond of the joint by the binder's own tests",
    )
