"""The elastic shell of the stages against closed forms and against the elastic arch.

Sources: Timoshenko and Woinowsky-Krieger 1959, Theory of Plates and Shells, table 35 (clamped square
plate under even load: deflection 0.00126 q a^4/D, moment at the middle of an edge 0.0513 q a^2, for a
Poisson's ratio of 0.3; the deflection does not depend on it); art. 128 of the same for the membrane
of a spherical cap with an open top (hoop force at a free upper edge: -q R cos phi0, phi0 of the edge;
derived from the general solution); the cantilever, Timoshenko beam theory (from memory). The fixed
arch of :mod:`timbrel.statics.elastic` is met by an independent frame program in
`test_elastic_arch_pynite.py`.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from timbrel.statics.building.elastic_shell import ElasticShell
from timbrel.statics.building.shell_element import POISSON
from timbrel.statics.elastic import ElasticArch, elastic_answer, tension_needed

MODULUS, THICK = 4.0e9, 0.030


def sheet(points: np.ndarray) -> np.ndarray:
    """Triangles over a (rows, columns, 3) grid of points, diagonals by turns."""
    rows, columns = points.shape[:2]
    number = np.arange(rows * columns).reshape(rows, columns)
    found = []
    for r in range(rows - 1):
        for c in range(columns - 1):
            a, b = number[r, c], number[r, c + 1]
            d, e = number[r + 1, c], number[r + 1, c + 1]
            found += [(a, b, e), (a, e, d)] if (r + c) % 2 else [(a, b, d), (b, e, d)]
    return np.array(found)


def shell(points: np.ndarray, triangles: np.ndarray, held: np.ndarray, t: float) -> ElasticShell:
    count = len(triangles)
    return ElasticShell(points, triangles, np.full(count, t), MODULUS, np.ones(count), held)


def areas(points: np.ndarray, triangles: np.ndarray) -> np.ndarray:
    a, b, c = (points[triangles[:, k]] for k in range(3))
    share = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 6
    nodes = np.zeros(len(points))
    for k in range(3):
        np.add.at(nodes, triangles[:, k], share)
    return nodes


@pytest.fixture
def strip() -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """A strip of a segment: points, triangles, held, axis (x, z)."""
    turn = np.linspace(-np.pi / 4, np.pi / 4, 49)
    row = 2.4 * np.stack([np.sin(turn), 0 * turn, np.cos(turn)], axis=1)
    grid = np.stack([row + np.array([0.0, y, 0.0]) for y in (0.0, 0.1, 0.2)])
    points = grid.reshape(-1, 3)
    held = np.zeros(len(points), bool)
    held[::49] = held[48::49] = True
    return points, sheet(grid), held, row[:, [0, 2]]


@pytest.mark.parametrize("loaded", ["all", "half"])
def test_a_strip_is_the_elastic_arch(strip, loaded: str) -> None:  # type: ignore[no-untyped-def]
    points, triangles, held, axis = strip
    pressure = 545.0
    where = (
        np.ones(len(points)) if loaded == "all" else (points[:, 0] < 0) + 0.5 * (points[:, 0] == 0)
    )
    weight = pressure * areas(points, triangles) * where
    answer = shell(points, triangles, held, THICK).answer(weight)
    per_joint = weight.reshape(3, -1).sum(axis=0) / 0.2
    arch = ElasticArch.uniform(axis, THICK, MODULUS)
    found = elastic_answer(arch, np.column_stack([0 * per_joint, -per_joint]))
    wanted = tension_needed(found, THICK)
    # The elements tell the tension between joints, up to half a segment from the peak at the
    # springing; a shell 0.2 m wide is a little stiffer across than a row of strips.
    between = np.maximum((wanted[1:] + wanted[:-1]) / 2, 0).max()
    assert between * 0.97 < answer.tension.max() < wanted.max() * 1.03
    assert answer.press.max() == pytest.approx(found.normal.max(), rel=0.05)


def test_a_spread_bends_a_strip_like_the_arch(strip) -> None:  # type: ignore[no-untyped-def]
    points, triangles, held, axis = strip
    shift = np.zeros_like(points)
    shift[held & (points[:, 0] > 0), 0] = 0.001
    answer = shell(points, triangles, held, THICK).answer(np.zeros(len(points)), shift=shift)
    arch = ElasticArch.uniform(axis, THICK, MODULUS)
    found = elastic_answer(arch, np.zeros_like(axis), spread=0.001)
    wanted = tension_needed(found, THICK)
    assert answer.tension.max() == pytest.approx(wanted.max(), rel=0.05)


def test_a_deep_cantilever_bends_in_its_own_plane_as_a_beam() -> None:
    long, deep = 1.0, 0.2
    x, z = np.meshgrid(np.linspace(0, long, 17), np.linspace(0, deep, 5))
    grid = np.stack([x, 0 * x, z], axis=-1)
    points = grid.reshape(-1, 3)
    weight = np.zeros(len(points))
    weight[16::17] = 1000.0 / 5
    found = shell(points, sheet(grid), np.equal(points[:, 0], 0), THICK).answer(weight)
    inertia = THICK * deep**3 / 12
    shear = MODULUS / 2 / (1 + POISSON)
    wanted = 1000 * long**3 / 3 / MODULUS / inertia + 1000 * long * 1.2 / (shear * THICK * deep)
    tip = -found.moved[np.isclose(points[:, 0], long), 2].mean()
    assert tip == pytest.approx(wanted, rel=0.02)


def test_a_clamped_square_plate() -> None:
    steps, side, pressure = 16, 1.0, 545.0
    x, y = np.meshgrid(*[np.linspace(0, side, steps + 1)] * 2)
    grid = np.stack([x, y, 0 * x], axis=-1)
    points = grid.reshape(-1, 3)
    away: np.ndarray = np.abs(points[:, :2] - side / 2).max(axis=1)
    rim = np.greater(away, side / 2 - 1e-9)
    triangles = sheet(grid)
    found = shell(points, triangles, rim, THICK).answer(pressure * areas(points, triangles))
    stiffness = MODULUS * THICK**3 / 12 / (1 - POISSON**2)
    assert -found.moved.min() == pytest.approx(0.00126 * pressure / stiffness, rel=0.02)
    assert found.tension.max() == pytest.approx(6 * 0.0513 * pressure / THICK**2, rel=0.08)


def test_a_cap_with_an_open_top_presses_round_its_free_edge() -> None:
    """Thin enough to be a membrane away from its seat: hoop force at the free edge q R cos phi0."""
    radius, open_at, seat, pressure = 2.0, np.radians(20), np.radians(60), 545.0
    turn = np.linspace(0, 2 * np.pi, 97)[:-1]
    down = np.linspace(open_at, seat, 33)
    grid = radius * np.stack(
        [
            np.sin(down)[:, None] * np.cos(turn),
            np.sin(down)[:, None] * np.sin(turn),
            np.cos(down)[:, None] * np.ones(96),
        ],
        axis=-1,
    )
    points = grid.reshape(-1, 3)
    closed = np.concatenate([grid, grid[:, :1]], axis=1)
    number = np.concatenate(
        [np.arange(33 * 96).reshape(33, 96), np.arange(33 * 96).reshape(33, 96)[:, :1]], axis=1
    ).ravel()
    triangles = number[sheet(closed)]
    held = np.zeros(len(points), bool)
    held[-96:] = True
    found = shell(points, triangles, held, 0.005).answer(pressure * areas(points, triangles))
    first = (triangles < 96).any(axis=1)
    wanted = pressure * radius * np.cos(down[:2].mean())
    assert np.median(found.press[first]) == pytest.approx(wanted, rel=0.03)


def test_a_moment_on_an_edge_bends_a_strip_by_the_beam_formula() -> None:
    """Level cantilever, moment M at its free edge: the edge sinks by M L^2/(2 E I) and every section
    is pulled by 6 M/(b t^2) (beam theory, from memory). The strip is narrow, so that it may bend
    across as a beam does."""
    x, y = np.meshgrid(np.linspace(0, 1, 41), np.linspace(0, 0.05, 3))
    grid = np.stack([x, y, 0 * x], axis=-1)
    points = grid.reshape(-1, 3)
    tip = np.isclose(points[:, 0], 1.0)
    moment = np.zeros_like(points)
    moment[tip, 1] = 12.0 / tip.sum()  # about y, right-handed: the tip sinks
    held = np.isclose(points[:, 0], 0.0)
    found = shell(points, sheet(grid), held, THICK).answer(np.zeros(len(points)), moment=moment)
    inertia = 0.05 * THICK**3 / 12
    sinks = -found.moved[tip, 2].mean()
    assert sinks == pytest.approx(12.0 / (2 * MODULUS * inertia), rel=0.02)
    middle = np.abs(points[sheet(grid)].mean(axis=1)[:, 0] - 0.5) < 0.2
    assert np.median(found.tension[middle]) == pytest.approx(6 * 12 / 0.05 / THICK**2, rel=0.05)


@pytest.mark.parametrize("share", [0.02, 1e-3])
def test_a_weak_part_is_the_elastic_arch_with_a_weak_segment(share: float) -> None:
    """A fixed strip of a segment, half loaded, one segment beside the crown nearly without stiffness
    in bending."""
    turn = np.linspace(-np.pi / 4, np.pi / 4, 49)
    row = 2.4 * np.stack([np.sin(turn), 0 * turn, np.cos(turn)], axis=1)
    grid = np.stack([row + np.array([0.0, y, 0.0]) for y in (0.0, 0.1, 0.2)])
    points, triangles = grid.reshape(-1, 3), sheet(grid)
    held = np.zeros(len(points), bool)
    held[::49] = held[48::49] = True
    weight = 545.0 * areas(points, triangles) * (points[:, 0] < 0)
    middle = points[triangles].mean(axis=1)[:, 0]
    key = (middle > row[23, 0]) & (middle < row[24, 0])
    bending = np.where(key, share, 1.0)
    soft = ElasticShell(points, triangles, np.full(len(key), THICK), MODULUS, bending, held)
    found = soft.answer(weight)
    arch = ElasticArch.uniform(row[:, [0, 2]], THICK, MODULUS)
    stiffness = arch.bending.copy()
    stiffness[23] *= share
    per_joint = weight.reshape(3, -1).sum(axis=0) / 0.2
    answer = elastic_answer(
        replace(arch, bending=stiffness), np.column_stack([0 * per_joint, -per_joint])
    )
    wanted = tension_needed(answer, THICK).max()
    assert found.tension.max() == pytest.approx(wanted, rel=0.04)
    assert found.tension[key].max() < 0.1 * wanted


def test_guides_push_and_never_pull() -> None:
    """A beam on three guides, one of them under its free end that lifts: by hand that one is idle."""
    x, y = np.meshgrid(np.linspace(0, 2, 41), np.linspace(0, 0.1, 3))
    grid = np.stack([x, y, 0 * x], axis=-1)
    points = grid.reshape(-1, 3)
    weight = np.zeros(len(points))
    weight[np.isclose(points[:, 0], 0.5)] = 100.0
    guides = np.isclose(points[:, 0], 1.0) | np.isclose(points[:, 0], 2.0)
    held = np.equal(points[:, 0], 0)
    found = shell(points, sheet(grid), held, THICK).answer(weight, guides=guides)
    assert (found.guides >= 0).all()
    assert found.guides[np.isclose(points[:, 0], 2.0)].sum() == pytest.approx(0.0, abs=1e-9)
    # Propped cantilever, point load at the middle: the prop takes 5/16.
    assert found.guides.sum() == pytest.approx(300 * 5 / 16, rel=0.03)
