"""Start of set of a natural quick cement: producer's published data for prompt natural cement.

Plain 4, 2, 1 minutes and with 7 g of citric-acid retarder for one litre of cement 30, 15, 10
minutes, at 10, 20 and 30 degrees C. Common practice, no source: a retarded fast mortar stays
workable about 10 minutes.
"""

from __future__ import annotations

import math

import pytest
from tests.conftest import Evidence

from timbrel.job.model import SetTimes
from timbrel.job.set_times import set_start

SOURCE = "producer's published data for prompt natural cement"
PLAIN = ((10.0, 4.0), (20.0, 2.0), (30.0, 1.0))
RETARDED = ((10.0, 30.0), (20.0, 15.0), (30.0, 10.0))


def times(table: tuple[tuple[float, float], ...]) -> SetTimes:
    return SetTimes(degrees_c=tuple(t for t, _ in table), minutes=tuple(m for _, m in table))


@pytest.mark.parametrize("table", [PLAIN, RETARDED], ids=["plain", "retarded"])
def test_the_table_is_met_at_its_own_points(
    table: tuple[tuple[float, float], ...], evidence: Evidence
) -> None:
    for degrees, minutes in table:
        ours = set_start(times(table), degrees)
        assert ours is not None
        evidence(f"start of set at {degrees:.0f} C, min", minutes, ours / 60, SOURCE)
        assert ours == pytest.approx(60 * minutes, rel=1e-12)


def test_leaving_out_the_middle_row_predicts_it(evidence: Evidence) -> None:
    """The logarithm is the right scale: from 10 and 30 degrees alone, plain, 20 follows exactly."""
    ends = (PLAIN[0], PLAIN[2])
    ours = set_start(times(ends), 20.0)
    assert ours is not None
    evidence("start of set at 20 C from 10 and 30 C, min", 2.0, ours / 60, SOURCE)
    assert ours == pytest.approx(120, rel=1e-12)


def test_half_way_is_the_geometric_mean() -> None:
    ours = set_start(times(RETARDED), 25.0)
    assert ours == pytest.approx(60 * math.sqrt(15 * 10))


def test_a_retarded_mortar_stays_workable_about_ten_minutes(evidence: Evidence) -> None:
    """Common practice, no source. At 30 degrees, after 45 s of mixing, within a minute of it."""
    start = set_start(times(RETARDED), 30.0)
    assert start is not None
    workable = (start - 45.0) / 60
    evidence("workable time of a retarded mortar, min", 10.0, workable, "common practice")
    assert workable == pytest.approx(10.0, abs=1.0)
