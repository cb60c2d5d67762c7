"""Thrust of every support by itself; what bounds it where geometry does not."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.sheets.net_tables import _range
from timbrel.statics.net import NetQuestion, crushing_of
from timbrel.statics.net_rungs import Rung, Rungs
from timbrel.statics.net_thrusts import support_thrusts
from timbrel.statics.net_vaults import solid_of
from timbrel.words import Voice

STRENGTH = 3.5e6


@pytest.fixture(scope="module")
def flat() -> Rung:
    """A sail so flat that struts run straight from wall to wall through it."""
    job = changed_job("study-sail")
    return Rungs(job, solid_of(vault_of(job)))[0]


def grown(rung: Rung, times: float, strength: float) -> Rung:
    """The same net under so many times its loads."""
    dead = rung.acts.dead
    more = replace(dead, weight=dead.weight * times, total=dead.total * times)
    acts = replace(rung.acts, dead=more)
    return replace(rung, acts=acts, crushing=crushing_of(rung.net, strength))


def by_strength(rung: Rung) -> np.ndarray[Any, Any]:
    found = support_thrusts(rung.net, rung.acts.dead, rung)
    assert all(one.greatest is None for one in found)
    return np.array([one.by_strength for one in found], float)


def test_the_strength_bounds_what_geometry_does_not(flat: Rung) -> None:
    told = by_strength(flat)
    least = [one.least for one in support_thrusts(flat.net, flat.acts.dead)]
    # No metre of wall takes more than the whole thickness at its strength (equilibrium of a cut).
    assert (told > least).all() and (told < STRENGTH * flat.net.solid.thickness).all()
    # Forces, loads and strength grow together: states of the one are states of the other, doubled.
    assert by_strength(grown(flat, 2.0, 2 * STRENGTH)) == pytest.approx(2 * told, rel=1e-3)
    # Less strength presses less, and walls that are alike are told nearly alike.
    assert (by_strength(grown(flat, 1.0, STRENGTH / 2)) < told).all()
    assert told[0] == pytest.approx(told[2], rel=1e-3)


def test_a_bound_with_no_lever_is_none() -> None:
    """An oblong sail, so flat that the struts of a coarse net come by on 24 times its weight."""
    sides = {"AB": 3400, "BC": 4400, "CD": 3400, "DA": 4400, "AC": 5560.6, "BD": 5560.6}
    job = changed_job("study-sail", room=sides)
    rung = Rungs(job, solid_of(vault_of(job)))[0]
    for support in rung.net.grid.supports:
        question = NetQuestion(rung.net, rung.acts.dead, support=support)
        assert question.program.extreme(-question.thrust_cost()) is not None
        assert question.thrust(least=True) is not None
        assert question.thrust(least=False) is None
        held = NetQuestion(rung.net, rung.acts.dead, support=support, crushing=rung.crushing)
        assert held.thrust(least=False) is not None


def test_nothing_is_told_without_a_strength(flat: Rung) -> None:
    bare = replace(flat, crushing=None)
    for coarse in (None, bare):
        found = support_thrusts(flat.net, flat.acts.dead, coarse)
        assert all(one.greatest is None and one.by_strength is None for one in found)


def test_what_geometry_bounds_is_not_asked_again() -> None:
    job = changed_job("chapel-cloister")
    rung = Rungs(job, solid_of(vault_of(job)))[0]
    found = support_thrusts(rung.net, rung.acts.dead, rung)
    assert all(one.greatest is not None and one.by_strength is None for one in found)


def test_the_paper_tells_it_as_a_bound(flat: Rung) -> None:
    voice = Voice()
    told = support_thrusts(flat.net, flat.acts.dead, flat)[0]
    assert told.by_strength is not None
    _, most = _range(told, voice)
    assert (
        most == f"≥ {voice.quantity(told.by_strength, 'line_load')}, bounded by the strength alone"
    )
    _, bare = _range(replace(told, by_strength=None), voice)
    assert bare == "bounded by the strength alone"
