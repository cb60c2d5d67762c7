"""Options side by side: the same rows on the page, on the terminal and on paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from timbrel.options import Care, Figures, Option, Vary
from timbrel.sheets import blocks
from timbrel.sheets.blocks import FILL, Block
from timbrel.words import Message, Voice, say


@dataclass(frozen=True)
class Measured:
    """One row: what is compared, and its words for each option ("–" where there is none)."""

    label: Message
    cells: tuple[str, ...]


def care_name(care: Care) -> Message:
    """What the options are sorted by."""
    return {
        "safety": say("safety"),
        "thrust": say("least thrust"),
        "walls": say("ease on the walls"),
        "headroom": say("headroom"),
        "tiles": say("fewest tiles"),
        "cuts": say("fewest cuts"),
        "days": say("fewest days"),
        "price": say("price"),
    }[care]


def vary_name(vary: Vary) -> Message:
    """What is varied from option to option."""
    return {
        "all": say("a little of everything"),
        "rise": say("the rise and the curve"),
        "family": say("the family of the vault"),
        "layers": say("the layers"),
    }[vary]


def measured_rows(options: Sequence[Option], currency: str, voice: Voice) -> tuple[Measured, ...]:
    """Everything that is compared, in the order in which it is asked; what none has is left out."""
    said: tuple[tuple[Message, Callable[[Figures], str]], ...] = (
        (say("Statics by"), lambda f: voice(_statics(f))),
        (say("Load factor"), lambda f: _factor(f, voice)),
        (say("Thrust on a metre of wall, least"),
         lambda f: voice.quantity(f.push.wall_least, "line_load")),
        (say("Thrust on a metre of wall, greatest"),
         lambda f: voice.quantity(f.push.wall_greatest, "line_load")),
        (say("Thrust on a corner, least to greatest"), lambda f: _corner(f, voice)),
        (say("What the walls need"), lambda f: walls_need(f, voice)),
        (say("Headroom at the crown"), lambda f: voice.length(f.headroom)),
        (say("Spare height"), lambda f: voice.length(f.spare)),
        (say("Rise, thickness"), lambda f: f"{voice.length(f.rise)}, {voice.length(f.thickness)}"),
        (say("Layers"), lambda f: f"{f.layers}"),
        (say("Tiles to order, pieces to cut"), lambda f: f"{f.tiles}, {f.cuts}"),
        (say("Days of the crew, on the calendar"),
         lambda f: f"{voice.quantity(f.days, 'ratio')}, {f.calendar}"),
        (say("Price, likely, in {currency}", currency=currency), lambda f: _price(f, voice)),
        (say("Fail, not judged"), lambda f: f"{f.fails}, {f.not_judged}"),
        (say("What governs"), lambda f: voice(f.governs.title) if f.governs else "–"),
    )  # fmt: skip
    rows = (
        Measured(label, tuple("–" if o.figures is None else tell(o.figures) for o in options))
        for label, tell in said
    )
    return tuple(row for row in rows if any(cell != "–" for cell in row.cells))


def _factor(figures: Figures, voice: Voice) -> str:
    """The least load factor; where no share of the imposed load is too much, in words."""
    if figures.load_factor is not None and math.isinf(figures.load_factor):
        return voice(say("the imposed load is not bounded"))
    return factor_said(figures.load_factor, more=figures.more, voice=voice)


def factor_said(factor: float | None, *, more: bool, voice: Voice) -> str:
    """A load factor; at least so much where it was followed no further."""
    told = voice.quantity(factor, "ratio")
    return f"≥ {told}" if more and factor is not None else told


def _statics(figures: Figures) -> Message:
    if figures.coarse:
        return say("a coarse net, to be proved")
    return say("strips with both bounds")


def _corner(figures: Figures, voice: Voice) -> str:
    push = figures.push
    if push.corner_least is None:
        return "–"
    least = voice.quantity(push.corner_least, "force")
    if push.corner_greatest is None:
        return least
    return f"{least} – {voice.quantity(push.corner_greatest, 'force')}"


def walls_need(figures: Figures, voice: Voice) -> str:
    """The check on the walls that governs, its verdict, value against limit."""
    check = figures.walls
    if check is None:
        return "–"
    verdict = blocks.verdict_word(voice, check.verdict)
    value, limit = blocks.value_of(voice, check), blocks.limit_of(voice, check)
    return f"{voice(check.title)}: {value}, {limit}, {verdict}"


def _price(figures: Figures, voice: Voice) -> str:
    price = voice.number(figures.price, 0)
    if not figures.left_out:
        return price
    return voice(
        say("{price}, {count:count} lines without a price", price=price, count=figures.left_out)
    )


def options_blocks(
    options: Sequence[Option], currency: str, care: Care, voice: Voice
) -> list[Block]:
    """The comparison as a sheet."""
    planned = [o for o in options if o.figures is not None]
    rows = measured_rows(planned, currency, voice)
    verdicts = (blocks.verdict_word(voice, o.figures.verdict) for o in planned if o.figures)
    body: list[tuple[Message | str, ...]] = [(say("Verdict"), *verdicts)]
    body += [(row.label, *row.cells) for row in rows]
    head: list[Message | str] = ["", *(o.candidate.title for o in planned)]
    found = [
        blocks.heading(voice, say("Options for this room")),
        blocks.words(
            voice,
            say(
                "Each is really planned; sorted by {care}, what fails behind what does not. A coarse "
                "net's figures have to be borne out by the whole proof before anybody builds.",
                care=care_name(care),
            ),
        ),
        blocks.table(
            voice,
            head,
            body,
            align="l" * (1 + len(planned)),
            widths=[48, *([FILL] * len(planned))],
        ),
    ]  # fmt: skip
    notes = [say("{title}: {note}", title=o.candidate.title, note=o.candidate.note)
             for o in planned if o.candidate.note]  # fmt: skip
    if notes:
        found.append(blocks.bullets(voice, notes))
    refused = [say("{title}: {reason}", title=o.candidate.title, reason=o.refused)
               for o in options if o.refused]  # fmt: skip
    if refused:
        found += [
            blocks.heading(voice, say("Cannot be planned")),
            blocks.bullets(voice, refused),
        ]
    return found
