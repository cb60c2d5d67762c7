"""What was once drawn so that it could not be read, or said what is not so."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from ezdxf.bbox import extents
from pypdf import PdfReader
from tests import followed

from timbrel.job.load import load_job
from timbrel.plan import Plan, SurfacePlan, follow_loads, make_plan
from timbrel.sheets import blocks
from timbrel.sheets.drawings import drawings
from timbrel.sheets.paper import typeset
from timbrel.sheets.sheet import title_head, words_sheet
from timbrel.sheets.stage_tables import stage_blocks
from timbrel.sheets.surface_book import surface_sheets
from timbrel.words import Voice, say

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def cellar() -> Plan:
    """A small half circle between thick walls, its haunches backed, on corbels."""
    return follow_loads(make_plan(load_job(EXAMPLES / "ferry-house" / "cellar" / "job.toml")))


def test_a_small_arch_between_thick_walls_has_room_for_its_measures(cellar: Plan) -> None:
    pictures = drawings(cellar, Voice())
    for name in ("section-near", "section-far"):
        boxes = [extents([text]) for text in pictures[name].doc.modelspace().query("TEXT")]
        for i, one in enumerate(boxes):
            for other in boxes[:i]:
                assert not one.has_overlap(other), name


def test_joints_in_the_backing_are_not_held_against_the_bare_shell(cellar: Plan) -> None:
    assert cellar.carrying is not None
    data = cellar.carrying.envelope.interaction
    assert data is not None
    thin = float(data.thickness.min())
    bare = data.thickness < 1.01 * thin
    assert 0 < bare.sum() < len(bare)
    picture = drawings(cellar, Voice())["interaction"]
    said = " ".join(t.dxf.text for t in picture.doc.modelspace().query("TEXT"))
    assert f"{int((~bare).sum())} joints that the backing thickens" in said


def test_a_row_of_a_table_stands_whole_in_one_column(plan: Plan, voice: Voice) -> None:
    """Half a row at the foot of a column reads as a whole one."""
    long = " ".join(f"{{n}}-{k}" for k in range(60))
    rows = [(f"start{n}", f"{long.replace('{n}', str(n))} end{n}") for n in range(40)]
    table = blocks.table(
        voice, [say("What"), say("Why")], rows, align="ll", widths=[30, blocks.FILL]
    )
    sheet = words_sheet(voice, say("Tables"), say("Tables"), [table], columns=1)
    pdf = typeset(
        "pack.typ", {"paper": "A4", "head": title_head(voice, plan.job.job), "sheets": [sheet]}
    )
    for page in PdfReader(BytesIO(pdf)).pages:
        words = page.extract_text().split()
        for n in range(40):
            assert (f"start{n}" in words) == (f"end{n}" in words), n


def _pictures(sheet: dict[str, Any]) -> list[Any]:
    found = []
    for block in sheet["blocks"]:
        inner = [block, *block.get("first", ()), *block.get("second", ()), *block.get("blocks", ())]
        found += [b for b in inner if b["kind"] == "picture"]
    return found


def test_card_and_quote_of_a_vault_on_a_plan_show_which_vault_it_is() -> None:
    plan, voice = followed.planned("well-dome"), Voice()
    assert isinstance(plan, SurfacePlan)
    sheets = {s["title"]: s for s in surface_sheets(plan, voice, drawings(plan, voice))}
    for title in ("Site card", "Quote"):
        assert len(_pictures(sheets[title])) == 1, title
    assert any(b["kind"] == "sign" for b in sheets["Quote"]["blocks"])


def test_an_oculus_has_an_edge_and_no_crown() -> None:
    plan = followed.planned("well-dome")
    assert isinstance(plan, SurfacePlan)
    assert plan.job.curve.oculus
    drawn = drawings(plan, Voice())["section-across"]
    said = [t.dxf.text for t in drawn.doc.modelspace().query("TEXT")]
    assert sum(text.startswith("edge") for text in said) == 3
    assert not any(text.startswith("crown") for text in said)


def test_a_table_without_rows_is_not_printed(voice: Voice) -> None:
    built = followed.built("granary")
    assert isinstance(built, Plan) and built.building is not None
    bare = replace(built, building=replace(built.building, settling=()))
    for some in stage_blocks(bare, voice):
        assert some["kind"] != "table" or some["rows"]
    assert built.building.settling
    assert len(stage_blocks(built, voice)) == len(stage_blocks(bare, voice)) + 2


def test_no_level_floor_is_drawn_over_a_flight(cellar: Plan) -> None:
    def level_lines(plan: Plan) -> int:
        drawn = drawings(plan, Voice())["section-near"].doc.modelspace()
        ends = [
            [tuple(p)[:2] for p in line.get_points()]
            for line in drawn.query("LWPOLYLINE LINE")
            if line.dxf.layer == "EXTRADOS" and line.dxftype() == "LWPOLYLINE"
        ] + [
            [tuple(line.dxf.start)[:2], tuple(line.dxf.end)[:2]]
            for line in drawn.query("LINE")
            if line.dxf.layer == "EXTRADOS"
        ]
        return sum(len(e) == 2 and abs(e[0][1] - e[1][1]) < 1.0 for e in ends)

    assert level_lines(cellar) == 1
    assert level_lines(followed.planned("stair-flight")) == 0


def test_levels_at_the_corners_stand_clear_of_piers() -> None:
    plan, voice = followed.planned("market-groin"), Voice()
    doc = drawings(plan, voice)["general-plan"].doc
    levels = [t for t in doc.modelspace().query("TEXT") if t.dxf.text.startswith("+")]
    grounds = [extents([h]) for h in doc.modelspace().query("HATCH") if h.dxf.layer == "GROUND"]
    assert len(levels) == 4
    for text in levels:
        middle = extents([text]).center
        assert any(ground.inside(middle) for ground in grounds), text.dxf.text
