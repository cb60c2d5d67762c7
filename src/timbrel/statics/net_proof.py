"""The proof of a vault by a strut net: load factors with both bounds, least and greatest thrust of
every support, the geometric factor, what the beds are asked for, and a certificate of every state
that is told.

What takes long is asked of coarse nets: a load on one spot and the geometric factor of the coarsest,
thrusts and beds of the next (:mod:`timbrel.statics.net_factors` tells how the load factors are
screened). A coarse net errs on the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.certificate import Certificate, certify_force
from timbrel.statics.mechanism_bound import least_share_of_dome, unknown_to_mechanisms
from timbrel.statics.net import Net, NetAnswer, draw_net
from timbrel.statics.net_actions import NetActions
from timbrel.statics.net_bed_program import BedAnswer, BedLimit, BedProgram
from timbrel.statics.net_factors import NetFactor, followed_over, governing, load_factors
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_rungs import STANDS, Rung, Rungs, mirrored
from timbrel.statics.net_solid import Array
from timbrel.statics.net_thickness import NetThickness, least_share
from timbrel.statics.net_thrusts import SupportThrust, support_thrusts
from timbrel.statics.net_vaults import VaultSolid, solid_of
from timbrel.statics.processes import HERE, Aside, Later
from timbrel.words import Message, Progress, say, silent

Asked = TypeVar("Asked")

SPOTS = 10.0  # times the wanted factor: a load on one spot is not followed further
LAYERS_ACT = say("Lower bound, provided the layers act as one.")


@dataclass(frozen=True)
class SpotFactor:
    """Greatest load (N) on one spot (2,) in plan, beside the dead load; infinite past SPOTS times
    the wanted factor."""

    place: Array
    load: float


@dataclass(frozen=True)
class NetProof:
    """What the net of a vault comes to.

    net, steps, actions: of the finest net that was needed. share_of_dead: that it carries. factors:
    by pattern. spots: the point load walked over the plan, on the coarsest net. thrusts: by
    support. thickness: least share that stands; dome: share at which lunes fall (domes only). beds:
    what the beds carry under the wanted factor of the governing pattern, with the net of that
    state; limited: the least load factor within the job's limits on the beds, None without.
    symmetries: of vault and loads together, used to make the program smaller.
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
    beds_rung: Rung
    limited: float | None
    symmetries: int
    wording: Message

    @property
    def governing(self) -> NetFactor | None:
        """The pattern with the least load factor."""
        return governing(self.factors)


def quick_net(job: Job, vault: Any) -> tuple[Net, NetAnswer | None]:
    """A coarse answer for the eye: the net of the coarsest fineness under one half loaded (or dead
    load alone without imposed load)."""
    rungs = Rungs(job, solid_of(vault))
    # Round an opening the coarsest net may have too few lines to carry the vault at all.
    rung = rungs[rungs.first_that_stands()[0]] if job.openings else rungs[0]
    half = rung.pattern("half.left")
    question = rung.question(half)
    return rung.net, question.load_factor(followed_over(job)) if half else question.thrust(
        least=True
    )


def prove_net(
    job: Job,
    vault: Any,
    progress: Progress = silent,
    aside: Aside = HERE,
    rungs: Rungs | None = None,
) -> NetProof:
    """Prove a vault by nets as fine as they need to be.

    aside: other processes for what does not hang on the load factors. rungs: of the same vault, where
    some are drawn already.
    """
    solid = solid_of(vault)
    rungs = rungs or Rungs(job, solid)
    progress(say("Drawing the strut net"), 0.0)
    first, share = rungs.first_that_stands()
    second = rungs[max(first, 1)]
    thinned = aside.begin(_thickness, solid, rungs[first] if len(second.net.group) == 1 else second)
    most = SPOTS * job.loads.factors.load_factor_least
    walked = aside.begin(_walk, rungs[first], most) if share >= STANDS else None
    dead = second.acts.dead
    pressed = None
    if share >= STANDS:
        pressed = aside.begin(support_thrusts, second.net, dead, rungs[first])
    factors: tuple[NetFactor, ...] = ()
    if share >= STANDS:
        factors = load_factors(job, vault, rungs, first, _between(progress, 0.1, 0.6))
    worst = governing(factors)
    finest = next((r for r in rungs.drawn if worst and r.steps == worst.steps), rungs[first])
    dome = None
    if vault.family == "dome" and not unknown_to_mechanisms(job):
        dome = least_share_of_dome(job, vault)
    progress(say("What the beds are asked for"), 0.6)
    wanted = job.loads.factors.load_factor_least
    beds = _beds(second, worst, wanted) if share >= STANDS else None
    limited = within_limits(job, rungs[first]) if share >= STANDS else None

    told = progress, say("Thrust on the supports"), 0.75
    thrusts = _asked(pressed, *told) if pressed else ()
    told = progress, say("A load on one spot, walked over the net"), 0.8
    spots = _asked(walked, *told) if walked else ()
    thickness = _asked(thinned, progress, say("How thin the vault could be"), 0.9)
    proof = NetProof(
        finest.net,
        finest.steps,
        finest.acts,
        share,
        factors,
        spots,
        thrusts,
        thickness,
        dome,
        beds,
        second,
        limited,
        max((f.answer.alike for f in factors), default=1),
        _wording(beds),
    )
    progress(say("Strut net proved"), 1.0)
    return proof


