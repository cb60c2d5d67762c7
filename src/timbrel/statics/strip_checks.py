"""Verdicts on the strips of a vault."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job, Loads
from timbrel.statics.crushing import needed_strengths
from timbrel.statics.expressions import by_pair, design_pairs
from timbrel.statics.patterns import KINDS, PatternKind
from timbrel.statics.placed import placed_loads
from timbrel.statics.strip_answer import STANDS, Bounded, StripAnswer
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.station import Station

SAFE = "safe theorem, Heyman 1966"
GAP_MOST = 0.01


def strip_checks(job: Job, worst: Station, every: Sequence[StripAnswer]) -> tuple[Check, ...]:
    """Does it stand; how much it carries; how much thickness it could lose; how sure we are."""
    checks = [_stands(min(every, key=lambda a: a.share_of_dead)), _geometric(job, every)]
    checks += [_pattern(job, every, kind) for kind in _asked(job.loads)]
    checks.append(_gap(every))
    checks.append(_crushing(job, worst))
    return tuple(checks)


def _asked(loads: Loads) -> list[PatternKind]:
    """Kinds of pattern that the job asks for."""
    placed = any(not load.permanent for _, load in placed_loads(loads))
    return [k for k in KINDS if k in loads.patterns or (k == "placed" and placed)]


def _stands(answer: StripAnswer) -> Check:
    if answer.stands:
        reason = say("A thrust line lies inside the thickness all along.")
    elif answer.geometric is not None:
        reason = say(
            "There is no thrust line under the dead load: it would take a thickness of "
            "{need:length}.",
            need=answer.geometric.least_thickness,
        )
    else:
        reason = say("There is no thrust line under the dead load at any thickness: joints slide.")
    return judge(
        "statics.stands",
        say("Share of the dead load that has a thrust line"),
        answer.share_of_dead,
        STANDS,
        kind="percent",
        reason=reason,
        source=SAFE,
        led=True,
    )


def _geometric(job: Job, every: Sequence[StripAnswer]) -> Check:
    title = say("Geometric factor: thickness over least thickness")
    limit = job.loads.factors.geometric_least
    source = "Heyman 1966; limit loads.factors.geometric_least"
    found = [a.geometric for a in every if a.geometric is not None]
    if len(found) < len(every):
        reason = say("No thickness would do: joints slide.")
        return judge(
            "statics.geometric", title, 0.0, limit, kind="ratio", reason=reason, source=source
        )
    worst = min(found, key=lambda g: g.factor)
    reason = say(
        "Least thickness {least:length} under: {load}. The shell is thinned about its middle, "
        "loads kept, no crushing.",
        least=worst.least_thickness,
        load=worst.title,
    )
    return judge(
        "statics.geometric", title, worst.factor, limit, kind="ratio", reason=reason, source=source
    )


def _pattern_title(kind: PatternKind) -> Message:
    if kind == "full":
        return say("Load factor, imposed load on the full span")
    if kind == "half":
        return say("Load factor, imposed load on half the span")
    if kind == "line":
        return say("Load factor, line load anywhere on the span")
    return say("Load factor, loads placed in plan")


def _pattern(job: Job, every: Sequence[StripAnswer], kind: PatternKind) -> Check:
    name, title = f"statics.load_factor.{kind}", _pattern_title(kind)
    limit = job.loads.factors.load_factor_least
    source = f"{SAFE}; limit loads.factors.load_factor_least"

    def answer(value: float | None, reason: Message) -> Check:
        return judge(name, title, value, limit, kind="ratio", reason=reason, source=source)

    if not all(a.stands for a in every):
        return answer(0.0, say("The vault does not carry its dead load."))
    found = [p for a in every for p in a.patterns if p.kind == kind]
    if not found:
        return answer(None, say("The job states no such load."))
    worst = min(found, key=lambda p: p.static)
    if not np.isfinite(worst.static):
        return answer(worst.static, say("Nothing short of crushing bounds this load."))
    if worst.kinematic is None:
        reason = say("{load}; no mechanism was found: no upper bound.", load=worst.title)
        return answer(worst.static, reason)
    reason = say(
        "{load}. Thrust line {static:ratio}, mechanism {kinematic:ratio}.",
        load=worst.title,
        static=worst.static,
        kinematic=worst.kinematic,
    )
    return answer(worst.static, reason)


def bounded_answers(answer: StripAnswer) -> list[Bounded]:
    """Every answer of a strip that should have both bounds."""
    found = [b for b in (answer.least_thrust, answer.greatest_thrust) if b is not None]
    if answer.geometric is not None:
        found.append(answer.geometric.answer)
    for kind in KINDS:
        worst = answer.worst(kind)
        if worst is not None and np.isfinite(worst.static):
            found.append(worst.answer)
    return found


def _gap(every: Sequence[StripAnswer]) -> Check:
    gaps = [b.gap for a in every for b in bounded_answers(a)]
    known = [g for g in gaps if g is not None]
    value = max(known) if known and len(known) == len(gaps) else None
    if value is None:
        reason = say("Not every answer has a mechanism: some have no upper bound.")
    else:
        reason = say("Thrust lines and mechanisms come from separate computations.")
    return judge(
        "statics.bounds",
        say("Gap between thrust line and mechanism"),
        value,
        GAP_MOST,
        kind="percent",
        reason=reason,
        source="uniqueness theorem, Heyman 1966",
        at_least=False,
    )


def _crushing(job: Job, worst: Station) -> Check:
    """Strength needed under the design loads, dead load unfavourable, over the strength there is."""
    title = say("Share of the crushing strength that the design loads need")
    strength = job.masonry.crushing
    if strength is None:
        value, reason = None, say("The job states no masonry.crushing.")
    elif not worst.answer.stands:
        value, reason = None, say("There is no thrust line.")
    else:
        needed, load = _needed(job, worst)
        value = needed / strength
        reason = say("Governed by: {load}.", load=load)
    return judge(
        "statics.crushing",
        title,
        value,
        1.0,
        kind="percent",
        reason=reason,
        source="stress block, EN 1996-1-1:2005 6.1.1; EN 1990 expressions 6.10a and 6.10b"
        if by_pair(job.loads)
        else "stress block, EN 1996-1-1:2005 6.1.1; EN 1990 expression 6.10",
        at_least=False,
    )


def _needed(job: Job, worst: Station) -> tuple[float, Message]:
    """Strength needed under the dead load with the full load, and with the worst of each kind."""
    acts, answer = worst.actions, worst.answer
    strip, pairs = acts.strip, design_pairs(job.loads)
    loads = {p.load.key: p.load.wrench for p in acts.patterns}
    patterns = [p for p in (answer.worst(kind) for kind in KINDS) if p is not None]
    cases = [job.loads.factors.permanent * acts.dead]
    cases += [
        pair.permanent * acts.dead + pair.imposed * loads[p.pattern]
        for pair in pairs
        for p in patterns
    ]
    needed = needed_strengths([(strip, wrench) for wrench in cases])
    most = int(np.argmax(needed))
    return needed[most], patterns[(most - 1) % len(patterns)].title if most else say(
        "Dead load alone"
    )
