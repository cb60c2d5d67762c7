"""Groin, cloister, sail and dome: surfaces against meshes, heights, depths, creases, refusals."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import trimesh

from timbrel.words import TimbrelError

Vault = Callable[..., Any]
SQUARE = [[0, 0, 2], [4, 0, 2], [4, 4, 2], [0, 4, 2]]
LONG = [[0, 0, 2], [4, 0, 2], [4, 6, 2], [0, 6, 2]]
ODD = [[0, 0, 2], [4.1, 0, 2.03], [4.3, 5.1, 1.98], [-0.1, 4.9, 2.01]]
ROOMS = {"square": SQUARE, "long": LONG, "odd": ODD}
KINDS = {
    "groin": {"family": "groin"},
    "cloister": {"family": "cloister"},
    "spherical": {"family": "sail", "rise": 600},
    "translation": {"family": "sail", "rise": 600, "sail": "translation"},
    "dome": {"family": "dome"},
    "oculus": {"family": "dome", "oculus": 900},
}

each_room = pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS.keys())
each_kind = pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())


def crossed_mesh(shell: Any, offset: float, n: int, m: int) -> trimesh.Trimesh:
    """All webs of a vault at one offset."""
    meshes = []
    for web in shell.webs:
        u = (1 - np.cos(np.linspace(0, np.pi, n + 1))) / 2
        start, end = web.cuts(u, offset)
        v = start[:, None] + (end - start)[:, None] * np.linspace(0, 1, m + 1)
        points = web.point(u[:, None], v, offset)
        g = np.arange(points[..., 0].size).reshape(v.shape)
        a, b, c, d = g[:-1, :-1], g[1:, :-1], g[1:, 1:], g[:-1, 1:]
        faces = [np.stack(t, -1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))]
        meshes.append(trimesh.Trimesh(points.reshape(-1, 3), np.concatenate(faces)))
    return trimesh.util.concatenate(meshes)


@each_room
@each_kind
def test_area_against_a_mesh(vault: Vault, kind: dict[str, Any], room: Any) -> None:
    shell = vault("segment", room, **kind)
    for offset in (0.0, 0.04) if shell.family in ("cloister", "dome") else (0.0,):
        coarse = crossed_mesh(shell, offset, 60, 40).area
        fine = crossed_mesh(shell, offset, 120, 80).area
        wanted = fine + (fine - coarse) / 3
        assert shell.area(offset) == pytest.approx(wanted, rel=1e-4)


@each_room
@each_kind
def test_volume_is_what_lies_between_the_faces(
    vault: Vault, kind: dict[str, Any], room: Any
) -> None:
    """Plumb columns between intrados and extrados, plus what overhangs the intrados: for a sail,
    whose walls are plumb, that is all of it."""
    shell = vault("segment", room, **kind)
    if shell.family != "sail":
        # Steiner: the areas of three offsets carry the whole volume.
        t = shell.thickness
        simpson = t / 6 * (shell.area(0.0) + 4 * shell.area(t / 2) + shell.area(t))
        assert shell.volume == pytest.approx(simpson, rel=1e-5)
        return
    x, w = np.polynomial.legendre.leggauss(12)
    p, q = (g.ravel() for g in np.meshgrid((x + 1) / 2, (x + 1) / 2))
    a, b, c, d = shell.plan.corners[:, :2]
    twist = a - b + c - d
    by_p, by_q = b - a + q[:, None] * twist, d - a + p[:, None] * twist
    plan = by_p[:, 0] * by_q[:, 1] - by_p[:, 1] * by_q[:, 0]
    depth = shell.over(p, q, shell.thickness)[2] - shell.over(p, q)[2]
    columns = float(np.outer(w, w).ravel() @ (plan * depth)) / 4
    # Normals lean outward, so columns hold what the walls cut off square: 1e-3 at most here.
    assert shell.volume == pytest.approx(columns, rel=2e-3)


@each_room
@each_kind
def test_heights_lie_at_their_depth(vault: Vault, kind: dict[str, Any], room: Any) -> None:
    shell = vault("segment", room, **kind)
    xy = np.random.default_rng(5).uniform(1.2, 2.8, (120, 2))
    for offset in (0.0, 0.02, shell.thickness):
        z = shell.height(*xy.T, offset)
        known = ~np.isnan(z)
        assert known.sum() > (70 if kind.get("oculus") else 119)
        points = np.column_stack([xy, z])[known]
        assert np.allclose(shell.depth(points), offset, atol=1e-8)
        assert shell.inside(points, spare=1e-7).all()
    above = points + np.array([0, 0, 0.02])
    assert not shell.inside(above).any()


@each_room
@each_kind
def test_derivatives_against_differences(vault: Vault, kind: dict[str, Any], room: Any) -> None:
    shell = vault("segment", room, **kind)
    h = 1e-6
    u, v = np.array([0.13, 0.31, 0.72]), np.array([0.15, 0.4, 0.8])
    for web in shell.webs:
        by_u = (web.point(u + h, v) - web.point(u - h, v)) / (2 * h)
        by_v = (web.point(u, v + h) - web.point(u, v - h)) / (2 * h)
        normal = np.cross(by_u, by_v)
        normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
        assert np.allclose(web.normal(u, v), normal, atol=1e-7)
        assert np.all(normal[:, 2] > 0)
        turn_u = (web.normal(u + h, v) - web.normal(u - h, v)) / (2 * h)
        turn_v = (web.normal(u, v + h) - web.normal(u, v - h)) / (2 * h)
        greatest, least = web.curvatures(u, v)
        for i in range(len(u)):
            basis = np.stack([by_u[i], by_v[i]], axis=1)
            turn = np.linalg.lstsq(basis, np.stack([turn_u[i], turn_v[i]], axis=1), rcond=None)[0]
            assert np.trace(turn) == pytest.approx(greatest[i] + least[i], rel=1e-4)
            assert np.linalg.det(turn) == pytest.approx(greatest[i] * least[i], abs=1e-5)


@each_room
@pytest.mark.parametrize("directrix", ["segment", "semicircle", "catenary"])
def test_groins_stand_over_the_diagonals(vault: Vault, room: Any, directrix: str) -> None:
    shell = vault(directrix, room, family="groin")
    middle = np.append(shell.plan.middle, shell.crown)
    groins = [e for e in shell.edges if e.kind == "groin"]
    assert len(groins) == 4
    for edge, corner in zip(groins, np.asarray(room, float), strict=True):
        assert edge.points[0] == pytest.approx(corner, abs=1e-9)
        assert edge.points[-1] == pytest.approx(middle, abs=1e-9)
        away, line = edge.points[:, :2] - corner[:2], middle[:2] - corner[:2]
        across = away[:, 0] * line[1] - away[:, 1] * line[0]
        assert np.abs(across).max() < 1e-9
        assert edge.true_shape()[-1, 0] == pytest.approx(np.hypot(*line))


@each_room
@pytest.mark.parametrize("family", ["groin", "cloister"])
def test_neighbouring_webs_meet_at_each_offset(vault: Vault, room: Any, family: str) -> None:
    """A crease point of one web lies at the same offset from its neighbour."""
    shell = vault("segment", room, family=family)
    u = np.linspace(0.06, 0.44, 9)
    for offset in (0.0, 0.03, 0.05):
        for k, web in enumerate(shell.webs):
            _, end = web.cuts(u, offset)
            crease = web.point(u, end, offset)
            beside = shell.webs[k - 1].patch.foot(crease).w
            assert np.allclose(beside, offset, atol=1e-7)
            assert np.allclose(shell.depth(crease), offset, atol=1e-7)


@pytest.mark.parametrize("family", ["groin", "cloister"])
def test_webs_unroll(vault: Vault, family: str) -> None:
    for room in (SQUARE, LONG, ODD):
        shell = vault("segment", room, family=family)
        for web in shell.webs:
            flat = web.develop(0.03)
            assert flat.outline.is_valid or flat.outline.buffer(0).area > 0
            area = flat.outline.buffer(0).area
            assert area == pytest.approx(web.area(0.03), rel=1e-4)
            level = family == "groin" or shell.level
            assert flat.strain < (1e-12 if level else 1e-3)


def test_springings_say_what_carries_them(vault: Vault) -> None:
    groin = vault("segment", ODD, family="groin")
    assert {e.stands_on for e in groin.edges if e.kind == "groin"} == {
        ("A",),
        ("B",),
        ("C",),
        ("D",),
    }
    cloister = vault("segment", ODD, family="cloister")
    carried = {e.stands_on for e in cloister.edges if e.kind == "springing"}
    assert carried == {("near",), ("right",), ("far",), ("left",)}
    for k, edge in enumerate(e for e in cloister.edges if e.kind == "springing"):
        ends = {tuple(np.round(edge.points[i], 9)) for i in (0, -1)}
        assert ends == {tuple(np.asarray(ODD, float)[j % 4]) for j in (k, k + 1)}


def test_sail_stands_on_its_corners_and_walls(vault: Vault) -> None:
    for sail in ("spherical", "translation"):
        shell = vault("segment", ODD, family="sail", sail=sail, rise=600)
        corners = shell.point([0, 1, 1, 0], [0, 0, 1, 1])
        assert np.allclose(corners, ODD, atol=1e-9)
        for k in range(4):
            through, outward = shell.plan.wall(k)
            for offset in (0.0, 0.05):
                assert np.abs((shell.rim(k, offset) - through) @ outward).max() < 1e-6


def test_rings_of_a_dome(vault: Vault) -> None:
    shell = vault("semicircle", LONG, family="dome", oculus=900)
    slant = np.linspace(0, 2.5, 11)
    u = shell.ring_at(slant, 0.05)
    rings = shell.rings(u, 0.05)
    assert np.allclose(rings.slant, slant, atol=1e-9)
    assert np.allclose(rings.radius, 2.05 * np.cos(slant / 2.05))
    points = shell.point(u, 0.37, 0.05)
    assert np.allclose(np.hypot(*(points - shell.centre)[:, :2].T), rings.radius)
    assert shell.point(1.0, 0.0)[0] - shell.centre[0] == pytest.approx(0.45)


def test_nothing_is_inside_the_oculus(vault: Vault) -> None:
    shell = vault("semicircle", SQUARE, family="dome", oculus=900)
    assert not shell.inside([[2.0, 2.0, 4.02], [2.3, 2.0, 4.0]]).any()
    assert np.isnan(shell.height([2.0], [2.0])).all()
    whole = vault("semicircle", SQUARE, family="dome")
    assert whole.inside([[2.0, 2.0, 4.02]]).all()


@pytest.mark.parametrize(
    ("kind", "room", "curve", "key"),
    [
        ("segment", [[0, 0, 2], [4, 0, 2], [1, 1, 2], [0, 4, 2]], {"family": "groin"}, "room"),
        ("segment", [[0, 0, 2], [4, 0, 2], [4, 4, 2], [0, 4, 2.4]], {"family": "cloister"}, None),
        ("segment", SQUARE, {"family": "dome", "oculus": 2100}, "curve.oculus"),
        ("segment", SQUARE, {"family": "dome", "diameter": 4100}, "curve.diameter"),
        ("semicircle", SQUARE, {"family": "sail"}, "curve.rise"),
        ("pointed", SQUARE, {"family": "sail", "sail": "translation"}, "curve.directrix"),
        ("catenary", SQUARE, {"family": "sail"}, "curve.directrix"),
        ("segment", SQUARE, {"family": "groin", "rise": 2200}, "curve.rise"),
        ("segment", [[0, 0, 2], [4, 0, 2], [4, 4, 2.3], [0, 4, 2]], {"family": "barrel"}, None),
    ],
)
def test_refusals(vault: Vault, kind: str, room: Any, curve: Any, key: str | None) -> None:
    with pytest.raises(TimbrelError) as refusal:
        vault(kind, room, **curve)
    assert refusal.value.key == key or (key is None and "levels" in refusal.value.key)
