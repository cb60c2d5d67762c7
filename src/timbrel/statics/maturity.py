"""Strength of a young joint: equivalent age by Arrhenius, and a curve fitted to the binder's tests.

Equivalent age (Freiesleben Hansen and Pedersen 1977; the maturity function of ASTM C1074): an hour
at temperature T counts as exp(-(Q/R)(1/T - 1/T0)) hours at the temperature T0 of the tests.
Strength against equivalent age follows the hyperbola of Carino (1984),
S = S_u k (t - t_0) / (1 + k (t - t_0)), with t_0 the start of set: zero before it. The curve serves
only as far as the tests go: it never exceeds the last tested strength, and before the first test it
is not above the straight line from the set to that test.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from timbrel.words import TimbrelError, say

Array = NDArray[np.float64]
GAS_CONSTANT = 8.314462618
"""J / (mol K), CODATA 2018."""
KELVIN = 273.15


def equivalent_age(age: float, at_c: float, tests_at_c: float, activation: float) -> float:
    """Age (s) at `at_c` as an age at the temperature of the tests; `activation` in J/mol."""
    inverse = 1 / (at_c + KELVIN) - 1 / (tests_at_c + KELVIN)
    return age * math.exp(-activation / GAS_CONSTANT * inverse)


@dataclass(frozen=True)
class BondStrength:
    """Bond of one binder against age.

    ages (s), strengths (Pa): the tests, at `tests_at_c`; set_start: start of set there (s);
    ultimate (Pa) and rate (1/s): the fitted hyperbola; misfit: the worst test's distance from it as
    a share; origin: who tested.
    """

    ages: tuple[float, ...]
    strengths: tuple[float, ...]
    tests_at_c: float
    activation: float
    set_start: float
    ultimate: float
    rate: float
    misfit: float
    origin: str

    def at_age(self, age: float, at_c: float) -> float:
        """Bond strength (Pa) of a joint of `age` seconds kept at `at_c`."""
        t = equivalent_age(age, at_c, self.tests_at_c, self.activation)
        return float(self._curve(np.array([t]))[0])

    def age_for(self, strength: float, at_c: float) -> float:
        """Least age (s) at `at_c` that reaches a strength; infinite when the tests never do."""
        if strength <= 0:
            return 0.0
        if strength > self._curve(np.array([self.ages[-1]]))[0]:
            return math.inf
        low, high = self.set_start, self.ages[-1]
        for _ in range(80):
            middle = (low + high) / 2
            if self._curve(np.array([middle]))[0] < strength:
                low = middle
            else:
                high = middle
        return high / equivalent_age(1.0, at_c, self.tests_at_c, self.activation)

    def _curve(self, t: Array) -> Array:
        # Beyond the last test nothing is gained, so an endless age is that of the last test.
        since = np.maximum(np.minimum(t, self.ages[-1]) - self.set_start, 0.0)
        fitted = self.ultimate * self.rate * since / (1 + self.rate * since)
        first = self.ages[0] - self.set_start
        straight = np.where(t < self.ages[0], self.strengths[0] * since / first, math.inf)
        return np.minimum(np.minimum(fitted, straight), self.strengths[-1])


def fit_strength(
    ages: tuple[float, ...],
    strengths: tuple[float, ...],
    tests_at_c: float,
    activation: float,
    set_start: float,
    origin: str,
    key: str,
) -> BondStrength:
    """Fit the hyperbola to three tests or more by least squares on relative error.

    ages in s, strengths in Pa. Raises TimbrelError for fewer tests, ages that do not rise or lie
    before the set, or strengths that fall.
    """
    _refuse_bad_tests(ages, strengths, set_start, key)
    since = np.array(ages) - set_start
    s = np.array(strengths)
    # 1/S = 1/S_u + 1/(S_u k t): linear in 1/t; weighting by S makes the errors relative.
    rows = np.column_stack([s, s / since])
    (a, b), *_ = np.linalg.lstsq(rows, np.ones(len(s)), rcond=None)
    # A fit may want no plateau (a <= 0): strength then grows in proportion to the last test, where
    # it is capped in any case.
    a, b = max(float(a), 1e-3 / s[-1]), max(float(b), 1e-12)
    ultimate, rate = 1 / a, a / b
    fitted = ultimate * rate * since / (1 + rate * since)
    misfit = float(np.max(np.abs(fitted / s - 1)))
    return BondStrength(
        ages, strengths, tests_at_c, activation, set_start, ultimate, rate, misfit, origin
    )


def _refuse_bad_tests(
    ages: tuple[float, ...], strengths: tuple[float, ...], set_start: float, key: str
) -> None:
    if len(ages) < 3 or len(ages) != len(strengths):
        raise TimbrelError(
            say(
                "{key}: {ages:count} ages and {strengths:count} strengths were given; bond tests "
                "at three ages or more, one strength for each, are accepted.",
                key=key,
                ages=len(ages),
                strengths=len(strengths),
            ),
            key=key,
        )
    if ages[0] <= set_start or any(b <= a for a, b in pairwise(ages)):
        raise TimbrelError(
            say(
                "{key}: the ages must rise and the first must lie after the start of set, "
                "{set_start:minutes}; {first:hours} was given first.",
                key=key,
                set_start=set_start,
                first=ages[0],
            ),
            key=key,
        )
    if strengths[0] <= 0 or any(b < a for a, b in pairwise(strengths)):
        raise TimbrelError(
            say(
                "{key}: the strengths must be over zero and must not fall with age; "
                "{first:stress} to {last:stress} was given.",
                key=key,
                first=strengths[0],
                last=strengths[-1],
            ),
            key=key,
        )
