"""A transaction on the record whose faults come out as one clear sentence."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import DatabaseError, IntegrityError, OperationalError

from timbrel.words import TimbrelError, say


class Transaction:
    """Reads, or writes all or nothing. Raises TimbrelError when the file cannot be used."""

    def __init__(self, engine: Engine, *, writes: bool) -> None:
        self._engine = engine
        self._writes = writes

    def __enter__(self) -> Connection:
        try:
            self._connection = self._engine.connect().execution_options(writes=self._writes)
            self._transaction = self._connection.begin()
        except (DatabaseError, sqlite3.Error) as error:
            raise cannot(error, Path(self._engine.url.database or "")) from error
        return self._connection

    def __exit__(self, kind: Any, error: BaseException | None, _trace: Any) -> None:
        try:
            if kind is None:
                self._transaction.commit()
            else:
                self._transaction.rollback()
        except (DatabaseError, sqlite3.Error) as fault:
            raise cannot(fault, Path(self._engine.url.database or "")) from fault
        finally:
            self._connection.close()
        if isinstance(error, DatabaseError | sqlite3.Error):
            raise cannot(error, Path(self._engine.url.database or "")) from error


def cannot(error: BaseException, path: Path) -> TimbrelError:
    """Why the record could not be used, in a sentence."""
    text = str(error).lower()
    if "full" in text or "disk i/o" in text:
        return TimbrelError(
            say(
                "The disk is full: nothing was entered and nothing was lost; make room and enter it "
                "again."
            ),
            key="record",
        )
    if isinstance(error, IntegrityError):
        return TimbrelError(
            say("The record refused the entry: {reason}.", reason=str(error.orig)), key="record"
        )
    if isinstance(error, OperationalError) and "locked" in text:
        return TimbrelError(
            say("The record is busy with other writers; nothing was entered, try again."),
            key="record",
        )
    return TimbrelError(
        say(
            "The record {name} cannot be used: {reason}.",
            name=path.name,
            reason=str(getattr(error, "orig", error)),
        ),
        key="record",
    )
