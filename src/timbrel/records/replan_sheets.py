"""What the record asks of the rest of the work, on paper: ribs, rods, tiles left against needed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import numpy as np

from timbrel.records.kinds import Course, Delivery, RodReading
from timbrel.records.replan import Regauge, corrected_template, guide_corrections, needs, regauge
from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL
from timbrel.words import Message, TimbrelError, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.records.asbuilt import AsBuilt, BuiltStation
    from timbrel.records.chain import Entry

MOVES = 3
"""Moves of the centring over which a correction of the ribs is shown."""


def replan_blocks(
    plan: Plan, standing: Sequence[Entry], built: AsBuilt, voice: Voice
) -> Iterator[blocks.Block]:
    """Corrections of ribs or guides, the rest of every rod, tiles; what has nothing to say is left
    out."""
    if built.stations:
        yield from _ribs(plan, built.stations[-1], voice)
    if built.surface is not None:
        for guide in guide_corrections(plan.vault, plan.site.guides, built.surface):
            title = say(
                "{guide}: add to its upper edge for the courses still to be laid (at most 3 mm)",
                guide=guide.title,
            )
            yield blocks.heading(voice, title)
            yield _pairs(say("Along"), guide.x, guide.add, voice)
    readings = [RodReading(**e.body) for e in standing if e.kind == "rod"]
    for reading in {(r.layer, r.rod): r for r in readings}.values():
        yield from _rod(plan, reading, voice)
    came = [Delivery(**e.body) for e in standing if e.kind == "delivery"]
    closed = [Course(**e.body) for e in standing if e.kind == "course"]
    if came or closed:
        yield blocks.heading(voice, say("Tiles"))
        yield blocks.table(
            voice,
            [say("Tile"), say("Planned"), say("Delivered"), say("Laid"), say("Still to come")],
            [
                (
                    need.what,
                    *(
                        voice.number(value, 0)
                        for value in (need.planned, need.delivered, need.laid, need.short)
                    ),
                )
                for need in needs(plan.job, plan.bond, came, closed)
            ],
            align="lrrrr",
        )


def _ribs(plan: Plan, station: BuiltStation, voice: Voice) -> Iterator[blocks.Block]:
    """From the last station that was measured, for the moves that follow it."""
    profile = plan.vault.profile(station.v, [0.0, 1.0])
    span = float(profile[1, 0] - profile[0, 0])
    u, add = corrected_template(station, plan.job.site.offsets_step / span, MOVES)
    x = plan.vault.profile(station.v, u)[:, 0]
    yield blocks.heading(
        voice, say("Add to the ribs for the next moves (at most 3 mm more from one to the next)")
    )
    moves: list[Message | str] = [say("Move {n}", n=k + 1) for k in range(MOVES)]
    yield blocks.table(
        voice,
        [say("From the left springing"), *moves],
        [
            (voice.length(float(at - x[0])), *(voice.length(float(a), 1) for a in column))
            for at, column in zip(x, add.T, strict=True)
        ],
        align="r" * (1 + MOVES),
        dense=True,
    )


def _pairs(title: Message, x: np.ndarray, add: np.ndarray, voice: Voice) -> blocks.Block:
    return blocks.table(
        voice,
        [title, say("Add")],
        [
            (voice.length(float(at)), voice.length(float(a), 1))
            for at, a in zip(x, add, strict=True)
        ],
        align="rr",
        dense=True,
    )


def _rod(plan: Plan, reading: RodReading, voice: Voice) -> Iterator[blocks.Block]:
    yield blocks.heading(
        voice,
        say("Layer {layer}, rod {rod}: the rest gauged anew", layer=reading.layer, rod=reading.rod),
    )
    try:
        rest = regauge(plan.job, plan.bond, reading)
    except TimbrelError as error:
        yield blocks.words(voice, error.message)
        return
    for line in _closes(rest):
        yield blocks.words(voice, line)
    yield blocks.table(
        voice,
        [say("Marks from the rod's start:")],
        [("; ".join(voice.length(float(mark)) for mark in rest.marks),)],
        align="l",
        widths=[FILL],
    )


def _closes(rest: Regauge) -> Iterator[Message]:
    yield say(
        "{wholes:count} whole tiles with joints of {joint:length}.",
        wholes=rest.wholes,
        joint=rest.joint,
    )
    if rest.half:
        yield say("The last is a half.")
    if rest.pieces:
        yield say("Two pieces of {piece:length} close it.", piece=rest.pieces)
