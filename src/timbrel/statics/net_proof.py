"""The proof of a vault by a strut net: least and greatest thrust, load factors with both bounds, the
geometric factor, what the beds are asked for, and a certificate of every state that is told."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.certificate import Certificate, certify, certify_force
from timbrel.statics.certificate_check import CertificateReport, check_certificate
from timbrel.statics.mechanism_bound import UpperBound, least_share_of_dome, upper_bound
from timbrel.statics.net import Net, NetAnswer, NetQuestion, draw_net
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_bed_program import BedAnswer, BedProgram
from timbrel.statics.net_fineness import LADDER, grid_of
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_solid import Array
from timbrel.statics.net_thickness import NetThickness, least_share
from timbrel.statics.net_vaults import VaultSolid, solid_of
from timbrel.verdict import Check, judge
from timbrel.words import Message, Progress, say, silent

STANDS = 1 - 1e-6
DIFFERENCE_MOST = 0.03  # between two finenesses, at which the coarser is fine enough
FAR = 10.0  # times the wanted factor: what lies over it is not followed to 3 %
SOURCE = "Heyman 1966, The stone skeleton, safe theorem; strut net, docs/statics-net.md"
LAYERS_ACT = say("Lower bound, provided the layers act as one.")


@dataclass(frozen=True)
class NetFactor:
    """The load factor of one pattern.

    static: of the net (infinite when nothing short of crushing bounds it); coarser: the same of
    the next coarser net. upper: the mechanism, or why there is none. alike: key of the pattern whose
    mirror image it is. report: of the certificate, re-checked without the solver.
    """

    pattern: str
    title: Message
    static: float
    coarser: float | None
    upper: UpperBound
    answer: NetAnswer
    certificate: Certificate
    report: CertificateReport
    alike: str | None = None

    @property
    def kinematic(self) -> float | None:
        return self.upper.factor

    @property
    def gap(self) -> float | None:
        """Distance of the bounds over the static one; None without an upper bound."""
        if self.kinematic is None or not np.isfinite(self.static) or self.static <= 0:
            return None
        return (self.kinematic - self.static) / self.static

    @property
    def difference(self) -> float | None:
        """Relative difference to the coarser net."""
        if self.coarser is None:
            return None
        if not np.isfinite(self.static):
            return 0.0 if not np.isfinite(self.coarser) else 1.0
        if not np.isfinite(self.coarser):
            return 1.0
        return abs(self.static - self.coarser) / max(self.static, 1e-12)


@dataclass(frozen=True)
class SupportThrust:
    """What one support takes in the states of least and greatest thrust of the whole vault.

    least, greatest: outward, N a metre of wall, or N on a pier. resultant_least, resultant_greatest:
    (3,) N that the vault puts on it.
    """

    support: str
    kind: str
    length: float
    least: float
    greatest: float
    resultant_least: Array
    resultant_greatest: Array


@dataclass(frozen=True)
class SpotFactor:
    """Greatest load (N) on one spot (2,) in plan, beside the dead load."""

    place: Array
    load: float


@dataclass(frozen=True)
class NetProof:
    """What the net of a vault comes to.

    steps: fineness of the net. factors: by pattern. spots: the point load walked over the plan, on
    the coarsest net. thrusts: by support. thickness: least share that stands; dome: share at which
    lunes fall (domes only). beds: what the beds carry under the wanted factor of the governing
    pattern. symmetries: of vault and loads together, used to make the program smaller.
    """

    net: Net
    steps: int
    actions: NetActions
    share_of_dead: float
    factors: tuple[NetFactor, ...]
    spots: tuple[SpotFactor, ...]
    thrusts: tuple[SupportThrust, ...]
    thickness: NetThickness | None
    dome: float | None
    beds: BedAnswer | None
    beds_pattern: str
    symmetries: int
    wording: Message
    checks: tuple[Check, ...]

    @property
    def governing(self) -> NetFactor | None:
        """The pattern with the least load factor."""
        return min(self.factors, key=lambda f: f.static, default=None)


def quick_net(job: Job, vault: Any) -> tuple[Net, NetAnswer | None]:
    """A coarse answer for the eye: the net of the coarsest fineness under one half loaded (or dead
    load alone without imposed load)."""
    solid = solid_of(vault)
    net, acts = _drawn(job, solid, LADDER[vault.family][0])
    half = _pattern(acts, "half.left")
    question = NetQuestion(net, acts.dead, half)
    return net, question.load_factor() if half else question.thrust(least=True)


def prove_net(job: Job, vault: Any, progress: Progress = silent) -> NetProof:
    """Prove a vault by a net as fine as it needs to be.

    The net is refined until the load factor of the governing pattern changes by less than 3 % (or
    the finest is reached, which the checks then say).
    """
    solid = solid_of(vault)
    progress(say("Drawing the strut net"), 0.0)
    net, acts, steps, coarser = _fine_enough(job, solid, progress)
    share = NetQuestion(net, acts.dead).share_of_dead()
    factors: list[NetFactor] = []
    for k, load in enumerate(acts.patterns):
        progress(say("Load factors of the net"), 0.3 + 0.3 * k / len(acts.patterns))
        found = _factor(job, vault, net, acts, load, coarser.get(load.key), factors)
        if found is not None:
            factors.append(found)
    progress(say("A load on one spot, walked over the net"), 0.6)
    spots = _walk(job, solid)
    progress(say("Thrust on the supports"), 0.75)
    thrusts = _thrusts(net, acts) if share >= STANDS else ()
    progress(say("How thin the vault could be"), 0.8)
    thickness = _thickness(job, solid)
    dome = least_share_of_dome(job, vault) if vault.family == "dome" else None
    progress(say("What the beds are asked for"), 0.9)
    worst = min(factors, key=lambda f: f.static, default=None)
    wanted = job.loads.factors.load_factor_least
    beds = _beds(net, acts, worst, wanted) if share >= STANDS else None
    wording = LAYERS_ACT
    if beds is not None:
        wording = say(
            "Lower bound, provided the layers act as one; bed tension at most {tension:pressure}, "
            "bed shear at most {shear:pressure}.",
            tension=beds.demand.tension,
            shear=beds.demand.shear,
        )
    alike = max((f.answer.alike for f in factors), default=1)
    proof = NetProof(
        net,
        steps,
        acts,
        share,
        tuple(factors),
        spots,
        thrusts,
        thickness,
        dome,
        beds,
        worst.pattern if worst else "",
        alike,
        wording,
        (),
    )
    progress(say("Strut net proved"), 1.0)
    return replace(proof, checks=net_checks(job, proof))


def _drawn(job: Job, solid: VaultSolid, steps: int) -> tuple[Net, NetActions]:
    grid = grid_of(solid, steps)
    return draw_net(solid, grid), net_actions(job, solid, grid)


def _pattern(acts: NetActions, key: str) -> NetLoad | None:
    return next((p for p in acts.patterns if p.key == key), None)


def _fine_enough(
    job: Job, solid: VaultSolid, progress: Progress
) -> tuple[Net, NetActions, int, dict[str, float]]:
    """The coarsest net whose half-loaded factor is within 3 % of the next coarser one's."""
    before: tuple[float, Net, NetActions] | None = None
    ladder = LADDER[solid.vault.family]
    for k, steps in enumerate(ladder):
        progress(say("Drawing the strut net"), 0.3 * k / len(ladder))
        net, acts = _drawn(job, solid, steps)
        half = _pattern(acts, "half.left")
        answer = NetQuestion(net, acts.dead, half).load_factor() if half else None
        factor = answer.factor if answer is not None else 0.0
        if before is not None:
            settled = factor == before[0] or (
                np.isfinite(factor)
                and abs(factor - before[0]) < difference_most(job, factor) * factor
            )
            if settled or steps == ladder[-1]:
                return net, acts, steps, {"half.left": before[0]}
        before = (factor, net, acts)
    raise ValueError("a ladder of nets needs two steps")


