"""Every box of the form is refused once, at the box, with the sentence of the job's reader."""

from __future__ import annotations

import html
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from timbrel.job.load import read_job
from timbrel.web.edits import put_values
from timbrel.web.form import Entry, every, form_of
from timbrel.web.guard import Door
from timbrel.web.jobs import JobStore
from timbrel.web.server import create_app
from timbrel.words import TimbrelError

SMALL = (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")
BOXES = [entry for group in every(form_of(SMALL)) for entry in group.entries]
# fmt: off
WRONG = {"quantity": "nothing", "number": "nothing", "integer": "0.5", "day": "tomorrow",
         "yes": "perhaps", "choice": "no such thing", "picks": "no such thing"}
# fmt: on


def wrong_for(entry: Entry) -> str:
    """Something that the box cannot take: too long a text, or what is no number."""
    return WRONG.get(entry.kind, "x" * 4001)


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    folder = tmp_path_factory.mktemp("jobs")
    JobStore(folder).new("Pantry", SMALL)
    return TestClient(create_app(folder, Door(frozenset({"testserver"}))))


@pytest.mark.parametrize("entry", BOXES, ids=[entry.key for entry in BOXES])
def test_the_box_refuses_with_the_sentence_of_the_command_line(
    page: TestClient, entry: Entry
) -> None:
    typed = wrong_for(entry)
    with pytest.raises(TimbrelError) as told:
        read_job(put_values(SMALL, {entry.key: typed}, "mm"))
    store: JobStore = page.app.state.desk.store  # type: ignore[attr-defined]
    held = store.read("pantry")
    answer = page.post(
        "/jobs/pantry/edit",
        data={"revision": held.revision, f"v.{entry.key}": typed},
        headers={"HX-Request": "true", "HX-Trigger-Name": f"v.{entry.key}"},
    )
    assert answer.status_code == 422
    assert str(told.value.message) in html.unescape(answer.text)
    assert 'aria-invalid="true"' in answer.text
    assert store.read("pantry").text == held.text
