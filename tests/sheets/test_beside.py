"""Work in processes of its own: done, done again where it was not, ended when not wanted."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from timbrel.plan import Plan
from timbrel.sheets import beside
from timbrel.sheets.beside import Beside, can_fork
from timbrel.sheets.pack import write_pack
from timbrel.words import Message

forks = pytest.mark.skipif(not can_fork(), reason="no fork here, or one core alone")


def _told(file: Path) -> list[str]:
    return file.read_text().split() if file.exists() else []


def _tell(file: Path) -> None:
    with file.open("a") as out:
        out.write(f"{os.getpid()}\n")


@pytest.mark.parametrize("forking", [False, pytest.param(True, marks=forks)])
def test_work_is_done_once_at_the_end_of_the_with(tmp_path: Path, forking: bool) -> None:
    with Beside(forking=forking) as others:
        others.begin(lambda: _tell(tmp_path / "a"))
        others.begin(lambda: _tell(tmp_path / "b"))
    for name in "ab":
        (who,) = _told(tmp_path / name)
        assert (int(who) == os.getpid()) is not forking


@forks
@pytest.mark.parametrize("how", ["error", "killed", "exit"])
def test_what_another_process_did_not_finish_is_done_here(tmp_path: Path, how: str) -> None:
    me = os.getpid()

    def work() -> None:
        if os.getpid() != me:
            if how == "killed":
                os.kill(os.getpid(), signal.SIGKILL)
            if how == "exit":
                sys.exit(3)
            raise ValueError
        _tell(tmp_path / "done")

    with Beside(forking=True) as others:
        others.begin(work)
    assert _told(tmp_path / "done") == [str(me)]


@forks
def test_a_process_that_hangs_is_ended_and_its_work_done_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(beside, "PATIENCE", 0.2)
    me = os.getpid()
    started = tmp_path / "started"

    def work() -> None:
        if os.getpid() != me:
            _tell(started)
            time.sleep(600)
        _tell(tmp_path / "done")

    with Beside(forking=True) as others:
        others.begin(work)
        while not _told(started):
            time.sleep(0.01)
    assert _told(tmp_path / "done") == [str(me)]
    with pytest.raises(ProcessLookupError):
        os.kill(int(_told(started)[0]), 0)


@forks
def test_what_is_wrong_is_said_here() -> None:
    def work() -> None:
        raise LookupError("no such tile")

    with pytest.raises(LookupError, match="no such tile"), Beside(forking=True) as others:
        others.begin(work)


@forks
def test_leaving_by_an_error_ends_the_others(tmp_path: Path) -> None:
    def work() -> None:
        time.sleep(60)
        _tell(tmp_path / "late")

    with pytest.raises(KeyboardInterrupt), Beside(forking=True) as others:
        others.begin(work)
        (process,) = others._running
        raise KeyboardInterrupt
    with pytest.raises(ProcessLookupError):
        os.kill(process, 0)
    assert not _told(tmp_path / "late")


def test_no_fork_where_there_are_threads() -> None:
    stop = threading.Event()
    thread = threading.Thread(target=stop.wait)
    thread.start()
    try:
        assert not can_fork()
        assert not Beside(forking=True).forking
    finally:
        stop.set()
        thread.join()


def test_no_fork_but_on_linux_with_a_second_core(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(beside.sys, "platform", "darwin")
    assert not can_fork()
    monkeypatch.setattr(beside.sys, "platform", "linux")
    monkeypatch.setattr(beside.os, "sched_getaffinity", lambda _who: {0}, raising=False)
    assert not can_fork()


@forks
def test_where_fork_fails_the_work_is_done_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused() -> int:
        raise OSError

    monkeypatch.setattr(beside.os, "fork", refused)
    with Beside(forking=True) as others:
        others.begin(lambda: _tell(tmp_path / "a"))
    assert _told(tmp_path / "a") == [str(os.getpid())]


@forks
def test_a_pack_made_by_several_processes_is_the_same(plan: Plan, tmp_path: Path) -> None:
    alone, together = tmp_path / "alone", tmp_path / "together"
    write_pack(plan, alone)
    teller = tmp_path / "tellers"
    told: list[float] = []

    def hear(_what: Message, share: float) -> None:
        _tell(teller)
        told.append(share)

    write_pack(plan, together, hear, forking=True)
    assert set(_told(teller)) == {str(os.getpid())}
    assert told == sorted(told) and told[-1] == 1.0
    found = {p.relative_to(alone) for p in alone.rglob("*") if p.is_file()}
    assert found == {p.relative_to(together) for p in together.rglob("*") if p.is_file()}
    for name in found:
        assert (alone / name).read_bytes() == (together / name).read_bytes(), name


STOPPED = """
import sys
from pathlib import Path
from timbrel.words import say
from timbrel.sheets import pack
from timbrel.sheets.pack import Group, write_pack

def figures():
    yield say("Figures"), 0.0, "plan.json", b"{}"
    import time
    time.sleep(60)

def sheets():
    yield say("Sheets"), 0.0, "pack.pdf", b"%PDF"
    print("begun", flush=True)
    import time
    time.sleep(60)

pack.pack_groups = lambda _plan, _progress: iter([Group(figures, True), Group(sheets, False)])
write_pack(None, Path(sys.argv[1]), forking=True)
"""


@forks
@pytest.mark.parametrize("whole_group", [True, False])
def test_stopping_leaves_nothing_and_nobody(tmp_path: Path, whole_group: bool) -> None:
    """A terminal stops the whole group of processes, `kill -INT` one alone."""
    work = subprocess.Popen(
        [sys.executable, "-c", STOPPED, str(tmp_path / "out")],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    assert work.stdout is not None
    assert work.stdout.readline() == "begun\n"
    if whole_group:
        os.killpg(work.pid, signal.SIGINT)
    else:
        work.send_signal(signal.SIGINT)
    _, told = work.communicate(timeout=30)
    assert "KeyboardInterrupt" in told and told.count("Traceback") == 1
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(ProcessLookupError):
        os.killpg(work.pid, 0)
