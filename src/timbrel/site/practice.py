"""A practice arch from any job: the same curve, tiles and binder, one metre wide, near the floor.

The span is not quite a metre: it is taken so that whole tiles close the arch with the joint that
the job aims at, which is the first thing that an apprentice has to see.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from timbrel.bond.layout import LayerBond
from timbrel.job.model import Job
from timbrel.shape import Directrix, directrix
from timbrel.shape.directrix import Offsets, Trammel
from timbrel.site.batches import Batch, LayerWork, NoBatch, plan_batch
from timbrel.site.centring import advance, measure_along_arc
from timbrel.site.practice_lesson import Lesson
from timbrel.site.practice_proof import PracticeProof, prove_practice
from timbrel.site.rib import Rib, make_rib
from timbrel.site.wedges import WedgePair, wedge_pair
from timbrel.statics.floor import GRAVITY
from timbrel.words import Message, say

OFFSETS_STEP = 0.10
"""Step of the offsets of so small an arch, m."""


@dataclass(frozen=True)
class Gate:
    """What an apprentice must show before going on. number: from 1."""

    number: int
    what: Message


@dataclass(frozen=True)
class PracticeArch:
    """The arch. kind, span, rise, arc: of its intrados, and the length round it. offsets, trammel:
    how to draw that. across: tiles from springing to springing; arches, each one
    tile long; tiles: in all. joint: along the arc, the wall joints included. length: along the
    axis, m. rib, wedges: its centring. batch: for its tiles. weight: of one layer, N. thrust:
    that the feet take from one layer, N, by w L^2/(8 f). proof: of the arch with all its layers and the
    bags of the gate. lesson: what a vault on a plan asks for besides, None of a barrel or a flight.
    gates. pace: tiles an hour to write beside: (apprentice's share of the
    crew's rate, crew's rate)."""

    kind: str
    span: float
    rise: float
    arc: float
    offsets: Offsets
    trammel: Trammel | None
    across: int
    arches: int
    tiles: int
    joint: float
    length: float
    rib: Rib
    wedges: WedgePair
    batch: Batch | NoBatch
    weight: float
    thrust: float
    proof: PracticeProof
    lesson: Lesson | None
    gates: tuple[Gate, ...]
    pace: tuple[float, float]


def practice_curve(
    near: Directrix, module: float, joint: float, aimed: float
) -> tuple[Directrix, int]:
    """A curve similar to `near`, its span near `aimed`, whose arc takes whole modules and one more
    joint; and how many tiles that is. A curve similar to another has the same ratio of arc to
    span."""
    ratio = near.length / near.span
    across = max(3, round((aimed * ratio - joint) / module))
    scale = (across * module + joint) / near.length
    return _scaled(near, scale), across


def _scaled(near: Directrix, scale: float) -> Directrix:
    haunch = None
    if near.kind == "three-centre":
        haunch = scale / float(near.curvature(0.0))
    rise = None if near.kind == "semicircle" else near.rise * scale
    return directrix(near.kind, near.span * scale, rise, haunch)


def closes(arc: float, tile: float, across: int) -> float:
    """The joint with which `across` tiles close an arc that has joints at both springings."""
    return (arc - across * tile) / (across + 1)


def practice_arch(
    job: Job, near: Directrix, first: LayerBond, lesson: Lesson | None = None
) -> PracticeArch:
    """The practice arch of a job's first layer, on a curve similar to `near` (seat at 0, 0)."""
    layer, tile = job.layers[0], job.tiles[job.layers[0].tile]
    size = (tile.length, tile.width)
    gauged = replace(first, bed_joint=layer.joint.best, perpend_joint=layer.joint.best)
    module, step = measure_along_arc(gauged, size), advance(gauged, *size)
    curve, across = practice_curve(near, module, layer.joint.best, job.practice.span)
    tiles = across * job.practice.arches
    length = step * job.practice.arches
    shell = curve.length * length * tile.thickness
    solid = tiles * tile.length * tile.width * tile.thickness
    joints = max(shell - solid, 0.05 * shell)
    binder = job.binders[layer.binder]
    weight = GRAVITY * (solid * tile.density + joints * binder.density)
    batch = plan_batch(LayerWork(1, tiles, joints), layer.binder, binder, job.site, job.crew)
    site = job.site.model_copy(update={"rib_depth": min(job.site.rib_depth, curve.rise * 0.6)})
    rate = job.crew.first_layer_tiles_hour
    proof = prove_practice(job, curve, length, weight / (curve.span * length))
    return PracticeArch(
        kind=curve.kind,
        span=curve.span,
        rise=curve.rise,
        arc=curve.length,
        offsets=curve.offsets(OFFSETS_STEP),
        trammel=curve.trammel,
        across=across,
        arches=job.practice.arches,
        tiles=tiles,
        joint=closes(curve.length, module - layer.joint.best, across),
        length=length,
        rib=make_rib(curve, 0.0, 0.0, site),
        wedges=wedge_pair(site.wedge_taper, site.wedge_length, site.easing),
        batch=batch,
        weight=weight,
        thrust=weight * curve.span / (8 * curve.rise),
        proof=proof,
        lesson=lesson,
        gates=_gates(job, weight, curve, proof, lesson),
        pace=(job.crew.apprentice_share * rate, rate),
    )


def _gates(
    job: Job, weight: float, curve: Directrix, proof: PracticeProof, lesson: Lesson | None
) -> tuple[Gate, ...]:
    joint = job.layers[0].joint
    said = (
        say("Says the cautions without the paper, gloves and goggles on."),
        say(
            "Strikes the curve of {span:length} by {rise:length} on a board; the template follows "
            "it within 1 mm.",
            span=curve.span,
            rise=curve.rise,
        ),
        say("Mixes three batches, times the set of a pat each, and throws away what has begun."),
        say(
            "Sets three tiles against a wall, each held no longer than {hold:minutes}; none falls "
            "when the hand goes.",
            hold=job.building.hold_most,
        ),
        say(
            "Closes one arch without cutting a key: joints from {least:length} to {most:length}, "
            "edges within 2 mm of the line.",
            least=joint.least,
            most=joint.most,
        ),
        say(
            "Eases the centring evenly in {steps:count} steps; the crown drops by no more than "
            "3 mm.",
            steps=max(1, math.ceil(job.site.easing / 0.005 - 1e-9)),
        ),
        _loaded(job, weight, proof),
        *(() if lesson is None else (lesson.gate,)),
        say("Breaks it up and says of each joint whether it was full."),
    )
    return tuple(Gate(n, what) for n, what in enumerate(said, 1))


def _loaded(job: Job, weight: float, proof: PracticeProof) -> Message:
    """The load on the finished arch; none where no thrust line carries it with the factor that the
    job asks of the vault."""
    days = max(1, round(job.site.wait_fill / 86400))
    if proof.factor is None or proof.factor < job.loads.factors.load_factor_least:
        return say(
            "All layers on and {days:count} days later: the arch is not loaded, and its centring "
            "stays one step under it, for no thrust line in it carries the bags with the factor "
            "that the vault must have.",
            days=days,
        )
    return say(
        "All layers on and {days:count} days later, the feet blocked: {mass:mass} of bags in "
        "even steps over the whole arch, as much as one layer weighs, nobody near; it stands.",
        days=days,
        mass=weight / GRAVITY,
    )
