"""Schemathesis sends what nobody would: the server answers it all, and never breaks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings

from timbrel.web.guard import Door
from timbrel.web.jobs import JobStore
from timbrel.web.server import create_app

SMALL = (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def operations(tmp_path_factory: pytest.TempPathFactory) -> list[Any]:
    folder = tmp_path_factory.mktemp("jobs")
    store = JobStore(folder)
    store.new("Pantry", SMALL)
    app = create_app(folder, Door(frozenset()))
    schema = schemathesis.openapi.from_asgi("/openapi.json", app)
    return [found.ok() for found in schema.get_all_operations()]


def test_nothing_breaks_the_server(operations: list[Any]) -> None:
    assert len(operations) > 25
    sent = 0
    for operation in operations:

        @settings(max_examples=10, deadline=None, database=None,
                  suppress_health_check=list(HealthCheck))  # fmt: skip
        @given(case=operation.as_strategy())
        def send(case: Any) -> None:
            nonlocal sent
            sent += 1
            answer = case.call()
            assert answer.status_code < 500, (case.method, case.formatted_path)

        send()
    assert sent > 100


@pytest.mark.parametrize("act", ["edit", "rows", "undo", "redo", "history", "copy", "rename"])
def test_nonsense_for_a_job_that_is_there(tmp_path: Path, act: str) -> None:
    store = JobStore(tmp_path)
    held = store.new("Pantry", SMALL)
    client = TestClient(create_app(tmp_path, Door(frozenset())), follow_redirects=False)
    sent = (
        "",
        "\x00",
        "../..",
        "9" * 400,
        "<script>",
        "\ud800".encode("utf-8", "replace").decode(),
    )
    for text in sent:
        data = {"revision": held.revision, "key": text, "act": "add", "called": text,
                "title": text, "state": text, f"v.{text}": text, "v.curve.rise": text}  # fmt: skip
        answer = client.post(f"/jobs/pantry/{act}", data=data)
        assert answer.status_code < 500, text
    assert store.listed()
