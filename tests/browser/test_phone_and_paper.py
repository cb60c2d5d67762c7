"""The page on a phone, in every language, by keyboard; the site sheet with no network at all."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from timbrel.job import read_job
from timbrel.plan import follow_building, make_plan
from timbrel.web.sitesheet import site_sheet_of
from timbrel.words import Voice

Ready = Callable[[Page], None]
Faults = Callable[[Page], list[str]]
PHONE = {"width": 390, "height": 844}
SMALL = Path(__file__).parents[1] / "web/small.toml"
LARGEST_SHEET = 4_000_000
LARGEST_SCRIPTS = 1_500_000


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    made = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
    made.set_default_timeout(30000)
    yield made.new_page()
    made.close()


def spills(page: Page) -> int:
    """How far the page is wider than the screen, in pixels."""
    return int(page.evaluate("document.documentElement.scrollWidth - innerWidth"))


def test_the_page_fits_a_phone(phone: Page, site: Any, ready: Ready) -> None:
    address = site.job("On the phone")
    for path in (site.url, address, f"{site.url}/compare", f"{address}/history"):
        phone.goto(path)
        assert spills(phone) <= 0, path
    phone.goto(address)
    ready(phone)
    # What a tab holds comes when it is opened: until then nothing can be too wide.
    held = {"Drawings": "#drawing-choice", "Tables": "#tables article", "Papers": "#papers-work"}
    for tab, inside in held.items():
        phone.get_by_role("tab", name=tab).click()
        phone.locator(inside).first.wait_for()
        assert spills(phone) <= 0, tab
        # A vault on a plan has longer titles and wider tables than this small one.
        phone.evaluate(
            "all => document.querySelectorAll(all).forEach(e => { e.textContent += LONG; })".replace(
                "LONG", repr(" of the web" * 12 + "x" * 90)
            ),
            "#drawing-choice option, #tables td",
        )
        assert spills(phone) <= 0, f"{tab}, wide"


TARGETS = "button, .button, select, input:not([type=hidden]), summary, nav a, .home, .joblist a"
TOO_SMALL = """all => all
  .map((e) => (e.matches("[type=checkbox], [type=radio]") && e.closest("label")) || e)
  .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 44)
  .map((e) => e.outerHTML.slice(0, 80))"""


def test_a_thumb_in_a_glove_meets_every_target(phone: Page, site: Any, ready: Ready) -> None:
    """44 px: WCAG 2.1, success criterion 2.5.5 (AAA), target size."""
    address = site.job("With gloves")
    pages = (site.url, address, f"{address}/before", f"{address}/options", f"{address}/record")
    for path in pages:
        phone.goto(path)
        if path == address:
            ready(phone)
        phone.evaluate("document.querySelectorAll('details').forEach(e => { e.open = true; })")
        assert phone.eval_on_selector_all(TARGETS, TOO_SMALL) == [], path


def test_the_step_is_read_while_the_vault_is_seen(phone: Page, site: Any, ready: Ready) -> None:
    phone.goto(site.job("On the scaffold"))
    ready(phone)
    phone.get_by_role("button", name="To the start").click()
    phone.locator("[data-part=canvas]").evaluate("e => e.scrollIntoView()")
    phone.wait_for_timeout(100)
    expect(phone.locator("[data-part=canvas]")).to_be_in_viewport(ratio=0.95)
    expect(phone.get_by_role("button", name="One step on")).to_be_in_viewport(ratio=0.95)
    expect(phone.locator("[data-part=said]")).to_be_in_viewport(ratio=0.95)


def test_axe_finds_nothing(page: Page, site: Any, ready: Ready, faults: Faults) -> None:
    address = site.job("Seen by axe")
    for path in (site.url, address, f"{address}/history", f"{site.url}/jobs/none"):
        page.goto(path)
        if path == address:
            ready(page)
            for name in page.locator("details.section").all():
                name.evaluate("e => { e.open = true; }")
        assert faults(page) == [], path
    page.goto(address)
    for tab in ("Drawings", "Tables", "Papers"):
        page.get_by_role("tab", name=tab).click()
        page.wait_for_timeout(1500)
        assert faults(page) == [], tab


@pytest.mark.parametrize(
    ("language", "undo", "verdicts"),
    [("es", "Deshacer", "Juicios"), ("ca", "Desfer", "Judicis"), ("fr", "Annuler", "Jugements")],
)
def test_each_language(
    page: Page, site: Any, ready: Ready, language: str, undo: str, verdicts: str
) -> None:
    page.goto(site.job(f"In {language}"))
    page.locator("select[name=language]").select_option(language)
    page.locator(".reader button").click()
    ready(page)
    expect(page.locator("html")).to_have_attribute("lang", language)
    expect(page.get_by_role("button", name=undo)).to_be_visible()
    expect(page.locator("#verdicts-title")).to_contain_text(verdicts)
    for english in ("Saved.", "Measured and chosen", "at least", "Layer 1"):
        expect(page.locator("main")).not_to_contain_text(english)
    box = page.locator('[name="v.curve.rise"]')
    with page.expect_response(re.compile(r"/edit$")) as answer:
        box.fill("nada")
        box.press("Tab")
    assert answer.value.status == 422
    expect(page.locator(".entry [role=alert]")).not_to_contain_text("accepted")


def test_lengths_in_the_readers_unit(page: Page, site: Any) -> None:
    page.goto(site.job("In feet"))
    page.locator("select[name=unit]").select_option("ft")
    page.locator(".reader button").click()
    box = page.locator('[name="v.curve.rise"]')
    expect(box).to_have_value("1 ft 6 7/8 in")
    with page.expect_response(re.compile(r"/edit$")) as answer:
        box.fill("1 ft 8 in")
        box.press("Tab")
    assert answer.value.status == 200
    assert 'rise = "1 ft 8 in"' in site.store.read("in-feet").text


def test_from_the_keyboard_alone(page: Page, site: Any, ready: Ready) -> None:
    page.goto(site.job("By keyboard"))
    ready(page)
    page.keyboard.press("Tab")
    expect(page.locator(".skip").first).to_be_focused()
    # Form and verdicts have more stops than anybody wants to pass on the way to the vault.
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("#tab-vault")).to_be_focused()
    page.keyboard.press("ArrowRight")
    expect(page.locator("#tab-drawing")).to_be_focused()
    expect(page.locator("#drawing")).to_be_visible()
    page.keyboard.press("ArrowLeft")
    page.locator("[data-act=first]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-part=said]")).to_contain_text("Step 1 of")
    page.locator("[data-part=step]").focus()
    page.keyboard.press("ArrowRight")
    expect(page.locator("[data-part=said]")).to_contain_text("Step 2 of")


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    plan = follow_building(make_plan(read_job(SMALL.read_text(encoding="utf-8"))))
    file = tmp_path_factory.mktemp("sheet") / "site.html"
    file.write_text(site_sheet_of(plan, Voice()), encoding="utf-8")
    return file


@pytest.mark.parametrize("kind", ["flat", "solid"])
def test_the_site_sheet_opens_from_storage_with_no_network(
    request: pytest.FixtureRequest, sheet: Path, kind: str, ready: Ready, faults: Faults
) -> None:
    browser: Browser = request.getfixturevalue("browser" if kind == "flat" else "solid_browser")
    context = browser.new_context(viewport=PHONE, offline=True)
    context.set_default_timeout(30000)
    page = context.new_page()
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on(
        "request",
        lambda asked: (
            wrong.append(asked.url)
            if not asked.url.startswith(("file:", "data:", "blob:"))
            else None
        ),
    )
    page.goto(sheet.as_uri())
    ready(page)
    expect(page.locator("[data-vault]")).to_have_attribute("data-view", kind)
    assert spills(page) <= 0
    expect(page.locator(".call")).to_contain_text("the master, at the gate")
    page.get_by_role("button", name="To the start").click()
    page.get_by_role("button", name="One step on").click()
    expect(page.locator("[data-part=said]")).to_contain_text("Step 2 of")
    pictures = page.locator("figure img")
    assert pictures.count() > 4
    assert page.evaluate(
        "[...document.querySelectorAll('figure img')].every(i => i.naturalWidth > 0)"
    )
    if kind == "flat":
        assert faults(page) == []
    assert wrong == []
    context.close()


def test_sizes(sheet: Path) -> None:
    assert sheet.stat().st_size < LARGEST_SHEET
    static = Path(__file__).parents[2] / "src/timbrel/web/static"
    scripts = [*static.rglob("*.js")]
    assert len(scripts) > 6
    assert sum(file.stat().st_size for file in scripts) < LARGEST_SCRIPTS
