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
from pydantic import BaseModel

from timbrel.words import Message, Voice

DIGITS = 9


def number(value: float) -> float | None:
    """A finite number to nine digits, else None."""
    if not math.isfinite(value):
        return None
    return float(f"{value:.{DIGITS}g}")


def plain(value: Any, voice: Voice, leave_out: frozenset[str] = frozenset()) -> Any:
    """A value as JSON can hold it. leave_out: "Class.field" that is not written.

    Raises TypeError for what has no plain form.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type | Message):
        return _fields(value, voice, leave_out)
    if isinstance(value, dict):
        return {str(key): plain(item, voice, leave_out) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [plain(item, voice, leave_out) for item in value]
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
        (Enum, lambda e: e.name.lower() if isinstance(e.value, int) else e.value),
        (Message, voice),
        (bool | str | None, lambda v: v),
        (int | np.integer, int),
        (float | np.floating, lambda v: number(float(v))),
        (np.ndarray, _array),
        (date, date.isoformat),
        (BaseModel, lambda table: table.model_dump(mode="json")),
    )
    for kind, read in readings:
        if isinstance(value, kind):
            return read(value)
    raise TypeError(f"{type(value).__name__} has no plain form")


def _array(values: np.ndarray[Any, Any]) -> Any:
    if values.dtype.kind in "iub":
        return values.tolist()
    if values.ndim == 1:
        return [number(item) for item in values.tolist()]
    return [_array(row) for row in values]
