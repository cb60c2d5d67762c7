"""Who opens the site's record, and what they may write in it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from urllib.parse import urlsplit

from fastapi import Request

from timbrel.records.links import Person, person_of, who_enters
from timbrel.records.roles import Role, may_write
from timbrel.records.store import FILE_NAME, Record
from timbrel.web.desk import desk_of
from timbrel.web.guard import LOOPBACK
from timbrel.words import TimbrelError, say

COOKIE = "timbrel-person"
PASSED_ON = ("forwarded", "x-forwarded-for", "x-real-ip", "via")


@contextmanager
def opened(request: Request, name: str) -> Iterator[Record]:
    """The record of a job, for one request."""
    folder = desk_of(request).store.folder(name)
    if not (folder / FILE_NAME).exists():
        raise TimbrelError(say("This job has no record yet; the master begins it."))
    record = Record.open(folder)
    try:
        yield record
    finally:
        record.close()


def visitor(request: Request, name: str, record: Record) -> Person | None:
    """Who is at the other end: by the link kept in a cookie; at this machine itself, the master.

    Without a link a page shared on the network only reads.
    """
    secret = request.cookies.get(f"{COOKIE}-{name}")
    if secret:
        return who_enters(record, secret, source_of(request))
    return person_of(record, 1) if at_the_machine(request) else None


def at_the_machine(request: Request) -> bool:
    """Does the browser run on the machine that keeps the job, and ask by its loopback name.

    What a proxy passes on never does: behind one, everybody would seem to sit at the machine.
    """
    if not request.app.state.door.token:
        return True
    named = urlsplit(f"//{request.headers.get('host', '')}").hostname
    passed_on = any(name in request.headers for name in PASSED_ON)
    return source_of(request) in LOOPBACK and named in LOOPBACK and not passed_on


def source_of(request: Request) -> str:
    """Where a request comes from."""
    return request.client.host if request.client else "unknown"


def must(who: Person | None, kind: str) -> Person:
    """Who writes an entry of this kind. Raises TimbrelError for whoever may not."""
    if who is None or not may_write(who.role, kind):
        allowed = ", ".join(r.value for r in Role if may_write(r, kind))
        raise TimbrelError(
            say(
                "You came in without a link that lets you do this; it needs: {roles}.",
                roles=allowed,
            ),
            key="link" if who is None else "role",
        )
    return who
