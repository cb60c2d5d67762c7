"""Drawings of the building: the governing state of each operation."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.blocks import verdict_word
from timbrel.sheets.board import TEXT_MM, Board, Picture, fitted, moved
from timbrel.sheets.font import width_of
from timbrel.statics.building.section import ShellSection, shell_section
from timbrel.verdict import Verdict
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.statics.building.state import StateAnswer

Floats = NDArray[np.float64]
BAR_MM = 5.0
ROW_MM = 8.0
LINE_MM = 5.0


def stage_pictures(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> tuple[Picture, ...]:
    """The governing state of each operation; none where the stages were not followed."""
    if plan.building is None:
        return ()
    answers = plan.building.worst
    cuts = [shell_section(plan.job, plan.vault, a.state.v, a.state.laid.shape[1]) for a in answers]
    size = np.max([np.ptp(np.concatenate([c.inner, c.outer]), axis=0) for c in cuts], axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(
            _state(answer, cut, f"stage-{i}", voice, scale, room_mm[0] - 2.0)
            for i, (answer, cut) in enumerate(zip(answers, cuts, strict=True), start=1)
        )

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)


def _state(
    answer: StateAnswer, cut: ShellSection, name: str, voice: Voice, scale: int, wide_mm: float
) -> Picture:
    state = answer.state
    board = Board(name, state.title, voice, scale)
    board.line(cut.inner, "INTRADOS")
    for k in range(len(state.laid)):
        _layer(board, cut, k, state.laid[k], state.acting[k])
    for joint in np.flatnonzero(state.young):
        board.lines([(cut.inner[joint], cut.outer[joint])], "HINGE")
    if answer.line is not None:
        board.line(answer.line.points, "THRUST LEAST")
    for rest in state.resting:
        at = cut.face(1.0)[round(rest.at * cut.pieces)]
        board.arrow(at, moved(at, 0.0, board.paper(9.0)), "LOAD")
    middle = float(cut.inner[:, 0].mean())
    low = float(cut.inner[:, 1].min())
    for n, line in enumerate(within(voice(state_verdict(answer, voice)), wide_mm)):
        board.text((middle, low - board.paper(2.5 + LINE_MM * n)), line, bold=True)
    return board.finish(margin_mm=1.0)


def within(text: str, wide_mm: float) -> list[str]:
    """A sentence in bold drawing letters, broken into lines that are no wider than this."""
    lines = [""]
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and width_of(longer, TEXT_MM, bold=True) > wide_mm:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def state_verdict(answer: StateAnswer, voice: Voice) -> Message:
    """The verdict of a state; of what somebody might set down, whether it may be done."""
    if answer.state.resting and answer.verdict is Verdict.FAILS:
        return say("must not be done: {reason}", reason=answer.reason)
    if answer.state.resting and answer.verdict is Verdict.HOLDS:
        return say("may be done: {reason}", reason=answer.reason)
    return say(
        "{verdict}: {reason}", verdict=verdict_word(voice, answer.verdict), reason=answer.reason
    )


def _layer(
    board: Board, cut: ShellSection, k: int, laid: Floats, acting: NDArray[np.bool_]
) -> None:
    """What is laid of a layer: set pieces hatched, fresh ones outlined in dots."""
    low, high = cut.face(cut.low[k]), cut.face(cut.high[k])
    for start, end, set_hard in _runs(laid > 0, acting):
        ring = np.concatenate([low[start : end + 1], high[start : end + 1][::-1]])
        if set_hard:
            board.line(ring, "TILE", closed=True)
            board.hatch([ring], "HALF HATCH", gap_mm=0.8, angle_deg=45 if k % 2 == 0 else 135)
        else:
            board.line(ring, "MIDDLE THIRD", closed=True)


def _runs(laid: NDArray[np.bool_], acting: NDArray[np.bool_]) -> list[tuple[int, int, bool]]:
    """Runs of laid pieces that are all set or all fresh: first, one past the last, set."""
    found: list[tuple[int, int, bool]] = []
    for i in np.flatnonzero(laid):
        if found and found[-1][1] == i and found[-1][2] == bool(acting[i]):
            found[-1] = (found[-1][0], int(i) + 1, found[-1][2])
        else:
            found.append((int(i), int(i) + 1, bool(acting[i])))
    return found


def worst_lines() -> tuple[Message, ...]:
    """What the stage drawings show."""
    return (
        say("Hatched: laid and set. Dotted: laid, not yet set. Strokes: the youngest joints."),
        say("Line: a thrust line of what has set; where there is none, the bond must carry."),
    )
