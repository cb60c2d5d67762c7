"""The page on the example: edit to new verdict, first view, 3D with 5,000 tiles, sizes.

Times are taken as the reader waits for them: an edit through HTTP until its answer is read, a view in
a real Chromium (WebGL by software) until the vault is drawn. Of edits the time of the processor stands
beside, server and reader together: other work on the machine does not count in it.
"""

from __future__ import annotations

import re
import shutil
import socket
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import uvicorn

from timbrel.job.new import example_text
from timbrel.web.jobs import JobStore
from timbrel.web.pages import HERE
from timbrel.web.server import create_app
from timbrel.web.starts import BLANK, start_text

Row = tuple[str, float, str, str]
EDITS = 50
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
ARGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
LARGE = {"AB": 6000, "BC": 11600, "CD": 6000, "DA": 11600, "AC": 13060, "BD": 13060}
"""A room whose three layers take some 5,000 tiles of the blank sheet's kind."""


@contextmanager
def serving() -> Iterator[tuple[str, JobStore]]:
    """A running page over an empty folder: its address and its jobs."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
        probe.close()
        app = create_app(Path(folder))
        server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error"))
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.02)
        yield f"http://127.0.0.1:{port}", app.state.desk.store
        server.should_exit = True
        thread.join(timeout=5)


def edits(url: str, name: str) -> tuple[list[float], list[float]]:
    """Seconds from each edit to the answer with its new verdict: on the clock, on the processor."""
    clock, worked = [], []
    with httpx.Client(base_url=url, timeout=60) as client:
        text = client.get(f"/jobs/{name}").text
        for n in range(EDITS):
            revision = re.findall(r'name="revision" value="(\w+)"', text)[0]
            key, value = (
                ("v.curve.rise", str(540 - n)) if n % 2 else ("v.loads.finish", f"{0.81 + n / 500}")
            )
            begun, spent = time.perf_counter(), time.process_time()
            answer = client.post(
                f"/jobs/{name}/edit",
                data={"revision": revision, key: value},
                headers={"HX-Request": "true", "HX-Trigger-Name": key},
            )
            clock.append(time.perf_counter() - begun)
            worked.append(time.process_time() - spent)
            assert answer.status_code == 200, answer.text
            text = answer.text
    return clock, worked


def replanned(plan: Callable[[], object]) -> float:
    """Least processor time of several plans of one job, s."""
    taken = []
    for _ in range(7):
        begun = time.process_time()
        plan()
        taken.append(time.process_time() - begun)
    return min(taken)


def share(values: list[float], part: float) -> float:
    """The value under which a part of all values lies."""
    return sorted(values)[int(part * (len(values) - 1))]


PAINTED = """
() => new Promise((done) => requestAnimationFrame(() => {
  const context = document.querySelector("[data-part=canvas]").getContext("webgl2");
  context.readPixels(0, 0, 1, 1, context.RGBA, context.UNSIGNED_BYTE, new Uint8Array(4));
  done();
}))
"""
"""Reading a pixel back waits until the first frame has been painted."""
LOADS = 5


def views(url: str, name: str) -> tuple[float, float, int]:
    """Seconds to the first view and to the painted vault (median), in Chromium, number of tiles."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        page = browser.new_page(viewport={"width": 1500, "height": 950})
        page.goto(url)
        begun = time.perf_counter()
        page.goto(f"{url}/jobs/{name}", wait_until="domcontentloaded")
        page.wait_for_selector("#verdicts .checks li")
        first = time.perf_counter() - begun
        page.wait_for_selector("[data-vault][data-ready]:not([aria-busy])")
        page.wait_for_selector("#verdicts .tally:not([hx-get])")
        drawn = []
        for _ in range(LOADS):
            page.evaluate("document.querySelector('[data-vault]').removeAttribute('data-ready')")
            begun = time.perf_counter()
            page.reload(wait_until="domcontentloaded")
            page.wait_for_selector("[data-vault][data-ready]:not([aria-busy])")
            page.evaluate(PAINTED)
            drawn.append(time.perf_counter() - begun)
        tiles = page.evaluate(
            f"fetch('/jobs/{name}/model.json').then(r => r.json())"
            ".then(m => m.layers.reduce((n, l) => n + l.names.length, 0))"
        )
        browser.close()
    return first, statistics.median(drawn), int(tiles)


def rows() -> Iterator[Row]:
    """The figures of the page."""
    from timbrel.job import read_job
    from timbrel.plan import follow_building, make_plan
    from timbrel.web.sitesheet import site_sheet_of
    from timbrel.words import Voice

    with serving() as (url, store):
        name = store.new("Bench", example_text()).name
        clock, worked = edits(url, name)
        yield "first edit after the start", clock[0], "s", ""
        yield "edit to new verdict, median", statistics.median(clock), "s", "< 0.3"
        yield "edit to new verdict, 95th", share(clock, 0.95), "s", "< 0.6"
        yield "the same on the processor, median", statistics.median(worked), "s", ""
        yield "the same on the processor, 95th", share(worked, 0.95), "s", ""
        if CHROMIUM:
            first, drawn, tiles = views(url, name)
            yield "first view", first, "s", "< 1.5"
            yield f"vault drawn, {tiles} tiles", drawn, "s", "< 2"
            text = start_text(BLANK)
            for side, length in LARGE.items():
                text = re.sub(rf"(?m)^{side} = \d+", f"{side} = {length}", text)
            large = store.new("Large", text).name
            _, drawn, tiles = views(url, large)
            yield f"vault drawn, {tiles} tiles", drawn, "s", "< 2"
    scripts = sum(f.stat().st_size for f in (HERE / "static" / "vendor").glob("*.js"))
    yield "vendored scripts", scripts / 1e6, "MB", "< 1.5"
    loaded = read_job(example_text())
    again = replanned(lambda: make_plan(loaded))
    yield "re-plan without sheets, on the processor", again, "s", "< 0.5"
    plan = follow_building(make_plan(loaded))
    yield "site sheet", len(site_sheet_of(plan, Voice()).encode()) / 1e6, "MB", "< 4"
