"""The whole pack of the example: time and memory, and what each part of it takes.

What is measured is the command that a mason gives, in a fresh process. Other work on the machine
draws out the time on the clock; the time of the processor it touches less.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import timbrel.job

Row = tuple[str, float, str, str]
EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"
COMMAND = "import sys; from timbrel.cli import main; sys.argv[0] = 'timbrel'; main()"
LOOKED = 0.02
"""Seconds between two looks at the memory."""


def whole_pack(out: Path) -> tuple[float, float]:
    """The command in a fresh process: seconds on the clock and on the processor."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    _started(out).communicate()
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _started(out: Path) -> subprocess.Popen[bytes]:
    words = [sys.executable, "-c", COMMAND, "plan", str(EXAMPLE), "--out", str(out)]
    return subprocess.Popen(words, stdout=subprocess.DEVNULL)


def peak_memory(out: Path) -> float:
    """Most memory (MB) that the command and its processes held at once, each page counted once."""
    command = _started(out)
    most = 0.0
    done = threading.Event()
    waiter = threading.Thread(target=_wait, args=(command, done))
    waiter.start()
    while not done.wait(LOOKED):
        most = max(most, sum(_share(process) for process in _family(command.pid)))
    waiter.join()
    return most


def _wait(command: subprocess.Popen[bytes], done: threading.Event) -> None:
    command.wait()
    done.set()


def _family(process: int) -> list[int]:
    """A process and those that it began."""
    try:
        text = Path(f"/proc/{process}/task/{process}/children").read_text()
    except OSError:
        return [process]
    return [process, *(each for child in text.split() for each in _family(int(child)))]


def _share(process: int) -> float:
    """Memory of a process in MB; pages that several hold are shared out among them."""
    try:
        lines = Path(f"/proc/{process}/smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024


def rows() -> Iterator[Row]:
    """What is measured, in one run."""
    with tempfile.TemporaryDirectory() as name:
        wall, spent = whole_pack(Path(name) / "a")
        yield "timbrel plan, fresh process, clock", wall, "s", "under 5"
        yield "timbrel plan, fresh process, processor", spent, "s", ""
        yield "cores used", spent / wall, "", ""
        yield "peak memory, all processes", peak_memory(Path(name) / "b"), "MB", "under 500"
    yield from parts()


def parts() -> Iterator[Row]:
    """Share of each part of the pack of what the pack takes without them."""
    from timbrel.job.load import load_job
    from timbrel.plan import follow_all, make_plan
    from timbrel.sheets.pack import pack_files

    start = time.process_time()
    plan = make_plan(load_job(EXAMPLE))
    planning = time.process_time() - start
    plan = follow_all(plan)
    followed = time.process_time() - start - planning
    yield "load path, building and studies over plan (processor)", followed / planning, "x", ""
    spent: dict[str, float] = {}
    last = time.process_time()
    for what, _share, _name, _content in pack_files(plan):
        now = time.process_time()
        spent[str(what)] = spent.get(str(what), 0.0) + now - last
        last = now
    total = sum(spent.values())
    yield "pack over plan (processor)", total / planning, "x", ""
    for part, took in spent.items():
        yield f"share of the pack: {part}", took / total, "", ""
