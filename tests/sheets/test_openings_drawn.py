"""Openings on paper: drawn, dimensioned, in tables, in the file, in the models."""

from __future__ import annotations

import json

import pytest
from jsonschema import Draft202012Validator
from tests.opened_jobs import HOOK, hatch, opened

from timbrel.plan import Plan, make_plan, plan_json
from timbrel.schema.file import json_schema
from timbrel.sheets.book import pack_sheets
from timbrel.sheets.drawings import drawings
from timbrel.sheets.models import shell_mesh, tiles_glb
from timbrel.sheets.opening_tables import opening_blocks
from timbrel.words import Voice


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(opened([hatch()], [HOOK], near="free"))


@pytest.mark.parametrize("size", ["A3", "A4"])
def test_every_opening_is_drawn_and_every_drawing_fits(size: str) -> None:
    job = opened([hatch(), hatch(name="Eye", along=4300, length=None, width=None, diameter=400)])
    site = job.site.model_copy(update={"sheet": size})
    made = make_plan(job.model_copy(update={"site": site}))
    voice = Voice()
    pictures = drawings(made, voice)
    names = {f"opening-{what}-{n}" for what in ("ring", "section", "force", "thrust")
             for n in (1, 2)}  # fmt: skip
    assert names <= set(pictures)
    titles = [sheet["title"] for sheet in pack_sheets(made, voice, pictures)]
    assert "Openings" in titles and "Openings, hooks and ends in figures" in titles


def test_measures_of_the_opening_stand_on_its_ring(plan: Plan) -> None:
    svg = drawings(plan, Voice())["opening-ring-1"]
    spoken = [e.dxf.text for e in svg.doc.modelspace() if e.dxftype() == "DIMENSION"]
    assert "600" in spoken and "250" in spoken


def test_plan_and_bond_carry_the_opening(plan: Plan) -> None:
    pictures = drawings(plan, Voice())
    for name in ("general-plan", "bond-layer-1", "bond-layer-3"):
        words = [e.dxf.text for e in pictures[name].doc.modelspace() if e.dxftype() == "TEXT"]
        assert any("Hatch" in word for word in words), name
    tapes = [
        e.dxf.text for e in pictures["general-plan"].doc.modelspace() if e.dxftype() == "DIMENSION"
    ]
    spare = "\u202f"
    assert {f"2{spare}600", f"1{spare}600", "900", f"1{spare}400"} <= set(tapes)


def test_a_plain_job_has_no_sheet_of_openings() -> None:
    made = make_plan(opened())
    voice = Voice()
    pictures = drawings(made, voice)
    assert not [name for name in pictures if name.startswith("opening-")]
    assert "Openings" not in [s["title"] for s in pack_sheets(made, voice, pictures)]


def test_figures_of_the_tables_stand_in_the_file(plan: Plan) -> None:
    written = json.loads(json.dumps(plan_json(plan), allow_nan=False))
    Draft202012Validator(json_schema()).validate(written)
    assert written["bond"]["openings"][0]["name"] == "Hatch"
    side = written["edges"]["openings"][0]["sides"][0]
    assert side["load_factor"] > 1.5 and side["width"] == pytest.approx(0.55, abs=0.01)
    assert written["edges"]["hooks"][0]["cone"] > 0
    assert len(written["edge_site"]["openings"][0]["marks"]) == 4
    assert opening_blocks(plan, Voice())


def test_the_model_has_a_hole_as_large_as_the_opening(plan: Plan) -> None:
    """Watertight; its volume by the divergence theorem is the shell's less the opening's."""
    mesh = shell_mesh(plan)
    assert mesh.is_watertight and mesh.is_winding_consistent
    gone = plan.bond.openings[0].areas[1] * plan.vault.thickness
    assert mesh.volume == pytest.approx(plan.vault.volume - gone, rel=3e-3)
    assert mesh.euler_number == 0  # a slab with one hole through it
    assert b"opening-1-ring-1" in tiles_glb(plan)
