"""The papers of a house: visits and choices, its vaults side by side, order, programme, quote."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timbrel.house.plan import how_far
from timbrel.sheets import blocks
from timbrel.sheets.bars import dated, house_picture, rest_told
from timbrel.sheets.blocks import FILL, Block
from timbrel.sheets.order_pages import quote_tables
from timbrel.sheets.paper import PAPERS
from timbrel.site.order import cautions
from timbrel.words import Message, TimbrelError, Voice, say

if TYPE_CHECKING:
    from timbrel.house import HousePlan
    from timbrel.house.orders import HouseLine
    from timbrel.house.programme import HouseOperation
    from timbrel.sheets.table import Table


def house_blocks(house: HousePlan, voice: Voice) -> list[Block]:
    """Everything of a house, in the order in which it came about."""
    return [
        blocks.large(voice, house.file.house.title),
        *visit_blocks(house, voice),
        *vault_blocks(house, voice),
        *order_blocks(house, voice),
        *programme_blocks(house, voice),
        *price_blocks(house, voice),
        blocks.caution(voice, cautions()),
    ]


def visit_blocks(house: HousePlan, voice: Voice) -> list[Block]:
    """What was seen, and what was chosen over what."""
    found: list[Block] = []
    for visit in house.file.visits:
        day = visit.day.isoformat()
        title = say("Visit of {day}, {who}", day=day, who=visit.who) if visit.who else say(
            "Visit of {day}", day=day
        )  # fmt: skip
        found += [blocks.heading(voice, title), blocks.bullets(voice, visit.notes)]
    if any(v.chosen for v in house.file.vaults):
        found += [
            blocks.heading(voice, say("What was chosen")),
            blocks.table(
                voice,
                [say("Vault"), say("Chosen"), say("Instead of"), say("Why")],
                [
                    (v.job, v.chosen or "–", "; ".join(v.instead_of) or "–", v.why or "–")
                    for v in house.file.vaults
                ],
                align="llll",
                widths=[-1, 50, FILL, FILL],
            ),
        ]
    return found


def vault_blocks(house: HousePlan, voice: Voice) -> list[Block]:
    """The vaults side by side, each by itself."""
    currency = house.quote.currency
    rows = [
        (
            f"{v.name}: {v.title}",
            blocks.verdict_word(voice, v.verdict),
            v.governs.title if v.governs else "–",
            f"{v.tiles}",
            voice.number(v.days, 1),
            f"{v.calendar}",
            voice.number(v.price, 0),
        )
        for v in house.vaults
    ]
    return [
        blocks.heading(voice, say("The vaults, each by itself")),
        blocks.table(
            voice,
            [say("Vault"), say("Verdict"), say("Governs"), say("Tiles"), say("Working days"),
             say("Calendar days"), say("Likely price, {currency}", currency=currency)],
            rows,
            align="lllrrrr",
            widths=[FILL, -1, FILL, -1, -1, -1, -1],
        ),
        blocks.words(voice, how_far(house), small=True),
    ]  # fmt: skip


def order_blocks(house: HousePlan, voice: Voice) -> list[Block]:
    """One order: needs added first, then rounded to whole bags and pallets."""
    currency = house.quote.currency
    bags = sum(line.bags_apart - line.line.bags for line in house.lines)
    pallets = sum(line.pallets_apart - line.line.pallets for line in house.lines)
    return [
        blocks.heading(voice, say("One order for the house")),
        blocks.table(
            voice,
            [say("Item"), say("Order"), say("For"), say("Bags"), say("Pallets"), say("Weight"),
             say("Cost, {currency}", currency=currency)],
            [_order_row(line, voice) for line in house.lines],
            align="lrlrrrr",
            widths=[FILL, -1, FILL, -1, -1, -1, -1],
        ),
        blocks.words(
            voice,
            say(
                "Bags and pallets: together, and in brackets the sum if every vault bought by "
                "itself: {bags:count} bags and {pallets:count} pallets fewer. To lift in all "
                "{mass:mass}.",
                bags=bags,
                pallets=pallets,
                mass=sum(line.line.mass for line in house.lines),
            ),
            small=True,
        ),
    ]  # fmt: skip


def _order_row(found: HouseLine, voice: Voice) -> tuple[Message | str, ...]:
    line = found.line
    shares = ", ".join(f"{name} {voice.quantity(order, line.kind)}" for name, order in found.shares)
    return (
        line.title,
        voice.quantity(line.order, line.kind),
        shares,
        _beside(line.bags, found.bags_apart),
        _beside(line.pallets, found.pallets_apart),
        voice.quantity(line.mass, "mass"),
        "–" if line.cost is None else voice.number(line.cost, 2),
    )


def _beside(together: int, apart: int) -> str:
    if not together:
        return "–"
    return f"{together}" if together == apart else f"{together} ({apart})"


def programme_blocks(house: HousePlan, voice: Voice) -> list[Block]:
    """One crew: what it does on which day, at which vault."""
    programme = house.programme
    return [
        blocks.heading(voice, say("One programme for one crew")),
        blocks.table(
            voice,
            [say("Days"), say("Begins on"), say("Vault"), say("Operation"), say("Crew hours"),
             say("Wait after")],
            [_operation_row(o, house, voice) for o in programme.operations],
            align="rlllrr",
            widths=[-1, -1, -1, FILL, -1, -1],
        ),
        blocks.words(
            voice,
            say(
                "While one vault waits for its mortar the crew works at another: {calendar:count} "
                "calendar days, against {apart:count} one vault after the other; {days} working "
                "days of the crew. No vault is loaded, and no prop goes, before "
                "its own wait has passed.",
                calendar=programme.calendar,
                apart=programme.one_by_one,
                days=voice.number(programme.days, 1),
            ),
        ),
        blocks.words(voice, rest_told(house.workdays), small=True),
        blocks.picture(
            voice, house_picture(programme, house.workdays, voice, PAPERS["A4"].room_mm[0] - 6.0)
        ),
    ]  # fmt: skip


def _operation_row(
    found: HouseOperation, house: HousePlan, voice: Voice
) -> tuple[Message | str, ...]:
    o = found.operation
    return (
        f"{o.day}" if o.day == o.last_day else f"{o.day}–{o.last_day}",
        dated(o.day, house.workdays),
        found.job,
        o.title,
        voice.quantity(o.hours, "hours"),
        voice.quantity(o.wait, "days") if o.wait else "–",
    )


def price_blocks(house: HousePlan, voice: Voice) -> list[Block]:
    """One quote, and what the vaults would come to apart."""
    likely = house.quote.likely.total
    return [
        *quote_tables(house.quote, voice),
        blocks.words(
            voice,
            say(
                "Each vault by itself would come to {apart} {currency}; together {saved} less.",
                apart=voice.number(house.apart, 2),
                currency=house.quote.currency,
                saved=voice.number(house.apart - likely, 2),
            ),
        ),
    ]


def house_pdf(house: HousePlan, voice: Voice) -> bytes:
    """The sheets of a house."""
    from timbrel.sheets.paper import typeset
    from timbrel.sheets.sheet import title_head, words_sheet

    def sheet(title: Message, kind: Message, made: list[Block]) -> Any:
        return words_sheet(voice, title, kind, made, columns=1)

    sheets = [
        sheet(
            say("The house"),
            say("Summary"),
            [
                blocks.large(voice, house.file.house.title),
                *visit_blocks(house, voice),
                *vault_blocks(house, voice),
                blocks.caution(voice, cautions()),
            ],
        ),
        sheet(say("One order for the house"), say("Order"), order_blocks(house, voice)),
        sheet(
            say("One programme for one crew"),
            say("Method"),
            programme_blocks(house, voice),
        ),
        sheet(
            say("Quote"),
            say("Quote"),
            [
                *price_blocks(house, voice),
                blocks.signatures(
                    voice, [say("Master mason"), say("Client"), say("Place and date")]
                ),
            ],
        ),
    ]
    return typeset(
        "pack.typ", {"paper": "A4", "head": title_head(voice, house.file.house), "sheets": sheets}
    )


def house_json(house: HousePlan, voice: Voice) -> str:
    """Every figure of the house's sheets, in SI."""
    from timbrel.schema.plain import plain

    found = {"verdict": house.verdict.value, "apart": house.apart, **plain(house, voice)}
    return json.dumps(found, ensure_ascii=False, indent=1, allow_nan=False)


