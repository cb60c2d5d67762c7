"""The long section along the crown, with every level from the floor below to the finish."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets.board import Board, Picture, fitted
from timbrel.sheets.cut import Cut, cut_shell
from timbrel.sheets.openings_placed import draw_on_long_section
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan


STATIONS = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Where the crown is levelled; rulings are straight, so that the crown bends little between."""


def long_section(
    plan: Plan, voice: Voice, room_mm: tuple[float, float], *, names_beside: bool = True
) -> Picture:
    """Along the crown. names_beside: levels carry their names, else numbers (see level_notes)."""
    levels = [float(line.level) for line in plan.levels.lines]
    size = (plan.vault.axis_length, max(levels) - min(levels))

    cuts = [cut_shell(plan, v) for v in STATIONS]

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_long_section(plan, cuts, voice, scale, names_beside),)

    return fitted(draw, size, room_mm)[0]


def level_notes(plan: Plan) -> tuple[Message, ...]:
    """The names of the numbered levels, for narrow sheets."""
    lines = enumerate(plan.levels.lines, start=1)
    return tuple(say("{number}: {title}", number=n, title=line.title) for n, line in lines)


def _long_section(
    plan: Plan, cuts: list[Cut], voice: Voice, scale: int, names_beside: bool
) -> Picture:
    board = Board("section-long", say("Long section along the crown"), voice, scale)
    vault, levels = plan.vault, plan.job.levels
    inner = np.array([cut.inner[:, 1].max() for cut in cuts])
    outer = np.array([cut.outer[:, 1].max() for cut in cuts])
    x = np.array(STATIONS) * vault.axis_length
    low, high = np.column_stack([x, inner]), np.column_stack([x, outer])
    board.hatch([np.concatenate([low, high[::-1]])], "HALF HATCH", gap_mm=1.0)
    for rise in (levels.crown_cover, levels.crown_cover + levels.finish):
        top = np.full_like(x, float(outer.max()) + rise)
        board.line(np.column_stack([x, top]), "FILL" if rise == levels.crown_cover else "EXTRADOS")
    board.line(low, "INTRADOS")
    board.line(high, "EXTRADOS")
    if plan.bond.openings:
        draw_on_long_section(board, plan, low, high)
    for side, name in ((0, say("left springing")), (-1, say("right springing"))):
        ends = [cuts[0].inner[side, 1], cuts[-1].inner[side, 1]]
        board.lines([((0.0, ends[0]), (vault.axis_length, ends[1]))], "CHORD")
        board.text(
            (
                vault.axis_length * (0.32 if side == 0 else 0.68),
                ends[0] + board.paper(2.2 if side == 0 else -2.2),
            ),
            name,
        )
    floor = levels.floor_below
    board.line([(0.0, floor), (vault.axis_length, floor)], "ROOM")
    _end_walls(board, plan, floor, float(outer.max()) + levels.crown_cover + levels.finish)
    _level_marks(board, plan, names_beside)
    board.measure((0.0, floor), (vault.axis_length, floor), away_mm=-8.0, angle=0.0)
    return board.finish(margin_mm=2.0)


def _end_walls(board: Board, plan: Plan, floor: float, top: float) -> None:
    depth = board.paper(6.0)
    for x, out, kind in (
        (0.0, -1.0, plan.job.room.near_end),
        (plan.vault.axis_length, 1.0, plan.job.room.far_end),
    ):
        if kind == "free":
            board.lines([((x, floor), (x, top))], "AXIS")
            continue
        ring = [(x, floor), (x + out * depth, floor), (x + out * depth, top), (x, top)]
        board.hatch([ring], "WALL HATCH", gap_mm=2.0)
        board.lines([((x, floor), (x, top))], "WALL")


def _level_marks(board: Board, plan: Plan, names_beside: bool) -> None:
    """Levels at the far end, pushed apart where they would stand on each other."""
    x = plan.vault.axis_length + board.paper(10.0)
    marks = [
        (float(line.level), line.title if names_beside else f"{n}")
        for n, line in enumerate(plan.levels.lines, start=1)
    ]
    step, last = board.paper(4.2), -np.inf
    for level, title in marks:
        place = max(level, last + step)
        last = place
        board.lines([((plan.vault.axis_length, level), (x, level)), ((x, level),
                    (x + board.paper(4.0), place))], "LEVEL")  # fmt: skip
        board.level((x + board.paper(4.0), place), level, title)