def _asked(later: Later[Asked], progress: Progress, what: Message, share: float) -> Asked:
    progress(what, share)
    return later.result(lambda: progress(what, share))


def _between(progress: Progress, start: float, end: float) -> Progress:
    def told(what: Message, share: float) -> None:
        progress(what, start + share * (end - start))

    return told


def _wording(beds: BedAnswer | None) -> Message:
    if beds is None:
        return LAYERS_ACT
    return say(
        "Lower bound, provided the layers act as one; bed tension at most {tension:pressure}, "
        "bed shear at most {shear:pressure}.",
        tension=beds.demand.tension,
        shear=beds.demand.shear,
    )


def _walk(rung: Rung, followed: float) -> tuple[SpotFactor, ...]:
    """The point load at each place; mirror images are solved once."""
    net, acts = rung.net, rung.acts
    solved: list[tuple[NetLoad, float]] = []
    found = []
    for place, load in zip(acts.places, acts.points, strict=True):
        if load.total <= 0:
            continue
        known = next((v for p, v in solved if mirrored(net, acts.dead, p, load)), None)
        if known is None:
            answer = rung.question(load).load_factor(followed)
            known = 0.0
            if answer is not None:
                known = np.inf if answer.more else answer.factor * load.total
            solved.append((load, known))
        found.append(SpotFactor(place, known))
    return tuple(found)


def _thickness(solid: VaultSolid, rung: Rung) -> NetThickness | None:
    """Least share of the thickness under the whole dead load."""
    grid, dead = rung.net.grid, rung.acts.dead

    def draw(share: float) -> tuple[Net, NetLoad]:
        thin = replace(grid, half=grid.half * share)
        return draw_net(solid.thinned(share), thin, rung.net.reach), dead

    return least_share(draw)


def _beds(rung: Rung, worst: NetFactor | None, wanted: float) -> BedAnswer | None:
    """The least demand under the wanted factor of the governing pattern, or what it carries."""
    if not rung.net.solid.beds:
        return None
    if worst is None:
        return BedProgram(rung.question()).least()
    load = rung.pattern(worst.pattern)
    question = rung.question(load)
    own = question.load_factor(wanted * 1.02)
    carried = 0.0 if own is None else own.factor
    return BedProgram(question).least(min(wanted, 0.99 * carried))


def within_limits(job: Job, rung: Rung) -> float | None:
    """The least load factor of all patterns within the job's limits on the beds."""
    limit = BedLimit(job.masonry.bed_tension, job.masonry.bed_shear)
    if not rung.net.solid.beds or (limit.tension is None and limit.shear is None):
        return None
    found = [BedProgram(rung.question(load)).load_factor(limit) for load in rung.acts.patterns]
    return min((0.0 if f is None else f.factor for f in found), default=None)


def bed_certificate(proof: NetProof) -> Certificate | None:
    """The certificate of the state that asks least of the beds."""
    if proof.beds is None:
        return None
    rung = proof.beds_rung
    loads = [(rung.acts.dead, 1.0)]
    worst = proof.governing
    load = rung.pattern(worst.pattern) if worst else None
    if load is not None:
        loads.append((load, proof.beds.factor))
    return certify_force("beds", rung.net, proof.beds.force, loads)
