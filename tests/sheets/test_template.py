"""Templates at 1:1: true size on paper, half ribs, windows that leave nothing out."""

from __future__ import annotations

import io

import numpy as np
import pytest
from pypdf import PdfReader
from tests.conftest import Evidence
from tests.pdf_paths import paths_of

from timbrel.plan import Plan
from timbrel.sheets.template import (
    half_laid,
    lower_edge,
    template_pdf,
    tile_over,
    window_mm,
)
from timbrel.words import Voice


@pytest.fixture(scope="module")
def reader(plan: Plan, voice: Voice) -> PdfReader:
    return PdfReader(io.BytesIO(template_pdf(plan, voice)))


def test_the_check_bar_is_a_hundred_millimetres_on_every_sheet(
    reader: PdfReader, evidence: Evidence
) -> None:
    found = []
    for page in reader.pages:
        bars = [p.size[0] for p in paths_of(page) if abs(p.size[1] - 2.5) < 0.01 and p.size[0] > 50]
        assert len(bars) == 1
        found.append(bars[0])
    evidence("check bar of the template, mm", 100.0, found[0], "its own print; read in the PDF")
    assert np.allclose(found, 100.0, atol=0.2)


def test_the_line_to_cut_is_full_size_on_paper(plan: Plan, reader: PdfReader) -> None:
    half = half_laid(plan.site.centring.near.top)
    assert half is not None
    line = half[0] * 1e3
    page = paths_of(reader.pages[0])
    longest = max(page, key=lambda p: len(p.points))
    ours = float(np.hypot(*np.diff(line, axis=0).T).sum())
    assert longest.length == pytest.approx(ours, abs=0.2)
    chord = np.hypot(*(longest.points[-1] - longest.points[0]))
    assert chord == pytest.approx(float(np.hypot(*(line[-1] - line[0]))), abs=0.1)


def test_sheets_are_of_the_paper_that_was_asked_for(plan: Plan, reader: PdfReader) -> None:
    assert plan.job.site.template_sheet == "A3"
    for page in reader.pages:
        assert float(page.mediabox.width) * 25.4 / 72 == pytest.approx(420.0, abs=0.1)
        assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(297.0, abs=0.1)


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_every_point_of_the_line_is_in_some_window(size: str) -> None:
    x = np.linspace(0.0, 3000.0, 4001)
    line = np.column_stack([x, 700.0 * np.sin(np.pi * x / 3000.0)])
    tiles = tile_over(line, size)
    seen = np.zeros(len(line), dtype=bool)
    for tile in tiles:
        x0, y0, x1, y1 = tile.window
        wide, high = window_mm(size)
        assert (x1 - x0, y1 - y0) == pytest.approx((wide, high))
        seen |= (line[:, 0] >= x0) & (line[:, 0] <= x1) & (line[:, 1] >= y0) & (line[:, 1] <= y1)
    assert seen.all()
    assert len({tile.name for tile in tiles}) == len(tiles)
    rows = max(tile.row for tile in tiles) + 1
    columns = max(tile.column for tile in tiles) + 1
    assert len(tiles) < rows * columns, "sheets with nothing on them are left out"


def test_a_half_turned_over_is_the_other_half() -> None:
    x = np.linspace(0.0, 2.0, 41)
    top = np.column_stack([x, 0.5 - 0.5 * (x - 1.0) ** 2])
    laid = half_laid(top)
    assert laid is not None
    points, tilt = laid
    assert points[0] == pytest.approx([0.0, 0.0]) and points[-1][1] == pytest.approx(0.0)
    assert points[-1][0] == pytest.approx(np.hypot(1.0, 0.5))
    assert np.degrees(tilt) == pytest.approx(np.degrees(np.arctan2(0.5, 1.0)))
    lopsided = top + np.column_stack([np.zeros(41), 0.01 * x])
    assert half_laid(lopsided) is None


def test_lower_edge_is_a_parallel() -> None:
    a = np.linspace(0.3, np.pi - 0.3, 801)[::-1]
    top = 2.0 * np.column_stack([np.cos(a), np.sin(a)])
    lower = lower_edge(top, 0.12)
    assert np.allclose(np.hypot(*lower[1:-1].T), 1.88, atol=1e-5)


def test_voice_is_heard_on_the_template(plan: Plan) -> None:
    text = PdfReader(io.BytesIO(template_pdf(plan, Voice(length_unit="ft")))).pages[0]
    assert "3 15/16 in" in text.extract_text()