def difference_most(job: Job, factor: float) -> float:
    """Greatest difference of two finenesses (a share of the factor) that is fine enough: 3 %, or so
    much that the factor stays over ten times the wanted one."""
    wanted = job.loads.factors.load_factor_least
    if not np.isfinite(factor) or factor <= 0:
        return DIFFERENCE_MOST
    return max(DIFFERENCE_MOST, 1 - FAR * wanted / factor)


def _factor(
    job: Job,
    vault: Any,
    net: Net,
    acts: NetActions,
    load: NetLoad,
    coarser: float | None,
    done: list[NetFactor],
) -> NetFactor | None:
    """One pattern, taken over from its mirror image where the vault and dead load allow."""
    for other in done:
        twin = _pattern(acts, other.pattern)
        if twin is not None and mirrored(net, acts.dead, twin, load):
            return replace(other, pattern=load.key, title=load.title, alike=other.pattern)
    answer = NetQuestion(net, acts.dead, load).load_factor()
    if answer is None:
        return None
    certificate = certify(load.key, net, answer, acts.dead, load)
    report = check_certificate(certificate, net.solid.offset)
    return NetFactor(
        load.key,
        load.title,
        answer.factor,
        coarser,
        upper_bound(job, vault, load.key),
        answer,
        certificate,
        report,
    )


def mirrored(net: Net, dead: NetLoad, one: NetLoad, other: NetLoad) -> bool:
    """Does a symmetry of the vault and its dead load carry one load onto another."""
    size = float(np.abs(dead.weight).max()) * 1e-9
    return any(
        np.abs(dead.weight[g] - dead.weight).max() <= size
        and np.abs(other.weight[g] - one.weight).max() <= 1e-9 * np.abs(one.weight).max()
        for g in net.group
    )


def _walk(job: Job, solid: VaultSolid) -> tuple[SpotFactor, ...]:
    """The point load at each place; mirror images are solved once."""
    net, acts = _drawn(job, solid, LADDER[solid.vault.family][0])
    solved: list[tuple[NetLoad, float]] = []
    found = []
    for place, load in zip(acts.places, acts.points, strict=True):
        if load.total <= 0:
            continue
        known = next((v for p, v in solved if mirrored(net, acts.dead, p, load)), None)
        if known is None:
            answer = NetQuestion(net, acts.dead, load).load_factor()
            known = 0.0 if answer is None else answer.factor * load.total
            solved.append((load, known))
        found.append(SpotFactor(place, known))
    return tuple(found)


