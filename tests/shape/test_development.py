"""Unrolling: lengths kept, ends cut true, strain reported where a web does not lie flat."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

Vault = Callable[..., Any]
KINDS = ("segment", "semicircle", "catenary", "parabola", "three-centre", "pointed")
SQUARE = [[0, 0, 2], [4, 0, 2], [4, 6, 2], [0, 6, 2]]
SKEW = [[0, 0, 2], [4, 0, 2], [6, 6, 2], [2, 6, 2]]
WEDGE = [[0, 0, 2], [4, 0, 2], [4.5, 6, 2.1], [-0.5, 6, 2.1]]
CONE = [[0, 0, 2], [4, 0, 2], [5, 6, 2], [-1, 6, 2]]


@pytest.mark.parametrize("kind", KINDS)
def test_a_square_barrel_unrolls_to_a_rectangle(vault: Vault, kind: str) -> None:
    shell = vault(kind, SQUARE)
    for layer in shell.layers:
        flat = shell.develop(layer.middle)
        arc = float(shell.near.offset_length(shell.near.length, layer.middle))
        assert flat.strain < 1e-12
        # A pointed layer ends on the tangent's mitre, not on the drawn-on arcs: 0.1 mm.
        wanted = pytest.approx([0, 0, 6, arc], abs=1e-4 if kind == "pointed" else 1e-9)
        assert list(flat.outline.bounds) == wanted
        assert flat.outline.area == pytest.approx(6 * arc, rel=3e-5)


@pytest.mark.parametrize("kind", KINDS)
def test_a_skew_barrel_keeps_its_area_and_its_ends(vault: Vault, kind: str) -> None:
    """A translated directrix makes a cylinder: no strain, but ends that are no longer straight."""
    shell = vault(kind, SKEW)
    for offset in (0.0, 0.04):
        flat = shell.develop(offset)
        assert flat.strain < 1e-12
        assert flat.outline.area == pytest.approx(shell.area(offset), rel=1e-6)
    near = shell.develop(0.0).flat(np.linspace(0, 1, 4001), 0.0)
    walked = np.hypot(*np.diff(near, axis=0).T).sum()
    assert walked == pytest.approx(shell.near.length, rel=1e-6)


def test_a_cone_unrolls(vault: Vault) -> None:
    """Similar segments over similar chords meet at one apex: a cone, exactly developable."""
    shell = vault("segment", CONE, keep="rise over span")
    flat = shell.develop(0.0)
    assert flat.strain < 1e-9
    assert flat.outline.area == pytest.approx(shell.area(), rel=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_flat_distances_against_distances_in_space(vault: Vault, kind: str) -> None:
    """Short distances in any direction differ by no more than the strain."""
    shell = vault(kind, WEDGE, keep="rise over span")
    random = np.random.default_rng(7)
    u, v = random.uniform(0.02, 0.98, 400), random.uniform(0.0, 1.0, 400)
    du, dv = random.uniform(-1e-4, 1e-4, 400), random.uniform(-1e-4, 1e-4, 400)
    for offset in (0.0, 0.04):
        flat = shell.develop(offset)
        lengths = np.linalg.norm(flat.flat(u + du, v + dv) - flat.flat(u, v), axis=-1)
        space = shell.point(u + du, v + dv, offset) - shell.point(u, v, offset)
        stretch = np.abs(lengths / np.linalg.norm(space, axis=-1) - 1)
        near_ridge = np.abs(u - 0.5) < 0.1 if kind == "pointed" else np.zeros_like(u, bool)
        assert stretch[~near_ridge].max() <= flat.strain + 2e-5
        assert flat.strain < 0.01


def test_the_outline_ends_on_the_walls(vault: Vault) -> None:
    """Every corner of the outline, lifted, lies in a wall's plane or on a springing."""
    shell = vault("segment", WEDGE)
    flat = shell.develop(0.04)
    u, v = flat.lift(np.asarray(flat.outline.exterior.coords))
    points = shell.point(u, v, 0.04)
    corners = np.asarray(WEDGE, float)
    distances = []
    for p, q in ((0, 1), (3, 2)):
        along = (corners[q] - corners[p])[:2]
        across = np.array([-along[1], along[0]]) / np.hypot(*along)
        distances.append(np.abs((points[:, :2] - corners[p, :2]) @ across))
    on_wall = np.min(distances, axis=0) < 1e-5
    assert on_wall.all()


def test_lift_is_quick_enough_to_be_vectorised(vault: Vault) -> None:
    shell = vault("catenary", WEDGE)
    flat = shell.develop(0.01)
    xy = np.random.default_rng(3).uniform([0.5, 0.5], [5, 4], (40, 50, 2))
    u, v = flat.lift(xy)
    assert u.shape == v.shape == (40, 50)
    assert np.allclose(flat.flat(u, v), xy, atol=1e-10)
