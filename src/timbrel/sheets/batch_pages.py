"""Batch cards on paper: one table an operation, the day's row marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.site.batch_card import BatchCard, BatchRow, batch_cards
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan


def batch_card_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The cards of every operation whose binder sets in a known time."""
    cards = batch_cards(plan.job, plan.site.volumes)
    if not cards:
        return []
    lead = say(
        "One batch at each temperature; the arrow marks the day of the plan. Weighed, not guessed; "
        "what begins to set is thrown away, never re-wetted. Prove the set with a pat each morning."
    )
    found = [blocks.heading(voice, say("Batch cards")), blocks.words(voice, lead)]
    for card in cards:
        found += [_title(card, voice), _table(card, voice)]
    return found


def _title(card: BatchCard, voice: Voice) -> Block:
    title = say("{binder}: {operation}", binder=card.binder, operation=card.title)
    return blocks.words(voice, title)


def _table(card: BatchCard, voice: Voice) -> Block:
    return blocks.table(
        voice,
        [say("Day"), say("Tiles"), say("Paste"), say("Buckets of 10 l"), say("Powder"),
         say("Water"), say("Retarder"), say("Throw away after"), say("Mind")],
        [_row(row, i == card.today, voice) for i, row in enumerate(card.rows)],
        align="rrrrrrrrl",
        widths=[-1, -1, -1, -1, -1, -1, -1, -1, FILL],
        dense=True,
    )  # fmt: skip


def _row(row: BatchRow, today: bool, voice: Voice) -> tuple[Message | str, ...]:
    day = ("→ " if today else "") + voice.quantity(row.temperature_c, "degc")
    batch = row.batch
    if batch is None:
        said = [voice(m) for m in (row.why, row.warning) if m is not None]
        return (day, *["–"] * 7, " ".join(said))
    return (
        day,
        str(batch.tiles),
        voice.quantity(batch.paste, "litres"),
        voice.number(row.buckets, 2),
        voice.quantity(batch.powder, "mass"),
        voice.quantity(batch.water, "litres"),
        voice.quantity(batch.retarder, "grams") if batch.retarder else "–",
        voice.quantity(batch.throw_away, "minutes"),
        row.warning or "",
    )
