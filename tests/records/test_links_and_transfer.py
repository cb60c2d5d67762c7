"""Links that let people in, and the record carried elsewhere and back."""

from __future__ import annotations

import csv
import io
import json
from datetime import UTC, datetime
from pathlib import Path
from uuid import uuid4

import pytest

from timbrel.records import links
from timbrel.records.links import make_link, person_of, revoke_link, who_enters
from timbrel.records.roles import Role
from timbrel.records.store import Record
from timbrel.records.transfer import from_json, to_csv, to_json
from timbrel.words import TimbrelError

PIXEL = b"\x89PNG\r\n\x1a\n" + b"1" * 40


@pytest.fixture
def record(tmp_path: Path) -> Record:
    folder = tmp_path / "job"
    folder.mkdir()
    made = Record.open(folder)
    made.found("Ana Ferrer", uuid4().hex)
    body = {"name": "Pau", "role": "mason"}
    made.add(uid=uuid4().hex, kind="person", author=1, body=body)
    return made


def test_a_link_lets_its_person_in_until_it_is_revoked(record: Record) -> None:
    secret, entry = make_link(record, author=1, person=2, days=30)
    person = who_enters(record, secret, "phone")
    assert (person.name, person.role) == ("Pau", Role.MASON)
    assert secret not in to_json(record), "only the digest may be kept"
    revoke_link(record, author=1, token=entry.seq)
    with pytest.raises(TimbrelError, match="revoked"):
        who_enters(record, secret, "phone")


def test_a_link_that_is_over_lets_nobody_in(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    secret, _ = make_link(record, author=1, person=2, days=1)

    class Later(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            return datetime(2999, 1, 1, tzinfo=UTC)

    monkeypatch.setattr(links, "datetime", Later)
    with pytest.raises(TimbrelError, match="is over"):
        who_enters(record, secret, "phone")


def test_guessing_shuts_the_door_for_that_place_only(record: Record) -> None:
    secret, _ = make_link(record, author=1, person=2, days=30)
    for _ in range(links.ATTEMPTS_MOST):
        with pytest.raises(TimbrelError, match="not known"):
            who_enters(record, "guess", "street")
    with pytest.raises(TimbrelError, match="Too many"):
        who_enters(record, secret, "street")
    assert who_enters(record, secret, "scaffold").name == "Pau"


def test_only_the_master_makes_links(record: Record) -> None:
    with pytest.raises(TimbrelError, match="may enter it"):
        make_link(record, author=2, person=2, days=1)


def test_a_corrected_person_is_known_by_the_newest_words(record: Record) -> None:
    body = {"name": "Pau Mir", "role": "mason"}
    record.add(uid=uuid4().hex, kind="person", author=1, body=body, corrects=2)
    assert person_of(record, 2).name == "Pau Mir"


def test_export_and_import_lose_nothing(record: Record, tmp_path: Path) -> None:
    digest, media = record.keep_picture(PIXEL)
    body = {"digest": digest, "media": media, "size": len(PIXEL), "text": "clau — çà"}
    record.add(uid=uuid4().hex, kind="photo", author=2, body=body)
    text = to_json(record)
    copy = from_json(text, _folder(tmp_path))
    assert copy.entries() == record.entries()
    assert copy.picture(digest) == ("image/png", PIXEL)
    assert copy.verify(record.head()[1]) == []
    assert to_json(copy) == text
    copy.add(uid=uuid4().hex, kind="note", author=2, body={"text": "goes on"})
    assert copy.verify() == []


def test_csv_has_every_entry(record: Record) -> None:
    rows = list(csv.DictReader(io.StringIO(to_csv(record))))
    assert [int(r["seq"]) for r in rows] == [1, 2]
    assert json.loads(rows[1]["body"])["name"] == "Pau"


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (lambda d: d["entries"][1]["body"].update(name="Eve"), "breaks at entry 2"),
        (lambda d: d["entries"].pop(), "missing at the end"),
        (lambda d: d["entries"].pop(0), "breaks at entry 1"),
        (lambda d: d.update(version=9), "version"),
        (lambda d: d.update(more=1), "more"),
        (lambda d: d["pictures"].update({"0" * 64: "AAAA"}), "not what its name says"),
    ],
)
def test_a_changed_file_is_refused_and_nothing_is_read(
    record: Record, tmp_path: Path, change: object, word: str
) -> None:
    whole = json.loads(to_json(record))
    change(whole)  # type: ignore[operator]
    folder = _folder(tmp_path)
    with pytest.raises(TimbrelError, match=word):
        from_json(json.dumps(whole), folder)
    assert Record.open(folder).head()[0] == 0


def test_a_record_is_never_written_over(record: Record, tmp_path: Path) -> None:
    with pytest.raises(TimbrelError, match="not written over"):
        from_json(to_json(record), tmp_path / "job")


def _folder(tmp_path: Path) -> Path:
    folder = tmp_path / "copy"
    folder.mkdir()
    return folder
