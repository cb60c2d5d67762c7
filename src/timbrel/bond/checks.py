"""What the bond is judged by: lap, closers, joints, facet."""

from __future__ import annotations

import numpy as np

from timbrel.bond.laps import LEAST_LAP
from timbrel.bond.layout import Lap, LayerBond, TrimmedOpening
from timbrel.bond.stock import Stock
from timbrel.job.model import Job
from timbrel.verdict import Check, judge
from timbrel.words import say

PRACTICE = "common practice, no source"
FACET_SEEN = 0.002
FACET_PLASTERED = 0.005
"""Greatest sagitta of a flat tile in seen and in plastered work (m). Common practice, no source."""
HAIR = 5e-4
"""Half of a millimetre, to which cuts are told and sawn (m): a piece told as the least is the least."""
ROUNDING = 1e-6
"""What arithmetic may cost (m)."""
LONGEST_OVER = 0.040
"""Layers that cross: longest run of joint over joint (m), the least lap turned round. Derived."""


def bond_checks(
    job: Job, layers: list[LayerBond], stocks: tuple[Stock, ...], laps: tuple[Lap, ...]
) -> tuple[Check, ...]:
    """All checks of the bond."""
    found = [lap_check(lap) for lap in laps]
    for layer, stock in zip(layers, stocks, strict=True):
        found += [*closer_checks(layer, stock), *joint_checks(layer, stock)]
    return (*found, facet_check(job, layers[0]))


def lap_check(lap: Lap) -> Check:
    """The lap of two layers; layers that only cross are judged by joint over joint."""
    name = f"bond.lap.{lap.lower}-{lap.upper}"
    title = say("Lap of layer {upper} over layer {lower}", upper=lap.upper, lower=lap.lower)
    if lap.reached is None:
        return judge(
            name,
            title,
            lap.over_longest,
            LONGEST_OVER,
            kind="length",
            at_least=False,
            reason=say(
                "The joints of the two layers cross: the longest run of joint over joint; "
                "{share:percent} of all joints lie over a joint.",
                share=lap.over_share,
            ),
            source=PRACTICE,
        )
    return judge(
        name,
        title,
        lap.reached,
        lap.wanted,
        kind="length",
        reason=say(
            "Least between tile {lower} and tile {upper} over it; the greater of 40 mm and two "
            "tile thicknesses is wanted, {aim:length} is good work.",
            lower=lap.tiles[0],
            upper=lap.tiles[1],
            aim=lap.aim,
        ),
        source=PRACTICE,
    )


def closer_checks(layer: LayerBond, stock: Stock) -> list[Check]:
    """The shortest piece of a layer, and the narrowest where courses are cut lengthwise."""
    short, narrow = int(np.argmin(layer.length)), int(np.argmin(layer.width))
    found = [
        judge(
            f"bond.closer.{layer.layer}",
            say("Shortest piece of layer {layer}", layer=layer.layer),
            float(layer.length[short]),
            stock.least_along - HAIR,
            kind="length",
            reason=say("It is tile {name}.", name=layer.names[short]),
            source=PRACTICE,
            led=True,
        )
    ]
    if layer.width[narrow] < stock.across - HAIR:
        found.append(
            judge(
                f"bond.narrow.{layer.layer}",
                say("Narrowest piece of layer {layer}", layer=layer.layer),
                float(layer.width[narrow]),
                stock.least_across - HAIR,
                kind="length",
                reason=say(
                    "It is tile {name}, in a course cut lengthwise at a springing.",
                    name=layer.names[narrow],
                ),
                source=PRACTICE,
                led=True,
            )
        )
    return found


def joint_checks(layer: LayerBond, stock: Stock) -> tuple[Check, Check]:
    """The joints of a layer against the range that the job allows."""
    source = "the joint range of the job"
    return (
        judge(
            f"bond.joint_least.{layer.layer}",
            say("Narrowest joint of layer {layer}", layer=layer.layer),
            layer.joint_least,
            stock.joint.least - ROUNDING,
            kind="length",
            reason=say("Joints are gauged so that courses and rows close."),
            source=source,
            led=True,
        ),
        judge(
            f"bond.joint_most.{layer.layer}",
            say("Widest joint of layer {layer}", layer=layer.layer),
            layer.joint_most,
            stock.joint.most + ROUNDING,
            kind="length",
            at_least=False,
            reason=say("Joints are gauged so that courses and rows close."),
            source=source,
            led=True,
        ),
    )


def facet_check(job: Job, layer: LayerBond) -> Check:
    """How far a flat tile of the seen layer stands off the curve."""
    plastered = job.curve.soffit == "plastered"
    return judge(
        "bond.facet",
        say("Facet of the tiles seen from the room"),
        layer.facet,
        FACET_PLASTERED if plastered else FACET_SEEN,
        kind="length",
        at_least=False,
        reason=say("A flat tile on the curve: the middle stands off by this much."),
        source=PRACTICE,
    )


def ring_checks(openings: tuple[TrimmedOpening, ...]) -> tuple[Check, ...]:
    """Do the ring tiles lie across the joints at the corners of each opening."""
    return tuple(
        judge(
            f"bond.openings.{opening.number}.corner",
            say("Ring over the corners of {name}", name=opening.name),
            opening.corner_lap,
            LEAST_LAP,
            kind="length",
            reason=say(
                "Joints of all layers end at a corner of the opening; the first ring layer lies "
                "across them by this much."
            ),
            source=PRACTICE,
        )
        for opening in openings
        if opening.corner_lap is not None
    )
