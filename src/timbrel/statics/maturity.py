"""Strength of a young joint: equivalent age by Arrhenius, and the binder's own tests between ages.

Equivalent age (Freiesleben Hansen and Pedersen 1977; the maturity function of ASTM C1074): an hour
at temperature T counts as exp(-(Q/R)(1/T - 1/T0)) hours at the temperature T0 of the tests.
Between two tests strength grows in a straight line over the logarithm of that age (Plowman 1956); up
to the first it grows straight from nothing at the start of set; after the last nothing is gained. So
the curve has no parameter but the tests, and runs over none of them.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from itertools import pairwise

from timbrel.words import TimbrelError, say

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

    ages (s), strengths (Pa): the tests, at `tests_at_c`; activation: J/mol; set_start: start of set
    there (s); origin: who tested.
    """

    ages: tuple[float, ...]
    strengths: tuple[float, ...]
    tests_at_c: float
    activation: float
    set_start: float
    origin: str

    def at_age(self, age: float, at_c: float) -> float:
        """Bond strength (Pa) of a joint of `age` seconds kept at `at_c`."""
        t = equivalent_age(age, at_c, self.tests_at_c, self.activation)
        if t <= self.set_start:
            return 0.0
        if t >= self.ages[-1]:
            return self.strengths[-1]
        k = bisect_left(self.ages, t)
        if k == 0:
            return self.strengths[0] * (t - self.set_start) / (self.ages[0] - self.set_start)
        share = math.log(t / self.ages[k - 1]) / math.log(self.ages[k] / self.ages[k - 1])
        return self.strengths[k - 1] + share * (self.strengths[k] - self.strengths[k - 1])

    def age_for(self, strength: float, at_c: float) -> float:
        """Least age (s) at `at_c` that reaches a strength; infinite when the tests never do."""
        if strength <= 0:
            return 0.0
        if strength > self.strengths[-1]:
            return math.inf
        k = bisect_left(self.strengths, strength)
        if k == 0:
            t = self.set_start + (self.ages[0] - self.set_start) * strength / self.strengths[0]
        else:
            low, high = self.strengths[k - 1], self.strengths[k]
            share = (strength - low) / (high - low)
            t = self.ages[k - 1] * (self.ages[k] / self.ages[k - 1]) ** share
        return t / equivalent_age(1.0, at_c, self.tests_at_c, self.activation)


def bond_by_tests(
    ages: tuple[float, ...],
    strengths: tuple[float, ...],
    tests_at_c: float,
    activation: float,
    set_start: float,
    origin: str,
    key: str,
) -> BondStrength:
    """The bond of a binder by three tests of it or more.

    ages in s, strengths in Pa. Raises TimbrelError for fewer tests, ages that do not rise or lie
    before the set, or strengths that fall.
    """
    _refuse_bad_tests(ages, strengths, set_start, key)
    return BondStrength(ages, strengths, tests_at_c, activation, set_start, origin)


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
