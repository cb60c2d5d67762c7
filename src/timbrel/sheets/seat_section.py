"""Each seat cut through: the wall, what is cut or corbelled, the shell in its layers, the measures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import TEXT_MM, Board, Picture, bare_length, fitted
from timbrel.sheets.font import width_of
from timbrel.sheets.seat_names import side_name
from timbrel.sheets.sections import wall_depth
from timbrel.site.seat_shape import CORBEL_STEP, under_bracket
from timbrel.site.seat_walls import wall_of_seat
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.site.seat import Seat

Floats = NDArray[np.float64]
SHOWN = 3.0
"""Length of shell drawn before the wall, in thicknesses of the shell."""
WALL_SHOWN = 2.2
"""Depth of wall drawn, in depths of its seat; a thicker wall is broken off."""
CLEAR_MM = 2.5
"""Lettering over and under a wall stands so far behind its face, clear of shell and measures."""
SAME_SLOPE = 0.005
"""Slopes nearer than this (rad) are drawn once: half a millimetre over the seat of a shell."""


def seat_pictures(plan: AnyPlan, voice: Voice, room_mm: tuple[float, float]) -> tuple[Picture, ...]:
    """Section through each seat at one scale; walls with one seat are drawn once."""
    seats = unlike(plan)
    if not seats:
        return ()
    wide = max(_reach(plan, seat)[0] for seat in seats)
    high = max(_reach(plan, seat)[1] for seat in seats)

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(_section(plan, voice, seat, scale) for seat in seats)

    return fitted(draw, (wide, high), room_mm)


def unlike(plan: AnyPlan) -> tuple[Seat, ...]:
    """The seats whose sections differ: left and right are drawn apart, for they are mirrored."""
    if len(plan.site.seats) <= 2:
        return plan.site.seats
    found: list[Seat] = []
    for seat in plan.site.seats:
        if not any(_alike(plan, seat, other) for other in found):
            found.append(seat)
    return tuple(found)


def _alike(plan: AnyPlan, one: Seat, other: Seat) -> bool:
    """Would one drawing do for both: walls of one thickness, slopes that no template tells apart."""
    walls = (wall_of_seat(plan.job, seat.side).thickness for seat in (one, other))
    return (
        one.kind == other.kind and abs(one.slope - other.slope) < SAME_SLOPE and len({*walls}) == 1
    )


def _reach(plan: AnyPlan, seat: Seat) -> tuple[float, float]:
    """Width and height drawn: wall, and the shell before it."""
    t = plan.vault.thickness
    run = SHOWN * t
    wide = _wall_drawn(plan, seat) + seat.stands_out + run
    return wide, 2.5 * t + seat.height + abs(run * math.sin(seat.slope))


def _wall_drawn(plan: AnyPlan, seat: Seat) -> float:
    """Depth of the wall as far as it is drawn."""
    stated = wall_depth(wall_of_seat(plan.job, seat.side).thickness)
    return float(min(stated, WALL_SHOWN * max(seat.depth, 1.5 * plan.vault.thickness)))


def _section(plan: AnyPlan, voice: Voice, seat: Seat, scale: int) -> Picture:
    """The wall cut through; x runs into it, mirrored for the left one."""
    title = say("Seat: {wall}", wall=side_name(seat.side))
    board = Board(f"seat-{seat.side}", title, voice, scale)
    turn = np.array([-1.0 if seat.side == "left" else 1.0, 1.0])
    _wall(board, plan, seat, turn)
    _shell(board, plan, seat, turn)
    if seat.kind == "chase":
        _chase_measures(board, seat, turn)
    else:
        _bracket_measures(board, seat, _heights(plan, seat), turn)
    return board.finish(margin_mm=1.0)


def _heights(plan: AnyPlan, seat: Seat) -> tuple[float, float]:
    """Lower and upper end of the wall that is drawn."""
    t = plan.vault.thickness
    low = float(min(seat.section[:, 1].min(), 0.0)) - 1.2 * t
    if seat.kind == "corbel":
        low = min(low, -seat.stands_out / CORBEL_STEP - 0.5 * t)
    return low, float(seat.section[:, 1].max()) + 1.2 * t


def _wall(board: Board, plan: AnyPlan, seat: Seat, turn: Floats) -> None:
    wall = wall_of_seat(plan.job, seat.side)
    depth = _wall_drawn(plan, seat)
    low, high = _heights(plan, seat)
    face = np.array([[0.0, low], [0.0, high]])
    if seat.kind == "chase":
        s = seat.section
        outline = np.array([[0.0, low], s[0], s[1], s[2], s[3], [0.0, high]])
    else:
        outline = face
    ring = np.concatenate([outline, [[depth, high], [depth, low]]])
    board.hatch([ring * turn], "WALL HATCH", gap_mm=2.2)
    board.line(outline * turn, "WALL")
    place = np.array([board.paper(CLEAR_MM), high + board.paper(3.0)]) * turn
    board.text(place, side_name(seat.side), anchor="left" if turn[0] > 0 else "right", bold=True)
    _back_of_wall(board, wall.thickness, depth, (low, high), turn)
    if seat.kind != "chase":
        _bracket(board, seat, turn)


def _back_of_wall(
    board: Board, thickness: float | None, depth: float, heights: tuple[float, float], turn: Floats
) -> None:
    """The far face where it is drawn, a break where it is not, and how thick the wall is."""
    low, high = heights
    ends = np.array([[depth, low], [depth, high]]) * turn
    if thickness is not None and thickness <= depth + 1e-9:
        board.lines([(ends[0], ends[1])], "WALL")
        a, b = sorted((np.array([0.0, low]) * turn, ends[0]), key=lambda p: float(p[0]))
        board.measure(a, b, away_mm=-7.0, angle=0.0)
        return
    over, zig = board.paper(2.0), board.paper(1.2)
    middle = (low + high) / 2
    points = [(depth, low - over), (depth, middle - zig), (depth + zig, middle - zig / 2),
              (depth - zig, middle + zig / 2), (depth, middle + zig), (depth, high + over)]  # fmt: skip
    board.line(np.array(points) * turn, "NOTE")
    said = (
        say("thickness of the wall not given")
        if thickness is None
        else say("wall {thickness:length} thick", thickness=thickness)
    )
    place = np.array([board.paper(CLEAR_MM), low - board.paper(4.0)]) * turn
    board.text(place, said, anchor="left" if turn[0] > 0 else "right")


def _bracket(board: Board, seat: Seat, turn: Floats) -> None:
    """The skewback before the wall and what carries it."""
    board.line(seat.section * turn, "WALL", closed=True)
    board.hatch([seat.section * turn], "WALL HATCH", angle_deg=135, gap_mm=1.6)
    ring = under_bracket(seat.kind, seat.stands_out) * turn
    board.line(ring, "WALL", closed=True)
    board.hatch([ring], "WALL HATCH", gap_mm=1.6)


def _along(seat: Seat) -> tuple[Floats, Floats, Floats]:
    """Where the intrados meets the end of the shell; along the curve into the wall; square to it."""
    along = np.array([np.cos(seat.slope), -np.sin(seat.slope)])
    square = np.array([np.sin(seat.slope), np.cos(seat.slope)])
    return (np.zeros(2) if seat.kind == "chase" else seat.section[1]), along, square


def _shell(board: Board, plan: AnyPlan, seat: Seat, turn: Floats) -> None:
    """The last of each layer, drawn along the tangent at the springing."""
    start, along, square = _along(seat)
    into = plan.job.seat.depth if seat.kind == "chase" else 0.0
    run = SHOWN * plan.vault.thickness
    for layer in plan.vault.layers:
        ring = np.array(
            [
                start + along * into + square * layer.inner,
                start - along * run + square * layer.inner,
                start - along * run + square * layer.outer,
                start + along * into + square * layer.outer,
            ]
        )
        board.wipe(ring * turn)
        board.line(ring * turn, "TILE", closed=True)
    inner = np.array([start + along * into, start - along * run])
    board.line(inner * turn, "INTRADOS")
    board.line((inner + square * plan.vault.thickness) * turn, "EXTRADOS")
    foot = start + along * into
    board.lines([(foot * turn, (foot + square * plan.vault.thickness) * turn)], "EDGE")
    if seat.bearing is not None:
        third = foot + square * plan.vault.thickness / 3
        tip = third * turn
        board.arrow(tip, (third - along * min(run, 1.4 * plan.vault.thickness)) * turn, "THRUST")


def _note(board: Board, at: Floats, up: Floats, words: Message, turn: Floats) -> None:
    """A leader from a point into the room, where there is room for words."""
    board.leader(at * turn, (at + up) * turn, words)


def _chase_measures(board: Board, seat: Seat, turn: Floats) -> None:
    s = seat.section
    deepest = s[int(np.argmax(s[:, 0]))]
    top = float(s[:, 1].max())
    level = top + board.paper(4.0)
    board.lines([((deepest[0], deepest[1]) * turn, (deepest[0], level) * turn)], "DIMENSION")
    a, b = sorted(((0.0, level) * turn, (deepest[0], level) * turn), key=lambda p: float(p[0]))
    board.measure(a, b, away_mm=5.0, angle=0.0)
    _height_measure(board, s, turn)
    middle = (s[1] + s[2]) / 2
    _note(
        board,
        middle,
        np.array([-board.paper(4.0), -board.paper(20.0)]) - [middle[0], 0.0],
        say("seat {angle:angle} to the level", angle=seat.angle),
        turn,
    )


def _height_measure(board: Board, s: Floats, turn: Floats) -> None:
    """Height of the chase on the face of the wall, measured behind it, where nothing is drawn."""
    behind = float(s[:, 0].max()) + board.paper(7.0)
    label = bare_length(board.voice, float(s[3, 1] - s[0, 1]))
    half = (width_of(label, TEXT_MM) / 2 + 1.0) * board.scale * 1e-3
    middle, near, far = float(s[[0, 3], 1].mean()), board.paper(4.2), board.paper(0.6)
    ring = np.array([[behind - near, middle - half], [behind + far, middle - half],
                     [behind + far, middle + half], [behind - near, middle + half]])  # fmt: skip
    if turn[0] < 0:
        ring[:, 0] = 2 * behind - ring[:, 0]
    board.wipe(ring * turn)
    low, high = np.array([behind, s[0, 1]]) * turn, np.array([behind, s[3, 1]]) * turn
    for face, at in ((s[0], low), (s[3], high)):
        board.lines([(face * turn, at + np.array([board.paper(1.3), 0.0]) * turn)], "DIMENSION")
    board.measure(low, high, away_mm=0.0, angle=np.pi / 2, label=label)


def _bracket_measures(board: Board, seat: Seat, heights: tuple[float, float], turn: Floats) -> None:
    """Under what carries the seat, and over the wall with its name: clear of shell and hatch."""
    low, high = heights
    a, b = sorted(((0.0, low) * turn, (-seat.stands_out, low) * turn), key=lambda p: float(p[0]))
    board.measure(a, b, away_mm=-5.0, angle=0.0)
    middle = (seat.section[0] + seat.section[1]) / 2
    _note(
        board,
        middle,
        np.array([board.paper(CLEAR_MM), high + board.paper(8.0)]) - middle,
        say("seat {angle:angle} to the level", angle=seat.angle),
        turn,
    )
