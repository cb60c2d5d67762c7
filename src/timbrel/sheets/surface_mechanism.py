"""The mechanism that bounds the load factor from above, over the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import Board, Picture
from timbrel.statics.mechanism_figures import MechanismFigures, OpeningLine
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from collections.abc import Callable

    from timbrel.plan import SurfacePlan

Floats = NDArray[np.float64]
CLASSES = ((0.3, "STRUT HEAVY"), (0.1, "STRUT"), (0.0, "STRUT LIGHT"))
"""Least share of the widest opening in each class, and its layer."""
HINGE_MM = 3.0
SINKS_MM = 5.0
STILL = 0.05


def mechanism_picture(
    plan: SurfacePlan,
    mechanism: MechanismFigures,
    title: Message,
    voice: Voice,
    scale: int,
    outline: Callable[[Board, SurfacePlan], None],
) -> Picture:
    """Hinges or cracks over the plan, and blocks that sink (rings) or rise (crosses)."""
    board = Board(
        "net-upper",
        say("Mechanism that bounds it from above, {load}", load=title),
        voice,
        scale,
    )
    outline(board, plan)
    upper = np.inf
    for least, layer in CLASSES:
        chosen = [line for line in mechanism.lines if least <= line.opening < upper]
        board.lines([(line.start, line.end) for line in chosen if not _bare(line)], layer)
        upper = least
    bare = [line for line in mechanism.lines if _bare(line)]
    if bare:
        # A rib has no width: the edge that falls, from hinge to hinge.
        board.line([line.start for line in bare], CLASSES[0][1])
    for line in mechanism.lines:
        if line.turns_about is not None and mechanism.kind != "lunes":
            filled = line.turns_about == "top"
            board.dot((line.start + line.end) / 2, "HINGE", HINGE_MM, filled=filled)
    for place, sinks in zip(mechanism.places, mechanism.sinks, strict=True):
        _speed(board, place, float(sinks))
    return board.finish(margin_mm=2.0, notes=_notes(mechanism))


def _bare(line: OpeningLine) -> bool:
    return bool(np.allclose(line.start, line.end))


def _speed(board: Board, place: Floats, sinks: float) -> None:
    if abs(sinks) < STILL:
        return
    size = board.paper(SINKS_MM * abs(sinks))
    if sinks > 0:
        board.dot(place, "HINGE", SINKS_MM * sinks)
        return
    half = np.eye(2) * size / 2
    board.lines([(place - half[k], place + half[k]) for k in (0, 1)], "HINGE")


def _notes(mechanism: MechanismFigures) -> tuple[Message, ...]:
    bounds = say(
        "The mechanism from above bounds the load factor at {factor:ratio}.",
        factor=mechanism.factor,
    )
    if mechanism.kind == "rigid blocks":
        return (
            bounds,
            say("Lines open, the heavier the wider. Rings sink, crosses rise."),
        )
    if mechanism.kind == "cracks all over":
        return (bounds, say("The dome cracks and crushes all over. Rings sink, crosses rise."))
    if mechanism.kind == "edge rib":
        return (
            bounds,
            say("The strip along the edge turns: filled rings about its top, open ones its foot."),
        )
    if mechanism.kind == "lunes":
        return (bounds, say("Lunes part along the lines from the middle and turn on the rings."))
    if mechanism.kind == "webs":
        return (
            bounds,
            say(
                "Webs part along the valleys: filled rings turn about the top of the section, open "
                "ones its foot."
            ),
        )
    return (bounds, say("Filled rings turn about the top of the section, open ones its foot."))
