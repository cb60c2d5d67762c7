"""Piers and rings under a vault, against hand calculations."""

from __future__ import annotations

import math

import numpy as np
import pytest

from timbrel.job.model import Wall
from timbrel.statics.cracked_pier import descend_pier, inward_factor
from timbrel.statics.floor import GRAVITY
from timbrel.statics.pier_shape import BEDS, pier_shape
from timbrel.statics.piers import pier_checks, pier_loads, pier_state
from timbrel.statics.walls import LoadCase
from timbrel.verdict import Verdict
from timbrel.words import say

CASE = LoadCase("dead", say("dead load alone"), "least")


def pier(**changes: float) -> Wall:
    """A pier of 1 m, 2 m high, of 2000 kg/m3."""
    return Wall.model_validate(
        {"thickness": 1000, "height": 2000, "density": 2000, "pier": 1000, "friction": 0.6}
        | changes
    )


def test_a_pier_by_hand() -> None:
    """Equilibrium: W = 2000 g 2, push 1.5 and 2 kN at the head, 20 kN down on its inner corner, 0.5 m
    both ways from its middle (by hand)."""
    state = pier_state(pier(above=6000), "A", CASE, np.array([-1.5e3, -2e3, -20e3]))
    over, own = 2000 * GRAVITY * 6 + 20e3, 2000 * GRAVITY * 2
    assert state.weight == pytest.approx(over + own - 20e3)
    # The bed under the springing governs: lower down there is push against the weight's lever.
    assert state.middle_third == pytest.approx(20e3 * 1.0 / over * 6, rel=0.02)
    assert state.edge == pytest.approx(20e3 * 0.5 / over * 2)
    down = over + own
    assert state.offset == pytest.approx((np.array([-1.5e3, -2e3]) * 2 + 20e3 * 0.5) / down)
    assert state.opens is None
    assert state.rigid == pytest.approx((down * 0.5 + 20e3 * 0.5) / (2e3 * 2))


def test_a_pier_under_the_corner_by_hand() -> None:
    """The same pier with its middle in the corner: no lever of what comes down (by hand)."""
    state = pier_state(pier(pier_out=0), "A", CASE, np.array([-1.5e3, -2e3, -20e3]))
    down = 2000 * GRAVITY * 2 + 20e3
    assert state.offset == pytest.approx(np.array([-1.5e3, -2e3]) * 2 / down)
    assert state.middle_third == pytest.approx(3.5e3 * 2 / down * 6)
    assert state.opens is None
    assert state.edge == pytest.approx(2e3 * 2 / down * 2)
    assert state.rigid == pytest.approx(down * 0.5 / (2e3 * 2))
    assert 0.5 * state.rigid < state.overturning < 0.9 * state.rigid
    assert state.sliding == pytest.approx(0.6 * 20e3 / 2.5e3)


def test_what_goes_up_leaves_the_room_to_the_vault() -> None:
    """Of a shaft with its middle in the corner a quarter would stand in the room: three squares of
    0.5 m go up, their middle 0.5 / 6 m out of the shaft's (by hand)."""
    loads = pier_loads(pier(pier_out=0, above=3000), "A", np.array([0.0, 0.0, -1e3]))
    weight = 2000 * GRAVITY * 3 * 0.75
    assert loads.down == pytest.approx(weight + 1e3)
    assert loads.held == pytest.approx(-weight * np.array([0.25, 0.25]) / 3)
    assert loads.tilt == pytest.approx([0.0, 0.0])


def test_a_pier_that_is_loaded_on_its_corner_alone_turns_inward() -> None:
    """A resultant on the very corner bears on nothing; with a shaft over it the pier stands, and
    falls where hardly anything but the vault is left (EQU in :mod:`timbrel.statics.pier_work`)."""
    force = np.array([-1e3, -1e3, -20e3])
    for above, falls in ((0, True), (4000, False)):
        wall = pier(above=above)
        loads = pier_loads(wall, "A", force)
        assert (inward_factor(pier_shape(wall, "A"), loads) < 1) == falls


def test_how_much_a_pier_bears_on_its_corner() -> None:
    """A growing weight on its corner: it stands under a little less than the factor, and falls under
    a little more."""
    wall = pier(above=1000)
    loads, shape = pier_loads(wall, "A", np.array([-1e3, -1e3, -20e3])), pier_shape(wall, "A")
    factor = inward_factor(shape, loads)
    assert 1 <= factor < np.inf
    assert descend_pier(shape, loads.tilted(1.01 * factor)).fallen
    assert not descend_pier(shape, loads.tilted(0.99 * factor)).fallen
    assert inward_factor(shape, loads, 1.0 + 1e-9) == pytest.approx(1.0)


def test_where_a_pier_opens_by_hand() -> None:
    """H z = N(z) s/6 with N = V + g s^2 z: z = V s/6 / (H - g s^3/6) under a push square to a face."""
    state = pier_state(pier(pier_out=0), "A", CASE, np.array([-8e3, 0.0, -20e3]))
    unit = 2000 * GRAVITY
    exact = 20e3 / 6 / (8e3 - unit / 6)
    assert state.opens == pytest.approx(exact, abs=2 / BEDS)


def test_weight_over_the_springing_keeps_a_pier_from_sliding() -> None:
    bare = pier_state(pier(), "A", CASE, np.array([-3e3, -4e3, -20e3]))
    held = pier_state(pier(above=1000), "A", CASE, np.array([-3e3, -4e3, -20e3]))
    assert held.sliding - bare.sliding == pytest.approx(0.6 * 2000 * GRAVITY / 5e3)


def test_a_pier_at_the_edge_of_its_kern_just_holds() -> None:
    """|ex| + |ey| = side/6 is the kern of a square (strength of materials)."""
    wall = pier()
    weight = 2000 * GRAVITY * 2
    push = weight / 2 / 2 / 6  # each way, so that ex + ey = 1/6 m over 2 m
    loads = _factors()
    for scale, verdict in ((0.999, Verdict.HOLDS), (1.001, Verdict.FAILS)):
        # No load down from the vault: its push alone.
        state = pier_state(wall, "A", CASE, np.array([push, push, 0.0]) * scale)
        found = {c.name: c for c in pier_checks(wall, "A", "left", (state,), loads)}
        assert found["piers.A.middle_third"].verdict is verdict


def test_a_pier_that_is_not_stated_is_not_judged() -> None:
    wall = Wall()
    for check in pier_checks(wall, "C", "right", (), _factors()):
        assert check.verdict is Verdict.NOT_JUDGED
        assert "walls.right.pier" in str(check.reason)


def _factors():  # type: ignore[no-untyped-def]
    from timbrel.job.model import Factors

    return Factors()


def test_kern_is_that_of_the_diagonal_too() -> None:
    """A push along the diagonal: kern reaches side/(6 sqrt 2) there."""
    state = pier_state(pier(pier_out=0), "A", CASE, np.array([-1e3, -1e3, -5e3]))
    away = float(np.hypot(*state.offset))
    assert state.middle_third == pytest.approx(away / (1 / (6 * math.sqrt(2))))
