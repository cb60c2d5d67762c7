"""Openings on the page: every verdict has its drawing, the form knows the tables."""

from __future__ import annotations

from pathlib import Path

from timbrel.job import load_job
from timbrel.plan import make_plan
from timbrel.sheets.drawings import drawings
from timbrel.web.drawn import drawn_for
from timbrel.web.form import every, form_of, section_title
from timbrel.web.scene import scene
from timbrel.words import Voice

JOB = Path(__file__).parents[2] / "examples" / "bakehouse-loft" / "job.toml"


def test_every_verdict_of_an_opening_leads_to_a_drawing_that_exists() -> None:
    plan = make_plan(load_job(JOB))
    made = set(drawings(plan, Voice()))
    edges = [c.name for c in plan.checks if c.name.startswith(("openings", "hooks", "ends"))]
    assert len(edges) > 10
    for name in (*edges, "bond.openings.1.corner"):
        assert drawn_for(name) in made, name


def test_the_form_holds_openings_and_hooks() -> None:
    paths = {group.path for group in every(form_of(JOB.read_text(encoding="utf-8")))}
    assert {("openings", 0), ("openings", 1), ("openings", 0, "trimmer"), ("hooks", 0)} <= paths


def test_the_rings_are_laid_last_and_every_tile_once() -> None:
    plan = make_plan(load_job(JOB))
    model = scene(plan, Voice(), "A")
    rings = [ring for opening in plan.bond.openings for ring in opening.ring]
    assert len(model["layers"]) == len(plan.bond.layers) + len(rings)
    for n, layer in enumerate(model["layers"]):
        laid = [i for step in model["steps"] if step["layer"] == n for i in step["tiles"]]
        assert sorted(laid) == list(range(len(layer["names"]))), n
    ends = {n: k for k, step in enumerate(model["steps"]) for n in [step["layer"]] if step["tiles"]}
    assert all(ends[3 + k] > ends[2] for k in range(len(rings)))


def test_tables_of_one_name_are_told_apart_by_where_they_stand() -> None:
    assert section_title("levels") != section_title("room", "levels")
    assert section_title("masonry") != section_title("walls", "left", "masonry")
    assert section_title("openings") != section_title("walls", "left", "openings", 0)
    assert section_title("layers", 1, "joint") == section_title("joint")
