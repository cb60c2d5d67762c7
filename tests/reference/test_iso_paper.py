"""Sizes and borders of drawing sheets and the width of the title block.

Sources: ISO 216 (A3 420 x 297 mm, A4 210 x 297 mm); ISO 5457:1999 (filing edge 20 mm, other borders
10 mm) and ISO 7200:2004 (title block 180 mm wide), both from memory. Read out of the printed pack.
"""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from tests.conftest import Evidence
from tests.pdf_paths import paths_of

import timbrel.job
from timbrel.job.load import load_job
from timbrel.plan import Plan, make_plan
from timbrel.sheets.book import pack_pdf
from timbrel.sheets.drawings import drawings
from timbrel.words import Voice

EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(load_job(EXAMPLE))


@pytest.mark.parametrize(("size", "wide", "high"), [("A3", 420.0, 297.0), ("A4", 210.0, 297.0)])
def test_sheet_frame_and_title_block(
    plan: Plan, size: str, wide: float, high: float, evidence: Evidence
) -> None:
    site = plan.job.site.model_copy(update={"sheet": size})
    ours = replace(plan, job=plan.job.model_copy(update={"site": site}))
    voice = Voice()
    reader = PdfReader(io.BytesIO(pack_pdf(ours, voice, drawings(ours, voice))))
    page = reader.pages[2]
    width = float(page.mediabox.width) * 25.4 / 72
    paths = paths_of(page)
    frame = next(
        p for p in paths
        if p.painted in "sSB" and abs(p.size[0] - (wide - 30)) < 0.1 and p.size[1] > 200
    )  # fmt: skip
    left, top = float(frame.points[:, 0].min()), high - float(frame.points[:, 1].max())
    lines = [p for p in paths if abs(p.size[0] - 180.0) < 0.1 and p.size[1] < 40]
    evidence(f"{size}: width of the sheet, mm", wide, width, "ISO 216")
    evidence(f"{size}: filing edge, mm", 20.0, left, "ISO 5457:1999, from memory")
    evidence(f"{size}: upper border, mm", 10.0, top, "ISO 5457:1999, from memory")
    assert width == pytest.approx(wide, abs=0.1)
    assert float(page.mediabox.height) * 25.4 / 72 == pytest.approx(high, abs=0.1)
    assert left == pytest.approx(20.0, abs=0.1)
    assert top == pytest.approx(10.0, abs=0.1)
    assert lines, "the title block is 180 mm wide (ISO 7200, from memory)"
