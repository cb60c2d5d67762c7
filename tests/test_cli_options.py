"""Options on the command line, and what changed since an earlier revision."""

from __future__ import annotations

import io
import json
import sys
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from timbrel.cli import main
from timbrel.job.load import load_job, read_job
from timbrel.options import candidates

SMALL = (Path(__file__).parent / "web/small.toml").read_text(encoding="utf-8")


def run(*words: str | Path) -> tuple[int, str, str]:
    """Status, what was said, what was refused."""
    out, err, argv = io.StringIO(), io.StringIO(), sys.argv
    sys.argv = ["timbrel", *map(str, words)]
    try:
        with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as ended:
            main()
    finally:
        sys.argv = argv
    return int(ended.value.code or 0), out.getvalue(), err.getvalue()


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = tmp_path / "pantry"
    folder.mkdir()
    (folder / "job.toml").write_text(SMALL, encoding="utf-8")
    return folder


@pytest.mark.slow
def test_options_are_told_written_and_taken(job: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "options.pdf"
    status, said, _ = run("options", job, "--vary", "layers", "--json", "--out", sheet)
    assert status == 0
    told = json.loads(said[: said.rindex("]") + 1])
    wanted = candidates(read_job(SMALL).job, "layers")
    assert {row["key"] for row in told} == {c.key for c in wanted}
    assert all(row["figures"] for row in told)
    assert sheet.read_bytes().startswith(b"%PDF")
    key = next(row["key"] for row in told if row["key"] != "stated")
    status, said, _ = run("options", job, "--vary", "layers", "--take", key)
    assert status == 0 and f"[{key}]" in said
    taken = next(c for c in wanted if c.key == key)
    assert len(load_job(job).job.layers) == len(taken.layers)
    assert (job / "job.before.toml").read_text(encoding="utf-8") == SMALL


@pytest.mark.slow
def test_what_no_option_escapes_is_refused_once(job: Path, tmp_path: Path) -> None:
    post = '[[loads.points]]\nname = "Post"\nx = 9000\ny = 1000\nforce = 1\n'
    (job / "job.toml").write_text(SMALL + post, encoding="utf-8")
    sheet = tmp_path / "options.pdf"
    status, said, refused = run("options", job, "--vary", "layers", "--out", sheet)
    assert status == 2 and said == "" and not sheet.exists()
    assert refused.count("off the plan") == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [(("--vary", "colour"), "all, rise, family, layers"), (("--care", "luck"), "price")],
)
def test_an_unknown_word_is_refused_with_those_that_are_known(
    job: Path, words: tuple[str, str], says: str
) -> None:
    status, _, refused = run("options", job, *words)
    assert status == 2 and says in refused
    assert (job / "job.toml").read_text(encoding="utf-8") == SMALL


@pytest.mark.slow
def test_an_option_that_is_not_there_is_not_taken(job: Path) -> None:
    status, _, refused = run("options", job, "--vary", "layers", "--take", "gothic")
    assert status == 2 and "gothic" in refused and "stated" in refused
    assert not (job / "job.before.toml").exists()


@pytest.mark.slow
def test_the_pack_tells_what_changed_since_the_revision_given(job: Path, tmp_path: Path) -> None:
    earlier = tmp_path / "earlier.toml"
    earlier.write_text(SMALL.replace("rise = 480", "rise = 450"), encoding="utf-8")
    (job / "job.toml").write_text(
        SMALL.replace('title = "Pantry"', 'title = "Pantry"\nrevision = "B"'), encoding="utf-8"
    )
    status, _, refused = run("plan", job, "--out", tmp_path / "pack", "--since", earlier)
    assert status == 0, refused
    since = json.loads((tmp_path / "pack/plan.json").read_text(encoding="utf-8"))["since"]
    assert since["revision"] == "A" and not since["same_letter"]
    assert [(c["key"], c["before"], c["after"]) for c in since["changes"]] == [
        ("curve.rise", 0.45, 0.48)
    ]


def test_an_earlier_revision_that_is_not_there_is_refused(job: Path, tmp_path: Path) -> None:
    status, _, refused = run("plan", job, "--out", tmp_path / "pack", "--since", tmp_path / "no")
    assert status == 2 and "no job file" in refused
    assert not (tmp_path / "pack").exists()
