"""A drawing shown as an image carries its letters: a browser has no others of ours to show."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Browser

from timbrel.sheets.face import with_its_face
from timbrel.sheets.font import BOLD, FOLDER, REGULAR

TEXTS = {"normal": "Łukowy gwint 2,45 Ω", "bold": "Šířka Aéï"}
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="20mm" viewBox="0 0 6000 2000">'
    '<title>t</title><defs /><g font-family="Timbrel Sans, serif" stroke="none">'
    f'<text x="100" y="800" font-size="480">{TEXTS["normal"]}</text>'
    f'<text x="100" y="1600" font-size="480" font-weight="bold">{TEXTS["bold"]}</text></g></svg>'
)
SITE_SHEET = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
OPEN = "default-src * 'unsafe-inline' data:"


def _page(body: str, policy: str) -> str:
    head = f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
    return f"<!doctype html>{head}<body style='margin:0;background:#fff'>{body}"


def _image(svg: str) -> str:
    data = base64.b64encode(svg.encode()).decode()
    return f'<img alt="" style="display:block" src="data:image/svg+xml;base64,{data}">'


Look = Callable[[str], bytes]


def _apart(one: bytes, other: bytes) -> float:
    """Mean difference of two pictures, in shades of grey."""
    grey = [np.asarray(Image.open(io.BytesIO(png)).convert("L"), float) for png in (one, other)]
    return float(np.abs(grey[0] - grey[1]).mean())


@pytest.fixture
def look(browser: Browser) -> Iterator[Look]:
    """What the browser paints of a page."""
    page = browser.new_page(viewport={"width": 260, "height": 100})

    def seen(html: str) -> bytes:
        page.set_content(html)
        page.evaluate("document.fonts.ready")
        page.wait_for_timeout(150)
        return page.screenshot()

    yield seen
    page.close()


def test_an_image_shows_our_letters_even_where_nothing_may_be_loaded(look: Look) -> None:
    whole = "".join(
        f"@font-face{{font-family:'Timbrel Sans';font-weight:{weight};src:url(data:font/ttf;base64,"
        f"{base64.b64encode((FOLDER / file).read_bytes()).decode()})}}"
        for file, weight in ((REGULAR, "normal"), (BOLD, "bold"))
    )
    style = f"<style>{whole}svg{{display:block;font-kerning:none}}</style>"
    truth = look(_page(style + DRAWING, OPEN))
    ours = look(_page(_image(with_its_face(DRAWING)), SITE_SHEET))
    bare = look(_page(_image(DRAWING), SITE_SHEET))
    # Text in an image is smoothed a little differently from text in a page.
    assert _apart(ours, truth) < 0.35 * _apart(bare, truth)
