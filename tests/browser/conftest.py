"""A page that really answers, and a Chromium that really looks at it."""

from __future__ import annotations

import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
    Playwright,
    expect,
    sync_playwright,
)

from timbrel.web.jobs import JobStore
from timbrel.web.server import create_app

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
SOLID = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
FLAT = ["--disable-gpu", "--disable-3d-apis"]
"""With WebGL drawn by software, and without WebGL, which is quicker and the fallback besides."""
ARGS = [
    "--no-sandbox",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
SMALL = (Path(__file__).parents[1] / "web/small.toml").read_text(encoding="utf-8")
AXE = (Path(__file__).parent / "vendor/axe.min.js").read_text(encoding="utf-8")


expect.set_options(timeout=20000)


@dataclass
class Site:
    """A running page: its address and its folder of jobs."""

    url: str
    store: JobStore

    def job(self, title: str) -> str:
        """A fresh small job; answers its address."""
        return f"{self.url}/jobs/{self.store.new(title, SMALL).name}"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(item.fspath).parent == Path(__file__).parent:
            item.add_marker("browser")


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    jobs = tmp_path_factory.mktemp("jobs")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    app = create_app(jobs)
    server = uvicorn.Server(uvicorn.Config(app, host="127.0.0.1", port=port, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + 20
    while not server.started and time.monotonic() < until:
        time.sleep(0.05)
    yield Site(f"http://127.0.0.1:{port}", app.state.desk.store)
    server.should_exit = True
    thread.join(timeout=10)


@pytest.fixture(scope="session")
def play() -> Iterator[Playwright]:
    if CHROMIUM is None:
        pytest.fail("Chromium is missing: install Debian's package chromium")
    with sync_playwright() as playing:
        yield playing


@pytest.fixture(scope="session")
def browser(play: Playwright) -> Iterator[Browser]:
    made = play.chromium.launch(executable_path=CHROMIUM, args=[*ARGS, *FLAT])
    yield made
    made.close()


@pytest.fixture(scope="session")
def solid_browser(play: Playwright) -> Iterator[Browser]:
    made = play.chromium.launch(executable_path=CHROMIUM, args=[*ARGS, *SOLID])
    yield made
    made.close()


DESK = {"width": 1500, "height": 950}


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(viewport=DESK, accept_downloads=True)
    made.set_default_timeout(30000)
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext, site: Site) -> Iterator[Page]:
    """A page on which any script error, refused load or call to the outside fails the test."""
    made = context.new_page()
    watched = watch(made, site.url)
    yield made
    assert watched == []


@pytest.fixture
def solid_page(solid_browser: Browser, site: Site) -> Iterator[Page]:
    """The same in a Chromium that draws in three dimensions."""
    made = solid_browser.new_context(viewport=DESK)
    made.set_default_timeout(30000)
    drawn = made.new_page()
    watched = watch(drawn, site.url)
    yield drawn
    assert watched == []
    made.close()


def watch(page: Page, home: str) -> list[str]:
    """Gather what must never happen on a page."""
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(f"script: {error}"))

    def said(message: object) -> None:
        text = str(getattr(message, "text", ""))
        expected = "status of 4" in text  # a refusal is answered with 409 or 422, on purpose
        if getattr(message, "type", "") == "error" and not expected:
            wrong.append(f"console: {text}")

    def asked(request: object) -> None:
        url = str(getattr(request, "url", ""))
        if not url.startswith((home, "data:", "blob:", "file:")):
            wrong.append(f"outside: {url}")

    page.on("console", said)
    page.on("request", asked)
    return wrong


@pytest.fixture
def ready() -> Callable[[Page], None]:
    """Waits until the vault is drawn."""

    def wait(page: Page) -> None:
        page.wait_for_selector("[data-vault][data-ready]:not([aria-busy])")

    return wait


@pytest.fixture
def faults() -> Callable[[Page], list[str]]:
    """Tells what axe-core finds, against WCAG 2.1 A and AA and its own best practice."""
    return found_faults


def found_faults(page: Page) -> list[str]:
    page.evaluate(AXE)
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{v['id']}: {v['help']} at {[n['target'] for n in v['nodes'][:3]]}"
        for v in found["violations"]
    ]
