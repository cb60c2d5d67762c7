"""Who may come in, what may be sent, and what a page may load."""

from __future__ import annotations

from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from timbrel.web.guard import Door
from timbrel.web.jobs import JobStore
from timbrel.web.server import create_app

SMALL = (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")


def page(folder: Path, door: Door | None = None, base: str = "http://127.0.0.1") -> TestClient:
    JobStore(folder).new("Pantry", SMALL)
    return TestClient(create_app(folder, door), base_url=base, follow_redirects=False)


def test_a_name_bent_to_this_machine_is_refused(tmp_path: Path) -> None:
    client = page(tmp_path)
    assert client.get("/").status_code == 200
    assert client.get("/", headers={"host": "bent.example"}).status_code == 421
    assert client.get("/", headers={"host": "127.0.0.1:bad:port"}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [{"origin": "http://other.example"}, {"origin": "null"}, {"sec-fetch-site": "cross-site"}],
)
def test_a_page_of_another_site_changes_nothing(tmp_path: Path, headers: dict[str, str]) -> None:
    client = page(tmp_path)
    assert client.post("/jobs/pantry/put-away", headers=headers).status_code == 403
    assert client.post("/jobs/pantry/put-away").status_code == 303


def test_a_shared_page_wants_the_token_once(tmp_path: Path) -> None:
    client = page(tmp_path, Door(frozenset(), "secret-token"))
    assert client.get("/").status_code == 403
    assert client.get("/?token=wrong").status_code == 403
    opened = client.get("/?token=secret-token")
    assert opened.status_code == 200
    assert "HttpOnly" in opened.headers["set-cookie"]
    assert "SameSite=Strict" in opened.headers["set-cookie"]
    assert client.get("/").status_code == 200


def test_too_much_is_refused_before_it_is_read(tmp_path: Path) -> None:
    client = page(tmp_path)
    file = {"file": ("big.zip", b"0" * (17 * 2**20))}
    assert client.post("/import", files=file).status_code == 413


def test_every_answer_carries_a_strict_policy(tmp_path: Path) -> None:
    client = page(tmp_path)
    for path in ("/", "/jobs/pantry", "/nothing", "/static/page.js", "/jobs/pantry/model.json"):
        policy = client.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "http" not in policy.replace("http-equiv", "")


@pytest.mark.parametrize("path", ["/jobs/..%2f..%2fetc", "/jobs/.put-away", "/jobs/%00"])
def test_no_address_leads_out_of_the_folder(tmp_path: Path, path: str) -> None:
    assert page(tmp_path / "jobs").get(path).status_code in (404, 422)
