"""The record's routes against a client that means no good: nothing breaks, nothing is entered."""

from __future__ import annotations

import html
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from timbrel.records.links import make_link, revoke_link
from timbrel.records.store import Record
from timbrel.web.guard import Door
from timbrel.web.server import create_app

SMALL = (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")
NOW = "2026-05-04T10:00:00+02:00"


class Client:
    """The desk, or a phone that came over the network with the shared token."""

    def __init__(self, root: Path, token: str = "") -> None:
        door = Door(frozenset(), token) if token else Door(frozenset({"testserver"}))
        app = create_app(root, door)
        self.http = TestClient(app, raise_server_exceptions=False)
        store = app.state.desk.store
        self.name = store.listed()[0].name if store.listed() else store.new("Site", SMALL).name
        self.folder = store.folder(self.name)
        self.base = f"/jobs/{self.name}/record"
        if token:
            self.http.get(f"/?token={token}")

    def record(self) -> Record:
        return Record.open(self.folder)

    def send(self, *entries: dict[str, Any], **more: Any) -> Any:
        return self.http.post(f"{self.base}/entries", json=list(entries), **more)


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Client]:
    client = Client(tmp_path)
    client.http.post(f"{client.base}/begin", data={"master": "Ana Ferrer"})
    yield client
    assert client.record().verify() == []


def note(text: str = "fine", **more: Any) -> dict[str, Any]:
    return {"uid": uuid4().hex, "kind": "note", "at": NOW, "body": {"text": text}} | more


def test_entries_are_answered_each_by_itself(desk: Client) -> None:
    good, bad = note(), note(kind="gossip")
    answers = desk.send(good, bad, note("later")).json()
    assert [a["seq"] for a in answers] == [2, None, 3]
    assert "gossip" in answers[1]["refused"]
    assert desk.send(good).json()[0]["repeated"]
    assert desk.record().head()[0] == 3


def test_a_second_release_of_a_hold_point_is_told(desk: Client) -> None:
    body = {"what": "first arch", "result": "released", "name": "Ana"}
    first = note(kind="signature", body=body)
    assert desk.send(first).json()[0]["told"] == ""
    assert "entry 2" in desk.send(note(kind="signature", body=body)).json()[0]["told"]
    assert desk.send(first).json()[0]["repeated"], "sent again, though the chain has moved on"
    assert desk.record().head()[0] == 3


@settings(
    max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=20),
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
        ),
        max_leaves=8,
    )
)
def test_nonsense_enters_nothing(desk: Client, nonsense: Any) -> None:
    import json

    before = desk.record().head()
    for body in (nonsense, [nonsense], [note(body=nonsense)], [note(uid=nonsense)]):
        text = json.dumps(body)
        answer = desk.http.post(
            f"{desk.base}/entries", content=text, headers={"content-type": "application/json"}
        )
        assert answer.status_code < 500
    good = isinstance(nonsense, str) and len(nonsense) >= 8
    assert desk.record().head() == before or good


def test_a_huge_photograph_is_refused(desk: Client) -> None:
    answer = desk.http.post(
        f"{desk.base}/photos", content=b"\xff\xd8\xff" + b"0" * (17 * 1024 * 1024)
    )
    assert answer.status_code == 413
    assert desk.http.post(f"{desk.base}/photos", content=b"<html>").status_code == 422
    assert desk.http.post(f"{desk.base}/photos", content=b"").status_code == 422


@pytest.mark.parametrize(
    "name", ["..", "../..", "%2e%2e", "..%2f..%2fetc", "a/../../b", "\x00", "x" * 400, "C:\\"]
)
def test_path_tricks_lead_nowhere(desk: Client, name: str) -> None:
    for rest in ("", "/record.json", "/entries", "/photos/../../../etc/passwd"):
        path = f"/jobs/{name}/record{rest}"
        try:
            answer = desk.http.get(path)
        except Exception as error:  # the client itself will not send some of them
            assert "Invalid" in type(error).__name__
            continue
        assert answer.status_code in (404, 405, 422)
        assert "root:" not in answer.text


def test_a_phone_without_a_link_only_reads(tmp_path: Path, desk: Client) -> None:
    phone = Client(tmp_path, token="shared-token-of-this-test")
    assert phone.http.get(phone.base).status_code == 200
    # Not refused one by one: the phone keeps them until it has a link.
    answer = phone.send(note())
    assert answer.status_code == 403 and "without a link" in answer.text
    assert (
        phone.http.post(f"{phone.base}/people", data={"who": "E", "role": "master"}).status_code
        == 403
    )
    assert phone.http.post(f"{phone.base}/photos", content=b"\xff\xd8\xff00").status_code == 403
    assert phone.http.post(f"{phone.base}/begin", data={"master": "Eve"}).status_code == 422
    assert desk.record().head()[0] == 1


def test_links_that_are_wrong_revoked_or_of_another_role(tmp_path: Path, desk: Client) -> None:
    record = desk.record()
    body = {"name": "Pau", "role": "apprentice"}
    seq = record.add(uid=uuid4().hex, kind="person", author=1, body=body).entry.seq
    secret, token = make_link(record, author=1, person=seq, days=1)
    phone = Client(tmp_path, token="shared-token-of-this-test")
    phone.http.get(f"{phone.base}?link={secret}")
    assert phone.send(note()).json()[0]["seq"]
    signed = phone.send(
        note(kind="signature", body={"what": "h", "result": "released", "name": "P"})
    )
    assert "needs" in signed.json()[0]["refused"]
    assert phone.http.post(f"{phone.base}/links/{token.seq}/revoke").status_code == 422
    revoke_link(record, author=1, token=token.seq)
    count = desk.record().head()[0]
    assert "revoked" in phone.send(note()).text
    for k in range(12):
        shut = phone.http.get(f"{phone.base}?link=guess{k}").status_code
        assert shut == (403 if k < 10 else 429)
    assert "Too many" in phone.http.get(f"{phone.base}?link={secret}").text
    assert desk.record().head()[0] == count


