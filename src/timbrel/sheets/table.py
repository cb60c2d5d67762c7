"""A table as plain rows with numbers."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.words import Message

Cell = str | int | float | None


@dataclass(frozen=True)
class Table:
    """One table. name: of its file and its XLSX sheet."""

    name: str
    title: Message
    head: tuple[Message, ...]
    rows: tuple[tuple[Cell, ...], ...]
