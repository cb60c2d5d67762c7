"""Entries as they lie in the tables: the head of the chain, one by its number, those alike."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, select
from sqlalchemy.sql import Select

from timbrel.records.asked import Asked
from timbrel.records.chain import START, Entry
from timbrel.records.tables import entries, head


def head_of(connection: Connection) -> tuple[int, str]:
    """How many entries there are, and the hash of the last."""
    row = connection.execute(select(head.c["count"], head.c.digest)).first()
    return (0, START) if row is None else (int(row[0]), str(row[1]))


def entry_of(row: Any) -> Entry:
    """An entry from its row."""
    return Entry(**row._mapping)


def one_of(connection: Connection, query: Select[Any]) -> Entry | None:
    """The first entry that a query finds, or None."""
    row = connection.execute(query).first()
    return None if row is None else entry_of(row)


def by_seq(connection: Connection, seq: int) -> Entry | None:
    """The entry of a number, or None."""
    return one_of(connection, select(entries).where(entries.c.seq == seq))


def earlier_of_the_same(
    connection: Connection, asked: Asked, said: dict[str, Any]
) -> tuple[int, ...]:
    """Entries that said the same thing before: a correction of the same entry, the same hold."""
    if asked.corrects is not None:
        query = select(entries.c.seq).where(entries.c.corrects == asked.corrects)
        return tuple(row.seq for row in connection.execute(query))
    if asked.kind == "signature":
        query = select(entries).where(entries.c.kind == "signature")
        return tuple(
            row.seq for row in connection.execute(query) if row.body["what"] == said["what"]
        )
    if asked.kind == "course":
        query = select(entries).where(entries.c.kind == "course")
        same = ("layer", "what", "number")
        return tuple(
            row.seq
            for row in connection.execute(query)
            if all(row.body[key] == said[key] for key in same)
        )
    return ()
