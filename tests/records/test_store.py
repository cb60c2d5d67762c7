"""The record: taken once, in order, never changed, and every fault of the chain is found."""

from __future__ import annotations

import sqlite3
import threading
from itertools import pairwise
from pathlib import Path
from uuid import uuid4

import pytest

from timbrel.records.asked import Asked
from timbrel.records.chain import START
from timbrel.records.roles import MAY_WRITE, Role
from timbrel.records.store import FILE_NAME, Record
from timbrel.words import TimbrelError

PIXEL = b"\x89PNG\r\n\x1a\n" + b"0" * 40


def uid() -> str:
    return uuid4().hex


@pytest.fixture
def record(tmp_path: Path) -> Record:
    made = Record.open(tmp_path)
    made.found("Ana Ferrer", uid())
    return made


def note(record: Record, text: str = "first arch looks true") -> int:
    return record.add(uid=uid(), kind="note", author=1, body={"text": text}).entry.seq


def test_entries_come_out_in_order_and_the_chain_is_whole(record: Record) -> None:
    for k in range(5):
        assert note(record, f"note {k}") == k + 2
    every = record.entries()
    assert [e.seq for e in every] == [1, 2, 3, 4, 5, 6]
    assert every[0].previous == START
    assert all(b.previous == a.digest for a, b in pairwise(every))
    assert record.verify() == []
    assert record.head() == (6, every[-1].digest)


def test_the_same_uid_is_taken_once(record: Record) -> None:
    mine = uid()
    first = record.add(uid=mine, kind="note", author=1, body={"text": "once"})
    again = record.add(uid=mine, kind="note", author=1, body={"text": "once"})
    assert not first.repeated and again.repeated
    assert again.entry == first.entry
    with pytest.raises(TimbrelError, match="used for another entry"):
        record.add(uid=mine, kind="note", author=1, body={"text": "twice"})
    assert record.head()[0] == 2


def test_several_are_taken_all_or_none(record: Record) -> None:
    good = Asked(uid(), "note", 1, {"text": "good"}, "2026-05-04T10:00:00+02:00", None)
    bad = Asked(uid(), "note", 99, {"text": "nobody"}, "2026-05-04T10:00:00+02:00", None)
    with pytest.raises(TimbrelError, match="not a person"):
        record.add_all([good, bad])
    assert record.head()[0] == 1


def test_a_correction_is_a_new_entry_and_the_later_one_is_told(record: Record) -> None:
    point = {"what": "offset", "v": 0.0, "x": 1.0, "value": 0.512}
    old = record.add(uid=uid(), kind="point", author=1, body=point).entry
    better = point | {"value": 0.521}
    first = record.add(uid=uid(), kind="point", author=1, body=better, corrects=old.seq)
    second = record.add(uid=uid(), kind="point", author=1, body=point, corrects=old.seq)
    assert first.later_than == ()
    assert second.later_than == (first.entry.seq,)
    assert record.entry(old.seq) == old
    assert old.seq not in [e.seq for e in record.standing("point")]


def test_what_is_made_void_no_longer_stands(record: Record) -> None:
    seq = note(record)
    record.add(uid=uid(), kind="void", author=1, body={"reason": "wrong job"}, corrects=seq)
    assert record.standing("note") == []
    assert record.entry(seq) is not None


@pytest.mark.parametrize("role", list(Role))
def test_each_role_enters_what_it_may_and_nothing_else(record: Record, role: Role) -> None:
    who = record.add(
        uid=uid(), kind="person", author=1, body={"name": "B", "role": role.value}
    ).entry.seq
    body = {"tile": "thin", "tiles": 40, "minutes": 15}
    if "soaked" in MAY_WRITE[role]:
        record.add(uid=uid(), kind="soaked", author=who, body=body)
    else:
        with pytest.raises(TimbrelError, match=r"only .* may enter it"):
            record.add(uid=uid(), kind="soaked", author=who, body=body)


@pytest.mark.parametrize(
    ("kind", "body", "word"),
    [
        ("gossip", {}, "kind"),
        ("note", {"text": ""}, "text"),
        ("note", {"text": "x", "more": 1}, "more"),
        ("point", {"what": "offset", "v": 2, "value": 0.1}, "v"),
        ("point", {"what": "offset", "v": 0.5, "value": "high"}, "value"),
        ("photo", {"digest": "0" * 64, "media": "image/png", "size": 4}, "picture"),
        ("signature", {"what": "h", "result": "maybe", "name": "x", "head": "0" * 64}, "result"),
    ],
)
def test_what_cannot_stand_is_refused_and_enters_nothing(
    record: Record, kind: str, body: object, word: str
) -> None:
    with pytest.raises(TimbrelError, match=word):
        record.add(uid=uid(), kind=kind, author=1, body=body)
    assert record.head()[0] == 1


