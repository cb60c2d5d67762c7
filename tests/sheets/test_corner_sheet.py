"""The corners of a groin on paper: every kind drawn within its room, the figures of the site told."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from timbrel.job.load import load_job
from timbrel.plan import SurfacePlan, make_plan
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.sheets.corner_drawing import alike, corner_pictures
from timbrel.sheets.corner_sheet import corner_blocks
from timbrel.site.corner_seat import plan_corner_seats
from timbrel.words import Voice

EXAMPLES = Path(__file__).parents[2] / "examples"
ROOM = (170.0, 117.0)


@pytest.fixture(scope="module")
def plan() -> SurfacePlan:
    found = make_plan(load_job(EXAMPLES / "market-groin"))
    assert isinstance(found, SurfacePlan)
    return found


def seated(plan: SurfacePlan, kind: str) -> SurfacePlan:
    """The same plan with its corners seated another way: a level bed under a semicircle."""
    job = plan.job
    if kind == "bed":
        curve = job.curve.model_copy(update={"directrix": "semicircle", "rise": None})
        job = job.model_copy(update={"curve": curve})
    else:
        job = job.model_copy(update={"seat": job.seat.model_copy(update={"kind": kind})})
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    corners = plan_corner_seats(job, vault, ())
    assert {seat.kind for seat in corners} == {kind}
    return replace(plan, job=job, site=replace(plan.site, corners=corners))


@pytest.mark.parametrize("kind", ["chase", "corbel", "bed"])
def test_every_kind_is_drawn_in_plan_and_along_the_groin(plan: SurfacePlan, kind: str) -> None:
    pictures = corner_pictures(seated(plan, kind), Voice(), ROOM)
    assert [p.name for p in pictures] == ["seat-corner-A-plan", "seat-corner-A-section"]
    for picture in pictures:
        assert picture.width_mm <= ROOM[0] and picture.height_mm <= ROOM[1]
        assert picture.svg.startswith("<?xml") or "<svg" in picture.svg


def test_corners_that_differ_are_drawn_apart(plan: SurfacePlan) -> None:
    first, *rest = plan.site.corners
    unlike = (replace(first, width=first.width + 0.05), *rest)
    assert [[s.corner for s in group] for group in alike(unlike)] == [["A"], ["B", "C", "D"]]
    other = replace(plan, site=replace(plan.site, corners=unlike))
    assert len(corner_pictures(other, Voice(), ROOM)) == 4


def test_the_sheet_tells_the_figures_of_the_site(plan: SurfacePlan) -> None:
    voice = Voice()
    told = str(corner_blocks(plan, voice))
    seat = plan.site.corners[0]
    lengths = (seat.width, seat.depth, seat.reach, seat.height)
    figures = [voice.length(value) for value in lengths]
    figures += [voice.quantity(seat.angle, "angle"), voice.quantity(seat.debris, "litres")]
    assert all(figure in told for figure in figures)
    for state in seat.thrusts:
        assert voice.quantity(state.level, "force") in told
        assert voice.quantity(state.pressure, "stress") in told
    assert "nobody opens a second corner" in told