HOME = "http://127.0.0.1:8470"


def _shared(root: Path, source: str, address: str = HOME) -> tuple[TestClient, str]:
    """A browser that asks a shared page from `source` by `address`."""
    app = create_app(root, Door(frozenset(), "shared", "http://192.0.2.7:8470"))
    http = TestClient(app, base_url=address, client=(source, 50000))
    http.get("/?token=shared")
    return http, app.state.desk.store.listed()[0].name


def test_at_the_machine_the_master_makes_links_while_the_page_is_shared(
    tmp_path: Path, desk: Client
) -> None:
    """A link leads to where the crew's phones find the page, not to the machine itself."""
    http, name = _shared(tmp_path, "127.0.0.1")
    made = http.post(f"/jobs/{name}/record/people", data={"who": "Pau", "role": "mason"})
    assert made.status_code == 200
    link = html.unescape(made.text).split('class="link">')[1].split("<")[0]
    assert link.startswith(f"http://192.0.2.7:8470/jobs/{name}/record?link=")
    assert link.endswith("&token=shared")
    assert [e.body["name"] for e in desk.record().entries(kind="person")] == ["Ana Ferrer", "Pau"]


@pytest.mark.parametrize(
    ("source", "address", "headers"),
    [
        ("192.0.2.9", "http://192.0.2.7:8470", {}),
        ("192.0.2.9", HOME, {}),
        ("127.0.0.1", "http://vault.example:8470", {}),
        ("127.0.0.1", HOME, {"x-forwarded-for": "192.0.2.9"}),
    ],
)
def test_nobody_else_is_the_master_of_a_shared_page(
    tmp_path: Path, desk: Client, source: str, address: str, headers: dict[str, str]
) -> None:
    http, name = _shared(tmp_path, source, address)
    person = {"who": "Eve", "role": "master"}
    refused = http.post(f"/jobs/{name}/record/people", data=person, headers=headers)
    assert refused.status_code == 403
    assert desk.record().head()[0] == 1


def test_words_of_an_entry_are_never_run(desk: Client) -> None:
    desk.send(note("<script>alert(1)</script>"))
    text = desk.http.get(desk.base).text
    assert "<script>alert" not in text and "&lt;script&gt;alert" in text


def test_what_the_record_gives_away(desk: Client) -> None:
    desk.send(note("for the owner"))
    assert desk.http.get(f"{desk.base}/record.json").json()["format"] == "timbrel-record"
    assert "for the owner" in desk.http.get(f"{desk.base}/record.csv").text
    assert desk.http.get(f"{desk.base}/close.pdf").content.startswith(b"%PDF")
    assert "As built" in desk.http.get(f"{desk.base}/built").text


def test_what_was_measured_comes_back_as_corrections_of_the_ribs(desk: Client) -> None:
    point = {"what": "offset", "v": 0.5, "x": 1.5, "value": 0.2}
    assert desk.send(note(kind="point", body=point)).json()[0]["seq"] == 2
    text = desk.http.get(f"{desk.base}/built").text
    assert "Add to the ribs for the next moves" in text and "Move 3" in text


def test_a_vault_on_a_plan_is_held_against_its_points(tmp_path: Path) -> None:
    text = (Path(__file__).parents[2] / "examples" / "well-dome" / "job.toml").read_text("utf-8")
    app = create_app(tmp_path, Door(frozenset({"testserver"})))
    name = app.state.desk.store.new("Dome", text).name
    http, base = TestClient(app, raise_server_exceptions=False), f"/jobs/{name}/record"
    http.post(f"{base}/begin", data={"master": "Ana Ferrer"})
    assert 'value="ring 03"' in http.get(base).text
    point = {"what": "level", "v": 0.5, "x": 1.0, "value": 2.82}
    rod = {"layer": 1, "rod": "ring 03", "done": 20, "value": 6.4}
    sent = [note(kind="point", body=point), note(kind="rod", body=rod)]
    assert all(a["seq"] for a in http.post(f"{base}/entries", json=sent).json())
    built = http.get(f"{base}/built").text
    assert "Deviations from the design" in built
    assert "Geometric factor" in built or "geometric factor" in built
    assert "add to its upper edge" in built
    stray = {**rod, "rod": "../etc"}
    assert http.post(f"{base}/entries", json=[note(kind="rod", body=stray)]).json()[0]["refused"]
    for slip in ({**point, "value": 9.0}, {**point, "x": 2.2}):
        answer = http.post(f"{base}/entries", json=[note(kind="point", body=slip)]).json()[0]
        assert "Accepted: a point" in answer["refused"], slip
    assert "Deviations from the design" in http.get(f"{base}/built").text


def test_a_point_that_cannot_be_on_a_barrel_spoils_no_other(desk: Client) -> None:
    slip = {"what": "offset", "v": 0.5, "x": 1.5, "value": 90.0}
    assert "springings are" in desk.send(note(kind="point", body=slip)).json()[0]["refused"]
    assert "As built" in desk.http.get(f"{desk.base}/built").text
    assert desk.http.get(f"{desk.base}/close.pdf").content.startswith(b"%PDF")
