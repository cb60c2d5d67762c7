"""The load path of a vault on a plan, on paper: what every combination puts on each support, the
reserve of each, and the notes of the walls."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.combination_names import names_told
from timbrel.sheets.loads import notes_table
from timbrel.sheets.support_names import support_name
from timbrel.sheets.surface_envelope import envelope_blocks
from timbrel.sheets.surface_supports import share_blocks, tie_blocks
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.statics.net_carrying import NetCarrying
    from timbrel.statics.pier_carrying import CarriedPier
    from timbrel.statics.support_checks import SupportAnswer
    from timbrel.statics.support_push import SupportPush


def carried_blocks(carried: NetCarrying, voice: Voice) -> list[Block]:
    """Reserves, pushes under every combination, notes."""
    found: list[Block] = []
    if carried.walls or carried.piers:
        found += [
            blocks.heading(voice, say("Push that each cracked support bears, over the push")),
            _reserves(carried, voice),
            *share_blocks(_named(carried), voice),
        ]
    if carried.ties is not None:
        found += tie_blocks(carried.ties, voice)
    if not carried.pushed:
        return [blocks.words(voice, say("The vault has no state of compression."))]
    names = [support_name(push.support) for push in carried.pushed[0].pushes]
    found += [
        blocks.heading(voice, say("Every combination of loads")),
        blocks.words(
            voice,
            say(
                "Outward on a pier, or on a metre of wall; least and greatest thrust of the whole "
                "vault, loads with their factors. Where only the strength bounds the greatest, it is "
                "told with the strut net, for the dead load alone."
            ),
        ),
        blocks.words(voice, names_told()),
        blocks.table(
            voice,
            [say("Combination"), say("Bound"), say("Permanent"), say("Leading"), *names],
            [
                (
                    row.combination.key,
                    say("least") if row.bound == "least" else say("greatest"),
                    voice.quantity(row.combination.dead, "ratio"),
                    voice.quantity(row.combination.variable, "ratio"),
                    *(_outward(push, voice) for push in row.pushes),
                )
                for row in carried.pushed
            ],
            align="llrr" + "r" * len(names),
            widths=[FILL, *([-1] * (3 + len(names)))],
            dense=True,
        ),
        *envelope_blocks(carried, voice),
    ]
    if carried.notes:
        found += [
            blocks.heading(voice, say("Load path, step by step")),
            notes_table(carried.notes, voice),
        ]
    return found


def _named(carried: NetCarrying) -> list[tuple[Message, SupportAnswer | CarriedPier]]:
    walls = [(support_name(wall.side), wall) for wall in carried.walls]
    return [*walls, *((support_name(pier.corner), pier) for pier in carried.piers)]


def _reserves(carried: NetCarrying, voice: Voice) -> Block:
    rows = [(support_name(wall.side), wall.overturning) for wall in carried.walls]
    for pier in carried.piers:
        name = support_name(pier.corner)
        rows += [(name, pier.overturning), (say("{name}, inward", name=name), pier.inward)]
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
