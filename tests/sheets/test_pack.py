"""A pack is in place whole, or not at all."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from timbrel.plan import Plan
from timbrel.sheets import pack
from timbrel.sheets.pack import MARK, Files, Group, write_pack
from timbrel.words import Progress, TimbrelError, say


def _figures() -> Files:
    yield say("Figures"), 0.0, "plan.json", b"{}"


def _drawing() -> Files:
    yield say("Drawings"), 0.5, "drawings/a.svg", b"<svg/>"


def _half() -> Files:
    yield say("Figures"), 0.0, "plan.json", b"new"
    raise RuntimeError("half way")


def _two_files(_plan: Plan, _progress: Progress) -> Iterator[Group]:
    yield Group(_figures, beside=True)
    yield Group(_drawing, beside=False)


def _broken(_plan: Plan, _progress: Progress) -> Iterator[Group]:
    yield Group(_half, beside=True)
    yield Group(_drawing, beside=False)


def test_the_example_is_written_whole(plan: Plan, tmp_path: Path) -> None:
    told: list[float] = []
    write_pack(plan, tmp_path / "out", lambda _what, share: told.append(share))
    out = tmp_path / "out"
    assert told == sorted(told) and told[-1] == 1.0
    for name in ("pack.pdf", "template.pdf", "plan.json", "plan.schema.json", "tables.xlsx",
                 "model/tiles.glb", "model/shell.stl", "drawings/general-plan.dxf",
                 "drawings/general-plan.svg", "tables/order.csv"):  # fmt: skip
        assert (out / name).stat().st_size > 100, name
    assert json.loads((out / "plan.json").read_text("utf-8"))["format"] == 1
    assert sorted(p.name for p in tmp_path.iterdir()) == ["out"]


def test_a_pack_takes_the_place_of_the_old_one(
    plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pack, "pack_groups", _two_files)
    out = tmp_path / "deep" / "out"
    write_pack(plan, out)
    (out / "old.txt").write_text("from an older plan")
    write_pack(plan, out)
    found = {str(p.relative_to(out)) for p in out.rglob("*") if p.is_file()}
    assert found == {MARK, "plan.json", "drawings/a.svg"}
    assert [p.name for p in out.parent.iterdir()] == ["out"]


def test_nothing_half_written_when_it_breaks(
    plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(pack, "pack_groups", _two_files)
    out = tmp_path / "out"
    write_pack(plan, out)
    monkeypatch.setattr(pack, "pack_groups", _broken)
    with pytest.raises(RuntimeError):
        write_pack(plan, out)
    assert (out / "plan.json").read_bytes() == b"{}"
    with pytest.raises(RuntimeError):
        write_pack(plan, tmp_path / "other")
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_folder_with_strangers_is_left_alone(plan: Plan, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("keep me")
    with pytest.raises(TimbrelError, match="not a pack"):
        write_pack(plan, tmp_path)
    assert (tmp_path / "letter.txt").read_text() == "keep me"


def test_a_place_that_cannot_be_written_is_said_in_one_sentence(plan: Plan, tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("x")
    for out in (file, file / "below"):
        with pytest.raises(TimbrelError) as refused:
            write_pack(plan, out)
        assert refused.value.key == "out" and str(refused.value).count(".") >= 1
    assert file.read_text() == "x"
