"""Equivalent age and the strength of young joints."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.statics.maturity import BondStrength, equivalent_age, fit_strength
from timbrel.words import TimbrelError

HOUR = 3600.0


def curve() -> BondStrength:
    return fit_strength(
        (0.5 * HOUR, 2 * HOUR, 24 * HOUR),
        (0.1e6, 0.22e6, 0.4e6),
        20.0,
        40e3,
        600.0,
        "pats",
        "b.bond",
    )


def test_an_hour_in_the_warm_counts_for_more() -> None:
    assert equivalent_age(HOUR, 20, 20, 40e3) == pytest.approx(HOUR)
    # By hand: exp(40000/8.3145 (1/293.15 - 1/303.15)) = 1.7184
    assert equivalent_age(HOUR, 30, 20, 40e3) / HOUR == pytest.approx(1.7184, abs=2e-4)
    assert equivalent_age(HOUR, 5, 20, 40e3) < HOUR


def test_exact_hyperbola_is_found_again() -> None:
    ultimate, rate, start = 0.5e6, 1 / (3 * HOUR), 600.0
    ages = (HOUR, 4 * HOUR, 20 * HOUR)
    strengths = tuple(ultimate * rate * (t - start) / (1 + rate * (t - start)) for t in ages)
    found = fit_strength(ages, strengths, 20.0, 40e3, start, "made", "k")
    assert found.ultimate == pytest.approx(ultimate, rel=1e-6)
    assert found.rate == pytest.approx(rate, rel=1e-6)
    assert found.misfit < 1e-9


def test_no_strength_before_set_and_none_beyond_the_tests() -> None:
    bond = curve()
    assert bond.at_age(599.0, 20.0) == 0.0
    assert bond.at_age(1e7, 20.0) <= 0.4e6
    assert math.isinf(bond.age_for(0.41e6, 20.0))


@pytest.mark.parametrize("at_c", [5.0, 20.0, 35.0])
def test_an_endless_wait_has_no_more_than_the_curve_gives_at_the_last_test(at_c: float) -> None:
    """The fitted curve runs under the last test here; what never comes by it is not there at last."""
    bond = fit_strength(
        (0.5 * HOUR, 2 * HOUR, 24 * HOUR), (0.1e6, 0.15e6, 0.4e6), 20.0, 40e3, 600.0, "pats", "b"
    )
    most = bond.at_age(math.inf, at_c)
    assert most < 0.99 * 0.4e6
    assert math.isfinite(bond.age_for(0.9999 * most, at_c))
    assert math.isinf(bond.age_for(1.0001 * most, at_c))


@given(st.floats(700, 30 * HOUR), st.floats(1.0, 4 * HOUR), st.floats(5, 35))
def test_strength_never_falls_with_age(age: float, later: float, at_c: float) -> None:
    assert curve().at_age(age + later, at_c) >= curve().at_age(age, at_c)


@given(st.floats(0.01e6, 0.35e6), st.floats(5, 35))
def test_the_age_for_a_strength_gives_that_strength(strength: float, at_c: float) -> None:
    bond = curve()
    assert bond.at_age(bond.age_for(strength, at_c), at_c) == pytest.approx(strength, rel=1e-6)


@pytest.mark.parametrize(
    ("ages", "strengths", "word"),
    [
        ((HOUR, 2 * HOUR), (1e5, 2e5), "three ages"),
        ((HOUR, HOUR, 2 * HOUR), (1e5, 2e5, 3e5), "must rise"),
        ((60.0, HOUR, 2 * HOUR), (1e5, 2e5, 3e5), "after the start of set"),
        ((HOUR, 2 * HOUR, 3 * HOUR), (3e5, 2e5, 1e5), "must not fall"),
    ],
)
def test_bad_tests_are_refused(
    ages: tuple[float, ...], strengths: tuple[float, ...], word: str
) -> None:
    with pytest.raises(TimbrelError, match=word) as refused:
        fit_strength(ages, strengths, 20.0, 40e3, 600.0, "made", "binders.quick.bond")
    assert refused.value.key == "binders.quick.bond"
