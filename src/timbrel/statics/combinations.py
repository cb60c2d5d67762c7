"""Combinations of actions (EN 1990, 6.4.3, annex A1), as factors on the loads of a strip or a net.

One permanent factor goes on everything permanent (one source). Every arrangement of the imposed
load leads once; snow and wind go with it at their psi0, and lead once themselves. Drifted snow leads
in the place of even snow. For strength a nation chooses between one expression and a pair
(:mod:`timbrel.statics.expressions`). Water in the fill and the level acceleration are accidental.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

import numpy as np

from timbrel.job.model import Loads
from timbrel.statics.expressions import STRENGTH_SOURCES, Expression, strength_rules
from timbrel.statics.imposed import psi_imposed
from timbrel.statics.strip import Array
from timbrel.words import Message, cite, say

if TYPE_CHECKING:
    from timbrel.statics.actions import StripActions

VariableKind = Literal["full", "half", "line", "placed", "snow", "drift", "wind", "water", "level"]
"""Arrangements of the imposed load, then what is neither permanent nor imposed."""
SPREAD: tuple[VariableKind, ...] = ("full", "half")
"""Arrangements that go with other leading actions."""
WEATHER: tuple[VariableKind, ...] = ("snow", "wind")
"""Actions that go with every imposed load that leads."""
Situation = Literal["characteristic", "STR", "EQU", "accidental"]
CLAUSES: dict[Situation, str] = {
    "characteristic": cite("EN 1990 6.5.3, expression 6.14b"),
    "STR": STRENGTH_SOURCES["6.10"],
    "EQU": cite("EN 1990 6.4.3.2, expression 6.10, table A1.2(A)"),
    "accidental": cite("EN 1990 6.4.3.3, expression 6.11"),
}


@dataclass(frozen=True)
class Variable:
    """A variable load as combinations see it."""

    key: str
    title: Message
    kind: VariableKind


@dataclass(frozen=True)
class Combination:
    """Factors on the dead load and on each variable load.

    key: ``STR.sup.half.left``. leading: title of what leads. factors: (k,) on patterns, then on the
    other actions. expression: by which it is combined for strength.
    """

    key: str
    situation: Situation
    leading: Message
    dead: float
    factors: Array
    expression: Expression = "6.10"

    @property
    def source(self) -> str:
        return clause_of(self.situation, self.expression)


def clause_of(situation: Situation, expression: Expression) -> str:
    """The clause by which a combination is made."""
    return STRENGTH_SOURCES[expression] if situation == "STR" else CLAUSES[situation]


def variable_loads(acts: StripActions) -> Array:
    """(k, n, 3) wrenches of the patterns, then of the other actions."""
    others = [o.load.wrench for o in acts.others]
    return np.concatenate([acts.variable, np.stack(others)]) if others else acts.variable


def combinations(acts: StripActions, loads: Loads) -> tuple[Combination, ...]:
    """All combinations that the job's loads call for, at one strip."""
    patterns = [Variable(p.load.key, p.load.title, p.kind) for p in acts.patterns]
    others = [Variable(o.load.key, o.load.title, o.kind) for o in acts.others]
    return combined(patterns, others, loads)


def combined(
    patterns: Sequence[Variable],
    others: Sequence[Variable],
    loads: Loads,
    spread: tuple[VariableKind, ...] = SPREAD,
) -> tuple[Combination, ...]:
    """All combinations of arrangements of the imposed load and of other actions.

    spread: kinds of arrangement that go with other leading actions. factors of each combination
    are on the patterns, then on the others.
    """
    factors, national = loads.factors, loads.national
    basic = _Basic(patterns, others, loads, spread)
    found = basic.with_dead("characteristic", "", 1.0, 1.0)
    for rule in strength_rules(loads):
        for part, dead in (("sup.", rule.unfavourable), ("inf.", rule.favourable)):
            key = f"{rule.key}{part}"
            rows = basic.with_dead("STR", key, dead, factors.variable, leads=rule.leads)
            found += [replace(c, expression=rule.expression) for c in rows]
    found += basic.with_dead("EQU", "sup.", national.equ_unfavourable, factors.variable)
    found += basic.with_dead("EQU", "inf.", national.equ_favourable, factors.variable)
    found += basic.accidental()
    return tuple(found)


