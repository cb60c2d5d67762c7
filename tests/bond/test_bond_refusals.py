"""What cannot be laid is refused in one sentence with the key."""

from __future__ import annotations

from typing import Any

import pytest

from timbrel.bond.checks import closer_checks, facet_check, lap_check
from timbrel.bond.layout import Lap
from timbrel.bond.stock import stock_of
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError


def test_a_tile_larger_than_the_vault(workshop: Any) -> None:
    corners = ((0, 0, 2), (0.9, 0, 2), (0.9, 0.6, 2), (0, 0.6, 2))
    slab = {"length": 700, "width": 300, "thickness": 20}
    with pytest.raises(TimbrelError) as refusal:
        workshop.bond([workshop.layer("slab")], corners, 150, slab=slab)
    assert refusal.value.key == "layers.0.tile"
    assert "700 mm" in str(refusal.value)


def test_a_joint_range_that_cannot_close(workshop: Any) -> None:
    corners = ((0, 0, 2), (1.0, 0, 2), (1.0, 0.75, 2), (0, 0.75, 2))
    tile = {"length": 350, "width": 300, "thickness": 20}
    joint = {"least": 10, "best": 10, "most": 10}
    layers = [workshop.layer("t", joint=joint, least_closer=0.95)]
    with pytest.raises(TimbrelError) as refusal:
        workshop.bond(layers, corners, 150, t=tile)
    assert refusal.value.key == "layers.0.joint"


def test_the_facet_of_a_turned_tile_is_seen(workshop: Any) -> None:
    """280 mm along an arc of radius 3.0 m stand off 3.3 mm: more than 2, less than 5."""
    job, _, bond = workshop.bond([workshop.layer("thin", "along arc")])
    assert facet_check(job, bond.layers[0]).verdict is Verdict.FAILS
    curve = job.curve.model_copy(update={"soffit": "plastered"})
    plastered = job.model_copy(update={"curve": curve})
    assert facet_check(plastered, bond.layers[0]).verdict is Verdict.HOLDS


def test_a_lap_too_small_fails() -> None:
    lap = Lap(1, 2, 0.03, 0.04, 0.09, ("1-01-01", "2-01-01"), (0.0, 0.0, 0.0), 0.1, 0.01)
    assert lap_check(lap).verdict is Verdict.FAILS
    crossing = Lap(1, 2, None, 0.04, 0.09, (), None, 0.1, 0.014)
    assert lap_check(crossing).verdict is Verdict.HOLDS


def test_layers_that_beat_are_found_out(workshop: Any) -> None:
    """Courses of 140 and of 150 mm coincide somewhere, whatever the phase."""
    other = {"length": 280, "width": 150, "thickness": 25}
    _, _, bond = workshop.bond([workshop.layer("thin"), workshop.layer("other")], other=other)
    found = {check.name: check for check in bond.checks}
    assert found["bond.lap.1-2"].verdict is Verdict.FAILS


def test_a_sliver_fails(barrel: tuple[Any, Any, Any]) -> None:
    from dataclasses import replace

    job, _, bond = barrel
    layer = bond.layers[0]
    short = layer.length.copy()
    short[5] = 0.09
    sliver = replace(layer, length=short)
    check = closer_checks(sliver, stock_of(job, job.layers[0], 1))[0]
    assert check.verdict is Verdict.FAILS
    assert layer.names[5] in str(check.reason)
