"""What a vault on a plan bears of every combination, on paper; thrust along its springing, level push
and movement."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.combination_names import loads_told
from timbrel.sheets.support_names import support_name
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.statics.net_carrying import NetCarrying
    from timbrel.statics.net_springing import SpringingPlace

WORST = 12
"""Combinations that are told of the vault, the worst first."""


def envelope_blocks(carried: NetCarrying, voice: Voice) -> list[Block]:
    """The vault's reserve, the springing, level push and movement."""
    found: list[Block] = []
    reserves = sorted(carried.envelope.reserves, key=lambda r: r.multiple)[:WORST]
    every = [r.combination for r in carried.envelope.reserves]
    if carried.envelope.fallen:
        keys = ", ".join(carried.envelope.fallen)
        told = say("No state of compression was found under {combinations}.", combinations=keys)
        found.append(blocks.words(voice, told))
    if reserves:
        found += [
            blocks.heading(voice, say("Multiple of its variable loads that the vault bears")),
            blocks.table(
                voice,
                [say("Combination"), say("Loads and their factors"), say("Multiple")],
                [
                    (
                        r.combination.key,
                        loads_told(r.combination, every, voice),
                        ("≥ " if r.more else "") + voice.quantity(r.multiple, "ratio"),
                    )
                    for r in reserves
                ],
                align="llr",
                widths=[-1, FILL, -1],
            ),
        ]
    if carried.springing:
        found += [
            blocks.heading(voice, say("Thrust along the springing, unfactored")),
            blocks.words(
                voice,
                say(
                    "What the states of the whole vault put there, a metre of wall or on a pier: "
                    "outward, and what comes down with it."
                ),
            ),
            blocks.table(
                voice,
                [say("Support"), say("From"), say("To"), say("least"), say("down"),
                 say("greatest"), say("down")],
                [_place(place, voice) for place in carried.springing],
                align="lrrrrrr",
                dense=True,
            ),
        ]  # fmt: skip
    return [
        *found,
        blocks.heading(voice, say("Movement and level push")),
        blocks.table(
            voice, [say("What"), say("Value")], _moves(carried, voice), align="lr",
            widths=[FILL, 40],
        ),
    ]  # fmt: skip


def _place(place: SpringingPlace, voice: Voice) -> tuple[Message | str, ...]:
    pier = place.end <= place.start
    kind = "force" if pier else "line_load"
    ends = ("–", "–") if pier else (voice.length(place.start), voice.length(place.end))
    return (
        support_name(place.support),
        *ends,
        *(
            voice.quantity(value, kind)
            for value in (place.least, place.least_down, place.greatest, place.greatest_down)
        ),
    )


def _moves(carried: NetCarrying, voice: Voice) -> list[tuple[Message | str, str]]:
    titles = {
        "right": say("Level push to the right that is borne, share of the weight"),
        "left": say("Level push to the left that is borne, share of the weight"),
        "far": say("Level push to the far side that is borne, share of the weight"),
        "near": say("Level push to the near side that is borne, share of the weight"),
    }
    rows: list[tuple[Message | str, str]] = []
    for one in carried.level:
        if one.share is None:
            told = voice(say("not judged"))
        else:
            told = ("≥ " if one.more else "") + voice.quantity(one.share, "percent")
        rows.append((titles[one.direction], told))
    moved = carried.movement
    three_hinges = say(
        "Drop of the crown of an arch on three hinges at a spread of {spread:length}",
        spread=moved.spread,
    )
    rows.append((three_hinges, voice.length(moved.drop, 1)))
    for motion in carried.motions:
        loads = say("dead load") if motion.load == "dead" else say("dead and imposed load")
        title = say(
            "{what}, {size:length}, {loads}: the vault comes down by",
            what=motion.title,
            size=motion.size,
            loads=loads,
        )
        told = voice(say("not judged")) if motion.borne is None else voice(say("does not stand"))
        rows.append((title, voice.length(motion.drop, 1) if motion.borne == 1 else told))
    return rows
