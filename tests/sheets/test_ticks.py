"""Marks of axes: round figures, few of them, none past the end."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.sheets.ticks import round_marks


@given(st.floats(1e-3, 1e9), st.integers(2, 8))
def test_marks_are_round_even_and_within(top: float, about: int) -> None:
    marks = round_marks(top, about)
    assert 1 <= len(marks) <= about
    assert marks[-1] <= top * (1 + 1e-8)
    lead = f"{marks[0]:.6e}"
    assert lead[:8] in ("1.000000", "2.000000", "5.000000")
    assert marks == pytest.approx([marks[0] * (k + 1) for k in range(len(marks))])


def test_a_force_up_to_63570_is_marked_every_twenty_thousand() -> None:
    assert round_marks(63.57e3) == pytest.approx([20e3, 40e3, 60e3])
