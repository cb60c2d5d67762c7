"""The lap as reported against a slow reading of the drawn tiles."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.bond.layout import LayerBond
from timbrel.bond.overlay import beside, length_over, nearest
from timbrel.bond.phase import lay_over

Line = tuple[np.ndarray, np.ndarray]


def joints_of(layer: LayerBond, flat: Any) -> list[Line]:
    """Joints read off the drawn tiles: the middle between facing edges of neighbours.

    flat: takes a tile's index to its corners in the plane in which both layers are compared.
    """
    rows: dict[int, list[int]] = {}
    for i, course in enumerate(layer.course):
        rows.setdefault(int(course), []).append(i)
    lines = []
    for mine in rows.values():
        for a, b in pairwise(mine):
            p, q = flat(a), flat(b)
            lines.append(((p[1] + q[0]) / 2, (p[2] + q[3]) / 2))
    for course, mine in rows.items():
        if course + 1 not in rows:
            continue
        above = rows[course + 1]
        for a in mine:
            p = flat(a)
            box = shapely.Polygon(p).buffer(0.02)
            for b in above:
                q = flat(b)
                if not box.intersects(shapely.Polygon(q)):
                    continue
                low, high = max(p[3, 0], q[0, 0]), min(p[2, 0], q[1, 0])
                if high > low:
                    y = (p[2:4, 1].mean() + q[0:2, 1].mean()) / 2
                    lines.append((np.array([low, y]), np.array([high, y])))
    return lines


def slow_lap(lower: list[Line], upper: list[Line]) -> float:
    """Every pair, one by one, in plain arithmetic."""
    least = np.inf
    for a, b in lower:
        d = b - a
        for p, q in upper:
            if np.abs(a - p).max() > 0.8:
                continue
            e = q - p
            if abs(d @ e) < np.cos(np.radians(20)) * np.linalg.norm(d) * np.linalg.norm(e):
                continue
            way = d / np.linalg.norm(d)
            s = sorted([(p - a) @ way, (q - a) @ way])
            if min(s[1], np.linalg.norm(d)) - max(s[0], 0) <= 0.010:
                continue
            least = min(least, shapely.LineString([a, b]).distance(shapely.LineString([p, q])))
    return float(least)


@pytest.mark.parametrize("directions", [("along axis", "along axis"), ("along arc", "along arc")])
def test_the_lap_is_that_of_the_drawn_tiles(directions: tuple[str, str], workshop: Any) -> None:
    corners = ((0, 0, 2), (1.4, 0, 2), (1.4, 1.5, 2), (0, 1.5, 2))
    layers = [workshop.layer("thin", directions[0]), workshop.layer("thick", directions[1])]
    _, vault, bond = workshop.bond(layers, corners, 300)
    face = vault.develop(vault.layers[1].inner)
    drawn = []
    for layer in bond.layers:
        own = vault.develop(vault.layers[layer.layer - 1].inner)

        def flat(i: int, layer: LayerBond = layer, own: Any = own) -> np.ndarray:
            return np.asarray(face.flat(*own.lift(layer.polygon(i))))

        drawn.append(joints_of(layer, flat))
    lap = bond.laps[0]
    assert lap.reached == pytest.approx(slow_lap(*drawn), abs=5e-4)
    assert lap.reached is not None and lap.reached > 0.01
    assert lap.where is not None
    places = [
        layer.corners[layer.start[layer.names.index(name)]]
        for layer, name in zip(bond.layers, lap.tiles, strict=True)
    ]
    assert all(np.linalg.norm(place - lap.where) < 0.45 for place in places)


def test_the_phase_found_is_the_best_of_all_starts(workshop: Any) -> None:
    """Rows of the second layer started by hand, half a tile apart, never beat what was found."""
    from timbrel.bond import phase

    job, vault, bond = workshop.bond(corners=workshop.square)
    reached = bond.laps[0].reached
    assert reached is not None and reached >= bond.laps[0].wanted

    from timbrel.bond.bedding import beddings
    from timbrel.bond.laps import measure_lap
    from timbrel.bond.layer import drawn
    from timbrel.bond.starts import Starts
    from timbrel.bond.stock import stock_of

    beds = [
        beddings(i + 1, stock_of(job, layer, i + 1), layer.direction, vault)[0]
        for i, layer in enumerate(job.layers)
    ]
    first = phase.lay_first(beds[0], "half", "")
    stocks = (beds[0].stock, beds[1].stock)
    best = phase.best_starts
    webs = [(beds[1].surface, beds[1].development)]
    for start in (0.28, 0.26, 0.24):

        def fixed(*args: Any, start: float = start, **more: Any) -> Any:
            found = best(*args, **more)
            head = np.full_like(found.head, np.nan)
            head[:, 0] = np.where(np.arange(len(head)) % 2, start - 0.145, start)
            return Starts(head, found.outer, found.wish, found.lap, found.cuts)

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(phase, "best_starts", fixed)
            second = drawn(lay_over(beds[1], first, "half", ""))
        lap = measure_lap(drawn(first), second, stocks, webs, vault.layers[1].inner)
        assert lap.reached is not None and lap.reached <= reached + 0.005


def test_lines_beside_each_other() -> None:
    """By hand: 30 mm apart over half a length; touching ends only; crossing."""
    low = np.array([[[0, 0], [0.3, 0]]] * 5, float)
    high = np.array(
        [
            [[0.15, 0.03], [0.45, 0.03]],
            [[0.295, 0.001], [0.6, 0.001]],
            [[0, -0.001], [0.3, 0.002]],
            [[0.1, -0.1], [0.1, 0.1]],
            [[0, 0.05], [0.3, 0.02]],
        ]
    )
    distance, _, _ = beside(low, high)
    assert distance.tolist() == pytest.approx([0.03, np.inf, 0.0, np.inf, 0.02])


def test_joint_over_joint_against_areas() -> None:
    """A line across a grid of joints lies over them by their widths; checked with shapely."""
    rng = np.random.default_rng(7)
    lower = np.stack([np.array([[0.1 * k, 0], [0.1 * k, 1]]) for k in range(10)])
    widths = np.full(10, 0.01)
    start, end = rng.random((20, 2)), rng.random((20, 2))
    upper = np.stack([start, end], axis=1)
    strips = shapely.union_all(
        [shapely.LineString(x).buffer(0.005, cap_style="flat") for x in lower]
    )
    runs = [strips.intersection(shapely.LineString(x)).length for x in upper]
    total, longest = length_over(lower, upper, widths)
    assert total == pytest.approx(sum(runs), rel=1e-9)
    assert longest >= max(runs) / 10


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 2**32 - 1),
    st.lists(st.sampled_from([0.0, 10.0, 88.0, 92.0, 45.0, 135.0, 178.0]), min_size=1, max_size=4),
    st.floats(0.05, 0.6),
)
def test_the_nearest_is_that_of_all_pairs(seed: int, ways: list[float], reach: float) -> None:
    rng = np.random.default_rng(seed)

    def lines(count: int) -> np.ndarray:
        way = np.radians(rng.choice(ways, count) + rng.uniform(-5, 5, count))
        half = rng.uniform(0.05, 0.2, count)[:, None] * np.stack([np.cos(way), np.sin(way)], axis=1)
        middle = rng.uniform(0, 2, (count, 2))
        return np.stack([middle - half, middle + half], axis=1)

    lower, upper = lines(12), lines(9)
    i, j = (k.ravel() for k in np.indices((12, 9)))
    distance, _, _ = beside(lower[i], upper[j])
    found = nearest(lower, upper, reach)
    if distance.min() > reach:
        assert found is None
    else:
        assert found is not None
        assert found.distance == pytest.approx(distance.min(), abs=1e-12)
        pair = beside(lower[[found.lower]], upper[[found.upper]])[0]
        assert pair[0] == pytest.approx(found.distance, abs=1e-12)


def test_nothing_runs_alike() -> None:
    across = np.array([[[0, 0], [1, 0]]], float)
    slanting = np.array([[[0, 0], [1, 1]]], float)
    assert nearest(across, slanting, 0.3) is None
