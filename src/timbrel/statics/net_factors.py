"""Load factors of all patterns, by nets as fine as they need to be.

Every net gives a lower bound, so a pattern that carries more in a coarse net than the governing one
in a fine net cannot govern: it is told as it came from its coarse net, and so is how coarse that was.
The pattern with the least factor is solved on the next finer net, again and again, until it is the
least still and two nets differ by less than 3 %. Where one or two patterns govern and a mechanism is
near, they are followed on until the bounds are within 3 % too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.certificate import Certificate, certify
from timbrel.statics.certificate_check import CertificateReport, check_certificate
from timbrel.statics.mechanism_bound import UpperBound, upper_bound
from timbrel.statics.net import Net, NetAnswer
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_rungs import Rung, Rungs, mirrored
from timbrel.words import Message, Progress, say

FOLLOWED = 15.0  # times the wanted factor: what lies past it is not followed
OPENED = 4.0  # the same of an opened vault, which has few symmetries and no mechanism that is near
FEW = 2  # patterns that govern together: the bounds of more are not closed in on
NEAR = 0.1  # gap of the bounds that a finer net may close
NOT_GOVERNING = say("This load does not govern: the net carries it further.")
NO_FURTHER = say("This load was followed no further than the net carries it.")
DIFFERENCE_MOST = 0.03  # between two finenesses, at which the finer is fine enough


@dataclass(frozen=True)
class NetFactor:
    """The load factor of one pattern.

    static: of the net (infinite when nothing bounds it); more: it carries more, but was not followed
    past :func:`followed_over`. rigid: the same with the strength left out. steps:
    fineness of that net; coarser: the same of the next coarser net, None where the coarsest was
    enough. upper: the mechanism, or why
    there is none. alike: key of the pattern whose mirror image it is. report: of the certificate,
    re-checked without the solver. overshoot: by how much (m) a block of stress is too deep, at most
    zero; None without a crushing strength.
    """

    pattern: str
    title: Message
    static: float
    coarser: float | None
    upper: UpperBound
    answer: NetAnswer
    certificate: Certificate
    report: CertificateReport
    net: Net
    steps: int
    overshoot: float | None
    alike: str | None = None

    @property
    def kinematic(self) -> float | None:
        return self.upper.factor

    @property
    def more(self) -> bool:
        return self.answer.more

    @property
    def rigid(self) -> float:
        return self.answer.rigid

    @property
    def gap(self) -> float | None:
        """Distance of the bounds over the static one, both without a limit on the strength or both
        with it; None without an upper bound. Where the static one was followed no further they may
        lie nearer."""
        lower = self.static if self.upper.crushes else self.rigid
        if self.kinematic is None or not np.isfinite(lower) or lower <= 0:
            return None
        return (self.kinematic - lower) / lower

    @property
    def difference(self) -> float | None:
        """Relative difference to the coarser net; nothing where this one carries all that is followed:
        what it carries past that is not told."""
        if self.coarser is None:
            return None
        return 0.0 if self.more else difference(self.static, self.coarser)


def followed_over(job: Job) -> float:
    """The multiple of a variable load past which no net of a job is followed."""
    most = OPENED if job.openings else FOLLOWED
    return most * job.loads.factors.load_factor_least


def difference(fine: float, coarse: float) -> float:
    """Relative difference of two load factors; two that nothing bounds do not differ."""
    if not (np.isfinite(fine) and np.isfinite(coarse)):
        return 0.0 if np.isfinite(fine) == np.isfinite(coarse) else 1.0
    return abs(fine - coarse) / max(fine, 1e-12)


def governing(factors: Iterable[NetFactor]) -> NetFactor | None:
    """The pattern with the least load factor; of those that were followed no further the one that
    came there on the finest net."""
    return min(factors, key=lambda f: (_told_to(f.static), -f.steps), default=None)


def _told_to(factor: float) -> float:
    """A factor to six figures: past them, which of two patterns alike is less is the solver's whim."""
    return float(f"{factor:.6g}")


@dataclass(frozen=True)
class _Found:
    """What a pattern came to so far. rung: number of its net; alike: pattern that it mirrors."""

    load: NetLoad
    rung: int
    answer: NetAnswer | None
    coarser: float | None
    alike: str | None = None

    @property
    def factor(self) -> float:
        return 0.0 if self.answer is None else self.answer.factor

    @property
    def settled(self) -> bool:
        return self.coarser is not None and difference(self.factor, self.coarser) < DIFFERENCE_MOST


