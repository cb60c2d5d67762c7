"""Packs of vaults on a plan: what is drawn, templates at true size, models that are closed."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests import followed

from timbrel.plan import SurfacePlan
from timbrel.sheets.book import pack_sheets
from timbrel.sheets.drawings import drawings
from timbrel.sheets.rows import all_tables
from timbrel.sheets.surface_models import surface_mesh
from timbrel.sheets.template import is_same, templates_of
from timbrel.words import Voice

NAMES = ("market-groin", "chapel-cloister", "study-sail", "well-dome")


@pytest.fixture(scope="module", params=NAMES)
def plan(request: pytest.FixtureRequest) -> SurfacePlan:
    made = followed.planned(request.param)
    assert isinstance(made, SurfacePlan)
    return made


def test_stages_stand_on_sheets_of_their_own() -> None:
    voice = Voice()
    built = followed.built("well-dome")
    assert isinstance(built, SurfacePlan)
    pictures = drawings(built, voice)
    stages = {voice(p.title) for name, p in pictures.items() if name.startswith("stage-")}
    assert 4 <= len(stages) <= 6
    sheets = list(pack_sheets(built, voice, pictures))
    placed = {part["alt"] for s in sheets for part in (*s.get("parts", ()), *pictures_in(s))}
    assert stages <= placed
    words = str(sheets)
    assert voice(built.stages.order_note) in words
    for answer in built.stages.worst:
        assert voice(answer.stage.title) in words


def pictures_in(sheet: dict[str, Any]) -> list[dict[str, Any]]:
    """Drawings in the run of a page, those that are kept with their caption too."""
    blocks = sheet.get("blocks", ())
    inner = [part for block in blocks for part in block.get("blocks", ())]
    return [block for block in (*blocks, *inner) if block["kind"] == "picture"]


def test_every_drawing_stands_on_a_sheet(plan: SurfacePlan) -> None:
    voice = Voice()
    pictures = drawings(plan, voice)
    sheets = list(pack_sheets(plan, voice, pictures))
    placed = {part["alt"] for s in sheets for part in (*s.get("parts", ()), *pictures_in(s))}
    assert placed == {voice(p.title) for p in pictures.values()}
    assert {"general-plan", "section-across", "section-along", "net-struts"} <= set(pictures)
    for layer in plan.bond.layers:
        assert f"bond-plan-{layer.layer}" in pictures
    assert len([n for n in pictures if n.startswith("guide-")]) == len(plan.site.guides)


def test_the_state_drawn_carries_finite_loads(plan: SurfacePlan) -> None:
    """Where nothing bounds the load factor its state has no scale; the least thrust is drawn."""
    shown = plan.statics.shown
    assert shown is not None
    down = shown.answer.reaction[:, 2].sum()
    assert 0 < down < 30 * plan.vault.volume * 20e3  # N/m3, heavier than any masonry here
    assert float(shown.answer.force.max()) < down * 10


def test_templates_are_the_guides_without_doubles(plan: SurfacePlan) -> None:
    found = templates_of(plan)
    for name, line, _ in found:
        assert line[0] == pytest.approx([0.0, 0.0])
        assert sum(is_same(line, other) for _, other, _ in found) == 1, name
    for guide in plan.site.guides:
        own = guide.template - guide.template[0]
        assert any(is_same(own, line) for _, line, _ in found)


def test_a_template_that_differs_by_a_millimetre_is_another(plan: SurfacePlan) -> None:
    line = templates_of(plan)[0][1]
    bent = line + np.column_stack(
        [np.zeros(len(line)), 1e-3 * np.sin(np.linspace(0, 3, len(line)))]
    )
    assert is_same(line, line) and not is_same(bent, line)


def test_the_model_is_closed_and_of_the_shells_volume(plan: SurfacePlan) -> None:
    mesh = surface_mesh(plan.vault)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(plan.vault.volume, rel=5e-3)


def test_tables_hold_rings_only_for_a_dome(plan: SurfacePlan) -> None:
    tables = {t.name: t for t in all_tables(plan, Voice())}
    assert {"setting-out", "rods", "tiles", "checks"} <= set(tables)
    assert ("rings" in tables) == (plan.vault.family == "dome")
    if plan.vault.family == "dome":
        rows = tables["rings"].rows
        first = [row for row in rows if row[0] == 1]
        # One arc: the rod keeps its length over all rings of a layer (geometry of the sphere).
        assert np.ptp([row[4] for row in first]) <= 0.2
        assert [row[2] for row in first] == sorted((row[2] for row in first), reverse=True)


def test_rods_say_on_which_web_they_stand(plan: SurfacePlan) -> None:
    rods = next(t for t in all_tables(plan, Voice()) if t.name == "rods").rows
    named = {str(row[1])[:7] for row in rods if str(row[1]).startswith("Web ")}
    creased = plan.vault.family in ("groin", "cloister")
    assert named == ({"Web AB:", "Web BC:", "Web CD:", "Web DA:"} if creased else set())


def test_a_certificate_written_into_the_pack_is_read_back(tmp_path: Path) -> None:
    from timbrel.statics.certificate import certificate_bytes, certify, read_certificate
    from timbrel.statics.certificate_check import check_certificate
    from timbrel.statics.net_actions import net_actions
    from timbrel.statics.net_vaults import solid_of

    made = followed.planned("well-dome")
    net, answer = made.statics.net, made.statics.answer
    acts = net_actions(made.job, solid_of(made.vault), net.grid)
    half = next(p for p in acts.patterns if p.key == "half.left")
    data = certificate_bytes(certify("half", net, answer, acts.dead, half))
    assert data == BytesIO(data).getvalue()
    file = tmp_path / "half.npz"
    file.write_bytes(data)
    assert check_certificate(read_certificate(file), net.solid.offset).sound
