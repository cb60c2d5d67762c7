"""The order list, the quote, the cut list and the programme."""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.bond.layout import CutGroup, Piece
from timbrel.sheets import blocks
from timbrel.sheets.bars import dated, rest_told
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.board import bare_length
from timbrel.site.workdays import Workdays
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.takeoff.quantities import Line
    from timbrel.takeoff.quote import Figure, Quote


def order_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """What to buy, what it weighs, how the tiles are sawn."""
    takeoff = plan.takeoff
    return [
        blocks.heading(voice, say("What to order")),
        blocks.table(
            voice,
            [say("Item"), say("Net need"), say("Order"), say("Over"), say("Packs"), say("Weight"),
             say("Cost")],
            [_order_row(line, plan.job.prices.currency, voice) for line in takeoff.lines],
            align="lrrrrrr",
            widths=[FILL, -1, -1, -1, -1, -1, -1],
        ),
        blocks.words(
            voice,
            say(
                "To lift in all {mass:mass}; the heaviest pallet or big bag {pallet:mass}; tiles and "
                "binders {shell:mass} for each square metre of seen face.",
                mass=takeoff.mass,
                pallet=takeoff.heaviest,
                shell=takeoff.shell_mass,
            ),
        ),
        *_nests(plan, voice),
    ]  # fmt: skip


def _order_row(line: Line, currency: str, voice: Voice) -> tuple[Message | str, ...]:
    packs = "–"
    if line.packs:
        places = 0 if float(line.packs).is_integer() else 2
        packs = voice(
            say("{count} x {pack}", count=voice.number(line.packs, places), pack=line.pack)
        )
    over = voice.quantity(line.allowance, "percent") if line.need else "–"
    cost = "–" if line.cost is None else f"{voice.number(line.cost, 2)} {currency}"
    return (
        line.title,
        voice.quantity(line.need, line.kind),
        voice.quantity(line.order, line.kind),
        over,
        packs,
        voice.quantity(line.mass, "mass"),
        cost,
    )


def _nests(plan: AnyPlan, voice: Voice) -> list[Block]:
    cuts = plan.bond.cuts
    rows = [
        (nest.tile, f"{nest.whole}", f"{nest.sawn}", f"{nest.used}", f"{nest.bound}",
         f"{nest.breakage}", f"{nest.bought}")
        for nest in cuts.nests
    ]  # fmt: skip
    found = [
        blocks.heading(voice, say("Tiles")),
        blocks.table(
            voice,
            [say("Tile"), say("Laid whole"), say("Sawn"), say("Used"), say("Least that could be used"),
             say("Breakage"), say("Bought")],
            rows,
            align="lrrrrrr",
        ),
    ]  # fmt: skip
    groups = [g for g in cuts.groups if g.kind != Piece.WHOLE]
    if groups:
        found += [
            blocks.heading(voice, say("Cut list")),
            blocks.words(
                voice,
                say(
                    "Equal pieces together; a saw cut takes {kerf:length}. Cut 2 mm easy and press "
                    "from above.",
                    kerf=cuts.kerf,
                ),
            ),
            blocks.table(
                voice,
                [say("Layer"), say("Tile"), say("Kind"), say("Cut from"), say("Sides"),
                 say("How many"), say("Pieces")],
                [_cut_row(g, voice) for g in groups],
                align="llllrrl",
                widths=[-1, -1, -1, -1, -1, -1, FILL],
            ),
        ]  # fmt: skip
    return found


def piece_name(kind: Piece) -> Message:
    """What a piece is."""
    return {Piece.WHOLE: say("whole"), Piece.HALF: say("half"), Piece.CUT: say("cut")}[kind]


NAMES_SHOWN = 6


def _cut_row(group: CutGroup, voice: Voice) -> tuple[Message | str, ...]:
    names = ", ".join(group.names[:NAMES_SHOWN])
    if group.count > NAMES_SHOWN:
        names = voice(say("{names} and {more:count} more (cut list, XLSX)", names=names,
                          more=group.count - NAMES_SHOWN))  # fmt: skip
    sides = ", ".join(bare_length(voice, side) for side in group.sides) or "–"
    return (
        f"{group.layer}",
        group.tile,
        piece_name(group.kind),
        f"{bare_length(voice, group.length)} x {bare_length(voice, group.width)}",
        sides,
        f"{group.count}",
        names,
    )


def quote_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """Low, likely and high, and what is left out."""
    return quote_tables(plan.takeoff.quote, voice)


def quote_tables(quote: Quote, voice: Voice) -> list[Block]:
    """The same of any quote."""
    found = [
        blocks.heading(voice, say("Quote")),
        blocks.table(
            voice,
            [say("In {currency}", currency=quote.currency), say("low"), say("likely"), say("high")],
            _quote_rows(quote, voice),
            align="lrrr",
        ),
    ]
    if quote.left_out:
        found += [
            blocks.words(voice, say("Left out, because the job gives no price:")),
            blocks.bullets(voice, quote.left_out),
        ]
    if quote.exclusions:
        found += [
            blocks.words(voice, say("Not in this price:")),
            blocks.bullets(voice, quote.exclusions),
        ]
    if quote.terms:
        found.append(blocks.words(voice, say("Terms: {terms}", terms=quote.terms)))
    if quote.valid_until is not None:
        found.append(
            blocks.words(voice, say("Valid until {day}.", day=quote.valid_until.isoformat()))
        )
    return found


def _quote_rows(quote: Quote, voice: Voice) -> list[tuple[Message | str, ...]]:
    figures = (quote.low, quote.likely, quote.high)

    def row(title: Message, name: str) -> tuple[Message | str, ...]:
        return (title, *(voice.number(_sum_of(f, name), 2) for f in figures))

    return [
        row(say("Working days"), "days"),
        row(say("Labour"), "labour"),
        row(say("Material"), "material"),
        row(say("Overhead"), "overhead"),
        row(say("Contingency"), "contingency"),
        row(say("Tax"), "tax"),
        row(say("Total"), "total"),
    ]


def _sum_of(figure: Figure, name: str) -> float:
    return float(getattr(figure, name))


def programme_blocks(plan: AnyPlan, voice: Voice) -> list[Block]:
    """The hours and days of each operation."""
    programme = plan.site.programme
    workdays = Workdays.of(plan.job.site)
    rows = [
        (
            op.title,
            voice.quantity(op.quantity, op.kind),
            voice.quantity(op.hours, "hours"),
            f"{op.day}" if op.day == op.last_day else f"{op.day}–{op.last_day}",
            dated(op.day, workdays),
            voice.quantity(op.wait, "days") if op.wait else "–",
        )
        for op in programme.operations
    ]
    return [
        blocks.heading(voice, say("Programme")),
        blocks.table(
            voice,
            [say("Operation"), say("Quantity"), say("Hours of the crew"), say("Day"),
             say("Begins on"), say("Then wait")],
            rows,
            align="lrrrlr",
        ),
        blocks.words(voice, rest_told(workdays), small=True),
    ]  # fmt: skip


def step_line(step: object, voice: Voice) -> str:
    """A step as it stands in the list: stops are marked and said."""
    line = voice(step.what)  # type: ignore[attr-defined]
    if step.wait:  # type: ignore[attr-defined]
        line = voice(say("{what} Then wait {wait:days}.", what=line, wait=step.wait))  # type: ignore[attr-defined]
    if step.hold:  # type: ignore[attr-defined]
        line = voice(say("STOP, look and sign: {what}", what=line))
    return line
