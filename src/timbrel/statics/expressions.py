"""Expressions of EN 1990 by which actions are combined for strength: 6.10, or 6.10a with 6.10b.

A nation chooses. By 6.10 a variable action leads at its full factor beside the whole permanent load.
By the pair both are met: 6.10a keeps the whole permanent load and lets no variable action lead (each
at its psi0); 6.10b lets one lead, and what is permanent and unfavourable counts by the share xi.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from timbrel.job.model import Loads
from timbrel.statics.imposed import psi_imposed
from timbrel.words import cite

Expression = Literal["6.10", "6.10a", "6.10b"]
STRENGTH_SOURCES: dict[Expression, str] = {
    "6.10": cite("EN 1990 6.4.3.2, expression 6.10, table A1.2(B)"),
    "6.10a": cite("EN 1990 6.4.3.2, expression 6.10a, table A1.2(B)"),
    "6.10b": cite("EN 1990 6.4.3.2, expression 6.10b, table A1.2(B)"),
}


@dataclass(frozen=True)
class StrengthRule:
    """One expression as factors.

    key: how its combinations are called after ``STR.``, empty for 6.10. unfavourable, favourable: on
    the permanent load. leads: does one variable action lead at its whole factor; if not each counts
    by its psi0.
    """

    expression: Expression
    key: str
    unfavourable: float
    favourable: float
    leads: bool


@dataclass(frozen=True)
class DesignPair:
    """Factors on an unfavourable permanent load and on the imposed load beside it."""

    expression: Expression
    permanent: float
    imposed: float


def strength_rules(loads: Loads) -> tuple[StrengthRule, ...]:
    """The expressions that a job's national choice asks for (EN 1990 table A1.2(B), note 1)."""
    factors = loads.factors
    whole, part = factors.permanent, loads.national.xi * factors.permanent
    favourable = factors.permanent_favourable
    if not by_pair(loads):
        return (StrengthRule("6.10", "", whole, favourable, True),)
    return (
        StrengthRule("6.10a", "a.", whole, favourable, False),
        StrengthRule("6.10b", "b.", part, favourable, True),
    )


def design_pairs(loads: Loads) -> tuple[DesignPair, ...]:
    """Factors of each expression where everything is unfavourable and the imposed load leads."""
    psi0 = psi_imposed(loads).accompanying
    variable = loads.factors.variable
    return tuple(
        DesignPair(r.expression, r.unfavourable, variable * (1.0 if r.leads else psi0))
        for r in strength_rules(loads)
    )


def by_pair(loads: Loads) -> bool:
    """Does the job ask for 6.10a with 6.10b in the place of 6.10."""
    return loads.national.expressions != "6.10"
