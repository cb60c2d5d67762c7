"""Samples of the uncertain vault over the page: begun, told, stopped, refused."""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from timbrel.web.guard import Door
from timbrel.web.jobs import JobStore
from timbrel.web.server import create_app

SMALL = (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    folder = tmp_path_factory.mktemp("jobs")
    JobStore(folder).new("Pantry", SMALL)
    return TestClient(create_app(folder, Door(frozenset({"testserver"}))))


def begun(page: TestClient, samples: int) -> tuple[str, str]:
    answer = page.post("/jobs/pantry/samples", data={"samples": samples, "seed": 3})
    assert answer.status_code == 200
    found = re.search(r"/jobs/pantry/samples/([\w-]+)", answer.text)
    return (found.group(1) if found else ""), answer.text


def waited(page: TestClient, work: str) -> str:
    for _ in range(600):
        text = page.get(f"/jobs/pantry/samples/{work}").text
        if "<progress" not in text:
            return text
        time.sleep(0.1)
    raise AssertionError("the samples never ended")


def test_the_load_path_page_offers_samples_as_the_job_asks(page: TestClient) -> None:
    text = page.get("/jobs/pantry/tables").text
    assert 'id="leaf-load-path"' in text
    assert 'name="samples"' in text and 'value="500"' in text
    assert "What would help the walls" in text


def test_samples_are_drawn_and_told(page: TestClient) -> None:
    work, first = begun(page, 20)
    text = waited(page, work) if work else first
    assert "20, 3" in text
    assert "Rank correlation" in text


def test_samples_can_be_stopped(page: TestClient) -> None:
    work, _ = begun(page, 20000)
    assert work
    page.post(f"/jobs/pantry/samples/{work}/stop")
    assert "Stopped" in waited(page, work)


@pytest.mark.parametrize("samples", [5, 20001, "many"])
def test_what_cannot_be_drawn_is_refused(page: TestClient, samples: object) -> None:
    answer = page.post("/jobs/pantry/samples", data={"samples": samples, "seed": 3})
    assert answer.status_code == 422
