"""Setting-out: the line on each end wall with its ordinates, and the gauge rods."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from timbrel.sheets.board import Board, Picture, bare_length, fitted
from timbrel.sheets.ordinates import ordinates
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.shape.vault import Barrel
    from timbrel.site.setting_out import WallLine


def wall_line_pictures(
    plan: Plan, voice: Voice, room_mm: tuple[float, float]
) -> tuple[Picture, ...]:
    """The line to draw on the near and the far wall, at one scale."""
    walls = plan.site.setting_out.walls
    size = (max(w.span for w in walls), max(w.rise for w in walls))

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(_wall_line(w, plan.vault, voice, scale) for w in walls)

    return fitted(draw, size, room_mm)


def _wall_line(wall: WallLine, vault: Barrel, voice: Voice, scale: int) -> Picture:
    near = wall.end == "near"
    title = (
        say("Line on the near wall, seen from the room")
        if near
        else say("Line on the far wall, seen from the room")
    )
    board = Board(f"wall-line-{wall.end}", title, voice, scale)
    curve = vault.near if near else vault.far
    line = _seen(wall, curve.at(np.linspace(0.0, curve.length, 181)))
    board.line(line, "INTRADOS")
    board.lines([((0.0, 0.0), (wall.span, 0.0))], "CHORD")
    start = say("from A") if near else say("from D")
    seen = _seen(wall, np.column_stack([wall.x, wall.y]))[:, 0]
    ordinates(board, wall.x, wall.y, 0.0, start, seen)
    left, right = ("B", "A") if near else ("D", "C")
    board.text((-board.paper(3.0), 0.0), left, anchor="right", height_mm=3.5, bold=True)
    board.text((wall.span + board.paper(3.0), 0.0), right, anchor="left", height_mm=3.5, bold=True)
    _strings(board, wall, voice)
    return board.finish(margin_mm=2.0)


def _seen(wall: WallLine, points: ArrayLike) -> NDArray[np.float64]:
    """Chord axes (x from the left springing) as the wall is seen by one who faces it.

    Who faces the near wall has the far end at his back, and the left springing on his right.
    """
    seen = np.array(points, dtype=float)
    if wall.end == "near":
        seen[..., 0] = wall.span - seen[..., 0]
    return seen


def _strings(board: Board, wall: WallLine, voice: Voice) -> None:
    """Each stroke of the string: its length and where its nail stands."""
    if wall.trammel is None:
        return
    for number, arc in enumerate(wall.trammel.arcs):
        centre = np.array(arc.centre)
        start, end = np.array(arc.start) - centre, np.array(arc.end) - centre
        a0, a1 = np.arctan2(start[1], start[0]), np.arctan2(end[1], end[0])
        turn = a0 + (a1 - a0) * 0.5
        ray = np.array([np.cos(turn), np.sin(turn)])
        on, out = centre + arc.radius * ray, centre + (arc.radius + board.paper(7.0)) * ray
        values = {
            "radius": bare_length(voice, arc.radius),
            "x": bare_length(voice, float(centre[0])),
            "y": bare_length(voice, abs(float(centre[1]))),
            "corner": "A" if wall.end == "near" else "D",
        }
        words = (
            say("R {radius}, nail {x} from {corner}, {y} under the chord", **values)
            if centre[1] < -5e-4
            else say("R {radius}, nail {x} from {corner}, {y} over the chord", **values)
            if centre[1] > 5e-4
            else say("R {radius}, nail {x} from {corner}, on the chord", **values)
        )
        on, out = _seen(wall, on), _seen(wall, out) + board.paper(4.5) * np.array([0, number % 2])
        board.arrow(on, out, "DIMENSION", 2.0)
        board.text(out, words, anchor="over")
