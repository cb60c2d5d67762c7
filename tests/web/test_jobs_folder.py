"""The folder of jobs: nothing is lost, nothing leads out of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.web.history import put
from timbrel.web.jobs import JobStore, NoSuchJobError, StaleEditError, slug

TEXT = '# measured on a wet day\nformat = 1\n[job]\ntitle = "Cellar"\n[room]\nAB = 4200\n'


@pytest.fixture
def store(tmp_path: Path) -> JobStore:
    return JobStore(tmp_path / "jobs")


def test_a_new_job_keeps_its_comments_and_takes_its_title(store: JobStore) -> None:
    held = store.new("Pigeon loft", TEXT)
    assert held.name == "pigeon-loft"
    assert "# measured on a wet day" in held.text
    assert [row.title for row in store.listed()] == ["Pigeon loft"]


def test_two_jobs_of_one_title_stand_side_by_side(store: JobStore) -> None:
    names = {store.new("Loft", TEXT).name for _ in range(3)}
    assert names == {"loft", "loft-2", "loft-3"}


def test_put_away_and_brought_back_with_its_history(store: JobStore) -> None:
    held = store.new("Loft", TEXT)
    store.save("loft", TEXT, held.revision, put("room.AB", "4200"))
    store.put_away("loft")
    assert store.listed() == ()
    assert [row.name for row in store.listed(away=True)] == ["loft"]
    assert store.bring_back("loft") == "loft"
    assert len(store.history("loft").states) == 2


def test_bringing_back_never_lands_on_another_job(store: JobStore) -> None:
    store.new("Loft", TEXT)
    store.put_away("loft")
    store.new("Loft", TEXT)
    assert store.bring_back("loft") == "loft-2"
    assert len(store.listed()) == 2


def test_undo_and_redo_outlive_a_restart(store: JobStore) -> None:
    held = store.new("Loft", TEXT)
    for span in (4300, 4400, 4500):
        held = store.save(
            "loft", held.text.replace("4200", str(span)), held.revision, put("room.AB", str(span))
        )
        held = store.save("loft", held.text, held.revision, put("room.AB", "same"))
    again = JobStore(store.root)
    texts = [held.text]
    while again.history("loft").can_undo:
        held = again.undo("loft", held.revision)
        texts.append(held.text)
    again = JobStore(store.root)
    for text in reversed(texts[:-1]):
        held = again.redo("loft", held.revision)
        assert held.text == text
    assert not again.history("loft").can_redo


def test_a_new_edit_after_an_undo_starts_a_branch(store: JobStore) -> None:
    first = store.new("Loft", TEXT)
    second = store.save("loft", first.text + "# b\n", first.revision, put("b", ""))
    back = store.undo("loft", second.revision)
    third = store.save("loft", back.text + "# c\n", back.revision, put("c", ""))
    assert store.redo("loft", third.revision).text.endswith("# c\n")
    kept = {f.read_text() for f in (store.root / "loft/.history").glob("*.toml")}
    assert second.text in kept


def test_the_later_of_two_edits_is_told(store: JobStore) -> None:
    held = store.new("Loft", TEXT)
    store.save("loft", held.text + "# mine\n", held.revision, put("x", ""))
    with pytest.raises(StaleEditError):
        store.save("loft", held.text + "# yours\n", held.revision, put("x", ""))
    assert store.read("loft").text.endswith("# mine\n")


def test_a_change_by_another_hand_joins_the_history(store: JobStore) -> None:
    held = store.new("Loft", TEXT)
    (store.root / "loft/job.toml").write_text(TEXT + "# by hand\n")
    seen = store.read("loft")
    assert seen.text.endswith("# by hand\n")
    assert store.undo("loft", seen.revision).text == held.text


def test_a_history_that_was_tampered_with_does_not_break_the_job(store: JobStore) -> None:
    store.new("Loft", TEXT)
    index = store.root / "loft/.history/states.json"
    for bad in (
        "",
        "[]",
        '{"at": 9, "states": []}',
        '{"at": 0, "states": [{"what": {}}]}',
        '{"at":0,"states":[{"file":"../../x","when":1,"what":"{a.b}","values":{},"mark":""}]}',
    ):
        index.write_text(bad)
        assert store.read("loft").text


@given(st.text(max_size=40))
def test_no_name_leads_out_of_the_folder(
    tmp_path_factory: pytest.TempPathFactory, name: str
) -> None:
    root = tmp_path_factory.mktemp("out")
    (root / "job.toml").write_text(TEXT)
    (root / "jobs").mkdir(exist_ok=True)
    store = JobStore(root / "jobs")
    for tried in (name, f"../{name}", f"{name}/..", "..", ".", "../jobs", "..\\x"):
        with pytest.raises(NoSuchJobError):
            store.folder(tried)


def test_a_link_that_leads_out_is_no_job(store: JobStore, tmp_path: Path) -> None:
    (tmp_path / "secret").mkdir()
    (tmp_path / "secret/job.toml").write_text(TEXT)
    (store.root / "inside").symlink_to(tmp_path / "secret")
    with pytest.raises(NoSuchJobError):
        store.read("inside")
    assert store.listed() == ()


@given(st.text(max_size=80))
def test_every_title_gives_a_plain_folder_name(title: str) -> None:
    name = slug(title)
    assert 0 < len(name) <= 60
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert not name.startswith("-")