def load_factors(
    job: Job, vault: Any, rungs: Rungs, first: int, progress: Progress
) -> tuple[NetFactor, ...]:
    """The load factor of every pattern; none where no net carries the dead load.

    first: number of the coarsest net that carries the dead load.
    """
    followed = followed_over(job)
    found = _screened(rungs[first], first, followed, progress)
    while found:
        least = _least(found)
        if least.rung + 1 == len(rungs) or least.settled or _past(least):
            break
        progress(say("A finer net for the load that governs"), 0.4 + 0.5 * least.rung / len(rungs))
        found[least.load.key] = _finer(rungs, least, least.rung + 1, followed)
    if all(f.answer is None for f in found.values()):
        return ()
    least = _least(found)
    uppers = {least.load.key: _bound(job, vault, least)}
    group = _near(found, least)
    if len(group) <= FEW:
        uppers |= {f.load.key: _bound(job, vault, f) for f in group if f is not least}
        while least.rung + 1 < len(rungs) and _apart(group, uppers):
            progress(say("A finer net, to close in on the mechanism"), 0.9)
            rung = least.rung + 1
            group = [_finer(rungs, one, rung, followed) for one in group]
            found |= {one.load.key: one for one in group}
            least = _least(found)
            if least.load.key not in uppers:
                break
    told = {
        key: _told(rungs[one.rung], one, uppers.get(key, UpperBound(None, NOT_GOVERNING)))
        for key, one in found.items()
        if one.alike is None and one.answer is not None
    }
    for key, one in found.items():
        if one.alike is not None and one.alike in told:
            told[key] = replace(told[one.alike], pattern=key, title=one.load.title, alike=one.alike)
    return tuple(told[key] for key in found if key in told)


def _least(found: dict[str, _Found]) -> _Found:
    """Of those that were followed no further the one that came there on the finest net."""
    told = (f for f in found.values() if f.alike is None)
    return min(told, key=lambda f: (_told_to(f.factor), -f.rung))


def _past(one: _Found) -> bool:
    """Was it followed on finer nets until it carried all that is followed."""
    return one.coarser is not None and one.answer is not None and one.answer.more


def _near(found: dict[str, _Found], least: _Found) -> list[_Found]:
    """The patterns within 3 % of the least, the least first; it alone when it was followed no
    further."""
    if least.answer is None or least.answer.more:
        return [least]
    most = (1 + DIFFERENCE_MOST) * least.factor
    return [least] + [
        f for f in found.values() if f.alike is None and f is not least and f.factor <= most
    ]


def _finer(rungs: Rungs, one: _Found, number: int, followed: float) -> _Found:
    """The same pattern on a finer net; the coarser answer is the one of the net before it."""
    rung = rungs[number]
    load = rung.pattern(one.load.key) or one.load
    coarser = one.factor
    if one.rung + 1 < number:
        before = rungs[number - 1]
        answer = before.question(before.pattern(one.load.key)).load_factor(followed)
        coarser = 0.0 if answer is None else answer.factor
    answer = rung.question(load).load_factor(followed)
    return replace(one, load=load, rung=number, answer=answer, coarser=coarser)


def _apart(group: list[_Found], uppers: dict[str, UpperBound]) -> bool:
    """Are the bounds of a governing pattern so far apart that a finer net may bring them nearer."""
    for one in group:
        upper = uppers[one.load.key]
        if upper.factor is not None and one.answer is not None:
            lower = one.answer.factor if upper.crushes else one.answer.rigid
            gap = upper.factor / max(lower, 1e-12) - 1
            if DIFFERENCE_MOST < gap < NEAR:
                return True
    return False


def _screened(rung: Rung, number: int, followed: float, progress: Progress) -> dict[str, _Found]:
    """Every pattern on one net; mirror images are solved once."""
    found: dict[str, _Found] = {}
    patterns = rung.acts.patterns
    for k, load in enumerate(patterns):
        progress(say("Load factors of the net"), 0.4 * k / len(patterns))
        twin = next(
            (
                f
                for f in found.values()
                if f.alike is None and mirrored(rung.net, rung.acts.dead, f.load, load)
            ),
            None,
        )
        if twin is not None:
            found[load.key] = replace(twin, load=load, alike=twin.load.key)
        else:
            answer = rung.question(load).load_factor(followed)
            found[load.key] = _Found(load, number, answer, None)
    return found


def _bound(job: Job, vault: Any, found: _Found) -> UpperBound:
    if found.answer is None:
        return UpperBound(None, NO_FURTHER)
    if found.answer.more:
        # It carries far more than is wanted: only what is soon found is worth the time.
        quick = upper_bound(job, vault, found.load.key, thorough=False)
        return quick if quick.factor is not None else UpperBound(None, NO_FURTHER)
    return upper_bound(job, vault, found.load.key, found.answer.rigid)


def _told(rung: Rung, found: _Found, upper: UpperBound) -> NetFactor:
    load, net, answer = found.load, rung.net, found.answer
    assert answer is not None
    load = rung.pattern(load.key) or load
    strength = 0.0 if rung.crushing is None else rung.crushing.strength
    certificate = certify(load.key, net, answer, rung.acts.dead, load, strength)
    return NetFactor(
        load.key,
        load.title,
        answer.factor,
        found.coarser,
        upper,
        answer,
        certificate,
        check_certificate(certificate, net.solid.offset),
        net,
        rung.steps,
        None if rung.crushing is None else rung.crushing.overshoot(answer.force),
    )