def _thrusts(net: Net, acts: NetActions) -> tuple[SupportThrust, ...]:
    """Every support in the states of least and greatest thrust under the dead load."""
    question = NetQuestion(net, acts.dead)
    least, greatest = question.thrust(least=True), question.thrust(least=False)
    if least is None or greatest is None:
        return ()
    found = []
    for support in net.grid.supports:
        length = float(support.length.sum())
        values, resultants = [], []
        for state in (least, greatest):
            on = -state.reaction[support.nodes]
            outward = float(np.einsum("ka,ka->", on[:, :2], support.outward))
            values.append(outward / length if length else outward)
            resultants.append(on.sum(axis=0))
        found.append(
            SupportThrust(
                support.name,
                support.kind,
                length,
                values[0],
                values[1],
                resultants[0],
                resultants[1],
            )
        )
    return tuple(found)


def _thickness(job: Job, solid: VaultSolid) -> NetThickness | None:
    """Least share of the thickness under the whole dead load, on the coarsest net but one."""
    grid = grid_of(solid, LADDER[solid.vault.family][1])
    dead = net_actions(job, solid, grid).dead

    def draw(share: float) -> tuple[Net, NetLoad]:
        thin = solid.thinned(share)
        return draw_net(thin, replace(grid, half=grid.half * share)), dead

    return least_share(draw)


def _beds(net: Net, acts: NetActions, worst: NetFactor | None, wanted: float) -> BedAnswer | None:
    """The least demand under the wanted factor of the governing pattern, or what it carries."""
    if not net.solid.beds:
        return None
    if worst is None:
        return BedProgram(NetQuestion(net, acts.dead)).least()
    load = _pattern(acts, worst.pattern)
    question = NetQuestion(net, acts.dead, load)
    return BedProgram(question).least(min(wanted, 0.99 * worst.static))


def bed_certificate(proof: NetProof) -> Certificate | None:
    """The certificate of the state that asks least of the beds."""
    if proof.beds is None:
        return None
    loads = [(proof.actions.dead, 1.0)]
    load = _pattern(proof.actions, proof.beds_pattern)
    if load is not None:
        loads.append((load, proof.beds.factor))
    return certify_force("beds", proof.net, proof.beds.force, loads)


def net_checks(job: Job, proof: NetProof) -> tuple[Check, ...]:
    """Verdicts on the dead load, the load factor, the thickness, the fineness and certificates."""
    factors = job.loads.factors
    worst = proof.governing
    checks = [
        judge(
            "net.dead",
            say("Share of the dead load that the strut net carries"),
            proof.share_of_dead,
            STANDS,
            kind="percent",
            reason=proof.wording
            if proof.share_of_dead >= STANDS
            else say("No state of compression inside the vault carries its own weight."),
            source=SOURCE,
        )
    ]
    if worst is not None:
        if worst.kinematic is None:
            reason = say(
                "{wording} Governed by: {load}. No upper bound: {why}",
                wording=proof.wording,
                load=worst.title,
                why=worst.upper.reason,
            )
        else:
            reason = say(
                "{wording} Governed by: {load}. A mechanism bounds it at {upper:ratio}.",
                wording=proof.wording,
                load=worst.title,
                upper=worst.kinematic,
            )
        checks.append(
            judge(
                "net.load_factor",
                say("Load factor of the strut net"),
                worst.static,
                factors.load_factor_least,
                kind="ratio",
                reason=reason,
                source=SOURCE,
            )
        )
        fine = next((f for f in proof.factors if f.difference is not None), worst)
        checks.append(
            judge(
                "net.fineness",
                say("Difference to the next coarser net"),
                fine.difference,
                difference_most(job, fine.static),
                kind="percent",
                at_least=False,
                reason=say(
                    "The finer net is the one that is told; finer ones carry more. 3 %, or more "
                    "where the factor stays over ten times the wanted one."
                ),
                source="common practice, no source",
            )
        )
        unsound = [f for f in proof.factors if not f.report.sound]
        residual = max(f.report.residual for f in proof.factors)
        checks.append(
            judge(
                "net.certificate",
                say("Greatest force out of balance in the certificates, over the load"),
                residual if not unsound else max(residual, 1.0),
                1e-6,
                kind="ratio",
                at_least=False,
                reason=say("Re-read from the numbers alone, without the solver.")
                if not unsound
                else say("A certificate has a fault: {kind}.", kind=unsound[0].report.faults[0]),
                source="statics, equilibrium",
            )
        )
    checks.append(
        judge(
            "net.thickness",
            say("Geometric factor: thickness over the least that stands"),
            proof.thickness.factor if proof.thickness else 0.0,
            factors.geometric_least,
            kind="ratio",
            reason=say("Thinned about its middle under the whole dead load."),
            source=SOURCE,
        )
    )
    return tuple(checks)
