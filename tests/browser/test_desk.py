"""The page on a desk: from a blank sheet to the pack, refusals, undo, the player, two tabs."""

from __future__ import annotations

import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page, expect

Ready = Callable[[Page], None]
Faults = Callable[[Page], list[str]]


def fill(page: Page, key: str, value: str, status: int = 200) -> None:
    """Type into a box as a reader does, and wait for the answer."""
    box = page.locator(f'[name="v.{key}"]')
    section = box.locator("xpath=ancestor::details[1]")
    if section.get_attribute("open") is None:
        section.locator("summary").first.click()
    with page.expect_response(re.compile(r"/edit$")) as answer:
        if box.evaluate("e => e.tagName") == "SELECT":
            box.select_option(value)
        else:
            box.fill(value)
            box.press("Tab")
    assert answer.value.status == status
    expect(page.locator(".htmx-request")).to_have_count(0)


def test_from_a_blank_sheet_to_the_pack(
    page: Page, site: Any, tmp_path: Path, ready: Ready
) -> None:
    page.goto(site.url)
    page.get_by_label("What is it called").fill("Wash house")
    page.get_by_role("button", name="Start the job").click()
    ready(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Wash house")
    fill(page, "curve.rise", "600")
    expect(page.locator(".saved")).to_contain_text("State 2 of 2")
    ready(page)
    page.get_by_role("tab", name="Papers").click()
    page.get_by_role("button", name="Make the pack").click()
    link = page.get_by_role("link", name="Save the whole pack")
    link.wait_for(timeout=60000)
    with page.expect_download() as coming:
        link.click()
    target = tmp_path / "pack.zip"
    coming.value.save_as(target)
    with zipfile.ZipFile(target) as pack:
        names = {Path(name).name for name in pack.namelist()}
        assert {"plan.json", "pack.pdf"} <= names
        plan = next(name for name in pack.namelist() if name.endswith("plan.json"))
        assert json.loads(pack.read(plan))
    with page.expect_download() as one:
        page.get_by_role("link", name="pack.pdf", exact=True).click()
    assert Path(one.value.path()).read_bytes().startswith(b"%PDF")


REFUSED = (
    ("room.AC", "9999", "close"),
    ("curve.rise", "70 bananas", "bananas"),
    ("tiles.thin.thickness", "200", "80"),
    ("tiles.thin.length", "", "tiles.thin.length"),
    ("walls.left.thickness", "nine", "walls.left.thickness"),
    ("crew.masons", "1.5", "whole"),
    ("job.title", "", "job.title"),
)


def test_what_cannot_stand_is_refused_at_its_box(page: Page, site: Any) -> None:
    page.goto(site.job("Refused"))
    page.locator("#verdicts .tally", has_text="still being checked").wait_for(state="detached")
    before = page.locator("#verdicts").inner_text()
    for key, value, says in REFUSED:
        fill(page, key, value, 422)
        entry = page.locator(".entry", has=page.locator(f'[name="v.{key}"]'))
        expect(entry.locator("[role=alert]")).to_contain_text(says)
        expect(entry.locator("[aria-invalid=true]")).to_have_count(1)
        expect(page.locator(".saved")).to_contain_text("Not saved")
    expect(page.locator("#verdicts")).to_have_text(before, use_inner_text=True)
    expect(page.locator(".unsaved")).to_have_count(len(REFUSED))


def test_measures_that_only_stand_together_are_taken_together(page: Page, site: Any) -> None:
    page.goto(site.job("Wider"))
    for key, value in (("AB", "2600"), ("CD", "2610"), ("AC", "3345"), ("BD", "3344")):
        box = page.locator(f'[name="v.room.{key}"]')
        with page.expect_response(re.compile(r"/edit$")) as answer:
            box.fill(value)
            box.press("Tab")
        expect(page.locator(".htmx-request")).to_have_count(0)
    assert answer.value.status == 200
    expect(page.locator(".unsaved")).to_have_count(0)
    text = site.store.read("wider").text
    assert "AB = 2600 # under the lintel" in text
    assert "BD = 3344" in text


def test_undo_and_redo_over_the_whole_history(page: Page, site: Any) -> None:
    address = site.job("History")
    page.goto(address)
    for rise in ("490", "500", "510"):
        fill(page, "curve.rise", rise)
    page.goto(address)
    box = page.locator('[name="v.curve.rise"]')
    for rise in ("500", "490", "480"):
        page.get_by_role("button", name="Undo").click()
        expect(box).to_have_value(rise)
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    for rise in ("490", "500", "510"):
        page.get_by_role("button", name="Redo").click()
        expect(box).to_have_value(rise)
    page.get_by_role("link", name="History").click()
    page.get_by_role("button", name="Go to this state 2").click()
    expect(box).to_have_value("490")


def test_the_player_lays_course_by_course_and_stops_to_check(
    solid_page: Page, site: Any, ready: Ready
) -> None:
    solid_page.goto(site.job("Player"))
    ready(solid_page)
    panel = solid_page.locator("[data-vault]")
    expect(panel).to_have_attribute("data-view", "solid")
    solid_page.get_by_role("button", name="To the start").click()
    expect(solid_page.locator("[data-part=said]")).to_contain_text("Step 1 of")
    solid_page.locator("[data-part=speed]").select_option("16")
    solid_page.get_by_role("button", name="Lay", exact=True).click()
    stop = solid_page.locator("[data-part=stop]")
    expect(stop).to_be_visible()
    # The stop is shown before the step is noted; from then on nothing may move.
    solid_page.wait_for_timeout(300)
    first = int(panel.get_attribute("data-step") or "0")
    solid_page.wait_for_timeout(300)
    assert int(panel.get_attribute("data-step") or "0") == first, "the player went on over a stop"
    for _ in range(8):
        solid_page.get_by_role("button", name="One step on").click()
    expect(solid_page.locator("[data-part=said]")).to_contain_text("layer 1, arch 1")
    solid_page.get_by_role("button", name="To the end").click()


def test_a_tile_is_picked_by_touch(solid_page: Page, site: Any, ready: Ready) -> None:
    solid_page.goto(site.job("Picked"))
    ready(solid_page)
    box = solid_page.locator("[data-part=canvas]").bounding_box()
    assert box
    said = solid_page.locator("[data-part=picked]")
    heard = set()
    for across in (0.38, 0.44, 0.5, 0.56):
        for down in (0.34, 0.4, 0.46, 0.52, 0.58):
            solid_page.mouse.click(
                box["x"] + box["width"] * across, box["y"] + box["height"] * down
            )
            solid_page.wait_for_timeout(200)
            heard.add(said.inner_text())
    tiles = [text for text in heard if re.search(r"Tile \d-\d+-\d+ – Layer \d: thin – ", text)]
    assert tiles, heard


def test_what_is_switched_changes_the_picture(solid_page: Page, site: Any, ready: Ready) -> None:
    solid_page.goto(site.job("Switched"))
    ready(solid_page)
    canvas = solid_page.locator("[data-part=canvas]")
    seen = {canvas.screenshot()}
    for name in ("Thrust line", "Hinges", "Room and walls", "Layer 3: thin"):
        solid_page.get_by_label(name).click()
        solid_page.wait_for_timeout(150)
        seen.add(canvas.screenshot())
    solid_page.get_by_label("Cut along the axis").fill("40")
    solid_page.wait_for_timeout(150)
    seen.add(canvas.screenshot())
    assert len(seen) >= 5


def test_what_a_vault_does_not_have_is_not_offered(page: Page, site: Any, ready: Ready) -> None:
    page.goto(site.job("Offered"))
    ready(page)
    expect(page.get_by_label("Thrust line")).to_be_visible()
    expect(page.get_by_label("Strut net")).to_be_hidden()
    expect(page.get_by_label("Cut along the axis")).to_be_hidden()  # the flat view cuts nothing


COUNT_CONTEXTS = """
window.made = 0;
const getContext = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
  if (kind === "webgl2") window.made += 1;
  return getContext.call(this, kind, ...rest);
};
"""


def test_a_new_plan_is_shown_where_the_reader_stood(
    solid_page: Page, site: Any, ready: Ready
) -> None:
    """A drawing context takes long where it is drawn by software: one is made, and kept."""
    solid_page.add_init_script(COUNT_CONTEXTS)
    solid_page.goto(site.job("Stood"))
    ready(solid_page)
    canvas = solid_page.locator("[data-part=canvas]")

    def seen() -> bytes:
        # Playwright hides carets by styles that the policy of the page then complains of.
        # The buttons over the canvas are no part of the picture.
        eye = solid_page.locator(".eye")
        eye.evaluate("e => { e.hidden = true; scrollTo(0, 0); }")
        solid_page.wait_for_timeout(300)
        picture = canvas.screenshot(caret="initial")
        eye.evaluate("e => { e.hidden = false; }")
        return picture

    first = seen()
    solid_page.get_by_role("button", name="Turn left").click()
    turned = seen()
    assert turned != first
    before = solid_page.locator("[data-vault]").get_attribute("data-ready")
    fill(solid_page, "curve.rise", "340")
    expect(solid_page.locator("[data-vault]")).not_to_have_attribute("data-ready", before or "")
    ready(solid_page)
    assert seen() not in (first, turned)
    solid_page.get_by_role("button", name="Undo", exact=True).click()
    expect(solid_page.locator("[data-vault]")).to_have_attribute("data-ready", before or "")
    assert seen() == turned
    assert solid_page.evaluate("window.made") == 1


LOSE = """
new Promise((done) => {
  const canvas = document.querySelector("[data-part=canvas]");
  const lose = canvas.getContext("webgl2").getExtension("WEBGL_lose_context");
  canvas.addEventListener("webglcontextlost", () => setTimeout(() => lose.restoreContext(), 100));
  canvas.addEventListener("webglcontextrestored", () => setTimeout(done, 500));
  lose.loseContext();
})
"""


def test_a_view_that_was_lost_is_drawn_again(solid_page: Page, site: Any, ready: Ready) -> None:
    solid_page.goto(site.job("Lost"))
    ready(solid_page)
    canvas = solid_page.locator("[data-part=canvas]")
    before = canvas.screenshot()
    solid_page.evaluate(LOSE)
    assert canvas.screenshot() == before


def test_two_tabs_lose_no_edit(context: BrowserContext, page: Page, site: Any) -> None:
    address = site.job("Two tabs")
    page.goto(address)
    other = context.new_page()
    other.goto(address)
    fill(page, "curve.rise", "500")
    fill(other, "job.client", "The abbey", 409)
    expect(other.locator("#notice [role=alert]")).to_contain_text("changed in another window")
    expect(other.locator("#notice")).to_contain_text("The abbey")
    assert "The abbey" not in site.store.read("two-tabs").text
    other.get_by_role("button", name="Make my edit on top of it").click()
    expect(other.locator('[name="v.job.client"]')).to_have_value("The abbey")
    text = site.store.read("two-tabs").text
    assert "The abbey" in text
    assert "rise = 500" in text


def test_compare_two_variants(page: Page, site: Any, faults: Faults) -> None:
    page.goto(site.job("Variant one"))
    page.goto(site.job("Variant two"))
    fill(page, "curve.rise", "600")
    page.goto(f"{site.url}/compare?left=variant-one&right=variant-two")
    row = page.get_by_role("row", name=re.compile("Rise at the near end"))
    expect(row).to_contain_text("480")
    expect(row).to_contain_text("600")
    expect(page.get_by_role("row", name=re.compile("Greatest thrust"))).to_be_visible()
    assert faults(page) == []


def test_rows_are_added_moved_and_taken_out(page: Page, site: Any) -> None:
    page.goto(site.job("Rows"))
    page.locator("#s-layers > summary").click()
    page.get_by_role("button", name="Add a row like the last").first.click()
    page.get_by_role("button", name=re.compile(r"Take out ?: layers\.4")).click()
    expect(page.get_by_role("button", name=re.compile(r"Take out ?: layers\.4"))).to_have_count(0)
    page.locator("#s-tiles > summary").click()
    page.locator("#called-tiles").fill("thick")
    page.get_by_role("button", name=re.compile(r"Add ?: Tiles")).click()
    expect(page.locator('[name="v.tiles.thick.length"]')).to_have_count(1)
    assert "[tiles.thick]" in site.store.read("rows").text


def test_several_are_picked_by_ticking_in_the_readers_words(page: Page, site: Any) -> None:
    job = site.job("Ticked")
    page.goto(job)
    page.locator("#s-loads > summary").click()
    half = page.locator('[name="v.loads.patterns"][value="half"]')
    expect(half).to_be_checked()
    half.uncheck()
    expect(page.locator(".saved")).to_contain_text("State 2")
    expect(half).not_to_be_checked()
    assert 'patterns = ["full", "line"]' in site.store.read("ticked").text
    page.locator('[name="v.loads.patterns"][value="full"]').uncheck()
    expect(page.locator(".saved")).to_contain_text("State 3")
    page.locator('[name="v.loads.patterns"][value="line"]').click()
    expect(half).to_be_checked()
    assert "patterns" not in site.store.read("ticked").text


def test_jobs_are_copied_renamed_put_away_and_brought_back(page: Page, site: Any) -> None:
    site.job("Larder")
    page.goto(site.url)

    def opened(title: str) -> None:
        page.locator("summary", has_text=f"put away: {title}").click()

    opened("Larder")
    page.get_by_label("Title of the copy").locator("visible=true").fill("Larder, higher")
    page.get_by_role("button", name="Copy").locator("visible=true").click()
    page.goto(site.url)
    opened("Larder, higher")
    page.get_by_label("New title").locator("visible=true").fill("Larder, highest")
    page.get_by_role("button", name="Rename").locator("visible=true").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Larder, highest")
    page.goto(site.url)
    opened("Larder, highest")
    page.get_by_role("button", name="Put away").locator("visible=true").click()
    expect(page.locator(".away")).to_contain_text("Larder, highest")
    expect(page.get_by_role("link", name="Larder, highest")).to_have_count(0)
    page.locator(".away summary").click()
    page.get_by_role("button", name=re.compile(r"Bring back ?: Larder, highest")).click()
    expect(page.get_by_role("link", name="Larder, highest")).to_have_count(1)


def test_a_job_goes_out_and_comes_in_as_one_file(page: Page, site: Any, tmp_path: Path) -> None:
    site.job("Sent")
    page.goto(f"{site.url}/jobs/sent")
    page.get_by_role("tab", name="Papers").click()
    with page.expect_download() as coming:
        page.get_by_role("link", name="Export as one file").click()
    target = tmp_path / "sent.zip"
    coming.value.save_as(target)
    page.goto(site.url)
    page.get_by_label("A file that was exported here").set_input_files(target)
    page.get_by_role("button", name="Import").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sent")
    assert page.url.endswith("/jobs/sent-2")


def test_texts_of_a_job_are_never_run(page: Page, site: Any, ready: Ready) -> None:
    evil = "<script>document.title='taken'</script><img src=x onerror=alert(1)>"
    page.goto(site.job("Evil"))
    fill(page, "job.title", evil)
    page.reload()
    ready(page)
    expect(page.get_by_role("heading", level=1)).to_have_text(evil)
    page.get_by_role("tab", name="Tables").click()
    page.locator("#leaf-summary").wait_for()
    page.goto(site.url)
    expect(page.get_by_role("link", name=evil)).to_be_visible()
    assert page.title() != "taken"


def test_drawings_zoom_and_a_verdict_leads_to_its_drawing(page: Page, site: Any) -> None:
    page.goto(site.job("Drawn"))
    page.locator("#c-statics-geometric summary").click()
    page.locator("#c-statics-geometric").get_by_role("link", name="See it in the drawing").click()
    image = page.locator("#drawing-image")
    expect(page.locator("#drawing-choice")).to_have_value(re.compile("section-near"))
    expect(image).to_have_attribute("src", re.compile("section-near"))
    image.evaluate("e => e.decode()")  # fails where there is no picture
    page.get_by_role("button", name="Nearer").locator("visible=true").click()
    assert "scale(1.3)" in (image.get_attribute("style") or "")
    frame = page.locator(".drawing-frame")
    frame.focus()
    frame.press("ArrowLeft")
    frame.press("0")
    assert "scale(1)" in (image.get_attribute("style") or "")


def test_long_work_can_be_stopped(page: Page, site: Any) -> None:
    page.goto(site.job("Stopped"))
    page.get_by_role("tab", name="Papers").click()
    page.get_by_role("button", name="Make the pack").click()
    page.get_by_role("button", name="Stop", exact=True).click()
    expect(page.locator("#pack-work")).to_contain_text(re.compile("Stopped|ready"))


def test_verdicts_and_vault_stand_beside_the_form_at_any_width(page: Page, site: Any) -> None:
    page.goto(site.job("Widths"))
    for width in (1000, 1360, 1500, 1700):
        page.set_viewport_size({"width": width, "height": 900})
        page.evaluate("scrollTo(0, 0)")
        expect(page.locator("#vault")).to_be_in_viewport(ratio=0.25)
        page.evaluate("scrollTo(0, document.body.scrollHeight / 2)")
        expect(page.locator("#verdicts")).to_be_in_viewport()
