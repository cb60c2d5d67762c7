"""The face of each springing wall: its chase in bays, and the turn in which each is cut."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.sheets.board import TEXT_MM, Board, Picture, bare_length, fitted, moved
from timbrel.sheets.font import width_of
from timbrel.sheets.seat_names import side_name
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan
    from timbrel.site.seat import Seat

BAYS_MM = 9.0
"""Height on paper of the strip of bays."""


def bays_picture(plan: AnyPlan, voice: Voice, room_mm: tuple[float, float]) -> Picture | None:
    """The face of each springing wall: the bays in the turns in which they are cut."""
    seats = [seat for seat in plan.site.seats if seat.kind == "chase"]
    if not seats:
        return None
    longest = max(seat.length for seat in seats)

    def draw(scale: int) -> tuple[Picture, ...]:
        board = Board("seat-bays", say("Bays of the chases, with the turn of each"), voice, scale)
        for row, seat in enumerate(seats):
            _bays(board, seat, -board.paper(34.0) * row, going_round=len(seats) > 2)
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (longest, 0.0), room_mm)[0]


def _bays(board: Board, seat: Seat, base: float, *, going_round: bool) -> None:
    """One wall as a strip, its first bay on the left."""
    high = board.paper(BAYS_MM)
    edges = np.linspace(0.0, seat.length, seat.bays + 1)
    turn_of = {bay: k for k, bays in enumerate(seat.turns, 1) for bay in bays}
    for bay in range(1, seat.bays + 1):
        x0, x1 = float(edges[bay - 1]), float(edges[bay])
        ring = [(x0, base), (x1, base), (x1, base + high), (x0, base + high)]
        if turn_of[bay] == 1:
            board.hatch([ring], "CUT HATCH", gap_mm=1.8)
            middle, half = (x0 + x1) / 2, board.paper(2.4)
            low, top = base + high * 0.2, base + high * 0.8
            board.wipe([(middle - half, low), (middle + half, low), (middle + half, top),
                        (middle - half, top)])  # fmt: skip
        board.line(ring, "WALL", closed=True)
        board.text(((x0 + x1) / 2, base + high / 2), f"{turn_of[bay]}", bold=turn_of[bay] == 1)
    each = bare_length(board.voice, float(edges[1]))
    if board.paper(width_of(each, TEXT_MM) + 2.0) < float(edges[1]):
        board.measure((0.0, base), (float(edges[1]), base), away_mm=-5.0, label=each)
    else:
        place = moved((0.0, base), 0.0, -board.paper(3.0))
        board.text(place, say("each bay {bay}", bay=each), anchor="left")
    board.measure((0.0, base), (seat.length, base), away_mm=-12.0)
    start = {
        "left": say("corner D") if going_round else say("the near end, A"),
        "right": say("corner B") if going_round else say("the near end, B"),
        "near": say("corner A"),
        "far": say("corner C"),
        "ring": say("any mark; the last bay touches the first"),
    }[seat.side]
    said = say("{wall}, from {start}", wall=side_name(seat.side), start=start)
    board.text(moved((0.0, base + high), 0.0, board.paper(3.0)), said, anchor="left")
