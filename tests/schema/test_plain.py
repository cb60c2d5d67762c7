"""Plain values: what json writes, and that rounding all at once is rounding one by one."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from enum import Enum, IntEnum
from typing import Any, ClassVar, NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from timbrel.schema.plain import FEW, number, numbers, plain
from timbrel.words import Voice, say


def _digits(value: float) -> int:
    mantissa = repr(value).lower().split("e")[0]
    return len(mantissa.replace("-", "").replace(".", "").strip("0"))


@given(
    arrays.arrays(
        float,
        st.integers(FEW, FEW + 20),
        elements=st.floats(-1e20, 1e20).filter(lambda x: x == 0.0 or abs(x) > 1e-12),
    )
)
def test_rounding_at_once_is_rounding_one_by_one(values: np.ndarray) -> None:
    """Python's own formatting is the reference; at a tie the two may part by one ninth digit."""
    for ours, value in zip(numbers(values), values.tolist(), strict=True):
        read_back = float(f"{value:.9g}")
        assert ours == pytest.approx(read_back, rel=1.01e-8)
        if ours != read_back:
            assert abs(abs(ours - value) - abs(read_back - value)) <= 1e-14 * abs(value)
        assert _digits(ours) <= 9


def test_no_digit_past_the_ninth_is_written() -> None:
    values = np.linspace(0.1, 7.3, 4001) ** 3 / 7
    assert max(len(text.split(".")[1]) for text in json.dumps(numbers(values)).split(",")) <= 12
    assert numbers(values) == [float(f"{v:.9g}") for v in values.tolist()]


@pytest.mark.parametrize("wild", [1e-300, 5e-324, 1e300, 1.23456789012e-14])
def test_sizes_beyond_exact_powers_are_read_one_by_one(wild: float) -> None:
    values = np.full(FEW + 1, wild)
    assert numbers(values) == [number(wild)] * (FEW + 1)


@pytest.mark.parametrize("count", [2, FEW + 5])
def test_what_is_no_number_is_null_in_rows_too(count: int) -> None:
    values = np.full((3, count), 1 / 3)
    values[1, 1], values[2, 0], values[0, 0] = np.nan, -np.inf, -0.0
    told = numbers(values)
    assert told[1][1] is None and told[2][0] is None
    assert told[0][0] == 0.0 and told[1][0] == 0.333333333
    json.dumps(told, allow_nan=False)


class Kind(Enum):
    WHOLE = "whole"


class Rank(IntEnum):
    FIRST = 1


class Pair(NamedTuple):
    a: float
    b: Any


@dataclass(frozen=True)
class Thing:
    HIDDEN: ClassVar[int] = 7
    kept: Any
    dropped: int = 1


def test_every_kind_of_value() -> None:
    voice = Voice()
    thing = Thing((Kind.WHOLE, Rank.FIRST, True, None, np.float64(1 / 3), np.int64(4), "x"))
    assert plain(thing, voice, frozenset({"Thing.dropped"})) == {
        "kept": ["whole", "first", True, None, 0.333333333, 4, "x"]
    }
    assert plain(Pair(1.0, Thing(2)), voice, frozenset({"Thing.dropped"})) == [1.0, {"kept": 2}]
    assert plain({1: date(2001, 2, 3)}, voice) == {"1": "2001-02-03"}
    assert plain(say("Whole pieces"), voice) == "Whole pieces"
    assert plain(np.array([[1, 2], [3, 4]]), voice) == [[1, 2], [3, 4]]
    with pytest.raises(TypeError, match="no plain form"):
        plain(object(), voice)
