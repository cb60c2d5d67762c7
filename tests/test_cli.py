"""The command line: what it writes, what it says, with which status it ends."""

from __future__ import annotations

import io
import json
import signal
import subprocess
import sys
import time
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from timbrel import __version__
from timbrel.cli import main
from timbrel.job.new import example_text

# A bond of fewer tiles, so that planning is quick: a short room under the same curve.
SMALL = {
    "BC = 6606": "BC = 1000",
    "DA = 6580": "DA = 1000",
    "CD = 4262": "CD = 4320",
    "AC = 7884": "AC = 4434",
    "BD = 7851": "BD = 4434",
    "[building]": "[building]\nsteps = 4",
}


@dataclass
class Done:
    """How a command ended and what it said."""

    returncode: int
    stdout: str
    stderr: str


def run(*words: str | Path) -> Done:
    """Run the command line here, as the shell would, and catch what it says."""
    out, err, argv = io.StringIO(), io.StringIO(), sys.argv
    sys.argv = ["timbrel", *map(str, words)]
    try:
        with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as ended:
            main()
    finally:
        sys.argv = argv
    return Done(int(ended.value.code or 0), out.getvalue(), err.getvalue())


def small_job(**changes: str) -> str:
    """The example in a short room, without its further measures and wall offsets."""
    text = example_text()
    start, end = text.index("# One more measure"), text.index("# -----", text.index("[[room.wall"))
    text = text[:start] + text[end:]
    for old, new in {**SMALL, **changes}.items():
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


@pytest.fixture
def job(tmp_path: Path) -> Path:
    file = tmp_path / "small" / "job.toml"
    file.parent.mkdir()
    file.write_text(small_job(), encoding="utf-8")
    return file


def test_version_and_help() -> None:
    assert run("--version").stdout == f"timbrel {__version__}\n"
    told = run("--help")
    assert told.returncode == 0
    assert {"new", "plan", "check"} <= set(told.stdout.split())
    assert "engineer" in told.stdout


def test_new_writes_a_job_and_never_over_one(tmp_path: Path) -> None:
    done = run("new", tmp_path / "a")
    assert done.returncode == 0 and str(tmp_path / "a" / "job.toml") in done.stdout
    again = run("new", tmp_path / "a")
    assert again.returncode == 2 and "is there already" in again.stderr and not again.stdout


def test_check_says_all_verdicts(job: Path) -> None:
    """Status 0 when all hold, 1 otherwise; the text and the JSON say the same."""
    told = run("check", job.parent)
    as_json = run("check", job, "--json")
    found = json.loads(as_json.stdout)
    verdicts = [check["verdict"] for check in found["checks"]]
    wanted = 0 if found["verdict"] == "holds" else 1
    assert told.returncode == as_json.returncode == wanted
    assert told.stderr == "" and "engineer" in told.stdout
    for verdict in set(verdicts):
        lines = [line for line in told.stdout.splitlines() if line.startswith(f"{verdict}  ")]
        lines += [line for line in told.stdout.splitlines() if line.startswith(f"{verdict}   ")]
        assert len(set(lines)) == verdicts.count(verdict)
    assert f"{verdicts.count('holds')} hold" in told.stdout


def test_check_ends_with_1_when_something_fails(job: Path) -> None:
    job.write_text(small_job(**{"imposed = 1.5": "imposed = 15"}), encoding="utf-8")
    told = run("check", job)
    assert told.returncode == 1
    assert told.stdout.startswith("fails")


def test_check_ends_with_1_when_something_is_not_judged(job: Path) -> None:
    job.write_text(small_job(**{"crushing = 4.0": "# crushing"}), encoding="utf-8")
    told = run("check", job, "--json")
    verdicts = {check["name"]: check["verdict"] for check in json.loads(told.stdout)["checks"]}
    assert verdicts["statics.crushing"] == "not judged"
    assert told.returncode == 1


@pytest.mark.parametrize("command", ["check", "plan"])
def test_a_job_that_cannot_be_read_ends_with_2_and_writes_nothing(
    command: str, job: Path, tmp_path: Path
) -> None:
    job.write_text(small_job(**{"AB = 4320": "AB = 4.32"}), encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    told = run(command, job)
    assert told.returncode == 2 and told.stdout == ""
    assert told.stderr.splitlines()[0].startswith("room.AB is 4.32 mm; accepted: more than 300 mm")
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("AC = 4434", "AC = 4861", "The room does not close"),
        ("rise = 540", "rise = 2300", "curve.rise is 2"),
        ("rise = 540", "rise = 70", "curve.rise is 70 mm"),
    ],
)
def test_geometry_that_cannot_be_ends_with_2(job: Path, old: str, new: str, told: str) -> None:
    job.write_text(small_job(**{old: new}), encoding="utf-8")
    done = run("plan", job, "--out", job.parent / "pack")
    assert done.returncode == 2 and done.stderr.startswith(told)
    assert not (job.parent / "pack").exists()


def test_an_output_folder_that_cannot_be_written_is_told(job: Path) -> None:
    done = run("plan", job, "--out", "/proc/pack")
    assert done.returncode == 2
    assert "/proc/pack" in done.stderr and "cannot be written" in done.stderr


def test_strange_files_in_the_output_folder_are_left_alone(job: Path) -> None:
    out = job.parent / "mine"
    out.mkdir()
    (out / "letter.txt").write_text("dear")
    done = run("plan", job, "--out", out)
    assert done.returncode == 2 and "not a pack" in done.stderr
    assert [p.name for p in out.iterdir()] == ["letter.txt"]


def test_plan_writes_the_pack(job: Path) -> None:
    done = run("plan", job)
    assert done.returncode == 0, done.stderr
    assert str(job.parent / "pack") in done.stdout and "engineer" in done.stdout
    assert (job.parent / "pack" / "plan.json").is_file()
    assert (job.parent / "pack" / "pack.pdf").read_bytes().startswith(b"%PDF")
    assert [p.name for p in job.parent.iterdir() if p.name.startswith(".")] == []


def test_a_stopped_plan_leaves_nothing(job: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "timbrel", "plan", str(job)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    # Stop it once the pack is being written, or at once should that already be over.
    for _ in range(600):
        if list(job.parent.glob(".pack-*")) or process.poll() is not None:
            break
        time.sleep(0.05)
    process.send_signal(signal.SIGINT)
    _, told = process.communicate(timeout=60)
    assert process.returncode == 130
    assert "Stopped" in told
    assert [p.name for p in job.parent.iterdir()] == ["job.toml"]


def test_a_command_that_is_not_there_ends_with_2() -> None:
    assert run("frobnicate").returncode == 2
    told = run("--language", "xx", "check", "nowhere")
    assert told.returncode == 2 and "en, es, ca, fr" in told.stderr


def test_lengths_are_spoken_in_the_unit_of_the_job(job: Path) -> None:
    job.write_text(small_job(**{'length_unit = "mm"': 'length_unit = "ft"'}), encoding="utf-8")
    assert " ft " in run("check", job).stdout
