"""The site's record: entries go in at the end, come out in order, and are never changed."""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, insert, select, update
from sqlalchemy.exc import DatabaseError
from sqlalchemy.sql import Select

from timbrel.records.asked import Asked, moment, now
from timbrel.records.chain import Entry, digest_of
from timbrel.records.kinds import Body, read_body
from timbrel.records.media import PICTURE_MOST, media_of
from timbrel.records.migrations import bring_up_to_date
from timbrel.records.roles import Role, refuse_unless_allowed
from timbrel.records.stored import by_seq, earlier_of_the_same, entry_of, head_of, one_of
from timbrel.records.tables import engine_for, entries, head, pictures
from timbrel.records.transaction import Transaction, cannot
from timbrel.records.verify import Fault, faults_of
from timbrel.words import TimbrelError, say

FILE_NAME = "record.sqlite"


@dataclass(frozen=True)
class Taken:
    """The answer to an entry: where it stands, and whether it was there before.

    later_than: seqs of entries that put the same thing right or signed the same hold point before;
    the one who enters is told.
    """

    entry: Entry
    repeated: bool
    later_than: tuple[int, ...]


class Record:
    """The record of one job, in a file beside it.

    Open with :meth:`open`; every method raises TimbrelError with a clear sentence when the file
    cannot be used, the disk is full, or what is entered cannot stand. Nothing is half written.
    """

    def __init__(self, engine: Engine) -> None:
        self._engine = engine

    @classmethod
    def open(cls, folder: Path) -> Record:
        """Open the record beside a job, made on first use, brought up to date when it is older."""
        path = folder / FILE_NAME
        engine = engine_for(path)
        try:
            bring_up_to_date(engine)
        except (DatabaseError, sqlite3.Error, OSError) as error:
            engine.dispose()
            raise cannot(error, path) from error
        return cls(engine)

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    # -- writing ---------------------------------------------------------------------------------

    def found(self, name: str, uid: str, at: str | None = None) -> Entry:
        """Enter the master, the first person, who may then enter others. Only on an empty record."""
        body = read_body("person", {"name": name, "role": Role.MASTER})
        with self.writing() as connection:
            if head_of(connection)[0]:
                raise TimbrelError(
                    say("The record has a master already; only the master enters more people."),
                    key="person",
                )
            return self._append(connection, uid, "person", None, None, at or now(), body)

    def add(
        self,
        *,
        uid: str,
        kind: str,
        author: int,
        body: object,
        at: str | None = None,
        corrects: int | None = None,
    ) -> Taken:
        """Enter something. The same `uid` with the same words is taken once and answered again."""
        return self.add_all([Asked(uid, kind, author, body, at or now(), corrects)])[0]

    def add_all(self, asked: list[Asked]) -> list[Taken]:
        """Enter several in order, all or none."""
        bodies = [read_body(one.kind, one.body) for one in asked]
        with self.writing() as connection:
            return [
                self._take(connection, one, body) for one, body in zip(asked, bodies, strict=True)
            ]

    def keep_picture(self, data: bytes) -> tuple[str, str]:
        """Keep a picture under its digest; answer digest and media type."""
        media = media_of(data)
        if media is None or not 1 <= len(data) <= PICTURE_MOST:
            raise TimbrelError(
                say(
                    "photo: {size:count} bytes that are {media} were given; a JPEG, PNG or WebP "
                    "picture of at most {most:count} bytes is accepted.",
                    size=len(data),
                    media=media or "-",
                    most=PICTURE_MOST,
                ),
                key="photo",
            )
        digest = hashlib.sha256(data).hexdigest()
        with self.writing() as connection:
            there = connection.execute(
                select(pictures.c.digest).where(pictures.c.digest == digest)
            ).first()
            if there is None:
                connection.execute(insert(pictures).values(digest=digest, media=media, data=data))
        return digest, media

    # -- reading ---------------------------------------------------------------------------------

    def entries(self, *, kind: str | None = None, after: int = 0) -> list[Entry]:
        """Entries in order, of one kind or all, later than `after`."""
        query = select(entries).where(entries.c.seq > after).order_by(entries.c.seq)
        if kind is not None:
            query = query.where(entries.c.kind == kind)
        return self._read(query)

    def standing(self, kind: str) -> list[Entry]:
        """Entries of a kind as they stand: corrected ones replaced, those made void left out."""
        every = self.entries()
        replaced = {e.corrects for e in every if e.corrects is not None}
        return [e for e in every if e.kind == kind and e.seq not in replaced]

    def entry(self, seq: int) -> Entry | None:
        """One entry, or None."""
        found = self._read(select(entries).where(entries.c.seq == seq))
        return found[0] if found else None

    def taken_before(self, uid: str) -> Taken | None:
        """What an entry of this uid was answered, None when it has not come yet."""
        found = self._read(select(entries).where(entries.c.uid == uid))
        return Taken(found[0], True, ()) if found else None

    def picture(self, digest: str) -> tuple[str, bytes] | None:
        """Media type and bytes of a picture, or None."""
        with self.reading() as connection:
            row = connection.execute(
                select(pictures.c.media, pictures.c.data).where(pictures.c.digest == digest)
            ).first()
        return None if row is None else (row.media, row.data)

    def head(self) -> tuple[int, str]:
        """How many entries there are, and the hash of the last."""
        with self.reading() as connection:
            return head_of(connection)

    def verify(self, known_head: str | None = None) -> list[Fault]:
        """Faults of the chain, empty when it is whole.

        known_head: a hash noted earlier (on a signature or a print); it must be in the chain still.
        """
        with self.reading() as connection:
            return faults_of(connection, known_head)

    # -- how -------------------------------------------------------------------------------------

    def _take(self, connection: Connection, one: Asked, body: Body) -> Taken:
        author = by_seq(connection, one.author)
        if author is None or author.kind != "person":
            raise TimbrelError(
                say("author: entry {seq} is not a person of this record.", seq=one.author),
                key="author",
            )
        refuse_unless_allowed(Role(author.body["role"]), one.kind)
        said = body.model_dump(mode="json")
        there = one_of(connection, select(entries).where(entries.c.uid == one.uid))
        if there is not None:
            same = (there.kind, there.author, there.corrects, there.body) == (
                one.kind,
                one.author,
                one.corrects,
                said,
            )
            if not same:
                raise TimbrelError(
                    say("uid: {uid} was used for another entry; a new one is needed.", uid=one.uid),
                    key="uid",
                )
            return Taken(there, True, ())
        self._check_named(connection, one, said)
        later = earlier_of_the_same(connection, one, said)
        entry = self._append(connection, one.uid, one.kind, one.author, one.corrects, one.at, body)
        return Taken(entry, False, later)

    @staticmethod
    def _check_named(connection: Connection, one: Asked, said: dict[str, Any]) -> None:
        """What the entry names must be there, and of the right kind."""
        if one.corrects is not None or one.kind == "void":
            old = None if one.corrects is None else by_seq(connection, one.corrects)
            if old is None or (one.kind not in ("void", old.kind)):
                raise TimbrelError(
                    say(
                        "corrects: {seq} was given; the number of an entry of the kind {kind} is "
                        "accepted.",
                        seq=one.corrects,
                        kind=one.kind,
                    ),
                    key="corrects",
                )
        named = {"token": ("person", "person"), "token_revoked": ("token", "token")}.get(one.kind)
        if named is not None:
            key, kind = named
            found = by_seq(connection, said[key])
            if found is None or found.kind != kind:
                raise TimbrelError(
                    say("{key}: {seq} is not such an entry.", key=key, seq=said[key]), key=key
                )
        if one.kind == "photo":
            query = select(pictures.c.digest).where(pictures.c.digest == said["digest"])
            if connection.execute(query).first() is None:
                raise TimbrelError(
                    say("digest: the picture itself has not arrived; send it first."), key="digest"
                )

    @staticmethod
    def _append(
        connection: Connection,
        uid: str,
        kind: str,
        author: int | None,
        corrects: int | None,
        at: str,
        body: Body,
    ) -> Entry:
        count, previous = head_of(connection)
        seq = count + 1
        who = seq if author is None else author
        received, said = now(), body.model_dump(mode="json")
        when = moment(at)
        digest = digest_of(seq, uid, kind, who, corrects, when, received, said, previous)
        entry = Entry(seq, uid, kind, who, corrects, when, received, said, previous, digest)
        connection.execute(insert(entries).values(**entry.__dict__))
        if count:
            connection.execute(update(head).values(count=seq, digest=digest))
        else:
            connection.execute(insert(head).values(id=1, count=seq, digest=digest))
        return entry

    def writing(self) -> Transaction:
        """A transaction that writes; faults come out as one clear sentence."""
        return Transaction(self._engine, writes=True)

    def reading(self) -> Transaction:
        """A transaction that reads."""
        return Transaction(self._engine, writes=False)

    def _read(self, query: Select[Any]) -> list[Entry]:
        with self.reading() as connection:
            return [entry_of(row) for row in connection.execute(query)]
