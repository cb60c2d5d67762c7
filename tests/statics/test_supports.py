"""Walls as built: leaves, openings, buttresses, contradictions."""

import numpy as np
import pytest

from timbrel.job.model import Wall
from timbrel.statics.corner_piers import pier_profile
from timbrel.statics.descent import Push, descend, overturning_factor
from timbrel.statics.supports import (
    acting_thickness,
    solid_share,
    standing_out,
    wall_profile,
)
from timbrel.words import TimbrelError

PLAIN = {"thickness": 600, "height": 2400, "load_above": 20}


def wall(**changes) -> Wall:
    return Wall.model_validate({**PLAIN, **changes})


def push(level: float, down: float = 5e3, into: float = 0.1, count: int = 1) -> Push:
    one = np.ones(count)
    return Push(level * one, 0 * one, down * one, into * one, 0 * one, one)


def test_leaves_act_up_to_the_first_that_is_not_bonded():
    leaves = [
        {"thickness": 250, "density": 1800},
        {"thickness": 200, "density": 1500},
        {"thickness": 150, "density": 2000, "bonded": False},
    ]
    thickness, density = acting_thickness(wall(leaves=leaves), "left")
    assert thickness == pytest.approx(0.45)
    assert density == pytest.approx((250 * 1800 + 200 * 1500) / 450)


def test_leaves_that_do_not_add_up_are_refused():
    with pytest.raises(TimbrelError, match="add up to") as error:
        acting_thickness(wall(leaves=[{"thickness": 250}, {"thickness": 250}]), "right")
    assert error.value.key == "walls.right.leaves"


def test_the_weakest_pier_carries_half_of_the_openings_beside_it():
    openings = wall(
        openings=[
            {"start": 1000, "width": 1000, "head": 2000},
            {"start": 2800, "width": 1200, "sill": 900, "head": 2000},
        ]
    ).openings
    low = np.array([2.1, 1.0, 0.5])
    share = solid_share(openings, 6.0, low, low + 1e-3)
    assert share[0] == 1.0
    # between them 0.8 m carries 0.5 + 0.6 more
    assert share[1] == pytest.approx(0.8 / (0.8 + 1.1))
    # below the sill of the window only the door is left: 1.0/(1.0 + 0.5)
    assert share[2] == pytest.approx(1.0 / 1.5)


def test_an_opening_weakens_the_wall():
    door = [{"start": 1000, "width": 1500, "head": 2000}]
    strong = overturning_factor(wall_profile(wall(), "left", 6.0), push(3e3), 0)
    weak = overturning_factor(wall_profile(wall(openings=door), "left", 6.0), push(3e3), 0)
    assert weak < strong


def test_shapes_of_buttresses():
    depth = np.array([0.0, 0.5, 1.0, 2.0, 2.4])
    even = wall(buttress={"width": 400, "spacing": 2400, "depth": 600}).buttress
    assert standing_out(even, 2.4, depth) == pytest.approx([0.6] * 5)
    low = wall(buttress={"width": 400, "spacing": 2400, "depth": 600, "height": 1400}).buttress
    assert standing_out(low, 2.4, depth) == pytest.approx([0, 0, 0.6, 0.6, 0.6])
    slope = {"width": 400, "spacing": 2400, "depth": 600, "depth_top": 0}
    sloped = wall(buttress=slope).buttress
    assert standing_out(sloped, 2.4, depth) == pytest.approx([0, 0.125, 0.25, 0.5, 0.6])
    steps = [{"height": 800, "depth": 200}, {"height": 800, "depth": 400}]
    stepped = wall(buttress={"width": 400, "spacing": 2400, "depth": 600, "steps": steps}).buttress
    assert standing_out(stepped, 2.4, depth) == pytest.approx([0.2, 0.2, 0.4, 0.6, 0.6])


