"""Combinations of actions (EN 1990, 6.4.3, annex A1), as factors on the loads of one strip.

One permanent factor goes on everything permanent (one source). Every arrangement of the imposed
load leads once; snow and wind go with it at their psi0, and lead once themselves. Water in the fill
and the level acceleration are accidental.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from timbrel.job.model import Loads
from timbrel.statics.actions import StripActions
from timbrel.statics.others import OtherKind
from timbrel.statics.strip import Array
from timbrel.words import Message, cite, say

Situation = Literal["characteristic", "STR", "EQU", "accidental"]
CLAUSES: dict[Situation, str] = {
    "characteristic": cite("EN 1990 6.5.3, expression 6.14b"),
    "STR": cite("EN 1990 6.4.3.2, expression 6.10, table A1.2(B)"),
    "EQU": cite("EN 1990 6.4.3.2, expression 6.10, table A1.2(A)"),
    "accidental": cite("EN 1990 6.4.3.3, expression 6.11"),
}


@dataclass(frozen=True)
class Combination:
    """Factors on the dead load and on each variable load.

    key: ``STR.sup.half.left``. leading: title of what leads. factors: (k,) on patterns, then on the
    other actions.
    """

    key: str
    situation: Situation
    leading: Message
    dead: float
    factors: Array

    @property
    def source(self) -> str:
        return CLAUSES[self.situation]


def variable_loads(acts: StripActions) -> Array:
    """(k, n, 3) wrenches of the patterns, then of the other actions."""
    others = [o.load.wrench for o in acts.others]
    return np.concatenate([acts.variable, np.stack(others)]) if others else acts.variable


def combinations(acts: StripActions, loads: Loads) -> tuple[Combination, ...]:
    """All combinations that the job's loads call for, at one strip."""
    factors, national = loads.factors, loads.national
    basic = _Basic(acts, loads)
    found = basic.with_dead("characteristic", "", 1.0, 1.0)
    found += basic.with_dead("STR", "sup.", factors.permanent, factors.variable)
    found += basic.with_dead("STR", "inf.", factors.permanent_favourable, factors.variable)
    found += basic.with_dead("EQU", "sup.", national.equ_unfavourable, factors.variable)
    found += basic.with_dead("EQU", "inf.", national.equ_favourable, factors.variable)
    found += basic.accidental()
    return tuple(found)


class _Basic:
    """Builds the combinations of one strip."""

    def __init__(self, acts: StripActions, loads: Loads) -> None:
        self.national = loads.national
        self.patterns = acts.patterns
        self.others = acts.others
        self.count = len(acts.patterns) + len(acts.others)
        self.psi0: dict[OtherKind, float] = {
            "snow": self.national.psi0_snow,
            "wind": self.national.psi0_wind,
        }

    def with_dead(
        self, situation: Situation, part: str, dead: float, variable: float
    ) -> list[Combination]:
        """Dead load alone, then each variable action leading once."""
        nothing = np.zeros(self.count)
        found = [
            Combination(f"{situation}.{part}dead", situation, say("Dead load alone"), dead, nothing)
        ]
        weather = nothing.copy()
        for i, other in self._weather():
            weather[i] = variable * self.psi0[other]
        for i, pattern in enumerate(self.patterns):
            row = weather.copy()
            row[i] = variable
            key = f"{situation}.{part}{pattern.load.key}"
            found.append(Combination(key, situation, pattern.load.title, dead, row))
        for i, other in self._weather():
            title = self.others[i - len(self.patterns)].load.title
            for j, key in [(-1, ""), *self._spread_patterns()]:
                row = weather.copy()
                row[i] = variable
                if j >= 0:
                    row[j] = variable * self.national.psi0_imposed
                name = f"{situation}.{part}{other}{key}"
                found.append(Combination(name, situation, title, dead, row))
        return found

    def accidental(self) -> list[Combination]:
        """Water with the frequent imposed load; a level push with the quasi-permanent."""
        found: list[Combination] = []
        for k, other in enumerate(self.others):
            if other.kind not in ("water", "level"):
                continue
            wet = other.kind == "water"
            psi = self.national.psi1_imposed if wet else self.national.psi2_imposed
            for j, key in [(-1, ""), *self._spread_patterns()]:
                row = np.zeros(self.count)
                row[len(self.patterns) + k] = 1.0
                if j >= 0:
                    row[j] = psi
                name = f"accidental.{other.load.key}{key}"
                found.append(Combination(name, "accidental", other.load.title, 1.0, row))
        return found

    def _weather(self) -> list[tuple[int, OtherKind]]:
        return [
            (len(self.patterns) + i, o.kind)
            for i, o in enumerate(self.others)
            if o.kind in self.psi0
        ]

    def _spread_patterns(self) -> list[tuple[int, str]]:
        """Imposed load on the whole or half of the span, which goes with other leading actions."""
        return [
            (i, f"+{p.load.key}") for i, p in enumerate(self.patterns) if p.kind in ("full", "half")
        ]
