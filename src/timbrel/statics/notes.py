"""Calculation notes: numbered, each a formula with its figures and its source.

A note can be worked again from what it holds: `formula` is plain arithmetic in the symbols of
`values`, in the units stated, and gives `result`. plan.json carries them as they are.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from timbrel.words import Message

FUNCTIONS = {
    "sqrt": math.sqrt,
    "exp": math.exp,
    "abs": abs,
    "min": min,
    "max": max,
    "pi": math.pi,
}
NAME = re.compile(r"[A-Za-z_][A-Za-z_0-9]*")


@dataclass(frozen=True)
class Figure:
    """A symbol with its value and unit, as the formula takes them."""

    symbol: str
    value: float
    unit: str


@dataclass(frozen=True)
class Note:
    """One line of the calculation.

    number: from 1. title. symbol, result, unit: what it finds. formula: in the symbols of `values`.
    substituted: the formula with its figures. source: clause or author.
    """

    number: int
    title: Message
    symbol: str
    formula: str
    values: tuple[Figure, ...]
    substituted: str
    result: float
    unit: str
    source: str


def worked(formula: str, values: Mapping[str, float]) -> float:
    """The formula's value. Only arithmetic and the few functions of a hand calculation."""
    names = set(NAME.findall(formula)) - {"e"}
    unknown = names - set(values) - set(FUNCTIONS)
    if unknown:
        raise ValueError(f"unknown symbols: {sorted(unknown)}")
    return float(eval(formula, {"__builtins__": {}}, {**FUNCTIONS, **values}))


class Notebook:
    """Writes notes in order; a result may be used by the notes that follow."""

    def __init__(self) -> None:
        self.notes: list[Note] = []

    def write(
        self,
        title: Message,
        symbol: str,
        formula: str,
        values: Mapping[str, tuple[float, str]],
        unit: str,
        source: str,
    ) -> float:
        """Work a formula, write it down, give its result."""
        plain = {name: value for name, (value, _) in values.items()}
        result = worked(formula, plain)
        figures = tuple(Figure(name, value, of) for name, (value, of) in values.items())
        self.notes.append(
            Note(
                len(self.notes) + 1,
                title,
                symbol,
                formula,
                figures,
                substituted(formula, plain),
                result,
                unit,
                source,
            )
        )
        return result


def substituted(formula: str, values: Mapping[str, float]) -> str:
    """The formula with figures in the place of symbols, four digits each."""

    def figure(match: re.Match[str]) -> str:
        name = match.group()
        if name not in values:
            return name
        text = f"{values[name]:.4g}"
        return f"({text})" if text.startswith("-") else text

    return NAME.sub(figure, formula)
