"""The whole pack of the example: time and memory, and what each part of it takes."""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import timbrel.job

Row = tuple[str, float, str, str]
EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"

WHOLE = """
import resource, sys
from pathlib import Path
from timbrel.job.load import load_job
from timbrel.plan import follow_building, make_plan
from timbrel.sheets.pack import write_pack
plan = make_plan(load_job(Path(sys.argv[1])))
if sys.argv[3] == "stages":
    plan = follow_building(plan)
write_pack(plan, Path(sys.argv[2]))
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def whole_pack(folder: Path, stages: str) -> tuple[float, float, float]:
    """A fresh process that plans the example and writes its pack: wall s, processor s, peak MB."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", WHOLE, str(EXAMPLE), str(folder / stages), stages],
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return wall, spent, float(done.stdout)


def rows() -> Iterator[Row]:
    """What is measured, in one run."""
    with tempfile.TemporaryDirectory() as name:
        wall, spent, peak = whole_pack(Path(name), "none")
        yield "plan and whole pack, fresh process, wall", wall, "s", "under 5"
        yield "plan and whole pack, fresh process, processor", spent, "s", "under 5"
        yield "peak memory", peak, "MB", "under 500"
        wall_stages, spent_stages, _ = whole_pack(Path(name), "stages")
        yield "the same with the stages of building, processor", spent_stages, "s", ""
        yield "stages over the plain pack", spent_stages / spent, "x", ""
        yield "the same with the stages, wall", wall_stages, "s", ""
    yield from parts()


def parts() -> Iterator[Row]:
    """Share of each part of the pack of what the pack takes without them."""
    from timbrel.job.load import load_job
    from timbrel.plan import make_plan
    from timbrel.sheets.pack import pack_files

    start = time.process_time()
    plan = make_plan(load_job(EXAMPLE))
    planning = time.process_time() - start
    spent: dict[str, float] = {}
    last = time.process_time()
    for what, _share, _name, _content in pack_files(plan):
        now = time.process_time()
        spent[str(what)] = spent.get(str(what), 0.0) + now - last
        last = now
    total = sum(spent.values())
    yield "pack over plan (processor)", total / planning, "x", ""
    for what, took in spent.items():
        yield f"share of the pack: {what}", took / total, "", ""
