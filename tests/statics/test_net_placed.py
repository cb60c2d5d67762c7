"""Loads that stand in places of their own on a vault on a plan: sums and moments at every fineness,
in a room out of square, and what is refused."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from timbrel.shape.vault import shape_vault
from timbrel.statics.net_actions import NetActions, net_actions
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_level import LevelLoad, extrados_pieces
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_others import level_pushes
from timbrel.statics.net_solid import NetGrid
from timbrel.statics.net_vaults import VaultSolid, solid_of
from timbrel.statics.plan_outlines import outline_of
from timbrel.words import TimbrelError

Array = NDArray[np.float64]
ODD = np.array([[0, 0, 2.1], [4.1, 0, 2.12], [4.3, 5.1, 2.08], [-0.1, 4.9, 2.1]])
KINDS: dict[str, dict[str, Any]] = {
    "groin": {"family": "groin"},
    "cloister": {"family": "cloister"},
    "sail": {"family": "sail", "rise": 600},
    "dome": {"family": "dome"},
}
FINENESSES = (6, 8, 12)
WALL = {"name": "Partition", "x": 1300, "y": 1500, "x_end": 2600, "y_end": 3400, "load": 3}
POST = {"name": "Post", "x": 1900, "y": 2200, "force": 5}
STORE = {"name": "Store", "x": 1500, "y": 2000, "width": 800, "length": 600, "pressure": 4}
STATED = {
    "lines": [WALL],
    "points": [POST],
    "patches": [STORE],
    "snow": 1.2,
    "wind_left": 0.6,
    "wind_right": -0.3,
    "fill": {"kind": "light", "saturated": 14},
}


def acted(
    trial_job: Any, kind: str, steps: int, **loads: Any
) -> tuple[VaultSolid, NetGrid, NetActions]:
    job = trial_job(curve=KINDS[kind], loads={**STATED, **loads})
    room: Any = SimpleNamespace(corners=ODD, measures=(), checks=())
    solid = solid_of(shape_vault(job, room))
    grid = grid_of(solid, steps)
    return solid, grid, net_actions(job, solid, grid)


def named(acts: NetActions) -> dict[str, NetLoad]:
    every = [*acts.permanent, *acts.patterns, *(o.load for o in acts.others)]
    return {load.key: load for load in every}


def lever(grid: NetGrid, load: NetLoad) -> Array:
    """First moments of the nodes' loads."""
    return np.asarray(load.weight @ grid.middle[:, :2])


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("steps", FINENESSES)
def test_placed_loads_keep_sum_and_moments(trial_job: Any, kind: str, steps: int) -> None:
    """By hand: length by load at its middle; force at its spot; pressure by area at its middle."""
    _, grid, acts = acted(trial_job, kind, steps)
    found = named(acts)
    by_hand = {
        "loads.lines.1": (3e3 * np.hypot(1.3, 1.9), (1.95, 2.45)),
        "loads.points.1": (5e3, (1.9, 2.2)),
        "loads.patches.1": (4e3 * 0.8 * 0.6, (1.9, 2.3)),
    }
    for key, (total, middle) in by_hand.items():
        load = found[key]
        assert load.weight.sum() == pytest.approx(total, rel=1e-9)
        assert load.total == pytest.approx(total, rel=1e-9)
        assert lever(grid, load) == pytest.approx(total * np.array(middle), rel=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_what_stays_is_dead_and_what_comes_is_a_pattern(trial_job: Any, kind: str) -> None:
    _, _, acts = acted(trial_job, kind, 6)
    assert "loads.lines.1" in {p.key for p in acts.permanent}
    assert {"loads.points.1", "loads.patches.1"} <= {p.key for p in acts.patterns}
    assert acts.dead.total == pytest.approx(sum(p.total for p in acts.permanent))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("steps", FINENESSES)
def test_snow_stands_on_the_plan_and_drifts(trial_job: Any, kind: str, steps: int) -> None:
    solid, grid, acts = acted(trial_job, kind, steps)
    whole = outline_of(solid.vault)
    found = named(acts)
    assert found["snow"].weight.sum() == pytest.approx(1.2e3 * whole.area, rel=1e-6)
    both = found["drift.left"].weight + found["drift.right"].weight
    assert both == pytest.approx(1.5 * found["snow"].weight, rel=1e-6, abs=1e-3)
    assert lever(grid, found["drift.left"])[0] < 0.75 * lever(grid, found["snow"])[0]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("steps", FINENESSES)
def test_wind_has_force_and_moment_of_its_pressure(trial_job: Any, kind: str, steps: int) -> None:
    """Summed over the pieces of the extrados, and over the lines of the net with where they take it."""
    solid, grid, acts = acted(trial_job, kind, steps)
    wind = named(acts)["wind"]
    assert isinstance(wind, LevelLoad)
    parts = extrados_pieces(solid, grid)
    left = parts.point[:, 0] < outline_of(solid.vault).centroid.x
    force = -np.where(left, 600.0, -300.0)[:, None] * parts.area
    if kind == "groin":  # its rows bear wind in their own planes alone
        web = solid.web_at(*grid.spread[parts.cell].mean(axis=1).T)
        out = np.stack([solid.vault.plan.wall(k)[1] for k in range(4)])[web]
        force -= np.einsum("pa,pa->p", force, out)[:, None] * out
    size = np.abs(force).sum()
    assert wind.force.sum(axis=0) == pytest.approx(force.sum(axis=0), abs=1e-9 * size)
    turning = np.cross(parts.point, force).sum(axis=0)
    taken = np.cross(grid.middle, wind.force) + np.cross(grid.half, wind.couple)
    assert taken.sum(axis=0) == pytest.approx(turning, abs=1e-9 * size)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("steps", FINENESSES)
def test_a_level_push_is_a_share_of_all_that_stays(trial_job: Any, kind: str, steps: int) -> None:
    """Its force by hand; its moment about the bodies' own places."""
    _, grid, acts = acted(trial_job, kind, steps)
    bodies = acts.bodies
    point = np.concatenate([*(b.point for b in bodies.spread), grid.outer])
    weight = np.concatenate([*(b.weight for b in bodies.spread), bodies.standing])
    assert weight.sum() == pytest.approx(acts.dead.total, rel=1e-9)
    ways = {
        "level.right": (1, 0),
        "level.left": (-1, 0),
        "level.far": (0, 1),
        "level.near": (0, -1),
    }
    for push in level_pushes(grid, acts.bodies, 0.1, 1):
        load = push.load
        assert isinstance(load, LevelLoad)
        way = np.array([*ways[load.key], 0.0])
        total = 0.1 * acts.dead.total
        assert load.force.sum(axis=0) == pytest.approx(total * way, abs=1e-9 * total)
        turning = np.cross(point, 0.1 * weight[:, None] * way).sum(axis=0)
        taken = np.cross(grid.middle, load.force) + np.cross(grid.half, load.couple)
        assert taken.sum(axis=0) == pytest.approx(turning, abs=1e-8 * total)


@pytest.mark.parametrize(
    ("kind", "table", "row"),
    [
        ("sail", "points", {**POST, "x": 4500}),
        ("groin", "lines", {**WALL, "y_end": 5300}),
        ("cloister", "patches", {**STORE, "x": 3800}),
        ("dome", "points", {**POST, "x": 300, "y": 300}),
    ],
)
def test_a_load_off_the_plan_is_refused(
    trial_job: Any, kind: str, table: str, row: dict[str, Any]
) -> None:
    with pytest.raises(TimbrelError, match="off the plan") as error:
        acted(trial_job, kind, 6, **{table: [row]})
    assert error.value.key == f"loads.{table}.1"
    assert str(error.value).count(".") <= str(error.value).count("loads.") * 2 + 1


def test_a_load_over_an_oculus_is_refused(trial_job: Any) -> None:
    job = trial_job(curve={"family": "dome", "oculus": 900}, loads={"points": [POST]})
    room: Any = SimpleNamespace(corners=ODD, measures=(), checks=())
    solid = solid_of(shape_vault(job, room))
    spot = outline_of(solid.vault).centroid
    middle = {**POST, "x": spot.x * 1e3, "y": spot.y * 1e3}
    job = trial_job(curve={"family": "dome", "oculus": 900}, loads={"points": [middle]})
    with pytest.raises(TimbrelError, match="the vault is open"):
        net_actions(job, solid, grid_of(solid, 6))


@pytest.mark.parametrize("steps", FINENESSES)
def test_sleeper_walls_carry_the_floor_on_their_lines(trial_job: Any, steps: int) -> None:
    """Each takes half a bay on either side: what is imposed on the floor comes down on their lines."""
    fill = {"kind": "sleeper walls", "level": 1400, "to_crown_cover": False, "sleeper_spacing": 600}
    solid, grid, acts = acted(trial_job, "sail", steps, fill=fill, imposed=2.0)
    full = next(p for p in acts.patterns if p.key == "full")
    x0, _, x1, _ = outline_of(solid.vault).bounds
    middle, bay = (x0 + x1) / 2, 0.3
    count = int(((x1 - x0) / 2 - 0.0225) // 0.6)
    import shapely

    reach = (count * 0.6) + bay
    within = outline_of(solid.vault) & shapely.box(middle - reach, -1, middle + reach, 9)
    assert full.total == pytest.approx(2e3 * within.area, rel=1e-9)
    assert full.weight.sum() == pytest.approx(full.total, rel=1e-9)
    assert lever(grid, full) == pytest.approx(full.first, rel=1e-9)
    assert named(acts)["fill"].total > 0
