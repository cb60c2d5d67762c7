"""Before the first tile and choosing, as a reader sees them: desk, phone, keyboard, axe."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

Faults = Callable[[Page], list[str]]
PHONE = {"width": 390, "height": 844}


def test_every_subject_is_reached_from_the_job_and_reads_clean(
    page: Page, site: Any, faults: Faults
) -> None:
    page.goto(site.job("Before"))
    page.get_by_role("link", name="Before the first tile").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Before the first tile")
    links = page.get_by_role("navigation", name="Subjects").get_by_role("link")
    assert links.count() == 10
    links.get_by_text("Hand check").click()
    expect(page.locator("#leaf-hand-check")).to_be_in_viewport()
    expect(page.locator("#leaf-seat img")).to_have_count(3)
    for drawn in page.locator("img.figure").all():
        assert drawn.evaluate("e => e.complete && e.naturalWidth > 0")
    assert faults(page) == []


def test_measured_tiles_are_typed_from_the_keyboard(page: Page, site: Any) -> None:
    address = site.job("Typed")
    page.goto(f"{address}/before#leaf-tiles")
    summary = page.locator("#leaf-tiles summary").first
    summary.focus()
    page.keyboard.press("Enter")
    page.locator('[name="t.1.length"]').focus()
    for _ in range(12):
        for value in ("280", "143", "15", "1"):
            page.keyboard.type(value)
            page.keyboard.press("Tab")
    page.get_by_role("button", name="Save the measured tiles").press("Enter")
    expect(page).to_have_url(re.compile(r"/before#leaf-tiles$"))
    expect(page.locator("#leaf-tiles")).to_contain_text("12 measured")
    expect(page.locator("#leaf-tiles")).to_contain_text("planned with what came")
    page.goto(address)
    expect(page.locator(".saved")).to_contain_text("State 2 of 2")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".saved")).to_contain_text("State 1 of 2")


def test_a_half_filled_line_is_shown_again(page: Page, site: Any) -> None:
    page.goto(f"{site.job('Half filled')}/before")
    page.locator("#leaf-tiles summary").first.click()
    page.locator('[name="t.1.length"]').fill("280")
    page.get_by_role("button", name="Save the measured tiles").click()
    expect(page.get_by_role("alert")).to_contain_text("has no width")
    expect(page.locator('[name="t.1.length"]')).to_have_value("280")


def test_deliveries_can_be_begun_in_the_form_too(page: Page, site: Any) -> None:
    page.goto(site.job("Begun"))
    section = page.locator("#s-deliveries")
    section.locator("summary").first.click()
    section.get_by_role("button", name=re.compile("Add a row")).click()
    expect(section.locator('[name="v.deliveries.1.tile"]')).to_have_value("thin")
    box = section.locator('[name="v.deliveries.1.measured"]')
    with page.expect_response(re.compile(r"/edit$")) as answer:
        box.fill("280; 141; 15; 1 | 280; 140; 15; 0")
        box.press("Tab")
    assert answer.value.status == 200
    expect(page.locator(".saved")).to_contain_text("State 3 of 3")


def test_an_option_is_taken_with_a_click_and_undone(page: Page, site: Any, faults: Faults) -> None:
    address = site.job("Choosing")
    page.goto(address)
    page.get_by_role("link", name="Choose", exact=True).click()
    page.get_by_label("Vary").select_option("rise")
    page.get_by_role("button", name="Plan the options").click()
    table = page.locator("table.options")
    table.wait_for(timeout=120000)
    assert 3 <= table.locator("thead th").count() <= 5
    assert faults(page) == []
    title = table.locator("thead th", has_text="segment").first.inner_text()
    page.get_by_role("button", name=f"Take: {title}").click()
    expect(page).to_have_url(address)
    expect(page.locator(".saved")).to_contain_text("State 2 of 2")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator('[name="v.curve.rise"]')).to_have_value("480")


def test_a_sweep_is_stopped_on_the_page(page: Page, site: Any) -> None:
    page.goto(f"{site.job('Stopped')}/options")
    page.get_by_role("button", name="Plan the options").click()
    page.get_by_role("button", name="Stop").click()
    expect(page.locator("#sweep")).to_contain_text("Stopped", timeout=60000)


@pytest.mark.parametrize("where", ["before", "options"])
def test_on_a_phone_nothing_runs_off_the_side(
    browser: Browser, site: Any, faults: Faults, where: str
) -> None:
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(f"{site.job(f'Phone {where}')}/{where}")
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"] + 1
    assert faults(page) == []
    context.close()
