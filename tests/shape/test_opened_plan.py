"""Openings on vaults on a plan: where a tape puts them, what their outline is, why one is refused."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon
from tests.opened_vaults import VAULTS, opened_vault

from timbrel.shape.local_face import face_at
from timbrel.shape.opened_plan import openings_of, way_along
from timbrel.words import TimbrelError


@pytest.mark.parametrize("family", VAULTS)
def test_the_outline_is_true_in_plan_and_lies_on_the_intrados(family: str) -> None:
    job, vault = opened_vault(family)
    placed, stated = openings_of(job, vault)[0], job.openings[0]
    sides = np.hypot(*(np.roll(placed.plan, -1, axis=0) - placed.plan).T)
    if stated.diameter is None:
        wanted = [stated.width, stated.length, stated.width, stated.length]
        assert sides == pytest.approx(wanted)
    else:
        assert Polygon(placed.plan).area == pytest.approx(np.pi * stated.diameter**2 / 4)
    points = vault.webs[placed.web].point(placed.closely[:, 0], placed.closely[:, 1])
    assert np.abs(vault.depth(points)).max() < 1e-6
    near = [Polygon(placed.plan).exterior.distance(Point(p)) for p in points[:, :2]]
    assert max(near) < 1e-6
    # On a curved shell it is longer than in plan, never shorter.
    if stated.diameter is None:
        assert placed.along >= stated.length - 1e-9 and placed.across > stated.width


@pytest.mark.parametrize("family", VAULTS)
def test_the_tape_finds_its_middle(family: str) -> None:
    job, vault = opened_vault(family)
    stated, corners = job.openings[0], np.asarray(vault.room.corners)[:, :2]
    way = (corners[3] - corners[0]) / np.hypot(*(corners[3] - corners[0]))
    to = openings_of(job, vault)[0].plan.mean(axis=0) - corners[0]
    assert to @ way == pytest.approx(stated.along)
    assert abs(to[0] * way[1] - to[1] * way[0]) == pytest.approx(stated.across)


@settings(max_examples=25, deadline=None)
@given(turn=st.floats(0, 2 * np.pi), away=st.floats(0.95, 1.15))
def test_the_sides_of_one_in_a_dome_follow_ring_and_meridian(turn: float, away: float) -> None:
    _, vault = opened_vault("dome")
    middle = np.asarray(vault.centre)[:2] + away * np.array([np.cos(turn), np.sin(turn)])
    way = way_along(vault, 0, middle)
    assert way @ (middle - vault.centre[:2]) == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("family", VAULTS)
def test_a_face_laid_flat_about_it_keeps_lengths_and_comes_back(family: str) -> None:
    job, vault = opened_vault(family)
    placed = openings_of(job, vault)[0]
    for offset in (0.0, vault.thickness):
        face = face_at(vault, placed, offset)
        flat = placed.flat(face)
        u, v = face.lift(flat)
        assert np.abs(np.stack([u, v], axis=1) - placed.uv).max() < 1e-7
        points = vault.webs[placed.web].point(placed.uv[:, 0], placed.uv[:, 1], offset)
        true = np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1)
        drawn = np.linalg.norm(np.roll(flat, -1, axis=0) - flat, axis=1)
        # Chords are a little shorter than what lies flat, by less than half a per cent here.
        assert np.all(np.abs(drawn / true - 1) < 5e-3)


@pytest.mark.parametrize(
    ("family", "changed", "says"),
    [
        ("dome", {"along": 1900, "across": 1900}, "curve.oculus"),
        ("dome", {"along": 380}, "the springing"),
        ("sail", {"across": 400}, "the edge over DA"),
        ("sail", {"along": 3700}, "between the four walls"),
        ("groin", {"along": 1000}, "cuts a crease|the groin"),
        ("groin", {"across": 300}, "the edge over DA"),
        ("cloister", {"across": 260}, "the springing"),
        ("cloister", {"along": 1100}, "cuts a crease|the valley"),
        ("cloister", {"along": 1900, "across": 1900}, "cuts a crease"),
    ],
)
def test_what_leaves_no_shell_is_refused_in_one_sentence(
    family: str, changed: dict[str, Any], says: str
) -> None:
    job, vault = opened_vault(family, **changed)
    with pytest.raises(TimbrelError, match=says) as caught:
        openings_of(job, vault)
    assert caught.value.key == "openings.1"


def test_two_whose_rings_meet_are_refused() -> None:
    job, vault = opened_vault("sail")
    first = job.openings[0]
    second = first.model_copy(update={"name": "Flue", "across": first.across + 0.9})
    with pytest.raises(TimbrelError, match="both rings have shell"):
        openings_of(job.model_copy(update={"openings": (first, second)}), vault)
