"""Sections through the middle of a vault on a plan: from side to side, and along a diagonal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.opened_plan import openings_of
from timbrel.sheets.board import Board, Picture, fitted, moved, signed_level
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan

Floats = NDArray[np.float64]
POINTS = 241


def middle_sections(
    plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float]
) -> tuple[Picture, ...]:
    """Sections through the middle of the plan, from side to side and along a diagonal."""
    corners = np.asarray(plan.room.corners)
    middles = (corners + np.roll(corners, -1, axis=0)) / 2
    cuts = [
        ("section-across", say("Section from DA to BC"), middles[3], middles[1]),
        ("section-along", say("Section from AB to CD"), middles[0], middles[2]),
    ]
    if plan.vault.family != "dome":
        cuts.append(("section-diagonal", say("Section from A to C"), corners[0], corners[2]))
    wide = max(float(np.hypot(*(b - a)[:2])) for _, _, a, b in cuts)

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(_section(plan, voice, scale, *cut) for cut in cuts)

    return fitted(draw, (wide, 0.0), room_mm)


def _section(
    plan: SurfacePlan,
    voice: Voice,
    scale: int,
    name: str,
    title: Message,
    start: Floats,
    end: Floats,
) -> Picture:
    board = Board(name, title, voice, scale)
    length = float(np.hypot(*(end - start)[:2]))
    share = np.linspace(0.0, 1.0, POINTS)
    x, y = (start[k] + (end[k] - start[k]) * share for k in (0, 1))
    lines: dict[float, Floats] = {}
    for layer in plan.vault.layers:
        for offset in (layer.inner, layer.outer):
            level = np.asarray(plan.vault.height(x, y, offset))
            seen = np.isfinite(level) & ~in_openings(plan, x, y, offset)
            lines[offset] = np.column_stack([share * length, level])[seen]
            _runs(board, lines[offset], length, "TILE")
    inner, outer = lines[plan.vault.layers[0].inner], lines[plan.vault.layers[-1].outer]
    starts = _runs(board, inner, length, "INTRADOS")
    ends = _runs(board, outer, length, "EXTRADOS")
    if len(starts) == len(ends):
        # A cut that grazes an opening may miss it on one face.
        board.lines(zip(starts, ends, strict=True), "EDGE")
    board.lines([(inner[0], inner[-1])], "CHORD")
    top = inner[int(np.argmax(inner[:, 1]))]
    foot = np.array([top[0], float(np.interp(top[0], inner[[0, -1], 0], inner[[0, -1], 1]))])
    told = signed_level(voice, float(top[1]))
    # Over an oculus there is no crown: its edge is what can be levelled.
    crown = f"{voice(say('edge'))}  {told}" if _at_rim(inner) else say("crown {level}", level=told)
    if top[1] - foot[1] > board.paper(12.0):
        board.measure(foot, top, away_mm=0.0)
        board.text(moved(foot, board.paper(2.5), board.paper(4.0)), crown, anchor="left")
    else:  # no room between a crown that runs level and its chord
        over = (length / 2, float(outer[:, 1].max()) + board.paper(2.0))
        board.text(over, crown, anchor="over")
    board.measure(inner[0], inner[-1], away_mm=-12.0, angle=0.0)
    for point, side in ((inner[0], 1), (inner[-1], -1)):
        board.level(
            moved(point, board.paper(1.5) * side, 0.0), float(point[1]), say("edge"), side=side,
            raised_mm=-2.2,
        )  # fmt: skip
    return board.finish(margin_mm=2.0)


def _at_rim(inner: Floats) -> bool:
    """Does the shell end at its highest point, as at an oculus."""
    gaps = np.diff(inner[:, 0])
    at = int(np.argmax(inner[:, 1]))
    beside = gaps[max(at - 1, 0) : at + 1]
    return bool(beside.max() > 1.5 * np.median(gaps))


def in_openings(plan: SurfacePlan, x: Floats, y: Floats, offset: float) -> NDArray[np.bool_]:
    """(n,) which plan points lie in an opening, of the face at an offset."""
    from shapely import Polygon, contains_xy

    found = np.zeros(len(x), bool)
    for placed in openings_of(plan.job, plan.vault):
        u, v = placed.closely.T
        edge = np.asarray(plan.vault.webs[placed.web].point(u, v, offset))
        found |= contains_xy(Polygon(edge[:, :2]), x, y)
    return found


def _runs(board: Board, line: Floats, length: float, layer: str) -> list[Floats]:
    """Draw a line in as many pieces as an opening leaves; answers the ends of all pieces."""
    apart = np.flatnonzero(np.diff(line[:, 0]) > 1.5 * length / (POINTS - 1)) + 1
    ends: list[Floats] = []
    for piece in np.split(line, apart):
        if len(piece) > 1:
            board.line(piece, layer)
            ends += [piece[0], piece[-1]]
    return ends
