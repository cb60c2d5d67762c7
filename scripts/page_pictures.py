"""Screenshots of the real page, desk and phone, for the README: ``make pictures``."""

from __future__ import annotations

import socket
import tempfile
import threading
import time
from pathlib import Path

import uvicorn
from playwright.sync_api import Page, sync_playwright

from timbrel.web.server import create_app

ROOT = Path(__file__).parent.parent
PICTURES = ROOT / "docs" / "pictures"
EXAMPLE = ROOT / "examples" / "granary" / "job.toml"
ARGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
SIZES = {"page-desk": (1500, 950), "page-phone": (390, 844)}


def serve() -> str:
    """A page over a folder of its own that holds the example; answers the job's address."""
    app = create_app(Path(tempfile.mkdtemp(prefix="timbrel-pictures-")))
    name = app.state.desk.store.new("Granary", EXAMPLE.read_text(encoding="utf-8")).name
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="warning"))
    threading.Thread(target=server.run, daemon=True).start()
    while not server.started:
        time.sleep(0.05)
    return f"http://127.0.0.1:{port}/jobs/{name}"


def picture(page: Page, address: str, name: str) -> None:
    """The job's page when its vault is drawn and its stages are checked."""
    page.goto(address)
    page.locator("[data-vault][data-view]").wait_for(timeout=60000)
    page.wait_for_load_state("networkidle", timeout=60000)
    page.screenshot(path=PICTURES / f"{name}.png")


def main() -> None:
    """Write every picture of the page."""
    address = serve()
    with sync_playwright() as playing:
        browser = playing.chromium.launch(executable_path="/usr/bin/chromium", args=ARGS)
        for name, (wide, high) in SIZES.items():
            page = browser.new_page(viewport={"width": wide, "height": high})
            picture(page, address, name)
        browser.close()


if __name__ == "__main__":
    main()
