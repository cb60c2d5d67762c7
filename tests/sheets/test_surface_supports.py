"""Ties and shares of supports on paper: every figure is the plan's, and what is missing is a dash."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from timbrel.sheets.blocks import Block
from timbrel.sheets.surface_supports import share_blocks, tie_blocks
from timbrel.statics.level_arch import LevelArch
from timbrel.statics.support_verdicts import Governed
from timbrel.statics.tied_plan import NetRing, NetTie, NetTies
from timbrel.statics.ties import TieAnswer
from timbrel.words import Voice, say

VOICE = Voice()
ANSWER = TieAnswer(
    18.5e3, 9.8e3, 106.3e3, 91.5e3, 4.7e5, 0.006, 5e-4, 1.3e-3, 0.004, 34.2, 5.2, 0.68
)


def tied(**changes: Any) -> NetTies:
    stated: dict[str, Any] = {
        "layout": "round",
        "section": say("bar {diameter:length}", diameter=0.024),
        "stay": "for good",
        "warmer": 20.0,
        "ties": (NetTie("AB", 1.4e6, "STR.sup.full", ANSWER),),
        "ring": None,
        "arches": (),
        "lacking": "",
        "helps": True,
        "across": (3.4, 3.4),
        "apart": (0.0018, 0.0021),
        "rise": 0.68,
        "halves": (4.8, 0.0028),
        "drop": 0.0047,
    }
    return NetTies(**{**stated, **changes})


def words(blocks: list[Block]) -> str:
    return repr(blocks)


def test_a_tie_is_told_as_it_is_ordered_and_judged() -> None:
    told = words(tie_blocks(tied(), VOICE))
    for figure in ("Tie AB", "bar 24 mm", "5.20 m", "34.2 kg", "18.50 kN", "91.50 kN", "1.8 mm",
                   "STR.sup.full"):  # fmt: skip
        assert figure in told
    assert "2 mm and 2 mm" in told and "drops 5 mm" in told
    assert "lost in a fire" in told
    assert "as if there were no ties" not in told
    alone = words(tie_blocks(tied(alone=0.62), VOICE))
    assert "bears 0.62 times" in alone and "must be clad" in alone


def test_ties_that_go_are_told_to_stay_until_then() -> None:
    told = words(tie_blocks(tied(stay="until cured", helps=False), VOICE))
    assert "when the mortar has cured, not before" in told
    assert "as if there were no ties" in told


def test_rings_and_walls_that_arch_have_their_tables() -> None:
    ring = NetRing("STR.sup.full", 16.3e3, 11.7e3, 112.8e3, 2.2, 9e5, 8e-4, 52.1)
    told = words(tie_blocks(tied(ties=(), ring=ring), VOICE))
    assert "2.20 m" in told and "112.80 kN" in told and "0.8 mm" in told
    arch = LevelArch(3.4, 0.6, 0.5, 1e6, 10e3)
    told = words(tie_blocks(tied(arches=(("left", arch),)), VOICE))
    assert "Left wall" in told and "500 mm" in told and "10.00 kN/m" in told


def test_what_is_not_stated_is_a_dash() -> None:
    used = Governed(0.127, "STR.sup.full", "least")
    pier: Any = SimpleNamespace(
        crushing=used, vertical=None, shear=used, springer=used, bearing=None, opens=None
    )
    told = words(share_blocks([(say("Pier {corner}", corner="A"), pier)], VOICE))
    assert "12.7 %" in told.replace("\u202f", " ") and "–" in told and "shut" in told
    assert share_blocks([], VOICE) == []
