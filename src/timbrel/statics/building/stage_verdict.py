"""What a stage of a vault on a plan asks of the bond, against the bond that is there by then."""

from __future__ import annotations

import math
from dataclasses import replace

from timbrel.job.model import Job
from timbrel.statics.building.surface_stage import Stage, StageAnswer
from timbrel.statics.maturity import BondStrength
from timbrel.verdict import Verdict
from timbrel.words import Message, say


def holds_bare(stage: Stage, stands: bool) -> Message:
    """What holds a stage whose guides need not stand, or do not."""
    if stands:
        return (
            say("compression, and the boxes of the openings wedged on their props")
            if stage.box
            else say("compression alone: nothing need stand under it")
        )
    return (
        say(
            "the bond, and the boxes of the openings wedged on their props: leave the guides under it "
            "until it has the strength"
        )
        if stage.box
        else say("the bond alone: leave the guides under it until it has the strength")
    )


def judged_stage(answer: StageAnswer, job: Job, strength: BondStrength | None) -> StageAnswer:
    """Compare what a stage asks with the bond that is there by then."""
    building = job.building
    buckles = answer.buckling is not None and answer.buckling < building.buckling_least
    if answer.net:
        found = replace(answer, ratio=0.0, wait=0.0, verdict=Verdict.HOLDS, reason=answer.case)
    elif strength is None:
        reason = say(
            "asks {tension:stress} of the bond ({case}); the binder has no bond tests",
            tension=answer.tension,
            case=answer.case,
        )
        found = replace(answer, reason=reason)
    else:
        found = _against_bond(answer, job, strength)
    if buckles:
        reason = say("it may buckle: factor {factor:ratio}", factor=answer.buckling)
        return replace(found, verdict=Verdict.FAILS, reason=reason)
    return found


def _against_bond(answer: StageAnswer, job: Job, strength: BondStrength) -> StageAnswer:
    at_c, limit = job.site.temperature_c, job.building.ratio_most
    wait = strength.age_for(answer.tension / limit, at_c)
    age = answer.stage.age if answer.stage.age is not None else wait
    there = strength.at_age(age, at_c)  # an endless wait meets the most the bond ever has
    ratio = answer.tension / there if there > 0 else (math.inf if answer.tension else 0.0)
    if answer.stage.age is None and math.isfinite(wait):
        ratio = min(ratio, limit)  # at that age it is the limit, but for rounding
    return replace(
        answer,
        strength=there,
        ratio=ratio,
        wait=wait,
        verdict=Verdict.HOLDS if ratio <= limit * (1 + 1e-6) else Verdict.FAILS,
        reason=say(
            "asks {tension:stress} of {there:stress} bond ({case})",
            tension=answer.tension,
            there=there,
            case=answer.case,
        )
        if answer.stage.age is not None or not math.isfinite(wait)
        else say(
            "asks {tension:stress} of the bond, which its youngest joint has at {wait:minutes} "
            "({case})",
            tension=answer.tension,
            wait=wait,
            case=answer.case,
        ),
    )
