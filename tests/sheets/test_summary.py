"""The first page tells all verdicts at a glance: it is one sheet, in every language."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from timbrel.plan import Plan, follow_all
from timbrel.sheets.paper import PAPERS, typeset
from timbrel.sheets.sheet import title_head, words_sheet
from timbrel.sheets.summary import summary
from timbrel.words import LANGUAGES, Voice, say


@pytest.fixture(scope="module")
def whole(plan: Plan) -> Plan:
    return follow_all(plan)


@pytest.mark.parametrize("language", LANGUAGES)
def test_all_verdicts_stand_on_one_sheet(whole: Plan, language: str) -> None:
    voice = Voice(language)
    column_mm = (PAPERS["A3"].room_mm[0] - 10.0) / 2 - 6.0
    sheet = words_sheet(voice, say("Summary"), say("Summary"), summary(whole, voice, column_mm))
    head = title_head(voice, whole.job.job)
    pdf = typeset("pack.typ", {"paper": "A3", "head": head, "sheets": [sheet]})
    pages = PdfReader(io.BytesIO(pdf)).pages
    assert len(whole.checks) > 60
    assert len(pages) == 1
    assert pages[0].extract_text().count("✓") == len(whole.checks) + 1
