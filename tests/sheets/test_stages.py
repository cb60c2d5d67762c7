"""Stage drawings and the method statement."""

from __future__ import annotations

import numpy as np
import pytest

from timbrel.plan import Plan, follow_building
from timbrel.sheets.bars import programme_picture
from timbrel.sheets.board import TEXT_MM, Picture
from timbrel.sheets.font import width_of
from timbrel.sheets.stage_tables import method_blocks, stage_blocks
from timbrel.sheets.stages import _runs, stage_pictures, within
from timbrel.site.workdays import Workdays
from timbrel.words import Voice


@pytest.fixture(scope="module")
def followed(plan: Plan) -> Plan:
    return follow_building(plan)


def test_each_governing_state_is_drawn_and_tabled(followed: Plan, voice: Voice) -> None:
    assert followed.building is not None
    pictures = stage_pictures(followed, voice, (187.0, 66.0))
    assert len(pictures) == len(followed.building.worst)
    for picture in pictures:
        assert not picture.doc.audit().errors
        assert picture.width_mm <= 187.0 and picture.height_mm <= 66.0
    table = next(b for b in stage_blocks(followed, voice) if b["kind"] == "table")
    assert len(table["rows"]) == len(followed.building.worst)


def test_without_stages_nothing_is_drawn_and_the_sheet_says_so(plan: Plan, voice: Voice) -> None:
    assert plan.building is None
    assert stage_pictures(plan, voice, (187.0, 66.0)) == ()
    (said,) = stage_blocks(plan, voice)
    assert "not followed" in said["words"]


def test_every_hold_point_has_a_line_to_sign(plan: Plan, voice: Voice) -> None:
    table = next(b for b in method_blocks(plan, voice) if b["kind"] == "table")
    holds = [step for step in plan.site.order if step.hold]
    assert [row[0] for row in table["rows"]] == [f"{step.number}" for step in holds]


def test_bars_are_as_long_as_the_operations(plan: Plan, voice: Voice) -> None:
    picture = programme_picture(plan, voice, 180.0)
    assert isinstance(picture, Picture)
    bars = [
        np.array([p[:2] for p in line.get_points()])
        for line in picture.doc.modelspace().query('LWPOLYLINE[layer=="LOAD"]')
    ]
    lengths = sorted(float(np.ptp(bar[:, 0])) for bar in bars)
    days = sorted((op.finish - op.start) / 86400 for op in plan.site.programme.operations)
    assert len(lengths) == len(days)
    assert lengths[-1] / lengths[-2] == pytest.approx(days[-1] / days[-2], rel=0.01)


def test_rest_days_are_shaded(plan: Plan, voice: Voice) -> None:
    """The granary begins on a Monday: Saturdays, Sundays and the feast of its third week."""
    picture = programme_picture(plan, voice, 180.0)
    shaded = picture.doc.modelspace().query('HATCH[layer=="REST DAY"]')
    days = Workdays.of(plan.job.site)
    last = plan.site.programme.calendar
    assert len(shaded) == sum(not days.worked(day) for day in range(last)) > 2 * (last // 7)


def test_runs_of_set_and_fresh_pieces_are_told_apart() -> None:
    laid = np.array([1, 1, 1, 0, 1, 1], dtype=bool)
    set_hard = np.array([1, 1, 0, 0, 0, 0], dtype=bool)
    assert _runs(laid, set_hard) == [(0, 2, True), (2, 3, False), (4, 6, False)]


@pytest.mark.parametrize("language", ["en", "fr"])
def test_a_long_verdict_is_broken_and_every_stage_fits_narrow_paper(
    followed: Plan, language: str
) -> None:
    for picture in stage_pictures(followed, Voice(language), (172.0, 60.0)):
        assert picture.width_mm <= 172.05 and picture.height_mm <= 60.05, picture.name


def test_a_sentence_keeps_its_words_and_its_width() -> None:
    text = "must not be done: asks more than the bond of the young joints can give tonight"
    lines = within(text, 60.0)
    assert len(lines) > 1 and " ".join(lines) == text
    assert all(width_of(line, TEXT_MM, bold=True) <= 60.0 for line in lines)
    assert within("arch", 1.0) == ["arch"]
