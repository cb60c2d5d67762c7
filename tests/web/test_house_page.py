"""The house on the page: linked where there is one, refused where there is none."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from timbrel.web.guard import Door
from timbrel.web.server import create_app

FERRY = Path(__file__).parents[2] / "examples" / "ferry-house"


def client(folder: Path) -> TestClient:
    return TestClient(create_app(folder, Door(frozenset({"testserver"}))))


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    folder = tmp_path_factory.mktemp("house") / "jobs"
    shutil.copytree(FERRY, folder)
    return client(folder)


def test_the_list_leads_to_the_house(page: TestClient) -> None:
    assert 'href="/house"' in page.get("/").text


def test_the_house_is_shown_with_links_to_its_vaults(page: TestClient) -> None:
    text = page.get("/house").text
    for name in ("cellar", "stair", "kitchen"):
        assert f'href="/jobs/{name}"' in text
    assert "One order for the house" in text and "One programme for one crew" in text


def test_the_papers_are_a_pdf(page: TestClient) -> None:
    answer = page.get("/house/house.pdf")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content[:5] == b"%PDF-"


def test_a_folder_without_a_house_says_so(tmp_path: Path) -> None:
    plain = client(tmp_path)
    assert 'href="/house"' not in plain.get("/").text
    answer = plain.get("/house")
    assert answer.status_code == 422
    assert "no house.toml" in answer.text
