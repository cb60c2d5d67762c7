"""Choosing: options of the granary planned in processes, and in one process beside it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from time import perf_counter, process_time

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.options import Vary, compare

GRANARY = Path(__file__).parent.parent / "examples" / "granary"


def rows() -> Iterator[tuple[str, float, str, str]]:
    """Seconds for all options on two processes, and their ratio to one process."""
    job = load_job(GRANARY).job
    yield from _rows(job, "all")
    yield from _rows(job, "family")


def _rows(job: Job, vary: Vary) -> Iterator[tuple[str, float, str, str]]:
    """For one way of varying. Processor seconds are the same however busy the machine is."""
    compare(job, workers=2, vary=vary)  # starts the fork server, as a first visit to the page does
    start = perf_counter()
    options = compare(job, workers=2, vary=vary)
    apart = perf_counter() - start
    start, spent = perf_counter(), process_time()
    compare(job, workers=1, vary=vary)
    alone, spent = perf_counter() - start, process_time() - spent
    yield f"options planned, {vary}", float(len(options)), "", "3 to 5"
    yield f"all of them, two processes, {vary}", apart, "s", "under 5 s"
    yield f"all of them, processor alone, {vary}", spent, "s", "under 10 s on two"
    yield f"over one process, {vary}", apart / alone, "x", "under 1"
