"""The ties of a job in a plan: their axes, the plates at their ends, and what they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import TEXT_MM, Board
from timbrel.sheets.font import width_of
from timbrel.statics.tie_lines import TieLine, tie_lines
from timbrel.statics.ties import section_of
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

Floats = NDArray[np.float64]


def draw_ties(board: Board, plan: AnyPlan, wall_most: float, *, turned: bool) -> None:
    """All ties of the job; nothing where it states none. wall_most: greatest thickness at which walls
    are drawn, m; turned: the plan lies on its side."""
    ties = plan.job.walls.ties
    if ties is None:
        return
    lines = tie_lines(plan.job, plan.vault, wall_most)
    for line in lines:
        axis = _turned(line.line) if turned else line.line
        board.line(axis, "TIE")
        if ties.anchor is not None and not line.ring:
            way = (axis[1] - axis[0]) / np.linalg.norm(axis[1] - axis[0])
            half = np.array([-way[1], way[0]]) * ties.anchor.side / 2
            board.lines([(end - half, end + half) for end in axis], "PLATE")
    named = [line for line in lines if line.name == lines[0].name][-1]
    axis = _turned(named.line) if turned else named.line
    words = say("tie at the springing, {section}", section=section_of(ties))
    if ties.over_springing:
        words = say(
            "tie {over:length} over the springing, {section}",
            over=ties.over_springing,
            section=section_of(ties),
        )
    _name(board, named, axis, words)


def _turned(line: Floats) -> Floats:
    return np.column_stack([line[:, 1], -line[:, 0]])


def _name(board: Board, line: TieLine, axis: Floats, words: Message) -> None:
    """On clear ground beside one of them."""
    if line.ring:
        # Inside the ring, as far up as the words stand clear of its bend.
        low = axis[int(axis[:, 1].argmin())]
        half = board.paper(width_of(board.voice(words), TEXT_MM) / 2 + 2.0)
        beside = axis[(np.abs(axis[:, 0] - low[0]) <= half) & (axis[:, 1] < axis[:, 1].mean())]
        at, angle = np.array([low[0], beside[:, 1].max() + board.paper(3.5)]), 0.0
    else:
        way = axis[1] - axis[0]
        angle = float(np.arctan2(way[1], way[0]))
        angle = (angle + np.pi / 2) % np.pi - np.pi / 2
        at = axis[0] + way / 2
    board.clear_ground(at, words, angle=angle)
    board.text(at, words, angle=angle)
