"""Drawings of a plan for the page: which one shows what a check judges, and their SVG."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from timbrel.web.planning import Planned
from timbrel.words import TimbrelError, Voice, say

if TYPE_CHECKING:
    from timbrel.sheets.board import Picture

SHOWN_BY = (
    ("room.", "general-plan"),
    ("levels.", "section-long"),
    ("hooks.", "general-plan"),
    ("ends.", "section-long"),
    ("bond.lap", "corner-layer-2"),
    ("bond.", "bond-layer-1"),
    ("walls.", "section-near"),
    ("statics.", "section-near"),
    ("site.fill", "fill-lifts"),
    ("site.seat.left", "seat-left"),
    ("site.seat.right", "seat-right"),
    ("site.hand-check", "hand-check"),
    ("building.", "section-near"),
    ("site.", "section-long"),
)
"""The drawing that shows a check, by the beginning of the check's name; the first that fits."""


ON_A_PLAN = (
    ("room.", "general-plan"),
    ("levels.", "section-across"),
    ("bond.", "bond-plan-1"),
    ("site.fill", "fill-lifts"),
    ("site.seat.ring", "seat-ring"),
    *((f"site.seat.{corner}.", "seat-corner-A-section") for corner in "ABCD"),
    ("site.seat.", "seat-near"),
    ("site.", "section-across"),
    ("takeoff.", ""),
    ("building.course", "stage-1"),
    ("building.", "section-across"),
    ("", "net-struts"),
)
"""The same for a groin, a cloister, a sail or a dome."""


def drawn_for(check: str, *, on_a_plan: bool = False) -> str:
    """Name of the drawing that shows what a check judges, empty when none does."""
    opening = re.fullmatch(r"(bond\.)?openings\.(\d+)\.(\w+)", check)
    if opening:
        strips = opening[3] in ("stands", "load_factor", "geometric", "wall")
        what = "ring" if opening[1] else "thrust" if strips else "force"
        return f"opening-{what}-{opening[2]}"
    shown = ON_A_PLAN if on_a_plan else SHOWN_BY
    return next((drawing for start, drawing in shown if check.startswith(start)), "")


def pictures(planned: Planned, voice: Voice) -> dict[str, Picture]:
    """The drawings of a plan by name, in the reader's language and unit; those of the stages of
    building too, once they have been followed."""
    from timbrel.sheets.drawings import drawings

    key, plan = ("pictures", voice, planned.is_judged), planned.known
    made: dict[str, Any] = planned.once(key, lambda: drawings(plan, voice))
    return made


def svg_of(planned: Planned, voice: Voice, name: str) -> str:
    """One drawing as SVG."""
    from timbrel.sheets.face import with_its_face

    drawn = pictures(planned, voice)
    if name not in drawn:
        raise TimbrelError(say("There is no drawing named {name}.", name=name))
    key = ("svg", voice, name, planned.is_judged)
    text: str = planned.once(key, lambda: with_its_face(drawn[name].svg))
    return text
