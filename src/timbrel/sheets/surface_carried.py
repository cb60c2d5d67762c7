"""The load path of a vault on a plan, on paper: what every combination puts on each support, the
reserve of each, and the notes of the walls."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.loads import notes_table
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.statics.net_carrying import NetCarrying
    from timbrel.statics.net_supports import SupportPush


def carried_blocks(carried: NetCarrying, voice: Voice) -> list[Block]:
    """Reserves, pushes under every combination, notes."""
    found: list[Block] = []
    if carried.walls or carried.piers:
        found += [
            blocks.heading(voice, say("Push that each cracked support bears, over the push")),
            _reserves(carried, voice),
        ]
    if not carried.pushed:
        return [blocks.words(voice, say("The vault has no state of compression."))]
    names = [support_name(push.support) for push in carried.pushed[0].pushes]
    found += [
        blocks.heading(voice, say("Every combination of loads")),
        blocks.words(
            voice,
            say(
                "Outward on a pier, or on a metre of wall; least thrust of the whole vault, "
                "loads with their factors."
            ),
        ),
        blocks.table(
            voice,
            [say("Combination"), say("Permanent"), say("Imposed"), *names],
            [
                (
                    row.combination.key,
                    voice.quantity(row.combination.dead, "ratio"),
                    voice.quantity(row.combination.variable, "ratio"),
                    *(_outward(push, voice) for push in row.pushes),
                )
                for row in carried.pushed
            ],
            align="lrr" + "r" * len(names),
            widths=[FILL, *([-1] * (2 + len(names)))],
        ),
    ]
    if carried.notes:
        found += [
            blocks.heading(voice, say("Load path, step by step")),
            notes_table(carried.notes, voice),
        ]
    return found


def support_name(name: str) -> Message:
    """A support as it is called on paper."""
    names = {
        "left": say("Left wall"),
        "right": say("Right wall"),
        "near": say("Near wall"),
        "far": say("Far wall"),
        "ring": say("Drum under the ring"),
    }
    return names.get(name) or say("Pier {corner}", corner=name)


def _reserves(carried: NetCarrying, voice: Voice) -> Block:
    rows = [(support_name(wall.side), wall.overturning) for wall in carried.walls]
    rows += [(support_name(pier.corner), pier.overturning) for pier in carried.piers]
    return blocks.table(
        voice,
        [say("Support"), say("Reserve (EQU)"), say("Governed by")],
        [(name, voice.quantity(over.value, "ratio"), over.combination) for name, over in rows],
        align="lrl",
        widths=[-1, -1, FILL],
    )


def _outward(push: SupportPush, voice: Voice) -> str:
    if push.force is None:
        return voice.quantity(float(np.hypot(*push.total[:2])), "force")
    return voice.quantity(push.force.level, "line_load")
