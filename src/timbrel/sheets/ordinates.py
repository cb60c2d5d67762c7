"""Heights over a chord, drawn as a mason reads them off: a line each, two rows of figures under it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import TEXT_MM, Board, bare_length
from timbrel.sheets.font import width_of
from timbrel.words import Message, say

Floats = NDArray[np.float64]
LEAST_GAP_MM = 3.6
"""Figures nearer than this would touch; the full table stands in the setting-out sheet."""


def ordinates(
    board: Board, x: Floats, y: Floats, under: float, start: Message, drawn: Floats | None = None
) -> None:
    """Ordinates y over the chord at distances x.

    under: height under which the figures stand (m). start: what x counts from. drawn: where each
    stands on the drawing when that is not x (a wall seen from the other side).
    """
    at = x if drawn is None else drawn
    shown = _apart(at, board.paper(LEAST_GAP_MM))
    heights = {i: bare_length(board.voice, float(y[i])) for i in shown}
    places = {i: bare_length(board.voice, float(x[i])) for i in shown}
    first = max(width_of(text, TEXT_MM) for text in heights.values())
    second = max(width_of(text, TEXT_MM) for text in places.values())
    upper = under - board.paper(2.0 + first / 2)
    lower = under - board.paper(4.5 + first + second / 2)
    for i in shown:
        board.lines([((at[i], 0.0), (at[i], y[i]))], "DIMENSION")
        board.text((at[i], upper), heights[i], angle=np.pi / 2)
        board.text((at[i], lower), places[i], angle=np.pi / 2, layer="NOTE")
    side = float(np.min(at)) - board.paper(4.0)
    board.text((side, upper), say("height"), anchor="right")
    board.text((side, lower), start, anchor="right", layer="NOTE")


def _apart(at: Floats, gap: float) -> list[int]:
    """Indices that stand apart; the crown, where the spacing breaks, goes before its neighbours."""
    order = np.argsort(at)
    middle = int(np.argmin(np.abs(at - (at.min() + at.max()) / 2)))
    kept = [middle]
    for i in (order[0], order[-1], *order):
        if all(abs(at[i] - at[j]) >= gap for j in kept):
            kept.append(int(i))
    return sorted(kept, key=lambda i: float(at[i]))
