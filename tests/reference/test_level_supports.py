"""Walls and piers under a level acceleration, against what can be worked without them.

A free block of thickness t and height h under a level force of a share a of its weight, at the
middle of its height, turns about its edge at a = t/h (statics; common practice). Its bed opens
first at a = t/(3 h) (middle third, strength of materials). A wall without tension falls sooner:
from the bed that opens on

    N' = g c,   M' = g c^2 / 2 - a g t y,   c = 3 M / N

with N the normal force and M its moment about the outer face, c the width that is pressed; what
lies beyond the crack does not weigh on the rest but leans on it (derived). Integrated here by
scipy, there by marching. Cracks of this kind: Heyman 1992, "Leaning towers" (from memory).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from timbrel.job.model import Wall
from timbrel.statics.cracked_pier import PierLoads, descend_pier, rigid_factor
from timbrel.statics.cracked_pier import level_borne as pier_level_borne
from timbrel.statics.descent import Push, descend, level_borne, swaying_weight
from timbrel.statics.floor import GRAVITY
from timbrel.statics.pier_shape import PierShape
from timbrel.statics.piers import pier_loads
from timbrel.statics.supports import Profile, wall_profile

THICK, TALL = 0.4, 2.8


def free_wall(thick: float = THICK, tall: float = TALL, beds: int = 961) -> Profile:
    depth = np.linspace(0.0, tall, beds)
    even, nothing, ones = np.full(beds, thick), np.zeros(beds), np.ones(beds)
    return Profile(depth, even, nothing, ones, nothing, 18e3, 18e3, 1.0, 0.0, 0.0, 0.6)


def sways(share: float, **loads: float) -> Push:
    # A newton on the middle of the head, so that something rests on its bed.
    given = {"level": 0.0, "along": 0.0, "down": 1.0, "into": THICK / 2, "over": 0.0, "dead": 1.0}
    return Push(**{k: np.array([v]) for k, v in (given | loads).items()}, sway=np.array([share]))


def falls_at(thick: float, tall: float) -> float:
    """Share at which the cracked wall's pressed width comes to nothing at its base."""

    def reach(share: float) -> float:
        start = thick / (3 * share)

        def slope(y: float, state: np.ndarray) -> list[float]:
            n, m = state
            c = min(max(3 * m / n, 0.0), thick)
            return [c, c**2 / 2 - share * thick * y]

        def gone(_: float, state: np.ndarray) -> float:
            return float(state[1])

        gone.terminal = True  # type: ignore[attr-defined]
        first = [thick * start, thick**2 * start / 2 - share * thick * start**2 / 2]
        found = solve_ivp(slope, (start, 20 * tall), first, events=gone, rtol=1e-9, atol=1e-12)
        return float(found.t[-1]) - tall

    return float(brentq(reach, thick / (3 * tall) * 1.0001, thick / tall))


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_free_wall_falls_as_integrated(way):
    found = level_borne(free_wall(), sways(0.05 * way), 0) * 0.05
    wanted = falls_at(THICK, TALL)
    assert found == pytest.approx(wanted, rel=5e-3)
    assert THICK / (3 * TALL) < found < THICK / TALL


def test_its_bed_opens_at_a_third_of_the_share_that_turns_a_block():
    opens = THICK / (3 * TALL)
    assert np.isnan(descend(free_wall(), sways(0.999 * opens)).opens[0])
    assert descend(free_wall(), sways(1.01 * opens)).opens[0] == pytest.approx(TALL, rel=0.02)
    # While it is shut the resultant stands out by a h / 2.
    at = descend(free_wall(), sways(0.9 * opens)).at[-1, 0]
    assert at - THICK / 2 == pytest.approx(0.9 * opens * TALL / 2, rel=2e-4)


