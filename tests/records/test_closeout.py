"""The close-out file, and the record from the command line."""

from __future__ import annotations

import io
import json
from pathlib import Path
from uuid import uuid4

import numpy as np
import pypdf
import pytest
from PIL import Image
from typer.testing import CliRunner

from timbrel.cli import Desk
from timbrel.job.load import load_job
from timbrel.job.new import write_new
from timbrel.plan import Plan, make_plan
from timbrel.records.closeout import close_out_pdf, gather
from timbrel.records.commands import app
from timbrel.records.kinds import LoadReading
from timbrel.records.loadtest import gauges
from timbrel.records.store import FILE_NAME, Record
from timbrel.words import Voice

runner = CliRunner()


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("site") / "vault"
    write_new(folder)
    return folder


@pytest.fixture(scope="module")
def plan(job: Path) -> Plan:
    return make_plan(load_job(job))


def jpeg() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), (148, 70, 42)).save(out, "JPEG")
    return out.getvalue()


def test_the_close_out_shows_what_was_entered(plan: Plan, tmp_path: Path) -> None:
    record = Record.open(tmp_path)
    record.found("Ana Ferrer", uuid4().hex)

    def add(kind: str, body: object, corrects: int | None = None) -> int:
        return record.add(
            uid=uuid4().hex, kind=kind, author=1, body=body, corrects=corrects
        ).entry.seq

    left, crown, right = plan.vault.profile(0.5, [0.0, 0.5, 1.0])
    along = (right - left) / np.hypot(*(right - left))
    x = float((crown - left) @ along)
    above = float((crown - left) @ np.array([-along[1], along[0]]))
    add("point", {"what": "offset", "v": 0.5, "x": x, "value": above - 0.006})
    wrong = add("note", {"text": "the bed was dry"})
    add("note", {"text": "the bed was wet"}, corrects=wrong)
    digest, media = record.keep_picture(jpeg())
    add("photo", {"digest": digest, "media": media, "size": 700, "text": "crown from below"})
    tile = plan.job.layers[0].tile
    add("delivery", {"what": tile, "quantity": 4321, "unit": "tiles"})
    add("course", {"layer": 1, "what": "arch", "number": 1, "tiles": 37})
    add("rod", {"layer": 1, "rod": "near", "done": 3, "value": 0.05})
    head = record.head()[1]
    add("signature", {"what": "first arch", "result": "released", "name": "Ana", "head": head})
    found = gather(plan, record)
    assert found.built.stations[0].worst == pytest.approx(-0.006, abs=1e-6)
    pdf = pypdf.PdfReader(io.BytesIO(close_out_pdf(found, Voice())))
    text = "\n".join(page.extract_text() for page in pdf.pages)
    for words in (
        "Ana Ferrer",
        "first arch",
        "released",
        "the bed was wet",
        f"put right by {wrong + 1}",
        "crown from below",
        "chain of entries is whole",
        record.head()[1][:10],
        "-6.0",
        # what it asks of the rest: ribs back by 3 mm a move, the rod refused, the tiles counted
        "Move 3",
        "3.0 mm",
        "5.7 mm",  # the row beside the crown, on the straight line to its 6 mm
        "rod near: the rest gauged anew",
        "4\u202f321",
        "37",
    ):
        assert words in text
    assert any("/Image" in str(page.get("/Resources")) or page.images for page in pdf.pages)


def test_recovery_of_a_gauge_by_hand() -> None:
    steps = [(0, 0.0, 0.0010), (1, 5e3, 0.0018), (2, 1e4, 0.0030), (3, 0.0, 0.0014)]
    found = gauges(LoadReading(step=s, load=p, gauge="G", reading=r) for s, p, r in steps)
    assert found[0].movement == pytest.approx(0.0020)
    assert found[0].recovery == pytest.approx(1 - 0.0004 / 0.0020)


def test_a_gauge_still_under_load_tells_no_recovery() -> None:
    found = gauges(LoadReading(step=s, load=5e3 * s, gauge="G", reading=1e-4 * s) for s in range(3))
    assert found[0].recovery is None


def run(*words: str) -> tuple[int, str]:
    done = runner.invoke(app, list(words), obj=Desk(voice=Voice()))
    return done.exit_code, done.output + str(done.exception or "")


def test_the_record_from_the_command_line(tmp_path: Path) -> None:
    folder = tmp_path / "vault"
    write_new(folder)
    where = str(folder)
    status, said = run("verify", where)
    assert status != 0 and "no record beside" in said
    assert run("start", where, "--master", "Ana Ferrer") == (0, "Begun; Ana Ferrer is entry 1.\n")
    status, said = run("person", where, "Pau", "--role", "mason")
    assert status == 0 and "?link=" in said
    assert "role" in run("person", where, "Eve", "--role", "king")[1]
    status, said = run("verify", where)
    assert status == 0 and "3 entries, the chain is whole" in said
    out = tmp_path / "record.json"
    assert run("export", where, "--out", str(out))[0] == 0
    assert len(json.loads(out.read_text())["entries"]) == 3
    assert "not written over" in run("import", where, str(out))[1]
    (folder / FILE_NAME).unlink()
    assert run("import", where, str(out))[0] == 0
    assert run("close", where, "--out", str(tmp_path / "close.pdf"))[0] == 0
    assert (tmp_path / "close.pdf").read_bytes().startswith(b"%PDF")
    assert "ending in .json or .csv" in run("export", where, "--out", "x.txt")[1]
