"""Dataclasses as plain JSON values.

Every public field of a dataclass is written, numbers in SI to nine significant digits. What is not
a number (an infinite load factor, an offset where there is no shell) is written as null: JSON has
no word for it. Messages are spoken.
"""

from __future__ import annotations

import dataclasses
import math
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
    """A value as JSON can hold it. leave_out: "Class.field" that is not written."""
    if value is None or (isinstance(value, bool | str) and not isinstance(value, Enum)):
        return value
    if isinstance(value, Message):
        return voice(value)
    if isinstance(value, Enum):
        return value.name.lower() if isinstance(value.value, int) else value.value
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return number(float(value))
    if isinstance(value, np.ndarray):
        return _array(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, BaseModel):
        return value.model_dump(mode="json")
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kind = type(value).__name__
        return {
            field.name: plain(getattr(value, field.name), voice, leave_out)
            for field in dataclasses.fields(value)
            if f"{kind}.{field.name}" not in leave_out
        }
    if isinstance(value, dict):
        return {str(key): plain(item, voice, leave_out) for key, item in value.items()}
    if isinstance(value, tuple | list | frozenset | set):
        items = sorted(value) if isinstance(value, frozenset | set) else value
        return [plain(item, voice, leave_out) for item in items]
    raise TypeError(f"{type(value).__name__} has no plain form")


def _array(values: np.ndarray[Any, Any]) -> Any:
    if values.dtype.kind in "iub":
        return values.tolist()
    if values.ndim == 1:
        return [number(item) for item in values.tolist()]
    return [_array(row) for row in values]
