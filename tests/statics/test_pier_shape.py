"""Piers and what leans on them: bed by bed against closed forms, a wall's own march, finer squares."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.job.model import Wall
from timbrel.statics import cracked_pier
from timbrel.statics.cracked_pier import PierLoads, descend_pier, pier_factor, rigid_factor
from timbrel.statics.descent import Push, descend, overturning_factor
from timbrel.statics.floor import GRAVITY
from timbrel.statics.pier_carrying import refuse_leaning
from timbrel.statics.pier_shape import Bed, PierShape, pier_shape
from timbrel.statics.supports import BEDS, Profile, standing_out
from timbrel.words import TimbrelError


def pier(**changes: Any) -> Wall:
    return Wall.model_validate(
        {"thickness": 800, "height": 3000, "density": 2000, "pier": 800} | changes
    )


BUTTRESSES = [
    {"width": 400, "spacing": 3000, "depth": 600, "density": 2000},
    {"width": 400, "spacing": 3000, "depth": 900, "depth_top": 200, "density": 2000},
    {
        "width": 500, "spacing": 3000, "depth": 900, "height": 2400, "density": 2000,
        "steps": [{"height": 800, "depth": 300}, {"height": 800, "depth": 600}],
    },
]  # fmt: skip


@pytest.mark.parametrize("buttress", BUTTRESSES)
def test_a_pier_pushed_into_its_buttress_falls_as_a_wall_with_one(buttress: dict[str, Any]) -> None:
    """The march of walls (flange and web, exact edges) beside the squares of the pier."""
    wall = pier(buttress=buttress)
    shape = pier_shape(wall, "B")
    assert len(shape.leanings) == 1
    down, level = 60e3, 12e3
    found = pier_factor(shape, PierLoads(down, np.array([level, 0.0])))
    assert wall.buttress is not None
    depth = np.linspace(0.0, 3.0, BEDS + 1)
    web = standing_out(wall.buttress, 3.0, depth)
    even = np.full(len(depth), 0.8)
    unit = 2000 * GRAVITY
    profile = Profile(
        depth, even, web, even, np.where(web > 0, wall.buttress.width, 0.0), unit, unit,
        1.0, 0.0, 0.4, 0.6,
    )  # fmt: skip
    one = np.ones(1)
    push = Push(level * one, 0 * one, down * one, 0.4 * one, 0 * one, one)
    theirs = overturning_factor(profile, push, 0)
    # At a step the pier is judged by the thinner part, just over it.
    assert theirs * 0.95 < found <= theirs * 1.002
    assert found < rigid_factor(shape, PierLoads(down, np.array([level, 0.0])))
    # Half way to falling the base tells the same resultant.
    half = descend_pier(shape, PierLoads(down, np.array([level * theirs / 2, 0.0])))
    wall_half = descend(profile, push.grown(np.array([theirs / 2])))
    assert half.normal[-1] == pytest.approx(float(wall_half.normal[-1, 0]), rel=0.02)
    assert half.at[-1, 0] + 0.4 == pytest.approx(float(wall_half.at[-1, 0]), rel=0.02)


def test_a_buttress_helps_on_its_own_side_alone() -> None:
    bare = pier_shape(pier(), "C")
    helped = pier_shape(pier(buttress=BUTTRESSES[0]), "C")
    for push, helps in ((np.array([1e4, 0.0]), True), (np.array([-1e4, 0.0]), False)):
        loads = PierLoads(50e3, push)
        gain = pier_factor(helped, loads) / pier_factor(bare, loads)
        assert (gain > 1.3) is helps


def test_the_wall_beside_lends_its_buttress_along_y() -> None:
    both = pier_shape(pier(buttress=BUTTRESSES[0]), "A", pier(buttress=BUTTRESSES[0]))
    assert [(leaning.axis, leaning.way) for leaning in both.leanings] == [(0, -1.0), (1, -1.0)]
    base = both.beds[-1]
    assert base.area == pytest.approx(0.8**2 + 2 * 0.4 * 0.6)
    assert base.middle[0] == pytest.approx(base.middle[1])
    assert base.middle[0] < 0


def test_squares_of_a_pier_pushed_along_a_diagonal_converge(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shape = PierShape(0.8, 3.0, 2000 * GRAVITY)
    loads = PierLoads(40e3, np.array([5e3, 5e3]))
    ours = pier_factor(shape, loads)
    monkeypatch.setattr(cracked_pier, "CELLS", 120)
    finer = pier_factor(shape, loads)
    assert finer * 0.95 < ours <= finer * 1.002


def test_enough_is_told_as_enough() -> None:
    shape = PierShape(0.8, 3.0, 2000 * GRAVITY)
    loads = PierLoads(40e3, np.array([5e3, 1e3]))
    whole = pier_factor(shape, loads)
    assert pier_factor(shape, loads, whole / 2) == whole / 2
    assert pier_factor(shape, loads, whole * 2) == pytest.approx(whole, rel=2e-3)


@given(
    x=st.floats(-0.49, 0.49), y=st.floats(-0.59, 0.59), out=st.floats(0.05, 0.8),
    width=st.floats(0.1, 0.9),
)  # fmt: skip
def test_the_block_of_any_bed_stands_under_its_resultant(
    x: float, y: float, out: float, width: float
) -> None:
    """The part point for point about the resultant has its middle there and is never over the bed."""
    bed = Bed(((-0.5, -0.6, 0.5, 0.6), (0.5, -width / 2, 0.5 + out, width / 2)))
    at = np.array([x, y])
    area = float(bed.block(at))
    shaft = Bed(bed.boxes[:1])
    assert float(shaft.block(at)) - 1e-12 <= area <= bed.area + 1e-12
    assert float(shaft.block(at)) == pytest.approx((1 - 2 * abs(x)) * (1.2 - 2 * abs(y)))


def test_the_kern_of_a_bed_with_a_buttress_by_navier() -> None:
    """Shut to open where N/A + N e (c - m)/I is nothing at the far edge (strength of materials)."""
    bed = Bed(((-0.4, -0.4, 0.4, 0.4), (0.4, -0.2, 1.0, 0.2)))
    area = 0.64 + 0.24
    middle = 0.24 * 0.7 / area
    inertia = 0.8**4 / 12 + 0.64 * middle**2 + 0.4 * 0.6**3 / 12 + 0.24 * (0.7 - middle) ** 2
    outward = inertia / (area * (middle + 0.4))
    assert float(bed.kern_use(np.array([middle + outward, 0.0]))) == pytest.approx(1.0)
    inward = inertia / (area * (1.0 - middle))
    assert float(bed.kern_use(np.array([middle - inward, 0.0]))) == pytest.approx(1.0)


def test_a_buttress_wider_than_its_pier_is_refused() -> None:
    with pytest.raises(TimbrelError) as error:
        refuse_leaning(pier(buttress={**BUTTRESSES[0], "width": 900}), "left")
    assert error.value.key == "walls.left.buttress.width"
    with pytest.raises(TimbrelError) as error:
        refuse_leaning(pier(buttress={**BUTTRESSES[0], "height": 3500}), "near", 0.8)
    assert error.value.key == "walls.near.buttress.height"
    refuse_leaning(pier(buttress=BUTTRESSES[2]), "left")


def test_a_couple_without_a_push_may_turn_a_pier_over() -> None:
    """The head of a weightless pier bears down x side/2 and no more."""
    shape = PierShape(0.8, 3.0, 0.0)
    loads = PierLoads(40e3, np.zeros(2), couple=np.array([8e3, 0.0]))
    assert pier_factor(shape, loads) == pytest.approx(2.0, rel=2 / 40)
    assert pier_factor(shape, PierLoads(40e3, np.zeros(2))) == np.inf
    assert pier_factor(shape, PierLoads(40e3, np.zeros(2), held=np.array([17e3, 0.0]))) == 0.0


def test_a_couple_without_a_push_may_turn_a_wall_over() -> None:
    depth, even = np.linspace(0.0, 3.0, BEDS + 1), np.full(BEDS + 1, 0.8)
    nothing = np.zeros(len(depth))
    profile = Profile(depth, even, nothing, even, nothing, 1.0, 1.0, 1.0, 0.0, 0.4, 0.6)
    one = np.ones(1)
    for into, falls in ((0.7, False), (0.9, True)):
        push = Push(0 * one, 0 * one, 40e3 * one, into * one, 0 * one, one)
        assert (overturning_factor(profile, push, 0) == 0.0) is falls
