"""How much of a corner's seat lies on its pier: closed forms, and the check that fails for it."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.job.load import load_job
from timbrel.job.model import Job, Wall
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.sheets.corner_drawing import corner_pictures
from timbrel.sheets.corner_pier import pier_front
from timbrel.site.corner_checks import corner_checks
from timbrel.site.corner_pier import borne_share, pier_outline
from timbrel.site.corner_seat import CornerSeat, CornerThrust, plan_corner_seats
from timbrel.verdict import Verdict
from timbrel.words import Voice, say

EXAMPLES = Path(__file__).parents[2] / "examples"
SQUARE = (math.pi / 4, math.pi / 4)


def test_a_pier_with_its_edge_in_the_corner_bears_a_triangle() -> None:
    """Geometry: d behind the corner the pier is 2 d wide, so that of a seat from n to f,
    as long as it is wider than the pier, (n + f)/(2 half) lies on it."""
    outline = pier_outline(Wall(pier=1000), SQUARE)
    assert outline is not None
    assert outline[0] == pytest.approx([0, 0], abs=1e-12)
    assert borne_share(outline, 0.2, 0.05, 0.11) == pytest.approx(0.16 / 0.4)
    assert borne_share(outline, 0.2, 0.0, 0.2) == pytest.approx(0.5)


def test_a_pier_in_the_middle_of_the_corner_bears_all_and_walls_that_run_on_too() -> None:
    outline = pier_outline(Wall(pier=1000, pier_out=0), SQUARE)
    assert outline is not None
    assert outline.mean(axis=0) == pytest.approx([0, 0], abs=1e-12)
    assert borne_share(outline, 0.2, 0.05, 0.11) == 1.0
    assert pier_outline(Wall(), SQUARE) is None
    assert borne_share(None, 0.2, 0.05, 0.11) == 1.0


@given(st.floats(0.0, 0.5), st.floats(0.01, 0.5), st.floats(0.05, 0.5), st.floats(0.1, 1.4))
def test_a_pier_nearer_under_the_corner_never_bears_less(
    out: float, nearer: float, half: float, turn: float
) -> None:
    """Only where the seat does not reach the pier's back."""
    turns = (turn, math.pi / 2 - turn)
    shares = [
        borne_share(pier_outline(Wall(pier=1000, pier_out=1000 * o), turns), half, 0.02, 0.1)
        for o in (out, max(out - nearer, 0.0))
    ]
    assert 0.0 <= shares[0] <= shares[1] + 1e-9 or shares[1] > 0.999


def _seats(out: float | None) -> tuple[Job, tuple[CornerSeat, ...]]:
    job = load_job(EXAMPLES / "market-groin").job
    walls = job.walls
    sides = {
        side: getattr(walls, side).model_copy(update={"pier_out": out})
        for side in ("left", "right")
    }
    job = job.model_copy(update={"walls": walls.model_copy(update=sides)})
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    return job, plan_corner_seats(job, vault, ())


def test_what_hangs_over_the_pier_is_not_counted_on_and_the_check_fails_for_it() -> None:
    """The same push on the same seat: a pier with its edge in the corner is pressed by as much more as
    less of the seat lies on it, and is told what would help."""
    job, hanging = _seats(None)
    _, whole = _seats(0.3)
    assert whole[0].borne == 1.0
    assert 0.3 < hanging[0].borne < 0.5
    limit = job.seat.bearing
    assert limit is not None
    pressure = 0.9 * limit
    for seat, verdict in ((whole[0], Verdict.HOLDS), (hanging[0], Verdict.FAILS)):
        state = CornerThrust(
            say("Imposed, everywhere"), "least", 1e4, 1e4, 0.6, 1e4, 1e3, pressure / seat.borne, 0.1
        )
        check = next(c for c in corner_checks(job, replace(seat, thrusts=(state,)))
                     if c.name.endswith("bearing"))  # fmt: skip
        assert check.verdict is verdict
        assert ("pier_out" in Voice()(check.reason)) is (verdict is Verdict.FAILS)


def test_the_drawing_shows_the_pier_where_it_stands() -> None:
    """Its front under the springing: in the corner, or in the room by the arris of a square."""
    _, hanging = _seats(None)
    job, whole = _seats(0.3)
    assert pier_front(hanging[0], -0.2) == [(0.0, -0.2)]
    into = (0.5 - 0.3) * math.sqrt(2)
    assert np.allclose(pier_front(whole[0], -0.2), [(-into, -0.2), (-into, 0.0), (0.0, 0.0)])
    from types import SimpleNamespace

    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    drawn = [
        corner_pictures(
            SimpleNamespace(job=job, vault=vault, site=SimpleNamespace(corners=seats)),  # type: ignore[arg-type]
            Voice(), (170.0, 117.0),
        )[0]
        for seats in (hanging, whole)
    ]  # fmt: skip
    assert drawn[0].svg != drawn[1].svg
    layers = [{e.dxf.layer for e in p.doc.modelspace()} for p in drawn]
    assert "BELOW" in layers[1] and "BELOW" in layers[0]
