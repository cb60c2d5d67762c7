"""Sketch of the hand check on a plan: the piece that is turned about its springing, and the strips."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.shape.plan import CORNERS
from timbrel.sheets.board import TEXT_MM, Board, Picture, fitted, moved
from timbrel.sheets.font import width_of
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan

STRIPS = 7


def plan_hand_picture(
    plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float]
) -> Picture | None:
    """The plan: one piece hatched over its springing, the strips of the pencil's way to carry."""
    if plan.site.hand_check is None:
        return None
    vault: Any = plan.vault
    corners = np.asarray(vault.plan.corners)[:, :2]
    wide, high = np.ptp(corners, axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        board = Board("hand-check", say("Pieces and strips of the hand check"), voice, scale)
        if plan.vault.family == "dome":
            _lunes(board, vault)
        else:
            _webs(board, plan, corners)
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (float(wide), float(high)), room_mm)[0]


def _webs(board: Board, plan: SurfacePlan, corners: np.ndarray) -> None:
    vault: Any = plan.vault
    middle, family = np.asarray(vault.plan.middle), vault.family
    board.line(corners, "ROOM", closed=True)
    for name, corner in zip(CORNERS, corners, strict=True):
        away = (corner - middle) / np.hypot(*(corner - middle))
        board.text(corner + away * board.paper(4.0), name, bold=True)
        if family != "sail":
            board.lines([(corner, middle)], "EDGE")
    if vault.on_corners:
        # Half of the vault about D and A.
        a, b, c, d = corners
        piece = np.array([a, (a + b) / 2, (c + d) / 2, d])
    else:
        piece = np.array([corners[3], corners[0], middle])
    board.hatch([piece], "HALF HATCH", gap_mm=2.2)
    if family == "sail":
        board.line(piece, "CHORD", closed=True)
    # Nothing stands at the open edges of a sail on which a strip could end.
    for share in (np.arange(STRIPS) + 0.5) / STRIPS:
        if family == "groin" or not vault.on_corners:
            _strip(board, family, corners, middle, float(share))
    check = plan.site.hand_check
    assert check is not None
    part = check.cases[0].parts[0]
    first, last = (corners[3], corners[0]) if vault.on_corners else (corners[0], corners[1])
    board.measure(first, last, away_mm=-8.0)
    said = board.voice(say("f = {rise:length}", rise=part.rise))
    half = np.array([board.paper(width_of(said, TEXT_MM) / 2 + 0.8), board.paper(1.9)])
    place = moved(middle, 0.0, board.paper(4.0))
    board.wipe([place + half * way for way in ((-1, -1), (1, -1), (1, 1), (-1, 1))])
    board.text(place, said)


def _strip(
    board: Board, family: str, corners: np.ndarray, middle: np.ndarray, share: float
) -> None:
    """One strip in the web over AB, and for a sail the one that crosses it."""
    a, b, c, d = corners
    if family == "groin":
        ends = middle + (1 - share) * (a - middle), middle + (1 - share) * (b - middle)
        board.lines([ends], "THRUST LEAST")
    elif family == "cloister":
        foot = a + share * (b - a)
        reach = 2 * min(share, 1 - share)
        near = a if share < 0.5 else b
        top = near + reach * (middle - near)
        board.lines([(foot, top)], "THRUST LEAST")
    else:
        board.lines([(a + share * (b - a), d + share * (c - d))], "THRUST LEAST")
        board.lines([(a + share * (d - a), b + share * (c - b))], "JOINT")


def _lunes(board: Board, vault: Any) -> None:
    rings = vault.rings([0.0, 1.0])
    centre = np.asarray(vault.centre)[:2]
    outer, inner = float(rings.radius[0]), float(rings.radius[1]) if vault.oculus else 0.0

    def circle(radius: float, start: float = 0.0, end: float = 2 * math.pi) -> np.ndarray:
        turn = np.linspace(start, end, 97)
        return np.asarray(centre + radius * np.column_stack([np.cos(turn), np.sin(turn)]))

    board.line(circle(outer), "ROOM", closed=True)
    if inner:
        board.line(circle(inner), "EDGE", closed=True)
    start, end = math.pi / 2 - 0.2, math.pi / 2 + 0.2
    piece = np.concatenate([circle(outer, start, end), circle(inner, start, end)[::-1]])
    board.hatch([piece], "HALF HATCH", gap_mm=1.6)
    board.line(piece, "CHORD", closed=True)
    for turn in np.linspace(0, 2 * math.pi, 4 * STRIPS, endpoint=False):
        way = np.array([math.cos(turn), math.sin(turn)])
        board.lines([(centre + outer * way, centre + max(inner, 0.25 * outer) * way)],
                    "THRUST LEAST")  # fmt: skip
    board.measure(centre, centre + np.array([outer, 0.0]), away_mm=3.0)
    board.dot(centre, "AXIS")
