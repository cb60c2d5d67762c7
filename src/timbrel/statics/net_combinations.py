"""Combinations of EN 1990 over a vault on a plan, as factors on the loads of its net.

The rules are those of a strip (:mod:`timbrel.statics.combinations`). Each half of the imposed load
leads once; beside snow or wind that leads it stands everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.job.model import Loads
from timbrel.statics.combinations import (
    Situation,
    Variable,
    VariableKind,
    clause_of,
    combined,
)
from timbrel.statics.expressions import Expression
from timbrel.statics.net_actions import NetActions
from timbrel.statics.net_others import NetOther
from timbrel.words import Message

LEADING: dict[str, VariableKind] = {
    "full": "full",
    "half.left": "half",
    "half.right": "half",
    "half.near": "half",
    "half.far": "half",
}
"""Arrangements of the imposed load that push on supports; a quarter or a patch pushes less."""
PLACED = ("loads.", "hooks.")


@dataclass(frozen=True)
class FactorOn:
    """A factor on one variable load, by its key."""

    load: str
    factor: float


@dataclass(frozen=True)
class NetCombination:
    """Factors on everything permanent and on variable loads.

    leading: key of the load that leads, None for the dead load alone; title: of it. variable: factor
    on it. factors: on every variable load that counts, the leading one among them. expression: by
    which it is combined for strength.
    """

    key: str
    situation: Situation
    leading: str | None
    title: Message
    dead: float
    variable: float
    factors: tuple[FactorOn, ...]
    expression: Expression = "6.10"

    @property
    def ratio(self) -> float:
        """Factor on the leading load over that on the permanent ones."""
        return self.variable / self.dead

    @property
    def mixture(self) -> tuple[tuple[str, float], ...]:
        """Every variable load that counts with its factor over that of the leading one: what is alike
        in combinations that differ by one multiple alone."""
        return tuple((f.load, round(f.factor / self.variable, 12)) for f in self.factors)

    @property
    def source(self) -> str:
        return clause_of(self.situation, self.expression)


def net_combinations(
    loads: Loads, acts: NetActions, pushes: tuple[NetOther, ...] = ()
) -> tuple[NetCombination, ...]:
    """All combinations of a vault on a plan (EN 1990 6.4.3, 6.5.3).

    pushes: level accelerations to bear.
    """
    patterns = [
        Variable(p.key, p.title, LEADING.get(p.key, "placed"))
        for p in acts.patterns
        if p.key in LEADING or p.key.startswith(PLACED)
    ]
    others = [Variable(o.load.key, o.load.title, o.kind) for o in (*acts.others, *pushes)]
    names = [v.key for v in (*patterns, *others)]
    found = []
    for c in combined(patterns, others, loads, spread=("full",)):
        factors = tuple(
            FactorOn(name, float(f)) for name, f in zip(names, c.factors, strict=True) if f
        )
        leads = max(factors, key=lambda f: (_leads(c.key, f.load), f.factor), default=None)
        found.append(
            NetCombination(
                c.key,
                c.situation,
                leads.load if leads else None,
                c.leading,
                c.dead,
                leads.factor if leads else 0.0,
                factors,
                c.expression,
            )
        )
    return tuple(found)


def _leads(key: str, load: str) -> bool:
    """Is a load the one that a combination is called after."""
    name = key.split("+", maxsplit=1)[0]
    return name.endswith(f".{load}")