def order_table(house: HousePlan, voice: Voice) -> Table:
    """The common order as plain rows."""
    from timbrel.sheets.table import Table

    head = (say("Key"), say("Item"), say("Order (SI)"), say("Kind"), say("Bags"), say("Pallets"),
            say("Weight (kg)"), say("Cost"), say("For"))  # fmt: skip
    rows = tuple(
        (
            found.line.key,
            voice(found.line.title),
            float(f"{found.line.order:.9g}"),
            found.line.kind,
            found.line.bags,
            found.line.pallets,
            round(found.line.mass, 2),
            None if found.line.cost is None else round(found.line.cost, 2),
            "; ".join(f"{name} {order:.4g}" for name, order in found.shares),
        )
        for found in house.lines
    )
    return Table("order", say("One order for the house"), head, rows)


def write_house(house: HousePlan, folder: Path, voice: Voice) -> None:
    """Write house.pdf, house.json and order.csv; nothing when the folder cannot be written."""
    from timbrel.sheets.workbook import to_csv

    made = {
        "house.pdf": house_pdf(house, voice),
        "house.json": (house_json(house, voice) + "\n").encode(),
        "order.csv": to_csv(order_table(house, voice), voice),
    }
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in made.items():
            beside = folder / f".{name}.new"
            beside.write_bytes(content)
            beside.replace(folder / name)
    except OSError as error:
        raise TimbrelError(
            say(
                "The folder {folder} cannot be written ({reason}); give another with --out.",
                folder=folder,
                reason=error.strerror or str(error),
            ),
            key="out",
        ) from error
