"""The other families: webs with creases, sails, domes, flights."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely

from timbrel.bond.girth import Window, place_round
from timbrel.bond.layout import LayerBond, Piece
from timbrel.bond.spread import spread_sail
from timbrel.verdict import Verdict

ROOM = ((0, 0, 2.4), (3.0, 0.05, 2.4), (3.05, 3.3, 2.4), (-0.02, 3.2, 2.4))
STAIR = ((0, 0, 2.4), (3.2, 0, 3.8), (3.2, 1.3, 3.8), (0, 1.3, 2.4))
DOME = ((0, 0, 2.4), (3.2, 0, 2.4), (3.2, 3.2, 2.4), (0, 3.2, 2.4))


def overlap(layer: LayerBond, web: int = 0) -> float:
    """Area that tiles of one web share (m2)."""
    tiles = [shapely.Polygon(layer.polygon(i)) for i in np.flatnonzero(layer.web == web)]
    return sum(t.area for t in tiles) - float(shapely.union_all(tiles).area)


@pytest.fixture(scope="module", params=["groin", "cloister"])
def crossed(request: pytest.FixtureRequest, workshop: Any) -> tuple[Any, Any, Any]:
    return workshop.bond(corners=ROOM, rise=900, curve={"family": request.param})


def test_webs_are_filled_and_stay_inside(crossed: tuple[Any, Any, Any]) -> None:
    _, vault, bond = crossed
    for layer in bond.layers:
        assert layer.webs == ("AB", "BC", "CD", "DA")
        assert len(set(layer.names)) == layer.count
        inner = vault.layers[layer.layer - 1].inner
        open_area = 0.0
        for web in range(4):
            assert overlap(layer, web) < 1e-8
            outline = shapely.make_valid(vault.webs[web].develop(inner).outline)
            tiles = shapely.union_all(
                [shapely.Polygon(layer.polygon(i)) for i in np.flatnonzero(layer.web == web)]
            )
            assert tiles.difference(outline).area < 1e-8
            open_area += outline.difference(tiles).buffer(-0.0085).area
        # What no tile covers is joints, and what is said to be left solid.
        assert open_area <= layer.solid + 0.01


def test_creases_run_through_course_by_course(crossed: tuple[Any, Any, Any]) -> None:
    """At a crease one course reaches the line and the next stops a joint short of it."""
    _, vault, bond = crossed
    layer = bond.layers[0]
    outline = vault.webs[0].develop(vault.layers[0].inner)
    line = shapely.LineString(
        outline.flat(np.linspace(0, 1, 201), np.interp(
            np.linspace(0, 1, 201), np.linspace(0, 1, len(outline.far_cut)), outline.far_cut))
    )  # fmt: skip
    gaps = {}
    for course in range(4, 9):
        mine = np.flatnonzero((layer.web == 0) & (layer.course == course))
        last = layer.polygon(mine[np.argmax(layer.number[mine])])
        gaps[course] = line.distance(shapely.Polygon(last))
    through = [gaps[c] for c in gaps if c % 2 == 1]
    stopped = [gaps[c] for c in gaps if c % 2 == 0]
    assert max(through) < min(stopped)
    assert min(stopped) > 0.004


def test_joints_of_layers_are_lapped_on_every_web(crossed: tuple[Any, Any, Any]) -> None:
    _, _, bond = crossed
    lap = bond.laps[0]
    assert lap.reached is not None
    found = {check.name: check.verdict for check in bond.checks}
    assert set(found) >= {"bond.lap.1-2", "bond.closer.1", "bond.closer.2", "bond.facet"}
    assert (found["bond.lap.1-2"] is Verdict.HOLDS) == (lap.reached >= lap.wanted)
    assert lap.tiles[0][2:4] == lap.tiles[1][2:4], "both tiles are of one web"


def test_a_flight_is_laid_from_the_lower_springing(workshop: Any) -> None:
    _, vault, bond = workshop.bond(corners=STAIR, rise=450, curve={"family": "flight"})
    layer = bond.layers[0]
    levels = [layer.corners[layer.start[layer.course.searchsorted(c)], 2] for c in (1, 5, 9)]
    assert levels == sorted(levels)
    assert overlap(layer) < 1e-9
    covered = layer.area.sum() / vault.area(0.0)
    assert 0.85 < covered < 0.95


def test_a_sail_keeps_its_joints_from_wall_to_crown(workshop: Any) -> None:
    _, vault, bond = workshop.bond(
        [workshop.layer(), workshop.layer("thick", "diagonal")],
        corners=ROOM,
        rise=420,
        curve={"family": "sail"},
    )
    for layer in bond.layers:
        assert overlap(layer) < 1e-8
        covered = layer.area.sum() / vault.area(vault.layers[layer.layer - 1].inner)
        assert 0.84 < covered < 0.95
    assert bond.layers[0].number_of(Piece.WHOLE) > 0.8 * bond.layers[0].count
    found = {check.name: check.verdict for check in bond.checks}
    assert found["bond.joint_least.1"] is found["bond.joint_most.1"] is Verdict.HOLDS


def test_a_spread_sail_keeps_lengths_along_its_courses(workshop: Any) -> None:
    """Along a course lengths are true; across, they share what the curvature adds."""
    job = workshop.job(corners=ROOM, rise=420, curve={"family": "sail"})
    sail = workshop.vault(job)
    spread = spread_sail(sail, 0.0)
    v = np.linspace(0.1, 0.9, 400)
    for u in (0.1, 0.5, 0.8):
        line = sail.point(np.full_like(v, u), v, 0.0)
        true = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
        flat = spread.flat(np.full_like(v, u), v)
        assert flat[-1, 0] - flat[0, 0] == pytest.approx(true, rel=2e-4)
    assert spread.outline.area == pytest.approx(sail.area(0.0), rel=0.01)
    uv = np.array([[0.2, 0.3], [0.9, 0.55]])
    back = spread.lift(spread.flat(uv[:, 0], uv[:, 1]))
    assert np.stack(back, axis=1) == pytest.approx(uv, abs=1e-6)


@pytest.fixture(scope="module", params=[0, 600], ids=["key", "oculus"])
def dome(request: pytest.FixtureRequest, workshop: Any) -> tuple[Any, Any, Any]:
    curve = {"family": "dome", "oculus": request.param}
    return workshop.bond(corners=DOME, rise=900, curve=curve)


def test_rings_close(dome: tuple[Any, Any, Any]) -> None:
    """Tiles and joints of every ring make its girth, at both of its edges."""
    _, vault, bond = dome
    for layer in bond.layers:
        assert overlap(layer) < 1e-8
        assert len(set(layer.names)) == layer.count
        rings = layer.courses - (0 if vault.oculus else 1)
        for ring in range(1, rings + 1):
            mine = np.flatnonzero(layer.course == ring)
            space = np.stack([layer.solid_corners(i) for i in mine])
            level = space[:, :2, 2]
            assert np.ptp(level) < 1e-6, "the lower edge of a ring is level"
            away = np.arctan2(space[:, :2, 1] - vault.centre[1], space[:, :2, 0] - vault.centre[0])
            taken = np.mod(away[:, 0] - away[:, 1], 2 * np.pi).sum()
            assert taken < 2 * np.pi
            joint = (2 * np.pi - taken) / len(mine)
            radius = np.hypot(*(space[0, 0, :2] - vault.centre[:2]))
            assert 0.005 < joint * radius < 0.016


def test_perpends_of_neighbouring_rings_do_not_stand_over_each_other(
    dome: tuple[Any, Any, Any],
) -> None:
    """Read from the corners in space: least distance round the ring."""
    _, vault, bond = dome
    layer = bond.layers[0]
    rings = layer.courses - (0 if vault.oculus else 1)
    begins = []
    for ring in range(1, rings + 1):
        mine = np.flatnonzero(layer.course == ring)
        space = np.stack([layer.solid_corners(i) for i in mine])
        turn = np.arctan2(space[:, :, 1] - vault.centre[1], space[:, :, 0] - vault.centre[0])
        edge = np.exp(1j * turn)
        joints = edge[:, 1] + edge[:, 2]
        ahead = np.roll(edge[:, 0] + edge[:, 3], -1)
        radius = float(np.hypot(*(space[0, 3, :2] - vault.centre[:2])))
        begins.append((np.angle(joints + ahead), radius))
    for (below, radius), (above, _) in pairwise(begins):
        apart = np.abs(np.angle(np.exp(1j * (below[:, None] - above[None, :])))).min()
        assert apart * radius > 0.030


def test_the_crown_is_closed(dome: tuple[Any, Any, Any]) -> None:
    _, vault, bond = dome
    top = max(float(layer.corners[:, 2].max()) for layer in bond.layers)
    last = bond.layers[0].course == bond.layers[0].courses
    if vault.oculus:
        assert last.sum() > 3
        rim = bond.layers[0].gauge.rod("meridian")
        assert rim.marks[-1] == pytest.approx(rim.length)
    else:
        assert last.sum() == 1
        assert top > vault.point(np.array([1.0]), np.array([0.0]), 0.0)[0, 2]


def test_a_ring_is_placed_as_well_as_by_trying_everything() -> None:
    """A small girth on the same grid: all rows of pieces enumerated."""
    girth, others = 0.6, np.array([0.05, 0.31])
    windows = [Window(0.190, 0.200, 0.204, 0.0), Window(0.090, 0.100, 0.102, 1.0)]
    steps = [s for low, high in ((95, 102), (45, 51)) for s in range(low, high + 1)]
    apart = np.abs((np.arange(300) * 0.002)[:, None] - others)
    apart = np.minimum(apart, girth - apart).min(axis=1)
    origin = int(np.argmax(apart))

    best = 0.0

    def go(at: int, lap: float) -> None:
        nonlocal best
        if lap <= best:
            return
        if at == 300:
            best = lap
            return
        for step in steps:
            if at + step <= 300:
                go(at + step, min(lap, float(apart[(origin + at + step) % 300])))

    go(0, float(apart[origin]))
    found = place_round(girth, windows, others, best)
    assert found is not None and found.lap == pytest.approx(best, abs=1e-9)
    assert place_round(girth, windows, others, best + 0.002) is None
