"""The site's record on a phone: a few taps, with the network coming and going, exactly once."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, ViewportSize, expect

from timbrel.records.store import Record

AXE = (Path(__file__).parent / "vendor/axe.min.js").read_text(encoding="utf-8")
PHONE: ViewportSize = {"width": 390, "height": 844}


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A phone. Loads may fail on it, for the network is cut; scripts may not."""
    context = browser.new_context(viewport=PHONE)
    made = context.new_page()
    broken: list[str] = []
    made.on("pageerror", lambda error: broken.append(str(error)))
    yield made
    context.close()
    assert broken == []


@pytest.fixture
def begun(site: Any, page: Page) -> str:
    """A job whose record was begun; the page stands on it."""
    address = site.job("Scaffold")
    page.goto(f"{address}/record")
    page.get_by_label("Master mason").fill("Ana Ferrer")
    page.get_by_role("button", name="Begin the record").click()
    expect(page.get_by_text("You are Ana Ferrer, master mason.")).to_be_visible()
    return address


def record_of(site: Any, address: str) -> Record:
    return Record.open(site.store.folder(address.rsplit("/", 1)[1]))


def enter_note(page: Page, text: str) -> None:
    form = page.locator("#form-note")
    if form.is_hidden():
        page.get_by_role("button", name="note", exact=True).click()
    form.get_by_label("Words").fill(text)
    form.get_by_role("button", name="Enter").click()


def test_a_batch_in_a_few_taps(site: Any, page: Page, begun: str) -> None:
    page.get_by_role("button", name="binder batch").click()
    form = page.locator("#form-batch")
    form.get_by_label("Mixed", exact=False).first.fill("1,5")
    form.get_by_role("button", name="Enter").click()
    expect(page.locator("#told")).to_contain_text("Taken as entry 2")
    (batch,) = record_of(site, begun).entries(kind="batch")
    assert batch.body["litres"] == pytest.approx(1.5)
    expect(page.locator("#lines")).to_contain_text("1.5 l mixed")


def test_an_empty_box_is_told_at_the_box(site: Any, page: Page, begun: str) -> None:
    page.get_by_role("button", name="course or arch closed").click()
    form = page.locator("#form-course")
    form.get_by_role("button", name="Enter").click()
    expect(form.locator("[data-part=why]")).to_have_text("Fill in this box.")
    form.get_by_label("Its number").fill("many")
    form.get_by_role("button", name="Enter").click()
    expect(form.locator("[data-part=why]")).to_have_text("A number is needed here.")
    assert record_of(site, begun).head()[0] == 1


def test_what_is_refused_is_put_back_into_its_form(site: Any, page: Page, begun: str) -> None:
    page.get_by_role("button", name="binder batch").click()
    form = page.locator("#form-batch")
    litres = form.get_by_label("Mixed", exact=False).first
    litres.fill("9000")
    form.get_by_role("button", name="Enter").click()
    expect(page.locator("#refused [role=alert]")).to_contain_text("Not taken:")
    expect(page.locator("#refused")).to_be_in_viewport()
    expect(litres).to_have_value("")
    page.get_by_role("button", name="Put it back into the form").click()
    expect(litres).to_have_value("9000")
    expect(page.locator("#refused li")).to_have_count(0)
    litres.fill("9")
    form.get_by_role("button", name="Enter").click()
    expect(page.locator("#told")).to_contain_text("Taken as entry 2")
    expect(page.locator("#told")).to_be_in_viewport()


def test_what_is_no_whole_number_or_no_picture_is_told(site: Any, page: Page, begun: str) -> None:
    page.get_by_role("button", name="course or arch closed").click()
    form = page.locator("#form-course")
    form.get_by_label("Its number").fill("2,5")
    form.get_by_role("button", name="Enter").click()
    expect(form.locator("[data-part=why]")).to_have_text("A whole number is needed here.")
    page.get_by_role("button", name="photograph").click()
    form = page.locator("#form-photo")
    form.get_by_label("Photograph").set_input_files(
        {"name": "crown.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"}
    )
    form.get_by_label("Words").fill("crown from below")
    form.get_by_role("button", name="Enter").click()
    expect(form.locator("[data-part=why]")).to_have_text(
        "This file is no picture that can be read."
    )
    expect(form.get_by_label("Words")).to_have_value("crown from below")
    assert record_of(site, begun).head()[0] == 1


def test_what_was_entered_without_a_network_arrives_once_and_in_order(
    site: Any, page: Page, begun: str
) -> None:
    page.context.set_offline(True)
    for k in range(3):
        enter_note(page, f"arch {k + 1} closed")
        expect(page.locator("#waiting")).to_have_attribute("data-count", str(k + 1))
    expect(page.locator("#told")).to_contain_text("Kept on this phone")
    assert record_of(site, begun).head()[0] == 1
    page.context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(page.locator("#waiting")).to_have_attribute("data-count", "0")
    notes = [e.body["text"] for e in record_of(site, begun).entries(kind="note")]
    assert notes == ["arch 1 closed", "arch 2 closed", "arch 3 closed"]


