"""Walls, piers and ties of a vault on a plan, on paper: shares used clause by clause, ties to order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.support_names import support_name
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.statics.pier_carrying import CarriedPier
    from timbrel.statics.support_checks import SupportAnswer
    from timbrel.statics.support_verdicts import Governed
    from timbrel.statics.tied_plan import NetTies


def share_blocks(
    named: list[tuple[Message, SupportAnswer | CarriedPier]], voice: Voice
) -> list[Block]:
    """Every support with the share of its resistance that each clause uses, and where it opens."""
    if not named:
        return []
    rows = [
        (
            name,
            *(
                _share(found, voice)
                for found in (s.crushing, s.vertical, s.shear, s.springer, s.bearing)
            ),
            say("shut") if s.opens is None else voice.length(s.opens),
        )
        for name, s in named
    ]
    return [
        blocks.heading(voice, say("Walls and piers clause by clause, share used")),
        blocks.table(
            voice,
            [
                say("Support"),
                say("Crushing"),
                say("Vertical"),
                say("Bed shear"),
                say("Springing"),
                say("Ground"),
                say("Opens under the springing"),
            ],
            rows,
            align="lrrrrrr",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
    ]


def _share(found: Governed | None, voice: Voice) -> str:
    return "–" if found is None else voice.quantity(found.value, "percent")


def tie_blocks(tied: NetTies, voice: Voice) -> list[Block]:
    """Ties to order, the walls that arch between them, and what they cost in movement."""
    from timbrel.statics.net_tie_checks import tie_name

    found: list[Block] = [blocks.heading(voice, say("Ties at the springing"))]
    if tied.ties:
        rows = [
            (
                tie_name(tie.name),
                tied.section,
                voice.quantity(tie.answer.length, "metres"),
                voice.quantity(tie.answer.mass, "mass"),
                voice.quantity(tie.answer.force, "force"),
                voice.quantity(min(tie.answer.gross, tie.answer.net), "force"),
                voice.length(tie.answer.spread, 1),
                tie.combination,
            )
            for tie in tied.ties
        ]
        heads = [
            say("Tie"), say("Section"), say("Between plates"), say("Mass"), say("Design force"),
            say("Resistance"), say("Grows"), say("Governed by"),
        ]  # fmt: skip
        widths = [FILL, -1, -1, -1, -1, -1, -1, -1]
        found.append(blocks.table(voice, heads, rows, align="llrrrrrl", widths=widths))
    if tied.ring is not None:
        ring = tied.ring
        heads = [
            say("Ring"), say("Radius"), say("Mass"), say("Design force"), say("Resistance"),
            say("Radius grows"), say("Governed by"),
        ]  # fmt: skip
        ring_row = (
            tied.section,
            voice.quantity(ring.radius, "metres"),
            voice.quantity(ring.mass, "mass"),
            voice.quantity(ring.force, "force"),
            voice.quantity(ring.resistance, "force"),
            voice.length(ring.grown, 1),
            ring.combination,
        )
        found.append(blocks.table(voice, heads, [ring_row], align="lrrrrrl"))
    if tied.arches:
        arch_rows = [
            (
                support_name(side),
                voice.length(arch.band),
                voice.quantity(arch.push, "line_load"),
                voice.quantity(arch.thrust, "force"),
                voice.quantity(arch.use, "percent"),
            )
            for side, arch in tied.arches
        ]
        heads = [
            say("Wall that arches level"), say("Band"), say("Push"), say("Thrust along the wall"),
            say("Share used"),
        ]  # fmt: skip
        found.append(
            blocks.table(voice, heads, arch_rows, align="lrrrr", widths=[FILL, -1, -1, -1, -1])
        )
    return [*found, *(blocks.words(voice, text) for text in _told(tied))]


def _told(tied: NetTies) -> list[Message]:
    found = []
    if tied.ties or tied.ring is not None:
        found.append(
            say(
                "The springings move apart {x:length} and {y:length} and the crown drops "
                "{drop:length}: by load at the least thrust, and {warmer} K of warmth.",
                x=tied.apart[0],
                y=tied.apart[1],
                drop=tied.drop,
                warmer=tied.warmer,
            )
        )
    if not tied.helps:
        found.append(say("Walls and piers are judged as if there were no ties."))
    if tied.stay == "until cured":
        found.append(
            say("They hold the dead load alone and go when the mortar has cured, not before.")
        )
    found.append(say("Ties are tight before the centring is eased."))
    if tied.alone is None:
        found.append(
            say(
                "A bare tie is lost in a fire; without it the masonry alone must hold, or the tie is "
                "clad."
            )
        )
    else:
        found.append(
            say(
                "A bare tie is lost in a fire. The masonry alone bears {alone:ratio} times its push "
                "under dead and imposed load; where that is under 1 the tie must be clad.",
                alone=tied.alone,
            )
        )
    return found
