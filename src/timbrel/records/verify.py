"""Is the chain of a record whole: what is missing, what was changed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select

from timbrel.records.chain import START, Entry, is_true
from timbrel.records.kinds import read_body
from timbrel.records.stored import entry_of, head_of
from timbrel.records.tables import entries, pictures
from timbrel.words import TimbrelError, say


@dataclass(frozen=True)
class Fault:
    """Something wrong with the chain: at which entry, and what."""

    seq: int
    what: Any


def faults_of(connection: Connection, known_head: str | None = None) -> list[Fault]:
    """Faults of the chain, empty when it is whole.

    known_head: a hash noted earlier (on a signature or a print); it must be in the chain still.
    """
    faults: list[Fault] = []
    count, last = head_of(connection)
    rows = connection.execute(select(entries).order_by(entries.c.seq)).all()
    kept = {
        d: hashlib.sha256(data).hexdigest()
        for d, data in connection.execute(select(pictures.c.digest, pictures.c.data))
    }
    previous, expected, seen = START, 1, {START}
    for row in rows:
        entry = entry_of(row)
        if entry.seq != expected:
            faults.append(Fault(expected, say("an entry is missing before this one")))
        if entry.previous != previous:
            faults.append(Fault(entry.seq, say("it does not follow the entry before it")))
        if not is_true(entry):
            faults.append(Fault(entry.seq, say("its words are not those that were entered")))
        faults += _broken_body(entry, kept)
        previous, expected = entry.digest, entry.seq + 1
        seen.add(entry.digest)
    if len(rows) != count or previous != last:
        faults.append(Fault(expected, say("entries are missing at the end")))
    if known_head is not None and known_head not in seen:
        faults.append(Fault(expected, say("the noted hash is not in the chain")))
    return faults


def _broken_body(entry: Entry, kept: dict[str, str]) -> Iterator[Fault]:
    try:
        read_body(entry.kind, entry.body)
    except TimbrelError:
        yield Fault(entry.seq, say("it says what no entry of its kind can say"))
        return
    if entry.kind == "photo":
        digest = entry.body["digest"]
        if kept.get(digest) != digest:
            yield Fault(entry.seq, say("its picture is missing or was changed"))
