"""The record's tables and how its file is opened.

SQLite with a write-ahead log, so that readers never wait for a writer; `synchronous=FULL`, so that
what was acknowledged survives a crash. Triggers refuse every update and delete of an entry: nothing
is ever overwritten, whoever asks.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import (
    JSON,
    Column,
    Engine,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    create_engine,
    event,
)

BUSY_MS = 60_000
metadata = MetaData()

entries = Table(
    "entry",
    metadata,
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("uid", String(64), nullable=False, unique=True),
    Column("kind", String(20), nullable=False),
    Column("author", Integer, ForeignKey("entry.seq"), nullable=False),
    Column("corrects", Integer, ForeignKey("entry.seq"), nullable=True),
    Column("at", String(40), nullable=False),
    Column("received", String(40), nullable=False),
    Column("body", JSON, nullable=False),
    Column("previous", String(64), nullable=False),
    Column("digest", String(64), nullable=False),
    Index("entry_kind", "kind", "seq"),
    Index("entry_corrects", "corrects"),
)

head = Table(
    "head",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("count", Integer, nullable=False),
    Column("digest", String(64), nullable=False),
)

pictures = Table(
    "picture",
    metadata,
    Column("digest", String(64), primary_key=True),
    Column("media", String(20), nullable=False),
    Column("data", LargeBinary, nullable=False),
)

attempts = Table(
    "attempt",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("source", String(64), nullable=False),
    Column("at", Integer, nullable=False),
    Index("attempt_source", "source", "at"),
)


def engine_for(path: Path) -> Engine:
    """An engine on the record's file, set up for many readers and one writer at a time."""
    engine = create_engine(
        f"sqlite:///{path}", connect_args={"timeout": BUSY_MS / 1000}, pool_size=8, max_overflow=24
    )

    @event.listens_for(engine, "connect")
    def set_up(connection: Any, _record: Any) -> None:
        # SQLAlchemy opens transactions itself; BEGIN IMMEDIATE takes the write lock at once, so that
        # two writers queue up and neither has to start again.
        connection.isolation_level = None
        cursor = connection.cursor()
        cursor.execute("PRAGMA journal_mode=WAL")
        cursor.execute("PRAGMA synchronous=FULL")
        cursor.execute("PRAGMA foreign_keys=ON")
        cursor.execute(f"PRAGMA busy_timeout={BUSY_MS}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        immediate = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")

    return engine
