"""The record under violence: kill -9 at random moments, eight writers at once, an older schema."""

from __future__ import annotations

import os
import random
import select
import signal
import sqlite3
import time
from multiprocessing import get_context
from pathlib import Path
from uuid import uuid4

import pytest

from timbrel.records.migrations import HEAD
from timbrel.records.store import FILE_NAME, Record

RUNS = 1000
CLIENTS, EACH = 8, 1250


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    record = Record.open(tmp_path)
    record.found("Ana Ferrer", uuid4().hex)
    record.close()
    return tmp_path


def write_until_killed(folder: Path, out: int) -> None:
    """Enter notes for ever; say the uid of each only after it was acknowledged."""
    record = Record.open(folder)
    os.write(out, b"ready\n")
    while True:
        uid = uuid4().hex
        record.add(uid=uid, kind="note", author=1, body={"text": "on the scaffold"})
        os.write(out, f"{uid}\n".encode())


@pytest.mark.slow
def test_no_acknowledged_entry_is_lost_by_kill_9(folder: Path) -> None:
    rng = random.Random(20260504)
    read_end, write_end = os.pipe()
    said = b""
    for run in range(RUNS):
        child = os.fork()
        if child == 0:
            try:
                write_until_killed(folder, write_end)
            finally:
                os._exit(1)
        heard = b""
        while b"ready" not in heard:
            heard += os.read(read_end, 65536)
        if run % 10 == 0 and select.select([read_end], [], [], 10.0)[0]:
            # On a busy machine a writer may be killed before it has written: these get that far.
            heard += os.read(read_end, 65536)
        time.sleep(rng.uniform(0.0, 0.025))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        while select.select([read_end], [], [], 0)[0]:
            heard += os.read(read_end, 65536)
        said += heard
    acknowledged = said.decode().replace("ready", "").split()
    assert len(acknowledged) > RUNS / 20, "the writers must have got to write"
    record = Record.open(folder)
    kept = {e.uid for e in record.entries()}
    assert set(acknowledged) <= kept
    assert record.verify() == []
    with sqlite3.connect(folder / FILE_NAME) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []


def write_many(folder: Path, name: str) -> None:
    record = Record.open(folder)
    for k in range(EACH):
        record.add(uid=uuid4().hex, kind="note", author=1, body={"text": f"{name} {k}"})
    record.close()


@pytest.mark.slow
def test_eight_clients_at_once_lose_nothing(folder: Path) -> None:
    fork = get_context("fork")
    workers = [fork.Process(target=write_many, args=(folder, f"c{k}")) for k in range(CLIENTS)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join(300)
        assert worker.exitcode == 0
    record = Record.open(folder)
    notes = [e.body["text"].split() for e in record.entries(kind="note")]
    assert len(notes) == CLIENTS * EACH
    for k in range(CLIENTS):
        assert [int(n) for c, n in notes if c == f"c{k}"] == list(range(EACH))
    assert record.verify() == []


def test_a_record_of_the_older_schema_opens(tmp_path: Path) -> None:
    """A file as version 0001 made it: brought up to date, its entries untouched."""
    record = Record.open(tmp_path)
    record.found("Ana Ferrer", uuid4().hex)
    before = record.entries()
    record.close()
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        raw.executescript(
            "DROP TABLE attempt; DROP INDEX entry_kind; DROP INDEX entry_corrects;"
            "UPDATE alembic_version SET version_num='0001';"
        )
    opened = Record.open(tmp_path)
    assert opened.entries() == before
    opened.add(uid=uuid4().hex, kind="note", author=1, body={"text": "still going"})
    assert opened.verify() == []
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == (HEAD,)
        assert raw.execute("SELECT count(*) FROM attempt").fetchone() == (0,)
