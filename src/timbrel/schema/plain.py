"""Dataclasses as plain JSON values.

Every public field of a dataclass is written, numbers in SI to nine significant digits. What is not
a number (an infinite load factor, an offset where there is no shell) is written as null: JSON has
no word for it. Messages are spoken.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from datetime import date
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from timbrel.words import Message, Voice

DIGITS = 9
LEAST_EXACT, MOST_EXACT = 1e-13, 1e22
"""Sizes whose ninth digit is reached by an exact power of ten (doubles hold 10^22 exactly)."""
FEW = 12
"""Numbers up to which one by one is quicker."""


def number(value: float) -> float | None:
    """A finite number to nine digits, else None."""
    if not math.isfinite(value):
        return None
    return float(f"{value:.{DIGITS}g}")


def numbers(values: NDArray[np.float64]) -> Any:
    """An array as rows of numbers, each as :func:`number` writes it, all rounded at once."""
    size = np.abs(values)
    plain_size = (size >= LEAST_EXACT) & (size < MOST_EXACT)
    if values.size < FEW or not (plain_size | (size == 0.0) | ~np.isfinite(size)).all():
        return _each(values.tolist())
    with np.errstate(invalid="ignore"):
        digits = DIGITS - 1 - np.floor(np.log10(np.where(plain_size, size, 1.0)))
        # Both ways a whole number meets an exact power of ten, so that the last bit is the same as
        # that of the number read back from its digits.
        power = 10.0 ** np.abs(digits)
        rounded = np.where(
            digits >= 0, np.rint(values * power) / power, np.rint(values / power) * power
        )
    if plain_size.all():
        return rounded.tolist()
    told = rounded.astype(object)
    told[~np.isfinite(values)] = None
    return told.tolist()


def _each(values: Any) -> Any:
    return [_each(v) for v in values] if isinstance(values, list) else number(values)


def plain(value: Any, voice: Voice, leave_out: frozenset[str] = frozenset()) -> Any:
    """A value as JSON can hold it. leave_out: "Class.field" that is not written.

    Raises TypeError for what has no plain form.
    """
    kind = type(value)
    if kind is float:
        return number(value)
    if kind is str or kind is bool or kind is int or value is None:
        return value
    if isinstance(value, tuple | list):
        return [plain(item, voice, leave_out) for item in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type | Message):
        return _fields(value, voice, leave_out)
    if isinstance(value, dict):
        return {str(key): plain(item, voice, leave_out) for key, item in value.items()}
    return _single(value, voice)


def _fields(value: Any, voice: Voice, leave_out: frozenset[str]) -> dict[str, Any]:
    kind = type(value).__name__
    return {
        field.name: plain(getattr(value, field.name), voice, leave_out)
        for field in dataclasses.fields(value)
        if f"{kind}.{field.name}" not in leave_out
    }


def _single(value: Any, voice: Voice) -> Any:
    """What is no row and no record. Enums come first: some are texts or numbers as well."""
    readings: tuple[tuple[Any, Callable[[Any], Any]], ...] = (
        (Message, voice),
        (Enum, lambda e: e.name.lower() if isinstance(e.value, int) else e.value),
        (np.ndarray, _array),
        (str, str),
        (int | np.integer, int),
        (float | np.floating, lambda v: number(float(v))),
        (date, date.isoformat),
        (BaseModel, lambda table: table.model_dump(mode="json")),
    )
    for kind, read in readings:
        if isinstance(value, kind):
            return read(value)
    raise TypeError(f"{type(value).__name__} has no plain form")


def _array(values: NDArray[Any]) -> Any:
    return values.tolist() if values.dtype.kind in "iub" else numbers(values)
