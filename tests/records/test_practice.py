"""Practice in the record: tiles an hour of who learns, gates that only the master passes."""

from __future__ import annotations

from pathlib import Path
from uuid import uuid4

import pytest

from timbrel.records.kinds import KINDS, PracticeArch
from timbrel.records.roles import MAY_WRITE, Role
from timbrel.records.store import Record
from timbrel.records.words import KIND_NAMES, spoken_body
from timbrel.web.record_form import entry_forms
from timbrel.words import TimbrelError, Voice

ARCH = {"name": "Pau", "arch": 2, "tiles": 9, "minutes": 45}
GATE = {"name": "Pau", "gate": 5, "result": "passed"}


@pytest.fixture
def record(tmp_path: Path) -> Record:
    made = Record.open(tmp_path)
    made.found("Ana", uuid4().hex)
    return made


def person(record: Record, role: Role) -> int:
    body = {"name": "Pau", "role": role.value}
    return record.add(uid=uuid4().hex, kind="person", author=1, body=body).entry.seq


def test_the_pace_is_told_in_tiles_an_hour(record: Record) -> None:
    """By hand: nine tiles in three quarters of an hour are twelve an hour."""
    assert PracticeArch(**ARCH).pace == pytest.approx(12.0)
    who = person(record, Role.APPRENTICE)
    entry = record.add(uid=uuid4().hex, kind="practice", author=who, body=ARCH).entry
    assert "12 an hour" in spoken_body(Voice(), entry)


def test_only_the_master_passes_a_gate(record: Record) -> None:
    assert {role for role in Role if "gate" in MAY_WRITE[role]} == {Role.MASTER}
    who = person(record, Role.APPRENTICE)
    with pytest.raises(TimbrelError, match="may enter it"):
        record.add(uid=uuid4().hex, kind="gate", author=who, body=GATE)
    entry = record.add(uid=uuid4().hex, kind="gate", author=1, body=GATE).entry
    assert "gate 5: passed" in spoken_body(Voice(), entry)
    again = record.add(
        uid=uuid4().hex, kind="gate", author=1, body=GATE | {"result": "again"}
    ).entry
    assert "shown again" in spoken_body(Voice(), again)


@pytest.mark.parametrize(
    "spoiled", [{"tiles": 0}, {"minutes": 0}, {"minutes": -5}, {"arch": 0}, {"name": ""}]
)
def test_what_cannot_be_is_refused(record: Record, spoiled: dict[str, object]) -> None:
    with pytest.raises(TimbrelError):
        record.add(uid=uuid4().hex, kind="practice", author=1, body=ARCH | spoiled)


def test_every_kind_has_its_name() -> None:
    assert set(KIND_NAMES) == set(KINDS)
    assert {"practice", "gate"} <= {form.kind for form in entry_forms(("thin",), ("quick",))}
