"""How long the bond takes: the barrel of two layers, a sail and a dome of three.

The yardstick of the ratio, in the same run: making the same tiles' polygons one by one in shapely.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np


def _job(family: str, layers: int, corners: tuple[tuple[float, float], ...], rise: float) -> Any:
    from timbrel.job.model import Job

    points = dict(zip("ABCD", np.array(corners), strict=True))
    room: dict[str, Any] = {
        a + b: float(np.hypot(*(points[a] - points[b]))) * 1000
        for a, b in ("AB", "BC", "CD", "DA", "AC", "BD")
    }
    room["levels"] = dict.fromkeys("ABCD", 2400)
    tile = {"length": 280, "width": 140}
    return Job.model_validate(
        {
            "format": 1,
            "job": {"title": "Bond timed"},
            "room": room,
            "curve": {"family": family, "directrix": "segment", "rise": rise},
            "tiles": {"a": {**tile, "thickness": 20}, "b": {**tile, "thickness": 25}},
            "binders": {"quick": {"kind": "natural quick cement"}},
            "layers": [{"tile": "a" if k == 0 else "b", "binder": "quick"} for k in range(layers)],
        }
    )


def _best(call: Callable[[], Any], times: int = 5) -> tuple[float, Any]:
    least, answer = float("inf"), None
    for _ in range(times):
        start = time.perf_counter()
        answer = call()
        least = min(least, time.perf_counter() - start)
    return least, answer


def rows() -> Iterator[tuple[str, float, str, str]]:
    """(what, value, unit, wanted)."""
    import shapely

    from timbrel.bond import lay_bond
    from timbrel.shape.room import solve_room
    from timbrel.shape.vault import shape_vault

    room = ((0, 0), (4.3, 0.02), (4.33, 6.62), (-0.01, 6.6))
    square = ((0, 0), (5.0, 0), (5.0, 5.0), (0, 5.0))
    cases = (
        ("barrel 4.3 x 6.6 m, 2 layers", "barrel", 2, room, 900, "under 150 ms"),
        ("barrel 4.3 x 6.6 m, 3 layers", "barrel", 3, room, 900, ""),
        ("groin 5 x 5 m, 2 layers", "groin", 2, square, 1200, "under 1 000 ms"),
        ("sail 5 x 5 m, 3 layers", "sail", 3, square, 900, "under 1 000 ms"),
        ("dome 5 x 5 m, 3 layers", "dome", 3, square, 1500, "under 1 000 ms"),
    )
    for what, family, layers, corners, rise, wanted in cases:
        job = _job(family, layers, corners, rise)
        vault = shape_vault(job, solve_room(job.room))
        spent, bond = _best(lambda job=job, vault=vault: lay_bond(job, vault))
        yield what, spent * 1000, "ms", wanted
        tiles = [layer.polygon(i) for layer in bond.layers for i in range(layer.count)]
        one_by_one, _ = _best(lambda tiles=tiles: [shapely.Polygon(tile) for tile in tiles])
        yield f"{what}: {len(tiles)} tiles, against their polygons", spent / one_by_one, "x", ""
