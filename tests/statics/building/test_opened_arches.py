"""Arches that an opening cuts, on their box: what crosses it, what it asks, what holds without it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.opened_jobs import hatch, opened

from timbrel.bond import lay_bond
from timbrel.job.model import Job
from timbrel.shape.opened import PlacedOpening, place_openings
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.site.openings import edge_site
from timbrel.statics.building.opened_arches import opened_section, share_without_box
from timbrel.statics.building.section import ShellSection, shell_section
from timbrel.statics.building.stages import check_building
from timbrel.statics.building.state import Arches, State, StateAnswer, answer_state
from timbrel.statics.building.work import PIECES
from timbrel.verdict import Verdict
from timbrel.words import Voice, say

ARCHES = Arches(1e9, 0.0, 1.0)


def cut(job: Job) -> tuple[ShellSection, ShellSection, PlacedOpening]:
    """The section through the opening: whole, and with the box in it."""
    vault: Any = shape_vault(job, solve_room(job.room))
    opening = place_openings(job, vault)[0]
    whole = shell_section(job, vault, sum(opening.v) / 2, PIECES)
    return whole, opened_section(whole, opening), opening


def closed(section: ShellSection, layers: int) -> StateAnswer:
    """The first layers alone, nothing under them but the box."""
    laid = np.zeros_like(section.weight)
    laid[:layers] = 1.0
    young = np.zeros(section.pieces + 1, bool)
    state = State("x", say("x"), "arch", 1, 1.0, 0.5, laid, laid > 0, young)
    return answer_state(section, state, ARCHES)


def test_nothing_lies_in_the_box_and_all_else_is_as_it_was() -> None:
    whole, section, opening = cut(opened([hatch()]))
    assert section.box is not None
    first, last = section.box
    # The joints that just take it in: not a piece more.
    assert first / PIECES <= opening.u[0] < (first + 1) / PIECES
    assert (last - 1) / PIECES < opening.u[1] <= last / PIECES
    assert not section.weight[:, first:last].any()
    assert np.array_equal(np.delete(section.weight, np.s_[first:last], axis=1),
                          np.delete(whole.weight, np.s_[first:last], axis=1))  # fmt: skip
    assert whole.box_sides().sum() == 0
    assert np.flatnonzero(section.box_sides()).tolist() == [first, last]


def test_a_thrust_line_runs_straight_across_the_box_and_inside_its_sides() -> None:
    # So wide that the line leaves the shell that is not there.
    _, section, _ = cut(opened([{**hatch(), "width": 1200}]))
    assert section.box is not None
    found = closed(section, len(section.weight)).line
    assert found is not None
    first, last = section.box
    across = found.points[first : last + 1]
    way = across[-1] - across[0]
    off = (across - across[0]) @ np.array([-way[1], way[0]]) / np.hypot(*way)
    assert np.abs(off).max() < 1e-6  # nothing weighs there, so nothing bends it
    assert found.depth_used[first + 1 : last].max() < 1
    shell = (section.inner + section.outer)[first + 1 : last] / 2
    assert np.linalg.norm(across[1:-1] - shell, axis=1).max() > 0.03
    outside = np.r_[: first + 1, last : len(found.points)]
    assert found.depth_used[outside].max() <= 1 + 1e-6


def test_no_tension_crosses_the_sides_of_the_box() -> None:
    _, section, _ = cut(opened([hatch()]))
    answer = closed(section, 1)
    assert answer.line is None, "the trial needs a layer too thin for a thrust line"
    assert answer.tension > 0
    assert answer.along[section.box_sides()].max() < 1e-6 * answer.tension


def test_the_empty_box_asks_for_more_than_the_tiles_that_it_stands_for() -> None:
    """A crown without its weight sends the thrust line out of the haunches."""
    whole, section, _ = cut(opened([hatch()]))
    assert closed(section, 1).tension > closed(whole, 1).tension


def test_without_the_box_a_kerb_too_heavy_finds_no_strip_to_carry_it() -> None:
    job = opened([hatch()])
    vault: Any = shape_vault(job, solve_room(job.room))
    opening = place_openings(job, vault)[0]
    assert share_without_box(job, vault, opening) == pytest.approx(1.0, abs=1e-6)
    heavy = opened([{**hatch(), "line_load": 49.0}])
    assert share_without_box(heavy, vault, replace(opening)) < 0.9


def checked(until: str) -> dict[str, Any]:
    stated = hatch()
    stated["trimmer"] = {**stated.get("trimmer", {}), "until_cured": until}
    job = opened([stated])
    vault: Any = shape_vault(job, solve_room(job.room))
    bond = lay_bond(job, vault)
    told = {c.name: c for c in check_building(job, vault, bond).checks}
    notes = " ".join(Voice("en")(note) for note in edge_site(job, vault, bond).notes)
    return {**told, "notes": notes}


def test_the_centring_holds_what_the_box_may_not() -> None:
    box, centring = checked("box"), checked("centring")
    name = "building.openings.1.box"
    assert box[name].verdict is not Verdict.HOLDS
    assert centring[name].verdict is Verdict.HOLDS
    assert box["building.openings.1.struck"].verdict is Verdict.HOLDS
    assert "Brace it across" in box["notes"]
    assert "The centring stays" in centring["notes"]
    # What is said of whole arches does not change by it.
    assert box["building.arch"] == centring["building.arch"]
