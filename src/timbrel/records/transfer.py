"""The record as JSON and CSV by an open schema, and back without loss.

``timbrel-record.json``: {"format": "timbrel-record", "version": 1, "head": hash, "entries": [...],
"pictures": {digest: base64}}; each entry has the keys of :class:`timbrel.records.chain.Entry`. The
chain of hashes goes along, so that a file that was changed on its way is refused.
"""

from __future__ import annotations

import base64
import binascii
import csv
import hashlib
import io
import json
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError
from sqlalchemy import insert

from timbrel.records.chain import START, Entry, is_true
from timbrel.records.kinds import read_body
from timbrel.records.media import PICTURE_MOST, media_of
from timbrel.records.store import Record
from timbrel.records.tables import entries, head, pictures
from timbrel.words import TimbrelError, say

FORMAT = "timbrel-record"
VERSION = 1


class ExportedEntry(BaseModel):
    """One entry in the exported file."""

    model_config = ConfigDict(extra="forbid")
    seq: int = Field(ge=1)
    uid: str = Field(min_length=8, max_length=64)
    kind: str
    author: int = Field(ge=1)
    corrects: int | None
    at: str
    received: str
    body: dict[str, Any]
    previous: str = Field(pattern=r"^[0-9a-f]{64}$")
    digest: str = Field(pattern=r"^[0-9a-f]{64}$")


class ExportedRecord(BaseModel):
    """The whole exported file; its JSON Schema is the documented one."""

    model_config = ConfigDict(extra="forbid")
    format: str = Field(pattern=f"^{FORMAT}$")
    version: int = Field(ge=VERSION, le=VERSION)
    head: str = Field(pattern=r"^[0-9a-f]{64}$")
    entries: list[ExportedEntry]
    pictures: dict[str, str] = Field(description="Base64 of each picture, by its SHA-256")


def to_json(record: Record) -> str:
    """The whole record, pictures included."""
    every = record.entries()
    wanted = {e.body["digest"] for e in every if e.kind == "photo"}
    kept = {d: found[1] for d in sorted(wanted) if (found := record.picture(d)) is not None}
    whole = {
        "format": FORMAT,
        "version": VERSION,
        "head": every[-1].digest if every else START,
        "entries": [asdict(e) for e in every],
        "pictures": {d: base64.b64encode(data).decode() for d, data in kept.items()},
    }
    return json.dumps(whole, ensure_ascii=False, indent=1)


def to_csv(record: Record) -> str:
    """One row an entry; what it says as JSON in the column `body`."""
    out = io.StringIO(newline="")
    names = [f.name for f in fields(Entry)]
    writer = csv.DictWriter(out, names)
    writer.writeheader()
    for entry in record.entries():
        row = asdict(entry)
        row["body"] = json.dumps(row["body"], ensure_ascii=False, sort_keys=True)
        writer.writerow(row)
    return out.getvalue()


def from_json(text: str, folder: Path) -> Record:
    """Make the record of a job from an exported file. Refuses a folder that has one already."""
    whole = _read(text)
    every = [Entry(**e.model_dump()) for e in whole.entries]
    _refuse_broken(every, whole.head)
    data = {digest: _picture(digest, text) for digest, text in whole.pictures.items()}
    record = Record.open(folder)
    if record.head()[0]:
        record.close()
        raise TimbrelError(
            say("There is a record beside this job already; it is not written over."), key="record"
        )
    with record.writing() as connection:
        for digest, (media, picture) in data.items():
            connection.execute(insert(pictures).values(digest=digest, media=media, data=picture))
        for entry in every:
            connection.execute(insert(entries).values(**asdict(entry)))
        if every:
            connection.execute(insert(head).values(id=1, count=len(every), digest=whole.head))
    return record


def _read(text: str) -> ExportedRecord:
    try:
        return ExportedRecord.model_validate_json(text)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(part) for part in first["loc"]) or "file"
        raise TimbrelError(
            say("{key}: not an exported record; {why}.", key=key, why=first["msg"]), key=key
        ) from error


def _refuse_broken(every: list[Entry], last: str) -> None:
    previous = START
    for expected, entry in enumerate(every, 1):
        read_body(entry.kind, entry.body)
        if entry.seq != expected or entry.previous != previous or not is_true(entry):
            raise TimbrelError(
                say("entries: the chain breaks at entry {seq}; nothing was read.", seq=expected),
                key="entries",
            )
        previous = entry.digest
    if previous != last:
        raise TimbrelError(
            say("head: entries are missing at the end; nothing was read."), key="head"
        )


def _picture(digest: str, text: str) -> tuple[str, bytes]:
    try:
        data = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        data = b""
    media = media_of(data)
    if hashlib.sha256(data).hexdigest() != digest or media is None or len(data) > PICTURE_MOST:
        raise TimbrelError(
            say("pictures: the picture {digest} is not what its name says.", digest=digest[:12]),
            key="pictures",
        )
    return media, data
