"""Rows and courses that close, by plain arithmetic."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.bond.gauging import gauge_rows, neat_gauges, tapered_gauges
from timbrel.bond.phase import first_gauge
from timbrel.bond.stock import Stock
from timbrel.job.model import JointRange


def stock(
    along: float = 0.28,
    across: float = 0.14,
    joint: tuple[float, float, float] = (6, 10, 15),
    share: float = 0.5,
) -> Stock:
    """A tile with its joint range in mm."""
    least, best, most = joint
    given_joint = JointRange.model_validate({"least": least, "best": best, "most": most})
    return Stock("t", along, across, 0.02, given_joint, share)


@settings(max_examples=80, deadline=None)
@given(length=st.floats(1.0, 9.0), half=st.booleans())
def test_a_row_adds_up(length: float, half: bool) -> None:
    tile = stock()
    rows = gauge_rows(np.array([length]), np.array([half]), np.full((1, 2), 0.28), tile)
    ends = np.concatenate([rows.head[0], rows.tail[0]])
    ends = ends[np.isfinite(ends)]
    count = len(ends) + int(rows.wholes[0])
    joint = float(rows.joint[0])
    assert ends.sum() + rows.wholes[0] * 0.28 + (count + 1) * joint == pytest.approx(length)
    assert 0.006 - 1e-9 <= joint <= 0.015 + 1e-9
    assert ends.min() >= tile.half - 1e-9
    assert ends.max() <= 0.28 + 1e-9


def test_a_long_row_needs_no_cut() -> None:
    """6.60 m takes 280 mm tiles in wholes with joints in 6 to 15 mm, whatever it is exactly."""
    lengths = np.linspace(6.4, 6.7, 61)
    rows = gauge_rows(lengths, np.zeros(61, bool), np.full((61, 2), 0.28), stock())
    last = rows.tail[:, 0]
    assert np.all(np.isclose(last, 0.28) | np.isclose(last, stock().half))


def test_a_piece_too_small_takes_half_of_its_neighbour() -> None:
    """Four tiles and 100 mm more than the joints can take: two pieces of (280 + x)/2 are cut."""
    tile = stock(joint=(9, 10, 11))
    length = 4 * 0.28 + 5 * 0.010 + 0.100
    rows = gauge_rows(np.array([length]), np.array([False]), np.full((1, 2), 0.28), tile)
    small = 0.100 - 0.010
    assert rows.tail[0] == pytest.approx([(0.28 + small) / 2] * 2)
    assert rows.wholes[0] == 2


def test_courses_share_what_is_out_of_square() -> None:
    gauge = first_gauge(list(neat_gauges(4.70, 4.80, stock())), stock())
    assert not gauge.cut.any()
    for length, joint in ((4.70, gauge.joint_near), (4.80, gauge.joint_far)):
        assert gauge.count * 0.14 + (gauge.count + 1) * joint == pytest.approx(length)
        assert 0.006 <= joint <= 0.015


def test_what_the_joints_cannot_take_tapers_at_the_springings() -> None:
    near, far = 2.0, 2.6
    assert not list(neat_gauges(near, far, stock()))
    gauge = next(tapered_gauges(near, far, stock()))
    for length, widths, joint in (
        (near, gauge.near, gauge.joint_near),
        (far, gauge.far, gauge.joint_far),
    ):
        assert widths.sum() + (gauge.count + 1) * joint == pytest.approx(length)
        assert widths.min() >= stock().half_across - 1e-9
        assert widths.max() <= 0.14 + 1e-9
    each = gauge.cut.sum() // 2
    assert np.array_equal(np.flatnonzero(gauge.cut)[:each], np.arange(each))
    assert np.array_equal(gauge.cut, gauge.cut[::-1]), "the crown keeps its courses"


def test_halves_and_a_joint_make_a_whole() -> None:
    assert 2 * stock().half + 0.010 == pytest.approx(0.28)
    assert 2 * stock().half_across + 0.010 == pytest.approx(0.14)


def test_least_closers() -> None:
    """Half a tile in the seen layer, a third above, never under 70 mm along the tile."""
    assert stock(share=0.5).least_along == pytest.approx(stock().half)
    assert stock(share=1 / 3).least_along == pytest.approx(0.29 / 3 - 0.010)
    assert stock(along=0.21, share=1 / 3).least_along == pytest.approx(0.070)
    assert stock(share=0.75).least_along == pytest.approx(0.75 * 0.29 - 0.010)
