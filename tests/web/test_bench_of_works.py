"""Long work in the background, seen while it goes on."""

from __future__ import annotations

import threading
import time

from timbrel.web.work import Bench
from timbrel.words import Progress, say


def test_what_is_seen_of_a_work_is_of_one_moment() -> None:
    """A table was once drawn empty: the work ended between the reading and the drawing of it."""
    go = threading.Event()

    def task(_progress: Progress) -> str:
        go.wait(5)
        return "planned"

    bench = Bench()
    name = bench.start(say("Planning options"), task).name
    seen = bench.find(name)
    go.set()
    until = time.monotonic() + 5
    while bench.find(name).state == "running" and time.monotonic() < until:
        time.sleep(0.01)
    assert (seen.state, seen.result) == ("running", None)
    after = bench.find(name)
    assert (after.state, after.result) == ("done", "planned")


def test_a_work_is_stopped_through_what_is_seen_of_it() -> None:
    def task(progress: Progress) -> None:
        while True:
            progress(say("Planning options"), 0.5)
            time.sleep(0.01)

    bench = Bench()
    name = bench.start(say("Planning options"), task).name
    bench.find(name).stop.set()
    until = time.monotonic() + 5
    while bench.find(name).state == "running" and time.monotonic() < until:
        time.sleep(0.01)
    assert bench.find(name).state == "stopped"
