"""Webs that meet in creases, laid at 45 degrees: every piece comes out of one tile and is a closer."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from shapely import Polygon, STRtree, union_all

from timbrel.bond import lay_bond
from timbrel.bond.bedding import beddings
from timbrel.bond.diagonal import ALONG, SQUARE
from timbrel.bond.lay import lay_web
from timbrel.bond.layer import drawn
from timbrel.bond.shapes import sound_outline
from timbrel.bond.stock import LEAST_WIDTH, stock_of
from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.verdict import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
CREASED = ("market-groin", "chapel-cloister")


def _diagonal(name: str, number: int = 1) -> Job:
    job = load_job(EXAMPLES / name).job
    layers = [
        layer.model_copy(update={"direction": "diagonal"}) if i + 1 == number else layer
        for i, layer in enumerate(job.layers)
    ]
    return job.model_copy(update={"layers": tuple(layers)})


@pytest.mark.parametrize("name", CREASED)
def test_every_piece_comes_out_of_one_tile_and_covers_the_web(name: str) -> None:
    """Geometry of a saw: no piece reaches further than the tile along its course or across it, none is
    under the least closer or narrower than a strip that is sawn; none lies on another; what is
    left to mortar is little more than the joints."""
    job = _diagonal(name)
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    stock = stock_of(job, job.layers[0], 1)
    for bed in beddings(1, stock, "diagonal", vault):
        layer = drawn(lay_web(bed, job.layers[0], None))
        tiles = [layer.polygon(i) for i in range(layer.count)]
        for tile in tiles:
            long, wide = np.ptp(tile @ ALONG), np.ptp(tile @ SQUARE)
            area = Polygon(tile).area
            assert long <= stock.along + 1e-3 and wide <= stock.across + 1e-3
            assert area / stock.across >= stock.least_along - 1e-4
            assert area / long >= LEAST_WIDTH - 1e-4
        shapes = [Polygon(tile) for tile in tiles]
        tree = STRtree(shapes)
        for i, j in zip(*tree.query(shapes, predicate="intersects"), strict=True):
            assert i == j or shapes[i].intersection(shapes[j]).area < 1e-6
        share = union_all(shapes).area / sound_outline(bed.development).area
        joints = (
            stock.along
            * stock.across
            / ((stock.along + stock.joint.best) * (stock.across + stock.joint.best))
        )
        assert joints - 0.05 < share < 1.0


@pytest.mark.parametrize(("name", "number"), [(n, k) for n in CREASED for k in (1, 2)])
def test_the_closers_of_either_layer_hold(name: str, number: int) -> None:
    job = _diagonal(name, number)
    bond = lay_bond(job, shape_vault(job, solve_room(job.room, job.job.length_unit)))
    check = next(c for c in bond.checks if c.name == f"bond.closer.{number}")
    assert check.verdict is Verdict.HOLDS
    names = bond.layers[number - 1].names
    assert all(a != b for a, b in combinations(names, 2))