def test_an_answer_that_was_lost_does_not_enter_twice(site: Any, page: Page, begun: str) -> None:
    """The server takes the entry, the answer never comes back, the phone sends again."""
    lost = 0

    def lose_the_answer(route: object) -> None:
        nonlocal lost
        if lost < 2:
            lost += 1
            route.fetch()  # type: ignore[attr-defined]
            route.abort()  # type: ignore[attr-defined]
        else:
            route.continue_()  # type: ignore[attr-defined]

    page.route("**/record/entries", lose_the_answer)
    enter_note(page, "crown read: 2 mm down")
    expect(page.locator("#told")).to_contain_text("Taken as entry 2", timeout=30000)
    assert lost == 2
    notes = record_of(site, begun).entries(kind="note")
    assert [e.body["text"] for e in notes] == ["crown read: 2 mm down"]


def test_what_waits_survives_closing_the_page(site: Any, page: Page, begun: str) -> None:
    page.route("**/record/entries", lambda route: route.abort())
    enter_note(page, "wedges slackened")
    expect(page.locator("#waiting")).to_have_attribute("data-count", "1")
    page.unroute("**/record/entries")
    page.reload()
    expect(page.locator("#waiting")).to_have_attribute("data-count", "0")
    (note,) = record_of(site, begun).entries(kind="note")
    assert note.body["text"] == "wedges slackened"


def test_a_photograph_is_made_smaller_and_kept(site: Any, page: Page, begun: str) -> None:
    out = io.BytesIO()
    Image.new("RGB", (3000, 2000), (148, 70, 42)).save(out, "JPEG")
    page.get_by_role("button", name="photograph").click()
    form = page.locator("#form-photo")
    form.get_by_label("Photograph").set_input_files(
        {"name": "crown.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}
    )
    form.get_by_label("Words").fill("crown from below")
    form.get_by_role("button", name="Enter").click()
    expect(page.locator("#told")).to_contain_text("Taken as entry 2")
    record = record_of(site, begun)
    (photo,) = record.entries(kind="photo")
    kept = record.picture(photo.body["digest"])
    assert kept is not None
    assert max(Image.open(io.BytesIO(kept[1])).size) == 1600


def test_a_link_lets_an_apprentice_enter_what_he_may(
    site: Any, page: Page, begun: str, browser: Browser
) -> None:
    page.get_by_label("Name", exact=True).fill("Pau")
    page.get_by_label("Role").select_option("apprentice")
    page.get_by_role("button", name="Enter and make a link").click()
    link = page.locator("code.link").inner_text()
    other = browser.new_context(viewport=PHONE)
    phone = other.new_page()
    phone.goto(link)
    expect(phone.get_by_text("You are Pau, apprentice.")).to_be_visible()
    assert "link=" not in phone.url
    expect(phone.get_by_role("button", name="note", exact=True)).to_be_visible()
    expect(phone.get_by_role("button", name="signature")).to_have_count(0)
    enter_note(phone, "tiles soaked")
    expect(phone.locator("#told")).to_contain_text("Taken as entry")
    page.goto(f"{begun}/record")
    page.get_by_role("button", name="Revoke").click()
    phone.reload()
    expect(phone.get_by_text("This link was revoked")).to_be_visible()
    other.close()


def test_a_link_that_ends_loses_nothing(
    site: Any, page: Page, begun: str, browser: Browser
) -> None:
    """What was entered after a link was revoked waits on the phone and goes with the next link."""

    def new_link() -> str:
        page.goto(f"{begun}/record")
        page.get_by_label("Name", exact=True).fill("Pau")
        page.get_by_label("Role").select_option("mason")
        page.get_by_role("button", name="Enter and make a link").click()
        return page.locator("code.link").inner_text()

    other = browser.new_context(viewport=PHONE)
    phone = other.new_page()
    phone.goto(new_link())
    expect(phone.get_by_text("You are Pau, mason.")).to_be_visible()
    page.goto(f"{begun}/record")
    page.get_by_role("button", name="Revoke").click()
    enter_note(phone, "third arch closed")
    expect(phone.locator("#told")).to_contain_text("This link was revoked")
    expect(phone.locator("#told")).to_contain_text("Kept on this phone")
    expect(phone.locator("#waiting")).to_have_attribute("data-count", "1")
    assert record_of(site, begun).entries(kind="note") == []
    phone.goto(new_link())
    expect(phone.locator("#waiting")).to_have_attribute("data-count", "0")
    (note,) = record_of(site, begun).entries(kind="note")
    assert note.body["text"] == "third arch closed"
    other.close()


def test_the_page_is_sound_for_all(page: Page, begun: str) -> None:
    expect(page.locator("#built")).to_contain_text("As built")
    page.evaluate(AXE)
    found = page.evaluate("axe.run()")["violations"]
    assert [(v["id"], v["nodes"][0]["html"]) for v in found] == []
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"]
