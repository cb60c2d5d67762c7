"""Links by which people enter the record: made, used, revoked, and guarded against guessing.

A link carries a random secret; the record keeps only its SHA-256. Wrong secrets are counted by
where they came from, and after a few the door stays shut for a while.
"""

from __future__ import annotations

import hashlib
import secrets
import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import uuid4

from sqlalchemy import delete, func, insert, select

from timbrel.records.chain import Entry
from timbrel.records.roles import Role
from timbrel.records.store import Record
from timbrel.records.tables import attempts
from timbrel.words import TimbrelError, say

SECRET_BYTES = 24
ATTEMPTS_MOST = 10
SHUT_FOR = 15 * 60
"""Seconds for which wrong attempts from one place count."""


@dataclass(frozen=True)
class Person:
    """Who came in by a link."""

    seq: int
    name: str
    role: Role


def make_link(record: Record, *, author: int, person: int, days: float) -> tuple[str, Entry]:
    """A new secret for a person, good for some days; only its digest is entered."""
    if not 0 < days <= 366:
        raise TimbrelError(
            say("days: {days} was given; more than 0 and at most 366 is accepted.", days=days),
            key="days",
        )
    secret = secrets.token_urlsafe(SECRET_BYTES)
    expires = (datetime.now(UTC) + timedelta(days=days)).isoformat(timespec="seconds")
    body = {"person": person, "digest": _digest(secret), "expires": expires}
    taken = record.add(uid=uuid4().hex, kind="token", author=author, body=body)
    return secret, taken.entry


def revoke_link(record: Record, *, author: int, token: int) -> Entry:
    """End a link; who uses it afterwards is refused."""
    return record.add(
        uid=uuid4().hex, kind="token_revoked", author=author, body={"token": token}
    ).entry


def who_enters(record: Record, secret: str, source: str) -> Person:
    """The person whose link this is.

    source: where the attempt comes from (an address). Raises TimbrelError when the link is wrong,
    revoked or over, or when too many wrong ones came from there.
    """
    _refuse_when_shut(record, source)
    digest = _digest(secret)
    link = next((e for e in record.entries(kind="token") if e.body["digest"] == digest), None)
    if link is None:
        _count(record, source)
        raise TimbrelError(say("This link is not known; ask the master for a new one."), key="link")
    revoked = {e.body["token"] for e in record.entries(kind="token_revoked")}
    if link.seq in revoked:
        raise TimbrelError(say("This link was revoked; ask the master for a new one."), key="link")
    if datetime.fromisoformat(link.body["expires"]) <= datetime.now(UTC):
        raise TimbrelError(say("This link is over; ask the master for a new one."), key="link")
    return person_of(record, link.body["person"])


def person_of(record: Record, seq: int) -> Person:
    """A person as the record has them now (the newest correction counts)."""
    found = record.entry(seq)
    if found is None or found.kind != "person":
        raise TimbrelError(say("Entry {seq} is not a person.", seq=seq), key="person")
    newest = found
    for entry in record.entries(kind="person", after=seq):
        if entry.corrects == newest.seq:
            newest = entry
    return Person(newest.seq, newest.body["name"], Role(newest.body["role"]))


def _digest(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def _refuse_when_shut(record: Record, source: str) -> None:
    since = int(time.time()) - SHUT_FOR
    query = select(func.count()).where(attempts.c.source == source[:64], attempts.c.at > since)
    with record.reading() as connection:
        tried = connection.execute(query).scalar_one()
    if tried >= ATTEMPTS_MOST:
        raise TimbrelError(
            say("Too many wrong links came from here; try again in {wait:minutes}.", wait=SHUT_FOR),
            key="attempts",
        )


def _count(record: Record, source: str) -> None:
    now = int(time.time())
    with record.writing() as connection:
        connection.execute(delete(attempts).where(attempts.c.at <= now - SHUT_FOR))
        connection.execute(insert(attempts).values(source=source[:64], at=now))