def test_a_free_pier_falls_as_a_wall_does_and_a_block_at_its_side_over_its_height():
    shape = PierShape(THICK, TALL, 18e3)
    share = np.array([0.02, 0.0])
    loads = PierLoads(1.0, np.zeros(2), sway=share)
    assert rigid_factor(shape, loads) * 0.02 == pytest.approx(THICK / TALL, rel=2e-4)
    found = pier_level_borne(shape, loads, outward=True) * 0.02
    # Squares bear at their middles: one of forty of the side.
    assert found == pytest.approx(falls_at(THICK, TALL), rel=0.03)
    assert found < falls_at(THICK, TALL) * 1.001
    both = PierLoads(1.0, np.zeros(2), sway=np.array([-0.02, -0.02]))
    assert pier_level_borne(shape, both, outward=True) < pier_level_borne(
        shape, loads, outward=True
    )
    shut = descend_pier(shape, loads)
    assert shut.level[-1] == pytest.approx([0.02 * 18e3 * THICK**2 * TALL, 0.0])


def test_a_wall_with_load_above_by_hand():
    stated = Wall.model_validate(
        {"thickness": 500, "height": 3000, "above": 1000, "load_above": 20, "density": 1800}
    )
    profile, share = wall_profile(stated, "left", 5.0), 0.03
    own, over, load = (1800 * GRAVITY * 0.5 * h for h in (3.0, 1.0, 0.0))
    load = 20e3
    push = sways(share, level=500.0, down=15e3, into=0.2, over=0.05)
    state = descend(profile, push)
    # Level forces about the base: own weight at 1.5 m, what goes up at 3.5 m, the load at 4 m.
    sway = share * (own * 1.5 + over * 3.5 + load * 4.0)
    turning = 15e3 * 0.2 + (own + over + load) * 0.25 + 500 * 3.05 + sway
    assert state.normal[-1, 0] == pytest.approx(15e3 + own + over + load, rel=1e-9)
    assert state.at[-1, 0] == pytest.approx(turning / state.normal[-1, 0], rel=1e-9)
    assert state.shear[-1, 0] == pytest.approx(500 + share * (own + over + load), rel=1e-9)
    assert state.shear[0, 0] == pytest.approx(500 + share * (over + load), rel=1e-9)
    weight, arm = swaying_weight(profile)
    assert weight * arm * share == pytest.approx(sway, rel=1e-9)
    held = wall_profile(stated.model_copy(update={"load_above_level": 0.0}), "left", 5.0)
    weight, arm = swaying_weight(held)
    assert weight * arm == pytest.approx(own * 1.5 + over * 3.5, rel=1e-9)


def test_a_pier_with_load_above_by_hand():
    stated = Wall.model_validate({
        "thickness": 500, "height": 2000, "pier": 600, "pier_out": 0, "above": 1000,
        "load_above": 20, "density": 1800,
    })  # fmt: skip
    force = np.array([-200.0, -300.0, -12e3])
    shape = PierShape(0.6, 2.0, 1800 * GRAVITY)
    still, swaying = (
        pier_loads(stated, "A", force, None, 1.0, s) for s in (None, np.array([0.03, 0.0]))
    )
    before, after = descend_pier(shape, still), descend_pier(shape, swaying)
    shaft, load = 1800 * GRAVITY * 0.36, 20e3 * 0.6
    # A quarter of the shaft would stand in the room over the springing and does not go up.
    moment = 0.03 * (shaft * 2 * 1.0 + shaft * 3 / 4 * 2.5 + load * 3.0)
    assert after.normal[-1] == pytest.approx(before.normal[-1], rel=1e-9)
    moved = (after.at[-1] - before.at[-1]) * before.normal[-1]
    assert moved == pytest.approx([moment, 0.0], rel=1e-9, abs=1e-6)


def test_a_wall_leaning_on_a_vault_bears_more_inward_with_it_than_without():
    free = level_borne(free_wall(), sways(-0.05), 0)
    pushed = level_borne(free_wall(), sways(-0.05, level=500.0, down=2e3, into=0.2), 0)
    assert pushed > 1.2 * free
