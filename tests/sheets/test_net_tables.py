"""Beside every load stand its bounds, or why it has no upper one."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

from timbrel.sheets.net_tables import net_blocks, why_bounds
from timbrel.statics.mechanism_bound import UpperBound
from timbrel.words import Voice, say


def factor(title: str, kinematic: float | None, why: str, more: bool = False) -> Any:
    return SimpleNamespace(
        title=say("{t}", t=title), static=2.0, coarser=1.9 if kinematic else None, steps=12,
        difference=0.05 if kinematic else None, kinematic=kinematic,
        gap=None if kinematic is None else kinematic / 2 - 1, more=more,
        upper=UpperBound(None, say("{w}", w=why)),
    )  # fmt: skip


FACTORS = (
    factor("half", None, "It does not govern."),
    factor("quarter", None, "It does not govern."),
    factor("patch", 2.05, "The webs part."),
)


def test_every_reason_is_told_once_with_its_loads() -> None:
    voice = Voice()
    said = [voice(line) for line in why_bounds(FACTORS, voice)]
    assert said == [
        "half, quarter: no upper bound. It does not govern.",
        "patch: The webs part.",
    ]


def test_the_paper_tells_both_bounds_and_both_finenesses() -> None:
    net = SimpleNamespace(
        factors=FACTORS, spots=(), thrusts=(), steps=12, wording=say("Lower bound.")
    )
    drawn = str(net_blocks(cast(Any, net), None, Voice()))
    for figure in ("2.00", "1.90", "12", "2.05", "no upper bound", "It does not govern."):
        assert figure in drawn
    assert "5.0" in drawn.replace("\u202f", " "), "difference of the two nets"
    assert "2.5" in drawn, "gap of the bounds"
