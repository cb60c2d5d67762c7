"""Measured tiles of a delivery, typed line by line, as they stand in the job's text."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import tomlkit

from timbrel.job.units import QuantityError, read_quantity
from timbrel.web.edits import length_value
from timbrel.web.form import length_text
from timbrel.words import LengthUnit, TimbrelError, say

COLUMNS = ("length", "width", "thickness", "bow")
SPARE = 2
"""Empty lines beyond what is filled, once twenty are."""
LINES = 20
MOST_LINES = 200


@dataclass(frozen=True)
class TypedLine:
    """One line of the sheet as it stands in its boxes. number: from 1."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class TypedDelivery:
    """The sheet of one kind of tile. use: is the vault planned with what came."""

    tile: str
    lines: tuple[TypedLine, ...]
    use: bool


def deliveries_of(text: str, tiles: tuple[str, ...], unit: LengthUnit) -> tuple[TypedDelivery, ...]:
    """A sheet for every tile that is laid, filled in as far as the job states it."""
    stated = tomllib.loads(text).get("deliveries", [])
    found = []
    for tile in tiles:
        row: dict[str, Any] = next((d for d in stated if d.get("tile") == tile), {})
        measured = row.get("measured", [])
        count = max(LINES, len(measured) + SPARE)
        lines = [
            TypedLine(
                n + 1,
                tuple(_shown(v, unit) for v in measured[n]) if n < len(measured) else ("",) * 4,
            )
            for n in range(count)
        ]
        found.append(TypedDelivery(tile, tuple(lines), bool(row.get("use", True))))
    return tuple(found)


def typed_back(tile: str, cells: Mapping[tuple[int, str], str], use: bool) -> TypedDelivery:
    """The sheet as it was sent, to be shown again beside what was refused."""
    count = max([LINES, *(number for number, _ in cells)])
    lines = [
        TypedLine(n, tuple(cells.get((n, column), "") for column in COLUMNS))
        for n in range(1, count + 1)
    ]
    return TypedDelivery(tile, tuple(lines), use)


def _shown(value: Any, unit: LengthUnit) -> str:
    """A length of the text in the reader's unit; what is none stands as it is."""
    try:
        return length_text(read_quantity(value, "mm"), unit)
    except QuantityError:
        return str(value)


def put_delivery(text: str, typed: TypedDelivery, unit: LengthUnit) -> str:
    """The job's text with this sheet in it; an empty sheet takes the delivery out.

    Raises TimbrelError when a line is half filled.
    """
    rows = [_row(line, typed.tile, unit) for line in typed.lines if any(line.cells)]
    document = tomlkit.parse(text)
    stated = document.get("deliveries")
    at = next((i for i, d in enumerate(stated or ()) if d.get("tile") == typed.tile), None)
    if not rows:
        if stated is not None and at is not None:
            del stated[at]
            if len(stated) == 0:
                del document["deliveries"]
        return tomlkit.dumps(document)
    measured = tomlkit.array()
    for row in rows:
        measured.add_line(row)
    measured.add_line(indent="")
    if stated is None or at is None:
        row_table = tomlkit.table()
        row_table["tile"] = typed.tile
        if stated is None:
            document["deliveries"] = tomlkit.aot()
        document["deliveries"].append(row_table)
        at = len(document["deliveries"]) - 1
    table = document["deliveries"][at]
    table["measured"] = measured
    if typed.use:
        table.pop("use", None)
    else:
        table["use"] = False
    return tomlkit.dumps(document)


def _row(line: TypedLine, tile: str, unit: LengthUnit) -> list[Any]:
    """One tile; a bow left empty is none."""
    names = {"length": say("length"), "width": say("width"), "thickness": say("thickness")}
    for column, cell in zip(COLUMNS, line.cells, strict=True):
        if not cell.strip() and column != "bow":
            raise TimbrelError(
                say(
                    "Measured tile {number:count} of {tile} has no {what}; fill the line or empty "
                    "it.",
                    number=line.number,
                    tile=tile,
                    what=names[column],
                ),
                key="deliveries",
            )
    return [length_value(cell or "0", unit) for cell in line.cells]
