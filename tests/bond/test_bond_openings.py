"""Openings in the bond: cut true, nothing over them, nothing left open, small pieces shared."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.opened_jobs import hatch, opened

from timbrel.bond import Piece, lay_bond
from timbrel.bond.layout import Bond, LayerBond
from timbrel.job.model import Job
from timbrel.shape.opened import place_openings
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.verdict import Verdict

JOINT_MOST = 0.015


def laid(job: Job) -> tuple[Any, Bond]:
    vault = shape_vault(job, solve_room(job.room))
    return vault, lay_bond(job, vault)


def tiles(layer: LayerBond) -> list[shapely.Polygon]:
    return [shapely.Polygon(layer.polygon(i)) for i in range(layer.count)]


def check_round_opening(job: Job) -> Bond:
    """Tiles, joints and opening make up the surface; no tile lies in the opening or on another."""
    vault, bond = laid(job)
    for layer, place in zip(bond.layers, vault.layers, strict=True):
        face = vault.develop(place.inner)
        holes = shapely.union_all(
            [shapely.Polygon(o.flat(face)) for o in place_openings(job, vault)]
        )
        pieces = tiles(layer)
        joined = shapely.union_all(pieces)
        assert all(piece.is_valid for piece in pieces)
        assert sum(p.area for p in pieces) == pytest.approx(joined.area, abs=1e-7)
        assert joined.intersection(holes).area < 1e-6
        assert joined.difference(face.outline.buffer(2e-3)).area < 1e-6
        ground = face.outline.difference(joined).difference(holes)
        total = joined.area + ground.area + holes.area
        assert total == pytest.approx(face.outline.area, rel=1e-6)
        # What is neither tile nor opening is joint, or the strip too narrow to saw that is told.
        left = ground.buffer(-(JOINT_MOST + 0.001) / 2)
        assert left.area <= layer.solid + 5e-4 * face.outline.area
        assert bond.openings[0].areas[layer.layer - 1] == pytest.approx(
            shapely.Polygon(place_openings(job, vault)[0].flat(face)).area
        )
        assert len(set(layer.names)) == layer.count
        assert layer.area == pytest.approx([p.area for p in pieces])
        assert np.all(layer.joint_tile < layer.count)
    return bond


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    along=st.integers(1200, 4000),
    across=st.integers(1000, 2200),
    length=st.integers(250, 900),
    width=st.integers(250, 700),
)
def test_tiles_joints_and_opening_make_up_the_surface(
    along: int, across: int, length: int, width: int
) -> None:
    bond = check_round_opening(
        opened([hatch(along=along, across=across, length=length, width=width)])
    )
    assert not [c.name for c in bond.checks if ".closer." in c.name and c.verdict is Verdict.FAILS]


@settings(max_examples=5, deadline=None, suppress_health_check=list(HealthCheck))
@given(along=st.integers(1300, 3900), across=st.integers(1100, 2100), d=st.integers(300, 800))
def test_a_round_opening_is_cut_true(along: int, across: int, d: int) -> None:
    job = opened([hatch(along=along, across=across, length=None, width=None, diameter=d)])
    bond = check_round_opening(job)
    area = bond.openings[0].areas[0]
    # Drawn as a polygon of the circle's own area; on the slope the cut is longer than its plan.
    assert np.pi * (d / 2e3) ** 2 <= area * (1 + 1e-6)


def test_diagonal_layers_are_cut_too() -> None:
    job = opened([hatch()])
    layers = (
        job.layers[0],
        job.layers[1].model_copy(update={"direction": "diagonal"}),
        job.layers[2],
    )
    check_round_opening(job.model_copy(update={"layers": layers}))


def test_without_the_opening_the_bond_is_the_plain_one() -> None:
    plain, opening = opened(), opened([hatch()])
    _, first = laid(plain)
    _, second = laid(opening.model_copy(update={"openings": ()}))
    for a, b in zip(first.layers, second.layers, strict=True):
        assert a.names == b.names
        assert np.array_equal(a.points, b.points)
    assert second.openings == ()


def test_far_from_the_opening_no_tile_is_moved() -> None:
    _, plain = laid(opened())
    _, cut = laid(opened([hatch()]))
    before = {tuple(np.round(p.centroid.coords[0], 6)) for p in tiles(plain.layers[0])}
    after = {tuple(np.round(p.centroid.coords[0], 6)) for p in tiles(cut.layers[0])}
    gone = np.array(sorted(before - after))
    assert len(gone)
    assert np.abs(gone[:, 0] - 2.6).max() < 0.3 + 4 * 0.26


def test_lap_closers_and_corners_hold_round_a_square_opening() -> None:
    _, bond = laid(opened([hatch()]))
    assert {c.verdict for c in bond.checks if c.name.startswith(("bond.lap", "bond.closer"))} == {
        Verdict.HOLDS
    }
    corner = next(c for c in bond.checks if c.name == "bond.openings.1.corner")
    assert corner.verdict is Verdict.HOLDS and corner.value is not None and corner.value >= 0.04


def test_no_tile_is_notched_at_a_corner() -> None:
    """A tile is sawn straight across: no piece of the bond turns inward."""
    _, bond = laid(opened([hatch()]))
    for layer in bond.layers:
        for i in range(layer.count):
            ring = layer.polygon(i)
            assert shapely.Polygon(ring).area > 0.98 * shapely.Polygon(ring).convex_hull.area


def test_the_ring_lies_round_the_opening_and_is_counted() -> None:
    job = opened([hatch(trimmer={"layers": 2, "bar": 10})])
    vault, bond = laid(job)
    opening = bond.openings[0]
    assert opening.tiles == sum(ring.count for ring in opening.ring) and len(opening.ring) == 2
    for k, ring in enumerate(opening.ring):
        inner = vault.thickness + 0.015 + k * (0.020 + 0.015)
        hole = shapely.Polygon(place_openings(job, vault)[0].flat(vault.develop(inner)))
        band = hole.buffer(opening.ring_width, join_style="mitre").difference(hole)
        pieces = tiles(ring)
        joined = shapely.union_all(pieces)
        assert sum(p.area for p in pieces) == pytest.approx(joined.area, abs=1e-8)
        assert joined.difference(band.buffer(1e-6)).area < 1e-6
        assert band.difference(joined).buffer(-0.009).area < 1e-6
    names = [name for group in bond.cuts.groups for name in group.names]
    assert any(name.startswith("R1-1-") for name in names)
    sawn = sum(int(np.count_nonzero(r.kind != Piece.WHOLE)) for r in opening.ring)
    assert sum(name.startswith("R1-") for name in names) == sawn


def test_a_free_edge_is_flush_in_wholes_and_halves() -> None:
    vault, bond = laid(opened(near="free"))
    layer = bond.layers[0]
    first = np.flatnonzero(layer.number == 1)
    edges = [layer.polygon(int(i))[:, 0].min() for i in first]
    outline = vault.develop(0.0).outline.bounds[0]
    assert np.abs(np.array(edges) - outline).max() < 1e-4
    kinds = layer.kind[first]
    assert set(kinds.tolist()) == {int(Piece.WHOLE), int(Piece.HALF)}
    assert np.all(kinds[1:] != kinds[:-1])
    walled = laid(opened())[1].layers[0]
    starts = [walled.polygon(int(i))[:, 0].min() for i in np.flatnonzero(walled.number == 1)]
    assert min(starts) > outline + 0.006 - 1e-6


def test_a_free_edge_out_of_square_is_cut_true() -> None:
    """Where the edge runs askew there is no joint to take it: no tile stands out over its line."""
    job = opened(near="free")
    room = job.room.model_copy(
        update={"AB": 3.276, "BC": 4.2, "CD": 3.252, "DA": 5.0, "AC": 5.877, "BD": 5.360}
    )
    room = room.model_copy(update={"refuse": 0.2, "warn": 0.1})
    vault, bond = laid(job.model_copy(update={"room": room}))
    for layer, place in zip(bond.layers, vault.layers, strict=True):
        joined = shapely.union_all(tiles(layer))
        # A curved cut is followed to a tenth of a millimetre.
        outline = vault.develop(place.inner).outline.buffer(3e-4)
        assert joined.difference(outline).area < 1e-8
