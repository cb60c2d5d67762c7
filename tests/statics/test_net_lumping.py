"""Loads with an outline: sum and moments at every fineness, in rooms out of square, against closed
forms that know nothing of the net (shoelace, circles, statics of a line)."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import Polygon, box

from timbrel.shape.vault import shape_vault
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_lumping import area_load, line_load, plan_pieces
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.plan_outlines import arrangements, outline_of
from timbrel.words import say

Array = NDArray[np.float64]
TITLE = say("Load")
ODD = np.array([[0, 0, 2.1], [4.1, 0, 2.12], [4.3, 5.1, 2.08], [-0.1, 4.9, 2.1]])
KINDS: dict[str, dict[str, Any]] = {
    "groin": {"family": "groin"},
    "cloister": {"family": "cloister"},
    "sail": {"family": "sail", "rise": 600},
    "dome": {"family": "dome"},
    "oculus": {"family": "dome", "oculus": 900},
}


def vault_on(trial_job: Any, room: Array, **curve: Any) -> Any:
    job = trial_job(curve=curve)
    stated: Any = SimpleNamespace(corners=room, measures=(), checks=())
    return shape_vault(job, stated)


def shoelace(corners: Array) -> tuple[float, Array]:
    """Area and first moments of a polygon's corners (k, 2), anticlockwise."""
    x, y = corners.T
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    both = corners + np.roll(corners, -1, axis=0)
    return float(cross.sum() / 2), np.asarray(cross @ both / 6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("steps", [6, 8, 12])
def test_sum_and_moments_are_exact_at_every_fineness(trial_job: Any, kind: str, steps: int) -> None:
    """Beside the shoelace: full, halves, quarter and patch of every family."""
    vault = vault_on(trial_job, ODD, **KINDS[kind])
    grid = grid_of(solid_of(vault), steps)
    for key, title, outline in arrangements(vault):
        load = area_load(grid, key, title, outline, 1.0, 0)
        rings = [outline.exterior, *outline.interiors]
        turns = [1.0] + [-1.0] * (len(rings) - 1)
        area, first = 0.0, np.zeros(2)
        for ring, turn in zip(rings, turns, strict=True):
            one, moment = shoelace(np.asarray(ring.coords)[:-1])
            area += turn * abs(one)
            first += turn * np.sign(one) * moment
        assert load.weight.sum() == pytest.approx(area, rel=1e-9)
        assert load.weight @ grid.middle[:, :2] == pytest.approx(first, rel=1e-6)
        assert load.total == pytest.approx(area, rel=1e-12)
        assert load.first == pytest.approx(first, rel=1e-9)


def test_outlines_are_those_of_the_plan(trial_job: Any) -> None:
    """Areas and middles by hand: quadrangle, circle, half circle (4 r/(3 pi) off its diameter)."""
    found = {k: o for k, _, o in arrangements(vault_on(trial_job, ODD, family="groin"))}
    area, first = shoelace(ODD[:, :2])
    assert found["full"].area == pytest.approx(area, rel=1e-12)
    assert (found["half.left"].area + found["half.right"].area) == pytest.approx(area, rel=1e-12)
    assert found["half.left"].bounds[2] == pytest.approx(first[0] / area, rel=1e-12)
    wide, deep = np.ptp(ODD[:, :2], axis=0) / 4
    assert found["patch"].area == pytest.approx(wide * deep, rel=1e-12)
    dome = vault_on(trial_job, ODD, family="dome", oculus=900)
    radius = dome.base.span / 2
    found = {k: o for k, _, o in arrangements(dome)}
    whole = np.pi * (radius**2 - 0.45**2)
    assert found["full"].area == pytest.approx(whole, rel=1e-9)
    assert found["quarter"].area == pytest.approx(whole / 4, rel=1e-9)
    off = found["half.right"].centroid.x - dome.centre[0]
    assert off == pytest.approx(2 / 3 * (radius**3 - 0.45**3) / (whole / 2), rel=2e-6)


@settings(
    max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    bends=st.lists(st.floats(-0.3, 0.3), min_size=8, max_size=8),
    corner=st.tuples(st.floats(0.5, 1.5), st.floats(0.5, 1.5)),
    size=st.tuples(st.floats(0.05, 1.5), st.floats(0.05, 1.5)),
    steps=st.sampled_from([6, 8, 10, 14]),
    family=st.sampled_from(["groin", "cloister"]),
)
def test_any_patch_in_any_room(
    trial_job: Any,
    bends: list[float],
    corner: tuple[float, float],
    size: tuple[float, float],
    steps: int,
    family: str,
) -> None:
    """A rectangle anywhere: w times its sides at its middle."""
    room = np.array([[0, 0, 2.1], [4, 0, 2.1], [4, 5, 2.1], [0, 5, 2.1]], float)
    room[:, :2] += np.reshape(bends, (4, 2))
    grid = grid_of(solid_of(vault_on(trial_job, room, family=family)), steps)
    (x, y), (a, b) = corner, size
    load = area_load(grid, "patch", TITLE, box(x, y, x + a, y + b), 2e3, 1)
    assert load.weight.sum() == pytest.approx(2e3 * a * b, rel=1e-6)
    middle = np.array([x + a / 2, y + b / 2])
    assert load.weight @ grid.middle[:, :2] == pytest.approx(2e3 * a * b * middle, rel=1e-6)
    path = np.array([[x, y], [x + a, y + b], [x + a, y]])
    line = line_load(grid, "line", TITLE, path, 1e3, 1)
    long = np.hypot(a, b)
    assert line.weight.sum() == pytest.approx(1e3 * (long + b), rel=1e-6)
    first = 1e3 * (long * middle + b * np.array([x + a, y + b / 2]))
    assert line.weight @ grid.middle[:, :2] == pytest.approx(first, rel=1e-6)


def test_a_load_acts_on_the_cells_under_it_alone(trial_job: Any) -> None:
    grid = grid_of(solid_of(vault_on(trial_job, ODD, family="groin")), 12)
    load = area_load(grid, "spot", TITLE, box(0.6, 0.6, 0.9, 0.9), 1e3, 1)
    line = line_load(grid, "line", TITLE, np.array([[0.6, 0.6], [0.9, 0.9]]), 1e3, 1)
    far = np.abs(grid.middle[:, :2] - 0.75).max(axis=1) > 0.15 + 0.75
    for one in (load, line):
        assert np.abs(one.weight[far]).max() == 0.0
        assert one.weight.min() > -1e-9


def test_a_varying_load_by_its_pieces(trial_job: Any) -> None:
    """The pieces integrate polynomials: x y over a rectangle is the product of its static moments,
    holes and hollow outlines included."""
    grid = grid_of(solid_of(vault_on(trial_job, ODD, family="groin")), 8)
    outer, inner = box(0.5, 0.7, 3.1, 2.9), box(1.0, 1.1, 2.3, 2.0)
    parts = plan_pieces(grid, Polygon(outer.exterior, [inner.exterior.coords]))
    x, y = parts.plan.T
    wanted = (3.1**2 - 0.5**2) * (2.9**2 - 0.7**2) / 4 - (2.3**2 - 1) * (2.0**2 - 1.1**2) / 4
    assert parts.area @ (x * y) == pytest.approx(wanted, rel=1e-12)


def test_what_lies_off_the_net_is_refused(trial_job: Any) -> None:
    vault = vault_on(trial_job, ODD, family="dome", oculus=900)
    grid = grid_of(solid_of(vault), 6)
    x, y = vault.centre[:2]
    for outline in (box(x - 0.2, y - 0.2, x + 0.2, y + 0.2), outline_of(vault).buffer(1.0)):
        with pytest.raises(ValueError, match="off the net"):
            plan_pieces(grid, outline)


def test_symmetric_loads_stay_symmetric(trial_job: Any) -> None:
    """The net halves its program only where loads on mirrored nodes agree to 1e-9."""
    room = np.array([[0, 0, 2.1], [4, 0, 2.1], [4, 4, 2.1], [0, 4, 2.1]], float)
    for curve in ({"family": "cloister"}, {"family": "dome", "oculus": 900}):
        vault = vault_on(trial_job, room, **curve)
        grid = grid_of(solid_of(vault), 8)
        weights = {k: area_load(grid, k, t, o, 1.0, 0).weight for k, t, o in arrangements(vault)}
        for twin in grid.twins:
            for key in ("full", "patch") if vault.family == "cloister" else ("full",):
                assert weights[key][twin] == pytest.approx(weights[key], abs=1e-12)
