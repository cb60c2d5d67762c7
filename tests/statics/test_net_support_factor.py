"""What cracked walls and piers of a vault on a plan bear, many pushes at once, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job

from timbrel.statics.cracked_wall import HeadLoads, Stem, overturning_factor
from timbrel.statics.floor import GRAVITY
from timbrel.statics.net_support_factor import PierBears, WallBears, bears_of

LENGTH = 3.2
PLAIN = {"thickness": 600, "height": 2600, "above": 1000, "load_above": 20, "density": 2200}
PIERS = {
    "pier": 800,
    "pier_out": 400,
    "height": 2400,
    "above": 1500,
    "load_above": 0,
    "density": 2200,
}


def wall() -> WallBears:
    found = bears_of(changed_job("chapel-cloister", walls=PLAIN), "left", "wall", LENGTH)
    assert isinstance(found, WallBears)
    return found


def pier() -> PierBears:
    found = bears_of(changed_job("market-groin", walls=PIERS), "A", "pier", 0.0)
    assert isinstance(found, PierBears)
    return found


PUSHES = np.array(
    [
        [1500.0, 0.0, 5000.0, 0.1, 0.0],
        [4000.0, 0.0, 6000.0, 0.2, 0.0],
        [9000.0, 0.0, 7000.0, 0.1, 0.0],
    ]
)


@pytest.mark.parametrize("dense", [0.8, 1.0, 1.15])
def test_walls_fall_as_the_straight_crack_says(dense: float, evidence) -> None:
    """Closed form of the cracked wall (Heyman's tapered crack); the density is that of the wall and
    of what it carries up, what stands on it keeps its weight."""
    unit = 2200 * GRAVITY
    found = wall().factors(PUSHES, 1.0, np.full(len(PUSHES), dense))
    for push, factor in zip(PUSHES, found, strict=True):
        # Over the springing the wall keeps its weight: only the part under it grew.
        over = unit * 0.6 * 1.0 + 20e3
        down = push[2] + over
        into = (push[2] * push[3] + over * 0.3) / down
        stem = Stem(0.6, 2.6, dense * unit)
        exact = overturning_factor(stem, HeadLoads(push[0], down, down * (0.6 - into)), 0.0)
        evidence("cracked wall of a vault on a plan", exact, factor, "straight crack, closed form")
        assert factor == pytest.approx(exact, rel=0.02)


def test_a_push_that_is_borne_does_not_fell_the_wall() -> None:
    bears = wall()
    ones = np.ones(len(PUSHES))
    factor = bears.factors(PUSHES, 1.0, ones)
    for grown, falls in ((factor * 0.99, False), (factor * 1.01, True)):
        pushed = PUSHES * [1, 1, 1, 1, 1]
        pushed[:, 0] *= grown
        assert (bears.falls(pushed, ones) == falls).all()


def test_all_factored_alike_is_borne_as_often() -> None:
    """A factor on the push and on all that weighs leaves the multiple as it is."""
    bears, ones = wall(), np.ones(len(PUSHES))
    assert bears.factors(PUSHES, 1.35, ones) == pytest.approx(
        bears.factors(PUSHES, 1.0, ones), rel=1e-6
    )


def test_without_a_push_nothing_falls() -> None:
    pushes = PUSHES.copy()
    pushes[:, 0] = 0.0
    assert np.isinf(wall().factors(pushes, 1.0, np.ones(3))).all()
    still = np.array([[0.0, 0.0, -5e3, 0.0, 0.0]])
    assert np.isinf(pier().blocks(still, np.ones(1))).all()


@pytest.mark.parametrize(("x", "y"), [(-3e3, 0.0), (-3e3, -3e3), (-2e3, -5e3)])
def test_a_block_turns_over_the_edge_of_its_base(x: float, y: float) -> None:
    """By hand: weight times half its side, and what comes down on the corner times half more, over
    the greater part of the push times its height."""
    bears = pier()
    weight = 2200 * GRAVITY * 0.8**2 * (2.4 + 1.5) + 6e3
    exact = (weight + 6e3) * 0.4 / (max(abs(x), abs(y)) * 2.4)
    push = np.array([[x, y, -6e3, 0.0, 0.0]])
    found = bears.blocks(push, np.ones(1))[0]
    assert found == pytest.approx(exact, rel=1e-9)
    heavy = bears.blocks(push, np.array([1.1]))[0]
    assert heavy == pytest.approx((1.1 * (weight - 6e3) + 12e3) * 0.4 / (max(-x, -y) * 2.4))
    cracked = bears.cracked(push[0], 1.0)
    assert 0.4 * exact < cracked < exact
    assert bears.left_by_cracks(push[0], 1.0) == pytest.approx(cracked / exact)


def test_sizes_that_are_not_stated_are_not_known() -> None:
    job = changed_job("chapel-cloister")
    bare = job.walls.left.model_copy(update={"height": None})
    job = job.model_copy(update={"walls": job.walls.model_copy(update={"left": bare})})
    assert bears_of(job, "left", "wall", LENGTH) is None
    assert bears_of(job, "right", "wall", LENGTH) is not None
    assert bears_of(job, "A", "pier", 0.0) is None
