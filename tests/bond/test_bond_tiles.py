"""Every tile where it should be: none over another, none in the wall, nothing left open."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from timbrel.bond.layout import Bond, LayerBond, Piece

CASES: dict[str, tuple[list[tuple[str, str]], str]] = {
    "two layers, out of square": (
        [("thin", "along axis"), ("thick", "along axis")],
        "out_of_square",
    ),
    "turned": ([("thin", "along arc"), ("thick", "along arc")], "out_of_square"),
    "diagonal between": (
        [("thin", "along axis"), ("thick", "diagonal"), ("thick", "along axis")],
        "out_of_square",
    ),
    "skew": ([("thin", "along axis"), ("thick", "along axis")], "skew"),
    "skew, diagonal": ([("thin", "along axis"), ("thick", "diagonal")], "skew"),
}


def polygons(layer: LayerBond) -> list[shapely.Polygon]:
    """The tiles of a layer as shapely polygons, one by one."""
    return [shapely.Polygon(layer.polygon(i)) for i in range(layer.count)]


def check_layer(layer: LayerBond, vault: Any, joint_most: float) -> None:
    """The rules that no layer may break."""
    tiles = polygons(layer)
    outline = vault.develop(vault.layers[layer.layer - 1].inner).outline
    joined = shapely.union_all(tiles)
    assert all(tile.is_valid for tile in tiles)
    assert sum(t.area for t in tiles) == pytest.approx(joined.area, abs=1e-8), "tiles overlap"
    assert joined.difference(outline).area < 1e-8, "a tile stands in a wall"
    # Whatever is no tile is a joint: nothing is left wider than the widest joint allowed, save at a
    # wall out of square. Where a perpend meets a bed a circle of 5/8 of the joint's width has room,
    # so what is left there is shorter than the joint is wide; a gap between tiles is longer.
    open_ground = outline.difference(joined).buffer(-(joint_most + 0.001) / 2)
    gaps = [p for p in shapely.get_parts(open_ground) if shapely.length(p) > 2 * joint_most]
    assert sum(p.area for p in gaps) < 5e-4 * outline.area, "ground left without a tile"
    assert len(set(layer.names)) == layer.count
    assert layer.area == pytest.approx([t.area for t in tiles])


@pytest.mark.parametrize("case", CASES)
def test_tiles_cover_and_do_not_overlap(case: str, workshop: Any) -> None:
    lying, room = CASES[case]
    layers = [workshop.layer(*which) for which in lying]
    _, vault, bond = workshop.bond(layers, getattr(workshop, room))
    for layer in bond.layers:
        check_layer(layer, vault, 0.015)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    span=st.floats(1.6, 3.2),
    far=st.floats(-0.06, 0.06),
    axis=st.floats(1.3, 2.4),
    skew=st.floats(-0.25, 0.25),
    rise=st.floats(0.18, 0.42),
    length=st.floats(0.20, 0.32),
    width=st.floats(0.10, 0.16),
)
def test_any_room_is_laid_without_overlap(
    workshop: Any,
    span: float,
    far: float,
    axis: float,
    skew: float,
    rise: float,
    length: float,
    width: float,
) -> None:
    from timbrel.words import TimbrelError

    corners = ((0, 0, 2), (span, skew, 2), (span + far, axis + skew, 2), (0, axis, 2))
    tile = {"length": length * 1000, "width": width * 1000, "thickness": 18}
    job = workshop.job(
        [workshop.layer("t"), workshop.layer("t")], corners, rise * span * 1000, t=tile
    )
    from timbrel.bond.lay import lay_bond

    vault = workshop.vault(job)
    try:
        bond = lay_bond(job, vault)
    except TimbrelError as refusal:
        assert refusal.key.startswith("layers.")
        return
    for layer, share in zip(bond.layers, (0.5, 1 / 3), strict=True):
        check_layer(layer, vault, 0.015)
        closer = min(max(share * (length + 0.010) - 0.010, 0.070), (length - 0.010) / 2)
        assert layer.length.min() >= closer - 5e-4
        assert 0.006 - 1e-6 <= layer.joint_least <= layer.joint_most <= 0.015 + 1e-6


def test_whole_and_half_tiles_have_their_size(barrel: tuple[Any, Any, Bond]) -> None:
    _, _, bond = barrel
    for layer in bond.layers:
        for kind, size in ((Piece.WHOLE, 0.280), (Piece.HALF, 0.135)):
            for i in np.flatnonzero(layer.kind == kind)[::37]:
                sides = np.hypot(*(np.roll(layer.polygon(i), -1, axis=0) - layer.polygon(i)).T)
                assert sorted(sides) == pytest.approx(sorted([size, size, 0.140, 0.140]), abs=1e-9)


def test_corners_lie_on_the_layer(barrel: tuple[Any, Any, Bond]) -> None:
    """The vault's own surface, asked again at each corner, and the true size in space."""
    _, vault, bond = barrel
    for layer in bond.layers:
        place = vault.layers[layer.layer - 1]
        development = vault.develop(place.inner)
        for i in range(0, layer.count, 101):
            u, v = development.lift(layer.polygon(i))
            assert layer.solid_corners(i) == pytest.approx(vault.point(u, v, place.middle))
        whole = np.flatnonzero(layer.kind == Piece.WHOLE)
        corners = np.stack([layer.solid_corners(i) for i in whole])
        along = np.linalg.norm(corners[:, 1] - corners[:, 0], axis=1)
        across = np.linalg.norm(corners[:, 2] - corners[:, 1], axis=1)
        assert along == pytest.approx(np.full(len(whole), 0.280), abs=2e-5)
        # Across, the layer's middle is longer than its inner face by half a thickness a radius,
        # and the chord is shorter than the arc.
        assert across == pytest.approx(np.full(len(whole), 0.140), abs=1.2e-3)


def test_names_say_layer_course_and_number(barrel: tuple[Any, Any, Bond]) -> None:
    for layer in barrel[2].layers:
        i = layer.count // 2
        assert layer.names[i] == f"{layer.layer}-{layer.course[i]:02d}-{layer.number[i]:02d}"
        assert layer.names[0] == f"{layer.layer}-01-01"


def test_the_first_layer_closes_in_wholes_and_halves(barrel: tuple[Any, Any, Bond]) -> None:
    layer = barrel[2].layers[0]
    assert layer.number_of(Piece.CUT) == 0
    starts = layer.kind[layer.number == 1]
    assert set(starts[::2]) == {Piece.WHOLE} and set(starts[1::2]) == {Piece.HALF}


def test_each_arch_is_one_tile_of_every_course(barrel: tuple[Any, Any, Bond]) -> None:
    layer = barrel[2].layers[0]
    for ring in range(1, int(layer.arch.max())):
        courses = layer.course[layer.arch == ring]
        assert sorted(courses) == list(range(1, layer.courses + 1))


def test_rods_hold_the_courses(barrel: tuple[Any, Any, Bond]) -> None:
    """Marks step by a tile and a joint, and end a joint before the far springing."""
    for layer in barrel[2].layers:
        for key in ("near", "far"):
            rod = layer.gauge.rod(key)
            assert rod.length - rod.marks[-1] == pytest.approx(rod.joint, abs=1e-5)
            steps = np.diff(rod.marks)[1:-2]
            assert steps == pytest.approx(np.full(len(steps), 0.140 + rod.joint), abs=1e-4)
