"""The page serves vaults on a plan: three dimensions, steps, figures, drawings, the site sheet."""

from __future__ import annotations

import json

import pytest
from markupsafe import escape
from tests import followed
from tests.opened_vaults import opened_vault

from timbrel.plan import SurfacePlan, make_plan, plan_json
from timbrel.sheets.drawings import drawings
from timbrel.web.drawn import drawn_for
from timbrel.web.facts import facts
from timbrel.web.scene import scene
from timbrel.web.sitesheet import site_sheet_of
from timbrel.web.tables import leaves
from timbrel.words import Voice


@pytest.fixture(scope="module", params=["market-groin", "study-sail", "well-dome"])
def plan(request: pytest.FixtureRequest) -> SurfacePlan:
    made = followed.planned(request.param)
    assert isinstance(made, SurfacePlan)
    return made


def test_every_tile_is_laid_once_and_struts_are_drawn(plan: SurfacePlan) -> None:
    table = json.loads(json.dumps(scene(plan, Voice(), "one"), allow_nan=False))
    for n, layer in enumerate(plan.bond.layers):
        laid = [i for step in table["steps"] if step["layer"] == n for i in step["tiles"]]
        assert sorted(laid) == list(range(layer.count))
    assert len(table["net"]) > 20
    assert all(len(pair) == 2 and len(pair[0]) == 3 for pair in table["net"])


def test_figures_and_drawings_of_the_page(plan: SurfacePlan) -> None:
    voice = Voice()
    assert all(fact.spoken(voice) for fact in facts(plan))
    names = {leaf.name for leaf in leaves(plan, voice)}
    assert {"summary", "setting-out", "programme", "order", "quote", "card"} <= names
    made = set(drawings(plan, voice))
    for check in plan.checks:
        assert drawn_for(check.name, on_a_plan=True) in made | {""}, check.name


def test_an_opening_is_on_the_page_with_its_ring_and_its_figures() -> None:
    made = make_plan(opened_vault("sail")[0])
    voice = Voice()
    told = {leaf.name: json.dumps(leaf.blocks) for leaf in leaves(made, voice)}
    assert "Ring of Skylight" in told["openings"]
    assert "its edge rests on the box" in told["openings"]
    names = set(drawings(made, voice))
    assert {"opening-ring-1", "opening-section-1"} <= names
    for check in made.checks:
        assert drawn_for(check.name, on_a_plan=True) in names | {""}, check.name
    table = json.loads(json.dumps(scene(made, voice, "one"), allow_nan=False))
    assert len(table["layers"]) == len(made.bond.layers) + 1
    json.dumps(plan_json(made), allow_nan=False)


def test_stages_and_batch_cards_are_on_the_page() -> None:
    voice = Voice()
    built = followed.built("well-dome")
    assert isinstance(built, SurfacePlan)
    assert built.stages is not None
    told = {leaf.name: json.dumps(leaf.blocks) for leaf in leaves(built, voice)}
    assert "Orders of work compared" in told["stages"]
    assert voice(built.stages.worst[0].holds_by) in told["stages"]
    assert "Batch cards" in told["programme"]
    made = set(drawings(built, voice))
    assert "stage-1" in made
    for check in built.checks:
        assert drawn_for(check.name, on_a_plan=True) in made | {""}, check.name
    # The player lays the first layer ring by ring, as the stages propose.
    steps = scene(built, voice, "one")["steps"]
    first = [step["tiles"] for step in steps if step["layer"] == 0 and step["tiles"]]
    proposed = built.stages.proposed
    assert first == [proposed.tiles(k + 1).tolist() for k in range(proposed.count)]


def test_the_site_sheet_is_written(plan: SurfacePlan) -> None:
    text = site_sheet_of(plan, Voice())
    assert plan.job.job.title in text
    # The crew lays by the bond and the guides and cuts the seats: they are on the phone too.
    for name, picture in drawings(plan, Voice()).items():
        if name.startswith(("bond-", "guide-", "seat-")):
            assert f"<figcaption>{escape(Voice()(picture.title))} " in text, name
