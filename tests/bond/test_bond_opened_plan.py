"""Tiles round openings of vaults on a plan: they make up the shell, keep off the hole, close well."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.opened_vaults import VAULTS, opened_vault

from timbrel.bond import Bond, lay_bond
from timbrel.bond.laps import LEAST_LAP
from timbrel.bond.layout import Piece
from timbrel.job.model import Job
from timbrel.shape.opened_plan import openings_of


@pytest.fixture(scope="module", params=VAULTS)
def laid(request: pytest.FixtureRequest) -> tuple[Job, Any, Bond]:
    """A vault of each family, laid round its opening."""
    job, vault = opened_vault(request.param)
    return job, vault, lay_bond(job, vault)


def _in_the_hole(job: Job, vault: Any, bond: Bond) -> list[float]:
    """Area in plan of each layer's tiles that lies in the opening, on the layer's middle surface."""
    placed = openings_of(job, vault)[0]
    found = []
    for layer, place in zip(bond.layers, vault.layers, strict=True):
        uv = placed.closely
        outline = vault.webs[placed.web].point(uv[:, 0], uv[:, 1], place.middle)[:, :2]
        hole = shapely.Polygon(outline)
        tiles = [shapely.Polygon(layer.solid_corners(i)[:, :2]) for i in range(layer.count)]
        found.append(float(shapely.area(shapely.intersection(tiles, hole)).sum()))
    return found


def test_no_tile_reaches_into_the_opening(laid: tuple[Job, Any, Bond]) -> None:
    job, vault, bond = laid
    # Corners between flat and round differ by less than a millimetre over its girth.
    assert max(_in_the_hole(job, vault, bond)) < 1e-3 * bond.openings[0].kerb_length + 1e-4


def test_tiles_that_are_gone_are_the_opening(laid: tuple[Job, Any, Bond]) -> None:
    job, vault, bond = laid
    whole = lay_bond(job.model_copy(update={"openings": ()}), vault)
    opening = bond.openings[0]
    for before, after, hole in zip(whole.layers, bond.layers, opening.areas, strict=True):
        gone = float(before.area.sum() - after.area.sum())
        joints = gone + before.solid - after.solid - hole
        # What is left is joints that end at it or were moved: a strip round its edge.
        girth = 2 * (opening.along + opening.across)
        assert abs(joints) < 0.035 * girth + 0.02 * hole


def test_names_are_single_and_pieces_are_sound(laid: tuple[Job, Any, Bond]) -> None:
    _, _, bond = laid
    for layer in bond.layers:
        assert len(set(layer.names)) == layer.count
        assert layer.start[-1] == len(layer.points) == len(layer.corners)
        assert layer.area.min() > 0
        tiles = [shapely.Polygon(layer.polygon(i)) for i in range(layer.count)]
        assert shapely.is_valid(tiles).all()
        assert shapely.area(tiles) == pytest.approx(layer.area, rel=1e-6)
        assert layer.joint_tile.max() < layer.count


def test_ring_tiles_lie_round_it_on_the_shell(laid: tuple[Job, Any, Bond]) -> None:
    job, vault, bond = laid
    placed = openings_of(job, vault)[0]
    ring = bond.openings[0].ring[0]
    assert all(name.startswith("R1-1-") for name in ring.names)
    depth = vault.depth(ring.corners)
    tile = job.tiles[ring.tile]
    middle = vault.thickness + job.openings[0].trimmer.bed + tile.thickness / 2
    assert depth == pytest.approx(middle, abs=2e-3)
    # Its band as wide as a tile, less its joints.
    assert float(ring.area.sum()) == pytest.approx(bond.openings[0].ring_area, rel=0.15)
    assert np.count_nonzero(ring.kind == Piece.CUT) >= (ring.count if placed.round else 0)


@settings(max_examples=12, deadline=None)
@given(turn=st.floats(0, 2 * np.pi), away=st.floats(950, 1150), is_round=st.booleans())
def test_rings_of_a_dome_close_without_slivers_wherever_it_lies(
    turn: float, away: float, is_round: bool
) -> None:
    size = {"length": None, "width": None, "diameter": 380} if is_round else {}
    job, vault = opened_vault(
        "dome", along=1910 + away * np.sin(turn), across=1900 + away * np.cos(turn), **size
    )
    bond = lay_bond(job, vault)
    assert max(_in_the_hole(job, vault, bond)) < 3e-3
    for layer in bond.layers:
        # No piece under 40 mm either way, wherever the opening falls.
        assert layer.length.min() > LEAST_LAP and layer.width.min() > LEAST_LAP * 0.5
