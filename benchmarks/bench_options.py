"""Choosing: options of the granary planned in processes, and in one process beside it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from time import perf_counter

from timbrel.job.load import load_job
from timbrel.options import compare

GRANARY = Path(__file__).parent.parent / "examples" / "granary"


def rows() -> Iterator[tuple[str, float, str, str]]:
    """Seconds for all options on two processes, and their ratio to one process."""
    job = load_job(GRANARY).job
    compare(job, workers=2)  # starts the fork server, as a first visit to the page does
    start = perf_counter()
    options = compare(job, workers=2)
    apart = perf_counter() - start
    start = perf_counter()
    compare(job, workers=1)
    alone = perf_counter() - start
    yield "options planned", float(len(options)), "", "3 to 5"
    yield "all options, two processes", apart, "s", "under 5 s"
    yield "over one process", apart / alone, "x", "under 1"