class _Basic:
    """Builds the combinations of one set of loads."""

    def __init__(
        self,
        patterns: Sequence[Variable],
        others: Sequence[Variable],
        loads: Loads,
        spread: tuple[VariableKind, ...],
    ) -> None:
        self.national, self.psi_imposed = loads.national, psi_imposed(loads)
        self.patterns, self.others, self.spread = patterns, others, spread
        self.count = len(patterns) + len(others)
        self.psi0: dict[VariableKind, float] = {
            "snow": self.national.psi0_snow,
            "wind": self.national.psi0_wind,
            "drift": self.national.psi0_snow,
        }

    def with_dead(
        self,
        situation: Situation,
        part: str,
        dead: float,
        variable: float,
        *,
        leads: bool = True,
    ) -> list[Combination]:
        """Dead load alone, then each variable action leading once. leads: at its whole factor; if
        not it counts by its psi0 as the others do, and what comes to the same is told once."""
        nothing = np.zeros(self.count)
        calm, *winds = self._weathers(variable)
        found = [
            Combination(f"{situation}.{part}dead", situation, say("Dead load alone"), dead, nothing)
        ]
        for i, pattern in enumerate(self.patterns):
            for suffix, weather in winds or [calm]:
                row = weather.copy()
                row[i] = variable * (1.0 if leads else self.psi_imposed.accompanying)
                key = f"{situation}.{part}{pattern.key}{suffix}"
                found.append(Combination(key, situation, pattern.title, dead, row))
        even = [i for i, _ in self._places("snow")]
        for i, other in self._places(*WEATHER, "drift"):
            beside = [calm] if other.kind == "wind" or not winds else winds
            for j, key in [(-1, ""), *self._spread_patterns()]:
                for suffix, weather in beside:
                    row = weather.copy()
                    if other.kind == "drift":
                        row[even] = 0.0
                    row[i] = variable * (1.0 if leads else self.psi0[other.kind])
                    if j >= 0:
                        row[j] = variable * self.psi_imposed.accompanying
                    name = f"{situation}.{part}{other.key}{key}{suffix}"
                    found.append(Combination(name, situation, other.title, dead, row))
        return found if leads else _once(found)

    def _weathers(self, variable: float) -> list[tuple[str, Array]]:
        """Snow at its psi0 without wind, then with the wind of one side at a time; each with what is
        put to the name of the combination, nothing for the first wind."""
        calm = np.zeros(self.count)
        for i, _ in self._places("snow"):
            calm[i] = variable * self.psi0["snow"]
        found = [("", calm)]
        for number, (i, wind) in enumerate(self._places("wind")):
            row = calm.copy()
            row[i] = variable * self.psi0["wind"]
            found.append((f"+{wind.key}" if number else "", row))
        return found

    def accidental(self) -> list[Combination]:
        """Water with the frequent imposed load; a level push with the quasi-permanent."""
        found: list[Combination] = []
        for i, other in self._places("water", "level"):
            wet = other.kind == "water"
            psi = self.psi_imposed.frequent if wet else self.psi_imposed.lasting
            for j, key in [(-1, ""), *self._spread_patterns()]:
                row = np.zeros(self.count)
                row[i] = 1.0
                if j >= 0:
                    row[j] = psi
                name = f"accidental.{other.key}{key}"
                found.append(Combination(name, "accidental", other.title, 1.0, row))
        return found

    def _places(self, *kinds: VariableKind) -> list[tuple[int, Variable]]:
        """Other actions of some kinds, each with its place among all factors."""
        return [
            (len(self.patterns) + i, other)
            for i, other in enumerate(self.others)
            if other.kind in kinds
        ]

    def _spread_patterns(self) -> list[tuple[int, str]]:
        """Arrangements of the imposed load that go with other leading actions."""
        return [(i, f"+{p.key}") for i, p in enumerate(self.patterns) if p.kind in self.spread]


def _once(found: list[Combination]) -> list[Combination]:
    """Combinations of one dead load without those whose factors an earlier one has already."""
    kept: dict[bytes, Combination] = {}
    for c in found:
        kept.setdefault(np.round(c.factors, 12).tobytes(), c)
    return [*kept.values()]
