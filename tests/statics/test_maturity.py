"""Equivalent age and the strength of young joints."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.statics.maturity import BondStrength, bond_by_tests, equivalent_age
from timbrel.words import TimbrelError

HOUR = 3600.0


def curve() -> BondStrength:
    return bond_by_tests(
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


def test_between_two_tests_strength_is_straight_over_the_logarithm_of_age() -> None:
    """Plowman, J. M. (1956), Maturity and the strength of concrete, Magazine of Concrete Research
    8(22): strength = a + b log(maturity). By hand: halfway in log between 2 h and 24 h lies 6.928 h."""
    bond = curve()
    assert bond.at_age(6.928 * HOUR, 20.0) == pytest.approx((0.22e6 + 0.4e6) / 2, rel=1e-4)
    assert bond.at_age(HOUR, 20.0) == pytest.approx(0.16e6)  # halfway from 0.5 h to 2 h too


def test_up_to_the_first_test_strength_grows_straight_from_the_set() -> None:
    bond = curve()
    assert bond.at_age((600 + 0.5 * HOUR) / 2, 20.0) == pytest.approx(0.05e6)


def test_no_strength_before_set_and_none_beyond_the_tests() -> None:
    bond = curve()
    assert bond.at_age(599.0, 20.0) == 0.0
    assert bond.at_age(1e7, 20.0) <= 0.4e6
    assert math.isinf(bond.age_for(0.41e6, 20.0))


UNEVEN = ((0.18e6, 0.28e6, 0.45e6, 0.8e6, 1.1e6), (0.1e6, 0.15e6, 0.16e6, 0.4e6, 0.4e6))


@pytest.mark.parametrize("strengths", UNEVEN)
@pytest.mark.parametrize("at_c", [5.0, 20.0, 35.0])
def test_the_curve_meets_every_test_and_no_wait_that_ends_is_over_the_last(
    strengths: tuple[float, ...], at_c: float
) -> None:
    """What was tested is a fact of this binder: a curve that runs over a test counts on bond that is
    not there, and one that ends under the last would never allow what was tested."""
    ages = tuple(hours * HOUR for hours in (0.5, 1, 3, 24, 168))
    bond = bond_by_tests(ages, strengths, 20.0, 40e3, 600.0, "pats", "b")
    for age, strength in zip(ages, strengths, strict=True):
        assert bond.at_age(age, 20.0) == pytest.approx(strength)
        assert bond.age_for(strength, 20.0) <= age * (1 + 1e-9)
    assert bond.at_age(math.inf, at_c) == strengths[-1]
    assert math.isfinite(bond.age_for(strengths[-1], at_c))
    assert math.isinf(bond.age_for(1.0001 * strengths[-1], at_c))


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
        bond_by_tests(ages, strengths, 20.0, 40e3, 600.0, "made", "binders.quick.bond")
    assert refused.value.key == "binders.quick.bond"
