"""The pencil beside the program: exact on the parabola, and loud where they part."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from tests.site.given_jobs import job_of, vault_of

from timbrel.site.hand_check import (
    EXPLAINED,
    hand_check,
    hand_checks,
    parabola_thrust,
    split_load,
)
from timbrel.statics.proof import prove
from timbrel.verdict import Verdict


def test_split_keeps_total_and_moment_of_a_true_parabola() -> None:
    x = (np.arange(4000) + 0.5) / 4000 * 3.0 - 1.5
    weight = (1800.0 + 9000.0 * (2 * x / 3.0) ** 2) * 3.0 / 4000
    even, haunch = split_load(x, weight, 3.0)
    assert even == pytest.approx(1800, rel=1e-5)
    assert haunch == pytest.approx(9000, rel=1e-5)


def test_thrust_is_the_moment_of_half_the_load_about_the_crown() -> None:
    """By moments, worked afresh: V L/2 less the half load times its arm, over the rise."""
    span, rise, even, haunch = 3.2, 0.5, 2000.0, 7000.0
    half = even * span / 2 + haunch * span / 6
    arm = even * span**2 / 8 + haunch * span / 6 * (3 / 8 * span)
    assert parabola_thrust(even, haunch, span, rise) == pytest.approx(
        (half * span / 2 - arm) / rise
    )


A_QUARTER = 750.0
FOUND = 0.002
"""Rise up to which the middle line's thrust lies between the program's two; the most by which the
program was found to leave the hand's range. The span is 3 m."""


@pytest.mark.parametrize("rise", [300.0, 450.0, 600.0, 750.0, 900.0, 1000.0])
@pytest.mark.parametrize("fill", ["none", "light", "solid", "sleeper walls"])
def test_program_and_pencil_agree_on_segments_from_a_tenth_to_a_third(
    rise: float, fill: str
) -> None:
    job = job_of(curve={"rise": rise}, loads={"fill": {"kind": fill}})
    found = hand_check(prove(job, vault_of(job)))
    if found is None:  # a bare arch of a third of its span has no line in two thin layers
        assert (rise, fill) == (1000.0, "none")
        return
    if rise <= A_QUARTER:
        assert all(c.least <= c.thrust <= c.greatest for c in found.cases)
    assert max(c.apart for c in found.cases) <= FOUND < EXPLAINED
    assert hand_checks(found)[0].verdict is Verdict.HOLDS


@pytest.mark.parametrize("directrix", ["catenary", "parabola"])
@pytest.mark.parametrize("rise", [300.0, 600.0, 900.0])
def test_program_and_pencil_agree_on_other_curves(directrix: str, rise: float) -> None:
    job = job_of(curve={"rise": rise, "directrix": directrix}, loads={"fill": {"kind": "light"}})
    found = hand_check(prove(job, vault_of(job)))
    assert found is not None and max(c.apart for c in found.cases) <= FOUND


def test_a_program_that_were_wrong_by_a_fifth_would_be_shown_up() -> None:
    job = job_of()
    found = hand_check(prove(job, vault_of(job)))
    assert found is not None
    worst = found.cases[0]
    for broken in (
        dataclasses.replace(worst, greatest=1.2 * worst.high),
        dataclasses.replace(worst, least=0.8 * worst.low),
    ):
        assert broken.apart > EXPLAINED
        check = hand_checks(dataclasses.replace(found, cases=(broken,)))[0]
        assert check.verdict is Verdict.FAILS
        assert "more than the approximation" in str(check.reason)


def test_without_a_thrust_line_there_is_nothing_to_compare() -> None:
    job = job_of(curve={"directrix": "semicircle", "rise": None})
    found = hand_check(prove(job, vault_of(job)))
    assert found is None
    assert hand_checks(found)[0].verdict is Verdict.NOT_JUDGED


def test_a_rise_under_the_thickness_has_no_upper_end() -> None:
    assert parabola_thrust(1000, 0, 3.0, 0.5) == pytest.approx(1000 * 9 / 8 / 0.5)
    stout = {"length": 280, "width": 140, "thickness": 75}
    job = job_of(curve={"rise": 80}, tiles={"stout": stout})
    found = hand_check(prove(job, vault_of(job)))
    assert found is not None
    assert all(np.isinf(c.high) and c.apart <= EXPLAINED for c in found.cases)
