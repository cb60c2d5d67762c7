"""Rings of a dome as they are struck and laid: an open and a closed crown, every layer, every ring."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit

from timbrel.bond.layout import Bond, Piece
from timbrel.bond.stock import stock_of
from timbrel.job.load import read_job
from timbrel.job.model import Job
from timbrel.plan import make_shell
from timbrel.site.rings import RingMark, dome_rings

DOME = Path(__file__).parents[2] / "examples" / "well-dome" / "job.toml"


@pytest.fixture(scope="module", params=[1100, 0], ids=["oculus", "closed"])
def laid(request: pytest.FixtureRequest) -> tuple[Job, Any, Bond, tuple[RingMark, ...]]:
    stated = tomlkit.parse(DOME.read_text())
    curve: Any = stated["curve"]
    curve["oculus"] = request.param
    job = read_job(tomlkit.dumps(stated)).job
    shell = make_shell(job)
    return job, shell.vault, shell.bond, dome_rings(shell.vault, shell.bond)


def test_every_ring_of_every_layer_is_told(laid: Any) -> None:
    _, vault, bond, rings = laid
    for layer in bond.layers:
        mine = [ring for ring in rings if ring.layer == layer.layer]
        key = layer.courses if not vault.oculus else layer.courses + 1
        assert [ring.ring for ring in mine] == list(range(1, key))
        radii = [ring.radius for ring in mine]
        assert radii == sorted(radii, reverse=True)
        assert radii[0] > 0.45 * vault.base.span and radii[-1] > 0.2
        assert [ring.level for ring in mine] == sorted(ring.level for ring in mine)


def test_a_ring_lies_where_its_tiles_lie(laid: Any) -> None:
    """Radius and level are those of the inner face; the tiles' corners lie half a tile further out."""
    _, vault, bond, rings = laid
    for ring in rings:
        layer, place = bond.layers[ring.layer - 1], vault.layers[ring.layer - 1]
        first = int(np.flatnonzero(layer.course == ring.ring)[0])
        corner = layer.solid_corners(first)[0]
        out = (place.outer - place.inner) / 2
        at = (math.hypot(*(corner[:2] - vault.centre[:2])), corner[2])
        assert math.dist(at, (ring.radius, ring.level)) == pytest.approx(out, abs=1e-6)


def test_pieces_and_joints_close_the_ring(laid: Any) -> None:
    job, _, bond, rings = laid
    for layer in bond.layers:
        mine = [ring for ring in rings if ring.layer == layer.layer]
        for kind, told in ((Piece.HALF, "half"), (Piece.WHOLE, "whole")):
            assert sum(getattr(ring, told) for ring in mine) == layer.number_of(kind)
    halves = [ring for ring in rings if ring.half and not ring.cut and not ring.whole]
    assert halves
    for ring in halves:
        assert ring.joint_below is not None and ring.joint_above is not None
        half = stock_of(job, job.layers[ring.layer - 1], ring.layer).half
        girth = 2 * math.pi * ring.radius
        assert ring.pieces * (half + ring.joint_below) == pytest.approx(girth, rel=1e-4)
        assert ring.joint_above < ring.joint_below, "a straight tile closes upward"
