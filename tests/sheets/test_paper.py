"""The printed pack: sizes, sameness, what happens when a typeface is missing."""

from __future__ import annotations

import io
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest
from pypdf import PdfReader

from timbrel.plan import Plan
from timbrel.sheets import paper
from timbrel.sheets.board import Picture
from timbrel.sheets.book import pack_pdf, pack_sheets
from timbrel.sheets.drawings import drawings
from timbrel.sheets.font import CAP_HEIGHT, width_of
from timbrel.sheets.paper import typeset
from timbrel.sheets.sheet import drawing_sheets
from timbrel.words import TimbrelError, Voice, say

POINT_MM = 25.4 / 72


@pytest.fixture(scope="module")
def pdf(plan: Plan, voice: Voice, pictures: dict[str, Picture]) -> bytes:
    return pack_pdf(plan, voice, pictures)


@pytest.fixture(scope="module")
def pages(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


def test_the_same_plan_gives_the_same_bytes(
    plan: Plan, voice: Voice, pictures: dict[str, Picture], pdf: bytes
) -> None:
    assert pack_pdf(plan, voice, pictures) == pdf


def test_every_sheet_has_its_title_block_and_number(plan: Plan, pages: list[str]) -> None:
    for number, text in enumerate(pages, start=1):
        assert plan.job.job.number in text
        assert f"{number} / {len(pages)}" in text


def test_cautions_stand_on_the_first_page_and_on_the_site_card(
    plan: Plan, voice: Voice, pages: list[str]
) -> None:
    gravest = " ".join(voice(plan.site.cautions[0]).split())
    card = [text for text in pages if "When something moves, call" in text]
    assert len(card) == 1, "the site card is one page"
    for text in (pages[0], card[0]):
        assert gravest in " ".join(text.split())


def test_every_check_and_every_default_is_on_paper(
    plan: Plan, voice: Voice, pages: list[str]
) -> None:
    words = "".join("".join(pages).split())
    for check in plan.checks:
        assert "".join(voice(check.title).split()) in words, check.name
    for default in plan.defaults:
        assert "".join(default.key.split()) in words, default.key


def test_dimensions_are_words_that_can_be_found(plan: Plan, voice: Voice, pages: list[str]) -> None:
    text = next(t for t in pages if "General plan" in t)
    for measure in plan.room.measures[:6]:
        assert voice.length(measure.given).removesuffix(" mm") in text


def test_a_missing_typeface_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = {"paper": "A4", "head": {}, "sheets": []}
    monkeypatch.setattr(paper, "FONT_FOLDER", tmp_path)
    with pytest.raises(TimbrelError, match="could not be typeset"):
        typeset("template.typ", {**_EMPTY_TEMPLATE, **data})


_EMPTY_TEMPLATE = {
    "w": 297.0, "h": 210.0, "window": [273.0, 170.0], "margin": 12.0, "overlap": 15.0,
    "foot": 16.0, "bar": 100.0, "pictures": {"p": {"svg": '<svg xmlns="http://www.w3.org/2000/svg" '
    'width="10mm" height="10mm" viewBox="0 0 10 10"/>', "w": 10.0, "h": 10.0, "alt": "p"}},
    "pages": [{"name": "A1", "title": "t", "picture": "p", "dx": 0.0, "dy": 0.0,
               "beside": {"left": "", "right": "", "up": "", "down": ""}}],
    "lang": "en", "job": "j",
    "words": {"bar": "b", "print": "p", "sheet": "s", "joins": "j"},
}  # fmt: skip


@pytest.mark.parametrize("size", ["A3", "A4"])
@pytest.mark.parametrize("unit", ["mm", "ft"])
def test_every_drawing_fits_its_paper_in_every_unit(plan: Plan, size: str, unit: str) -> None:
    site = plan.job.site.model_copy(update={"sheet": size})
    small = replace(plan, job=plan.job.model_copy(update={"site": site}))
    voice = Voice(length_unit=unit)  # type: ignore[arg-type]
    sheets = list(pack_sheets(small, voice, drawings(small, voice)))
    assert {s["kind"] for s in sheets} == {"drawing", "words"}


def test_a_drawing_larger_than_the_sheet_is_refused(
    voice: Voice, pictures: dict[str, Picture]
) -> None:
    with pytest.raises(ValueError, match="does not fit"):
        list(drawing_sheets(voice, "A4", say("Too large"), [pictures["section-long"]]))


def test_drawings_in_a_row_stand_so_far_apart_that_their_captions_do_not_meet(
    voice: Voice, pictures: dict[str, Picture]
) -> None:
    long = say("A title that is much wider than the small drawing over which it was written")
    drawn = next(p for p in pictures.values() if p.width_mm < 250)
    small = replace(drawn, title=long, box=(0.0, 0.0, 40.0 * drawn.scale, 40.0 * drawn.scale))
    (sheet,) = drawing_sheets(voice, "A3", say("Two"), [small, small, small, small])
    rows: dict[float, list[float]] = {}
    for part in sheet["parts"]:
        rows.setdefault(part["y"], []).append(part["x"])
    wide = width_of(voice(long), 9 * 25.4 / 72 * CAP_HEIGHT, bold=True)
    assert len(rows) > 1
    assert all(b - a > wide for xs in rows.values() for a, b in pairwise(xs))
