"""The barrel in square, skew and out-of-square rooms, against differences and meshes."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from timbrel.words import TimbrelError

Vault = Callable[..., Any]
KINDS = ("segment", "semicircle", "catenary", "parabola", "three-centre", "pointed")
SQUARE = [[0, 0, 2], [4, 0, 2], [4, 6, 2], [0, 6, 2]]
SKEW = [[0, 0, 2], [4, 0, 2], [6, 6, 2], [2, 6, 2]]
OUT_OF_SQUARE = [[0, 0, 2], [4.1, 0, 2.03], [4.3, 6.1, 1.98], [-0.1, 5.9, 2.01]]
ROOMS = {"square": SQUARE, "skew": SKEW, "out of square": OUT_OF_SQUARE}

each_kind = pytest.mark.parametrize("kind", KINDS)
each_room = pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS.keys())


def shell_mesh(vault: Any, n: int = 400, m: int = 12) -> trimesh.Trimesh:
    """The masonry as a closed mesh: both faces, cut at the end walls, and four sides."""
    u = np.linspace(0, 1, n + 1)
    faces = []
    for offset in (0.0, vault.thickness):
        start, end = vault.end_cuts(u, offset)
        v = start[:, None] + (end - start)[:, None] * np.linspace(0, 1, m + 1)
        faces.append(vault.point(u[:, None], v, offset))
    points = np.stack(faces)
    index = np.arange(points[..., 0].size).reshape(2, n + 1, m + 1)
    inner, outer = index

    def quads(g: Any) -> Any:
        a, b, c, d = g[:-1, :-1], g[1:, :-1], g[1:, 1:], g[:-1, 1:]
        return np.concatenate([np.stack(t, -1).reshape(-1, 3) for t in ((a, b, c), (a, c, d))])

    sides = [inner[:, ::-1], outer]
    sides += [index[:, 0, :], index[:, -1, ::-1], index[:, ::-1, 0], index[:, :, -1]]
    return trimesh.Trimesh(points.reshape(-1, 3), np.concatenate([quads(s) for s in sides]))


@each_kind
@each_room
def test_ends_stand_on_the_corners(vault: Vault, kind: str, room: Any) -> None:
    shell = vault(kind, room)
    corners = shell.point([0, 1, 1, 0], [0, 0, 1, 1])
    assert np.allclose(corners, room, atol=1e-9)


@each_kind
@each_room
def test_normals_against_differences(vault: Vault, kind: str, room: Any) -> None:
    shell = vault(kind, room)
    u, v = np.meshgrid([0.03, 0.21, 0.43, 0.58, 0.77, 0.97], [0.0, 0.3, 1.0])
    h = 1e-6
    by_u = shell.point(u + h, v) - shell.point(u - h, v)
    by_v = shell.point(u, v + h) - shell.point(u, v - h)
    normal = np.cross(by_u, by_v)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    assert np.allclose(shell.normal(u, v), normal, atol=1e-7)
    assert np.all(shell.normal(u, v)[..., 2] > 0)


@each_kind
@each_room
def test_curvatures_against_differences_of_the_normal(vault: Vault, kind: str, room: Any) -> None:
    """trace and determinant of the shape operator: dN = -S dX, outward normal, hollow below +."""
    shell = vault(kind, room)
    u, v = np.array([0.08, 0.3, 0.62, 0.9]), np.array([0.2, 0.9, 0.5, 0.1])
    h = 1e-5
    greatest, least = shell.curvatures(u, v)
    for i in range(len(u)):
        x = [
            (shell.point(u[i] + h, v[i]) - shell.point(u[i] - h, v[i])) / (2 * h),
            (shell.point(u[i], v[i] + h) - shell.point(u[i], v[i] - h)) / (2 * h),
        ]
        n = [
            (shell.normal(u[i] + h, v[i]) - shell.normal(u[i] - h, v[i])) / (2 * h),
            (shell.normal(u[i], v[i] + h) - shell.normal(u[i], v[i] - h)) / (2 * h),
        ]
        turn, *_ = np.linalg.lstsq(np.stack(x, 1), np.stack(n, 1), rcond=None)
        assert np.trace(turn) == pytest.approx(greatest[i] + least[i], rel=1e-5)
        assert np.linalg.det(turn) == pytest.approx(greatest[i] * least[i], abs=1e-6)


@each_kind
@each_room
def test_area_and_volume_against_a_mesh(vault: Vault, kind: str, room: Any) -> None:
    """Mesh twice as fine, then extrapolated (its error falls with the square of the step).

    The pointed extrados is drawn on to its mitre along the tangent, so its volume keeps an error
    of the fourth order in the thickness: 1e-4.
    """
    shell = vault(kind, room)
    coarse, fine = shell_mesh(shell, 200, 8), shell_mesh(shell, 400, 16)
    assert fine.is_watertight
    volume = fine.volume + (fine.volume - coarse.volume) / 3
    assert shell.volume == pytest.approx(volume, rel=1e-4 if kind == "pointed" else 2e-6)

    def intrados(mesh: Any, n: int, m: int) -> float:
        return float(mesh.area_faces[: 2 * n * m].sum())

    a, b = intrados(coarse, 200, 8), intrados(fine, 400, 16)
    assert shell.area() == pytest.approx(b + (b - a) / 3, rel=2e-6)


@each_kind
def test_square_barrel_in_closed_form(vault: Vault, kind: str) -> None:
    shell = vault(kind, SQUARE)
    arc = shell.near
    assert shell.area() == pytest.approx(6 * arc.length)
    assert shell.axis_length == pytest.approx(6)
    if kind != "pointed":
        t = shell.thickness
        turning = float(arc.angle(0.0) - arc.angle(arc.length))
        assert shell.volume == pytest.approx(6 * t * (arc.length + t * turning / 2))


@each_kind
@each_room
def test_joints_lie_on_both_faces_and_are_square_in_a_square_room(
    vault: Vault, kind: str, room: Any
) -> None:
    shell = vault(kind, room)
    u = np.linspace(0, 1, 33)
    for v in (0.0, 0.4, 1.0):
        inner, outer = shell.joints(v, u)
        assert inner[0] == pytest.approx([0, shell.point(0, v)[2]], abs=1e-9)
        plane = shell.plane(v)
        for points, offset in ((inner, 0.0), (outer, shell.thickness)):
            space = plane.left + points[:, :1] * plane.across
            space[:, 2] = points[:, 1]
            station = shell.station(v, u, offset)
            assert np.allclose(space, shell.point(u, station, offset), atol=1e-9)
    if room is SQUARE and kind != "pointed":
        assert np.allclose(np.linalg.norm(outer - inner, axis=1), shell.thickness)


@pytest.mark.parametrize("line", ["intrados", "axis", "extrados"])
@each_kind
def test_the_line_that_is_given_stands_on_the_springing(vault: Vault, kind: str, line: str) -> None:
    shell = vault(kind, SQUARE, line=line)
    depth = {"intrados": 0.0, "axis": 0.5, "extrados": 1.0}[line] * shell.thickness
    given_line = shell.section(0.5, depth)
    # A pointed crown rises on the tangent's mitre: 0.1 mm here.
    assert given_line[0] == pytest.approx([0 + given_line[0, 0], 2.0], abs=1e-9)
    start = shell.point([0.0, 1.0], [0.0, 0.0], depth)
    assert np.allclose(start, [[0, 0, 2], [4, 0, 2]], atol=1e-9)
    rise = {"segment": 0.8, "semicircle": 2.0, "three-centre": 1.2, "pointed": 2.6}.get(kind, 1.0)
    crown = given_line[:, 1].max() - 2.0
    assert crown == pytest.approx(rise, abs=2e-4 if kind == "pointed" else 1e-9)


@pytest.mark.parametrize("keep", ["rise", "rise over span", "crown level"])
def test_what_is_kept_along_the_axis(vault: Vault, keep: str) -> None:
    wedge = [[0, 0, 2], [4, 0, 2.1], [4.5, 6, 2.0], [-0.5, 6, 2.0]]
    shell = vault("segment", wedge, keep=keep)
    far_span = 5.0
    assert shell.far.span == pytest.approx(far_span)
    crowns = [float(shell.point(0.5, v)[2]) for v in (0.0, 1.0)]
    if keep == "rise":
        assert shell.far.rise == pytest.approx(shell.near.rise)
    elif keep == "rise over span":
        assert shell.far.rise / far_span == pytest.approx(shell.near.rise / shell.near.span)
    else:
        assert crowns[0] == pytest.approx(crowns[1])


def test_refusals(vault: Vault) -> None:
    wedge = [[0, 0, 2], [4, 0, 2], [4.5, 6, 2], [-0.5, 6, 2]]
    with pytest.raises(TimbrelError) as refusal:
        vault("semicircle", wedge, keep="crown level")
    assert refusal.value.key == "curve.keep"
    with pytest.raises(TimbrelError) as refusal:
        vault("pointed", wedge, rise=2100, keep="rise")
    assert refusal.value.key == "curve.keep"
    assert refusal.value.more
    narrow = [[0, 0, 2], [0.4, 0, 2], [0.4, 6, 2], [0, 6, 2]]
    with pytest.raises(TimbrelError, match="thick"):
        vault("parabola", narrow, rise=400, line="extrados")


@st.composite
def rooms(draw: DrawFn) -> list[list[float]]:
    """Convex rooms some 0.4 m out of square and 25 mm out of level."""
    jitter = st.floats(-0.4, 0.4)
    level = st.floats(-0.025, 0.025)
    width, depth = draw(st.floats(2.5, 6)), draw(st.floats(3, 9))
    square = [[0.0, 0.0], [width, 0.0], [width, depth], [0.0, depth]]
    moved = [[x + draw(jitter) * i, y + draw(jitter) * i] for i, (x, y) in enumerate(square)]
    return [[x, y, 2 + draw(level)] for x, y in moved]


@settings(max_examples=25, deadline=None)
@given(room=rooms(), kind=st.sampled_from(KINDS[:5]))
def test_any_room_unrolls_and_comes_back(vault: Vault, room: Any, kind: str) -> None:
    span = float(np.hypot(*np.subtract(room[1], room[0])[:2]))
    rise = {} if kind == "semicircle" else {"rise": span * 300, "keep": "rise over span"}
    shell = vault(kind, room, **rise)
    flat = shell.develop(0.02)
    grid = np.linspace(0, 1, 9)
    u, v = np.meshgrid(grid, grid)
    back_u, back_v = flat.lift(flat.flat(u, v))
    assert np.allclose(back_u, u, atol=1e-9)
    assert np.allclose(back_v, v, atol=1e-9)
    # Flattening stretches no length by more than the strain that it reports.
    assert flat.outline.area == pytest.approx(shell.area(0.02), rel=2 * flat.strain + 1e-5)
    assert flat.strain < 0.1
