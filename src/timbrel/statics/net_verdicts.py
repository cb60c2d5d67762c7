"""Verdicts on the proof by a strut net: dead load, load factor, fineness, certificates, strength,
beds and thickness."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.statics.mechanism_dome import DomeMechanism
from timbrel.statics.net_factors import DIFFERENCE_MOST, NetFactor
from timbrel.statics.net_proof import NetProof
from timbrel.statics.net_rungs import STANDS
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

SOURCE = "Heyman 1966, The stone skeleton, safe theorem; strut net, docs/statics-net.md"
OVERSHOOT_MOST = 2e-4  # m: joints are made to a millimetre


def net_checks(job: Job, proof: NetProof) -> tuple[Check, ...]:
    """All verdicts on a proof."""
    return (
        _dead(proof),
        *_load_factor(job, proof),
        *_fineness(proof),
        *_certificates(proof),
        *_strength(job, proof),
        *_beds(job, proof),
        _thickness(job, proof),
    )


def _dead(proof: NetProof) -> Check:
    return judge(
        "net.dead",
        say("Share of the dead load that the strut net carries"),
        proof.share_of_dead,
        STANDS,
        kind="percent",
        reason=proof.wording
        if proof.share_of_dead >= STANDS
        else say("No state of compression inside the vault carries its own weight."),
        source=SOURCE,
        led=True,
    )


def _load_factor(job: Job, proof: NetProof) -> tuple[Check, ...]:
    worst = proof.governing
    if worst is None:
        return ()
    if worst.kinematic is None:
        reason = say(
            "{wording} Governed by: {load}. No upper bound: {why}",
            wording=proof.wording,
            load=worst.title,
            why=worst.upper.reason,
        )
    else:
        told = say(
            "A mechanism bounds it at {upper:ratio}, gap {gap:percent}.",
            upper=worst.kinematic,
            gap=worst.gap or 0.0,
        )
        if _passed(worst):
            told = say(
                "A mechanism bounds it at {upper:ratio}, under the {static:ratio} of the net, which "
                "takes stress as even over a step of its grid: where the strength governs so far, "
                "only that it fails can be judged.",
                upper=worst.kinematic,
                static=worst.static,
            )
        elif worst.more:
            told = say(
                "A mechanism bounds it at {upper:ratio}; the net was followed no further than "
                "{static:ratio}, gap at most {gap:percent}.",
                upper=worst.kinematic,
                static=worst.static,
                gap=worst.gap or 0.0,
            )
        if (
            isinstance(worst.upper.mechanism, DomeMechanism)
            and (worst.gap or 0.0) > DIFFERENCE_MOST
        ):
            told = say("{told} The command `timbrel bounds` looks longer.", told=told)
        reason = say(
            "{wording} Governed by: {load}. {bound}",
            wording=proof.wording,
            load=worst.title,
            bound=told,
        )
    return (
        judge(
            "net.load_factor",
            say("Load factor of the strut net"),
            _judged(worst, job.loads.factors.load_factor_least),
            job.loads.factors.load_factor_least,
            kind="ratio",
            reason=reason,
            source=SOURCE,
        ),
    )


def _passed(worst: NetFactor) -> bool:
    """Does the net carry clearly more than a mechanism lets it."""
    upper = worst.kinematic
    return upper is not None and upper < (1 - DIFFERENCE_MOST) * worst.static


def _judged(worst: NetFactor, wanted: float) -> float | None:
    """The load factor to be judged: the lesser of the bounds; where the net passes a mechanism that
    carries what is wanted, none."""
    if worst.kinematic is None:
        return worst.static
    least = min(worst.static, worst.kinematic)
    return None if _passed(worst) and least >= wanted else least


def _fineness(proof: NetProof) -> tuple[Check, ...]:
    """Of the pattern that governs; the others carry more already in coarser nets."""
    worst = proof.governing
    if worst is None:
        return ()
    screened = sum(f.coarser is None for f in proof.factors)
    reason = say(
        "Of the load that governs. The finer net is told; finer ones carry more. "
        "{count:count} of {all:count} loads carry more than it on the coarsest net "
        "already and were followed no further.",
        count=screened,
        all=len(proof.factors),
    )
    if worst.coarser is not None and worst.static < worst.coarser:
        reason = say(
            "Of the load that governs. The finer net is told, though it carries less than the coarser: "
            "its struts are shorter, and so are the faces that its strength is asked on. "
            "{count:count} of {all:count} loads carry more than it on the coarsest net already and "
            "were followed no further.",
            count=screened,
            all=len(proof.factors),
        )
    if worst.more and worst.coarser is not None:
        reason = say(
            "The finer net carries {factor:ratio} times the load that governs, past which none is "
            "followed; the coarser one {coarser:ratio} times.",
            factor=worst.static,
            coarser=worst.coarser,
        )
    return (
        judge(
            "net.fineness",
            say("Difference to the next coarser net"),
            worst.difference,
            DIFFERENCE_MOST,
            kind="percent",
            at_least=False,
            reason=reason,
            source="common practice, no source",
        ),
    )


def _certificates(proof: NetProof) -> tuple[Check, ...]:
    if not proof.factors:
        return ()
    unsound = [f for f in proof.factors if not f.report.sound]
    residual = max(f.report.residual for f in proof.factors)
    sagitta = max(f.report.sagitta or 0.0 for f in proof.factors)
    return (
        judge(
            "net.certificate",
            say("Greatest force out of balance in the certificates, over the load"),
            residual if not unsound else max(residual, 1.0),
            1e-6,
            kind="ratio",
            at_least=False,
            reason=say(
                "Re-read from the numbers alone, without the solver. Struts lie inside at every "
                "sample; between two samples none rises by more than {sagitta:length}.",
                sagitta=sagitta,
            )
            if not unsound
            else say("A certificate has a fault: {kind}.", kind=unsound[0].report.faults[0]),
            source="statics, equilibrium",
        ),
    )


def _strength(job: Job, proof: NetProof) -> tuple[Check, ...]:
    """Does the block of stress find room on every face, in every state that is told."""
    title = say("Depth that blocks of stress lack on the faces of the net")
    source = "Heyman 1982, The masonry arch, ch. 2; docs/statics-net.md"
    if job.masonry.crushing is None or not proof.factors:
        reason = say("The job does not state {keys}.", keys="masonry.crushing")
        return (
            judge("net.crushing", title, None, None, kind="length", reason=reason, source=source),
        )

    def lacking(factor: NetFactor) -> float:
        """By the re-read certificate, which does not know the solver's own figure."""
        return factor.report.lacking if factor.report.lacking is not None else float("inf")

    worst = max(proof.factors, key=lacking)
    reason = say(
        "The load factors are those at which the masonry crushes or the vault turns on hinges, "
        "whichever comes first; strength {strength:pressure}.",
        strength=job.masonry.crushing,
    )
    return (
        judge(
            "net.crushing",
            title,
            max(lacking(worst), 0.0),
            OVERSHOOT_MOST,
            kind="length",
            at_least=False,
            reason=reason,
            source=source,
        ),
    )


def _beds(job: Job, proof: NetProof) -> tuple[Check, ...]:
    """Only where the job puts a limit on what the beds may carry."""
    if proof.limited is None:
        return ()
    limits: list[Message] = []
    if job.masonry.bed_tension is not None:
        limits.append(say("tension {most:pressure}", most=job.masonry.bed_tension))
    if job.masonry.bed_shear is not None:
        limits.append(say("shear {most:pressure}", most=job.masonry.bed_shear))
    if len(limits) == 2:
        told = say("{first}, {second}", first=limits[0], second=limits[1])
    else:
        told = limits[0]
    return (
        judge(
            "net.bed_limit",
            say("Load factor within the limits on the beds"),
            proof.limited,
            job.loads.factors.load_factor_least,
            kind="ratio",
            reason=say("The job lets the beds carry at most: {limits}.", limits=told),
            source=SOURCE,
        ),
    )


def _thickness(job: Job, proof: NetProof) -> Check:
    return judge(
        "net.thickness",
        say("Geometric factor: thickness over the least that stands"),
        proof.thickness.factor if proof.thickness else 0.0,
        job.loads.factors.geometric_least,
        kind="ratio",
        reason=say("Thinned about its middle under the whole dead load."),
        source=SOURCE,
    )