def test_a_buttress_helps_and_a_deeper_one_helps_more():
    values = [overturning_factor(wall_profile(wall(), "left", 6.0), push(6e3), 0)]
    for depth in (200, 500, 900):
        built = wall(buttress={"width": 450, "spacing": 2400, "depth": depth})
        values.append(overturning_factor(wall_profile(built, "left", 6.0), push(6e3), 0))
    assert values == sorted(values)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"openings": [{"start": 0, "width": 500, "head": 2500}]}, "openings.0.head"),
        ({"openings": [{"start": 5800, "width": 500, "head": 2000}]}, "openings.0.start"),
        ({"buttress": {"width": 900, "spacing": 600, "depth": 300}}, "buttress.width"),
        (
            {"buttress": {"width": 400, "spacing": 900, "depth": 300, "height": 3000}},
            "buttress.height",
        ),
        (
            {
                "buttress": {
                    "width": 400,
                    "spacing": 900,
                    "depth": 300,
                    "steps": [{"height": 500, "depth": 400}],
                }
            },
            "buttress.steps",
        ),
        (
            {
                "buttress": {
                    "width": 400,
                    "spacing": 900,
                    "depth": 300,
                    "depth_top": 100,
                    "steps": [{"height": 500, "depth": 200}],
                }
            },
            "buttress.steps",
        ),
        ({"openings": [{"start": 0, "width": 6000, "head": 2000}]}, "openings.0.width"),
    ],
)
def test_contradictions_are_refused(changes, key):
    with pytest.raises(TimbrelError) as error:
        wall_profile(wall(**changes), "left", 6.0)
    assert error.value.key == f"walls.left.{key}"


def test_thrusts_are_followed_down_together_as_alone():
    profile = wall_profile(wall(), "left", 6.0)
    level = np.array([1e3, 4e3, 8e3, 20e3])
    one = np.ones(4)
    many = descend(profile, Push(level, 0 * one, 5e3 * one, 0.1 * one, 0 * one, one))
    for i, value in enumerate(level):
        alone = descend(profile, push(value))
        assert many.normal[:, i] == pytest.approx(alone.normal[:, 0])
        assert many.fallen[i] == alone.fallen[0]
    assert list(many.fallen) == sorted(many.fallen)


def test_a_shut_wall_weighs_all_of_itself():
    profile = wall_profile(wall(above=1000), "left", 6.0)
    state = descend(profile, push(100.0, 5e3, 0.3))
    assert state.normal[-1, 0] == pytest.approx(5e3 + 20e3 + 1800 * 9.81 * 0.6 * 3.4, rel=1e-9)
    assert np.isnan(state.opens[0])
    assert np.all(state.edge == 0)


def test_stress_of_a_shut_wall_by_hand():
    """N 50 kN/m at 0.05 m off the middle of 0.6 m: 50/0.6 x (1 + 6 x 0.05/0.6) = 125 kN/m2."""
    profile = wall_profile(wall(load_above=0), "left", 6.0)
    state = descend(profile, push(0.0, 50e3, 0.35))
    assert state.stress[0, 0] == pytest.approx(125e3)


def test_a_pier_takes_its_own_length_and_half_the_opening_against_it():
    door = {"start": 750, "width": 1200, "head": 2000}
    stated = wall(pier=700, openings=[door], load_above=10)
    pier = pier_profile(stated, "left", 6.0)
    assert pier.tributary == pytest.approx(0.7 + 0.6)
    state = descend(pier, push(0.0, 0.0, 0.3))
    over = 0.7**2 * stated.above * stated.density * 9.81
    own = 0.7**2 * stated.height * stated.density * 9.81
    assert state.normal[-1, 0] == pytest.approx(10e3 * 1.3 + over + own)
    assert overturning_factor(pier, push(2e3), 0) < np.inf


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"pier": 300}, "accepted: piers at least as thick"),
        ({"pier": 3500}, "leave room between them"),
        (
            {"pier": 700, "openings": [{"start": 500, "width": 900, "head": 2000}]},
            "stands in a corner pier",
        ),
    ],
)
def test_piers_that_cannot_be_are_refused(changes, sentence):
    with pytest.raises(TimbrelError, match=sentence):
        pier_profile(wall(**changes), "left", 6.0)
