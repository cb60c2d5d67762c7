"""A job as one file: what goes out comes in again, and nothing else gets in."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest

from timbrel.web import parcel
from timbrel.web.history import put
from timbrel.web.jobs import JobStore
from timbrel.words import TimbrelError

TEXT = 'format = 1\n[job]\ntitle = "Cellar"\n[room]\nAB = 4200\n'


@pytest.fixture
def store(tmp_path: Path) -> JobStore:
    return JobStore(tmp_path / "jobs")


def zipped(files: dict[str, bytes], modes: dict[str, int] | None = None) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in files.items():
            entry = zipfile.ZipInfo(name)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = (modes or {}).get(name, 0o100644) << 16
            made.writestr(entry, data)
    return out.getvalue()


def test_a_job_goes_out_and_comes_in_with_its_history(store: JobStore) -> None:
    held = store.new("Cellar", TEXT)
    store.save("cellar", TEXT + "# two\n", held.revision, put("x", ""))
    (store.root / "cellar/pack").mkdir()
    (store.root / "cellar/pack/pack.pdf").write_bytes(b"%PDF")
    data = parcel.pack_job(store, "cellar")
    name = parcel.unpack_job(store, data)
    assert name == "cellar-2"
    assert store.read(name).text == store.read("cellar").text
    assert len(store.history(name).states) == 2
    assert not (store.root / name / "pack").exists()


def test_a_bare_job_file_comes_in(store: JobStore) -> None:
    assert parcel.unpack_job(store, TEXT.encode()) == "cellar"


@pytest.mark.parametrize(
    "path",
    ["../evil", "/etc/evil", "a/../../evil", "C:/evil", "a\\..\\evil", "cellar/../../../evil"],
)
def test_paths_that_lead_out_are_refused(store: JobStore, path: str) -> None:
    data = zipped({"job.toml": TEXT.encode(), path: b"x"})
    with pytest.raises(TimbrelError, match="path"):
        parcel.unpack_job(store, data)
    assert [p.name for p in store.root.iterdir()] == []


def test_a_link_in_a_parcel_is_refused(store: JobStore) -> None:
    data = zipped({"job.toml": TEXT.encode(), "link": b"/etc/passwd"}, {"link": 0o120777})
    with pytest.raises(TimbrelError, match="path"):
        parcel.unpack_job(store, data)


def test_a_bomb_is_refused(store: JobStore, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parcel, "LARGEST_UNPACKED", 1000)
    data = zipped({"job.toml": TEXT.encode(), "zeros": b"\0" * 100_000})
    assert len(data) < 1000
    with pytest.raises(TimbrelError, match="too large"):
        parcel.unpack_job(store, data)


def test_too_many_files_are_refused(store: JobStore, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parcel, "MOST_FILES", 3)
    data = zipped({"job.toml": TEXT.encode(), **{f"f{n}": b"" for n in range(4)}})
    with pytest.raises(TimbrelError, match="more than 3 files"):
        parcel.unpack_job(store, data)


@pytest.mark.parametrize(
    "data",
    [
        b"", b"PK", b"PK\x03\x04 broken", b"\xff\xfe", b"a = 1", b"[job]\n", b"[[[",
        zipped({"other.toml": b"x"}), zipped({"job.toml": b"\xff"}), zipped({}),
        zipped({"job.toml": TEXT.encode(), "a": b"1", "a/b": b"2"}),
    ],
)  # fmt: skip
def test_what_is_no_job_is_refused(store: JobStore, data: bytes) -> None:
    with pytest.raises(TimbrelError):
        parcel.unpack_job(store, data)
    assert list(store.root.iterdir()) == []
