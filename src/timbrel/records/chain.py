"""The chain of hashes that binds the entries.

Each entry's hash is SHA-256 (FIPS 180-4) over a canonical JSON text (sorted keys, no spaces, UTF-8,
after RFC 8785 for the plain values that occur) of all that the entry says and the hash of the one
before. A change, a gap or a swap breaks the chain from there on; the head tells of a cut end.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

START = "0" * 64


@dataclass(frozen=True)
class Entry:
    """One entry as it stands in the record.

    seq: from 1 without gaps. uid: made by whoever enters it; the same one is taken once. kind: see
    :mod:`timbrel.records.kinds`. author: seq of the person's entry (its own seq for the first).
    corrects: seq of the entry that this one puts right. at: when it happened, by the writer's clock;
    received: when it arrived; both ISO 8601 with zone. body: what it says. previous, digest: hashes.
    """

    seq: int
    uid: str
    kind: str
    author: int
    corrects: int | None
    at: str
    received: str
    body: dict[str, Any]
    previous: str
    digest: str


def canonical(value: object) -> bytes:
    """The one text of a JSON value."""
    return json.dumps(
        value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    ).encode()


def digest_of(
    seq: int,
    uid: str,
    kind: str,
    author: int,
    corrects: int | None,
    at: str,
    received: str,
    body: dict[str, Any],
    previous: str,
) -> str:
    """Hash of an entry with the one before it."""
    said = [seq, uid, kind, author, corrects, at, received, body, previous]
    return hashlib.sha256(canonical(said)).hexdigest()


def is_true(entry: Entry) -> bool:
    """Does the entry's hash answer to what it says?"""
    return entry.digest == digest_of(
        entry.seq,
        entry.uid,
        entry.kind,
        entry.author,
        entry.corrects,
        entry.at,
        entry.received,
        entry.body,
        entry.previous,
    )