def test_a_moment_without_a_zone_is_refused(record: Record) -> None:
    with pytest.raises(TimbrelError, match="time zone"):
        record.add(uid=uid(), kind="note", author=1, body={"text": "x"}, at="2026-05-04T10:00:00")


def test_the_file_itself_refuses_change(record: Record, tmp_path: Path) -> None:
    note(record)
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        for act in ("UPDATE entry SET kind='day'", "DELETE FROM entry"):
            with pytest.raises(sqlite3.IntegrityError, match="never changed"):
                raw.execute(act)


def tampered(folder: Path, act: str) -> Record:
    """What somebody does who takes the triggers away first."""
    with sqlite3.connect(folder / FILE_NAME) as raw:
        raw.execute("DROP TRIGGER entry_no_update")
        raw.execute("DROP TRIGGER entry_no_delete")
        raw.execute(act)
    return Record.open(folder)


@pytest.mark.parametrize(
    ("act", "fault"),
    [
        ('UPDATE entry SET body=\'{"text": "nothing"}\' WHERE seq=3', "not those that were"),
        ("UPDATE entry SET author=1, kind='day' WHERE seq=3", "no entry of its kind"),
        ("DELETE FROM entry WHERE seq=3", "missing before"),
        ("DELETE FROM entry WHERE seq=5", "missing at the end"),
        ("UPDATE entry SET at='2020-01-01T00:00:00+00:00' WHERE seq=4", "not those that were"),
    ],
)
def test_tampering_is_found(record: Record, tmp_path: Path, act: str, fault: str) -> None:
    for k in range(4):
        note(record, f"note {k}")
    record.close()
    faults = tampered(tmp_path, act).verify()
    assert any(fault in str(f.what) for f in faults)


def test_a_rewritten_chain_is_found_by_a_noted_hash(record: Record, tmp_path: Path) -> None:
    note(record)
    noted = record.head()[1]
    assert record.verify(noted) == []
    record.close()
    (tmp_path / FILE_NAME).unlink()
    forged = Record.open(tmp_path)
    forged.found("Somebody", uid())
    assert forged.verify() == []
    assert any("noted hash" in str(f.what) for f in forged.verify(noted))


def test_a_changed_picture_is_found(record: Record, tmp_path: Path) -> None:
    digest, media = record.keep_picture(PIXEL)
    body = {"digest": digest, "media": media, "size": len(PIXEL)}
    record.add(uid=uid(), kind="photo", author=1, body=body)
    assert record.picture(digest) == ("image/png", PIXEL)
    assert record.verify() == []
    record.close()
    with sqlite3.connect(tmp_path / FILE_NAME) as raw:
        raw.execute("UPDATE picture SET data=x'00'")
    assert any("picture" in str(f.what) for f in Record.open(tmp_path).verify())


def test_what_is_no_picture_is_refused(record: Record) -> None:
    with pytest.raises(TimbrelError, match="JPEG, PNG or WebP"):
        record.keep_picture(b"<svg onload=alert(1)>")


def test_many_writers_lose_nothing(record: Record, tmp_path: Path) -> None:
    def write(name: str) -> None:
        own = Record.open(tmp_path)
        for k in range(25):
            own.add(uid=uid(), kind="note", author=1, body={"text": f"{name}{k}"})
        own.close()

    threads = [threading.Thread(target=write, args=(n,)) for n in "abcdefgh"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert record.head()[0] == 1 + 8 * 25
    assert record.verify() == []
    for name in "abcdefgh":
        mine = [e.body["text"] for e in record.entries(kind="note") if e.body["text"][0] == name]
        assert mine == [f"{name}{k}" for k in range(25)]


def test_a_file_that_is_no_record_is_one_clear_sentence(tmp_path: Path) -> None:
    (tmp_path / FILE_NAME).write_bytes(b"no database at all" * 100)
    with pytest.raises(TimbrelError, match="cannot be used"):
        Record.open(tmp_path)


def test_a_full_disk_is_a_clear_sentence_and_loses_nothing(record: Record, tmp_path: Path) -> None:
    """SQLite's own page limit stands in for a full disk: the same error code is raised."""
    note(record)
    record.close()
    small = Record.open(tmp_path)
    with small._engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    from sqlalchemy import event

    @event.listens_for(small._engine, "connect")
    def limit(connection: sqlite3.Connection, _record: object) -> None:
        connection.execute(f"PRAGMA max_page_count={pages}")

    small._engine.pool.dispose()
    with pytest.raises(TimbrelError, match="disk is full"):
        for _ in range(200):
            note(small, "x" * 1900)
    before = small.head()[0]
    small.close()
    again = Record.open(tmp_path)
    assert again.head()[0] == before
    assert again.verify() == []
