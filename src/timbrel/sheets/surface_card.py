"""What the crew and the client get of a vault on a plan: the site card and the page with the quote."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import Picture, bare_length
from timbrel.sheets.card import batches_table, work_blocks
from timbrel.sheets.order_pages import quote_blocks
from timbrel.sheets.summary import curve_name
from timbrel.sheets.surface_sections import middle_sections
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan

HIGH_MM = 62.0
"""Room for the section, which has its measures beside it."""
KNOWN_BY = 6
"""So many of the figures tell a client which vault it is."""


def card_blocks(plan: SurfacePlan, voice: Voice, width_mm: float, *, wide: bool) -> list[Block]:
    """The site card: section, tiles, batch, order with stops, quantities, cautions, who to call.

    wide: in two runs side by side (A3), each so many mm wide, else one under the other.
    """
    card = [
        blocks.large(voice, plan.job.job.title),
        blocks.picture(voice, _section(plan, voice, width_mm)),
        blocks.heading(voice, say("Tiles")),
        _layers(plan, voice),
        blocks.heading(voice, say("Today's batch at {day:degc}", day=plan.job.site.temperature_c)),
        batches_table(plan, voice),
    ]
    work = work_blocks(plan, voice)
    return [blocks.side_by_side(card, work)] if wide else [*card, *work]


def client_blocks(plan: SurfacePlan, voice: Voice, width_mm: float) -> list[Block]:
    """What the client wants: a picture, the price, the days, what is left out."""
    return [
        blocks.large(voice, plan.job.job.title),
        blocks.picture(voice, _section(plan, voice, width_mm)),
        blocks.table(
            voice,
            [say("Measure"), say("Value")],
            key_rows(plan, voice)[:KNOWN_BY],
            align="lr",
            widths=[FILL, 60],
        ),
        blocks.column_break(),
        *quote_blocks(plan, voice),
        blocks.signatures(voice, [say("Master mason"), say("Client"), say("Place and date")]),
    ]


def key_rows(plan: SurfacePlan, voice: Voice) -> list[tuple[Message | str, str]]:
    """The figures by which people know the job."""
    laid = sum(layer.count for layer in plan.bond.layers)
    return [
        (say("Family"), voice(family_name(plan.vault.family))),
        (say("Curve"), voice(curve_name(plan.job.curve.directrix))),
        (say("Shell, all layers and beds"), voice.length(plan.vault.thickness)),
        (say("Seen area"), voice.quantity(plan.vault.area(0.0), "area")),
        (say("Volume of the shell"), voice.quantity(plan.vault.volume, "volume")),
        (say("Misclosure of the room"), voice.length(plan.room.misclosure, 1)),
        (say("Pieces laid"), f"{laid}"),
        (say("Tiles to buy"), f"{sum(nest.bought for nest in plan.bond.cuts.nests)}"),
        (say("Guides"), f"{len(plan.site.guides)}"),
        (say("Weight to lift"), voice.quantity(plan.takeoff.mass, "mass")),
        (say("Working days of the crew"), voice.quantity(plan.site.programme.days, "ratio")),
    ]


def family_name(family: str) -> Message:
    """The kind of vault in words."""
    return {
        "groin": say("groin vault"),
        "cloister": say("cloister vault"),
        "sail": say("sail vault"),
        "dome": say("dome"),
    }[family]


def _section(plan: SurfacePlan, voice: Voice, width_mm: float) -> Picture:
    """From DA to BC, with rise, span and levels."""
    return middle_sections(plan, voice, (width_mm, HIGH_MM))[0]


def _layers(plan: SurfacePlan, voice: Voice) -> Block:
    """Which tile lies in which layer, in how many courses or rings."""
    rows = []
    for layer in plan.bond.layers:
        tile = plan.job.tiles[layer.tile]
        sizes = (tile.length, tile.width, tile.thickness)
        rows.append(
            (
                f"{layer.layer}",
                f"{layer.tile} {' x '.join(bare_length(voice, size) for size in sizes)}",
                f"{layer.courses}",
            )
        )
    return blocks.table(
        voice,
        [say("Layer"), say("Tile"), say("Courses")],
        rows,
        align="llr",
    )
