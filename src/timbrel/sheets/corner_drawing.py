"""The seat of a corner drawn: in plan under the two wall arches, and cut along the groin.

In plan the groin's line runs up the paper, whichever corner it is; the section looks square to it,
the pier on the right.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.plan import CORNERS, SIDE_NAMES
from timbrel.sheets.board import Board, Picture, fitted, moved
from timbrel.sheets.corner_pier import draw_pier, pier_front
from timbrel.site.seat_shape import CORBEL_STEP
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.site.corner_seat import CornerSeat

Floats = NDArray[np.float64]
SHOWN = 2.5
"""Length of shell drawn before the springer, in thicknesses of the shell."""
SEAT_NAME_MM = 10.5
"""How far under what is cut the name of the seat stands on paper."""
ALIKE = 0.002
"""Corners whose measures differ by less (m, rad) are drawn once."""


def corner_pictures(plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float]) -> list[Picture]:
    """Plan and section of every corner that is unlike those before it, at one scale."""
    groups = alike(plan.site.corners)
    if not groups:
        return []
    seats = [group[0] for group in groups]
    size = max(
        max(1.6 * s.reach, s.width, _corbelled(s) + 2 * s.thickness, s.height) for s in seats
    )

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(
            picture
            for group in groups
            for picture in (_plan(plan, group, voice, scale), _section(plan, group, voice, scale))
        )

    return list(fitted(draw, (size, size), room_mm))


def _corbelled(seat: CornerSeat) -> float:
    """Height of the courses that carry a corbel, m."""
    return seat.stands_out / CORBEL_STEP if seat.kind == "corbel" else 0.0


def alike(seats: tuple[CornerSeat, ...]) -> list[list[CornerSeat]]:
    """The corners in groups that one drawing serves."""
    groups: list[list[CornerSeat]] = []
    for seat in seats:
        for group in groups:
            if seat.kind == group[0].kind and np.allclose(
                _measures(seat), _measures(group[0]), atol=ALIKE
            ):
                group.append(seat)
                break
        else:
            groups.append([seat])
    return groups


def _measures(seat: CornerSeat) -> list[float]:
    return [seat.slope, *seat.turns, seat.width, seat.thickness, seat.depth, seat.height]


def corners_name(group: list[CornerSeat]) -> Message:
    """Which corners a drawing is of."""
    names = ", ".join(seat.corner for seat in group)
    return say("Corner {names}", names=names) if len(group) == 1 else say(
        "Corners {names}", names=names
    )  # fmt: skip


def front_at(seat: CornerSeat) -> float:
    """Distance from the corner, along the groin's line, at which the front of the springer crosses
    it (a triangle of two equal sides, geometry)."""
    first, second = seat.turns
    return seat.reach * math.sin(first + second) / (math.sin(first) + math.sin(second))


def _plan(plan: SurfacePlan, group: list[CornerSeat], voice: Voice, scale: int) -> Picture:
    seat = group[0]
    title = say("Corner seat in plan: {corners}", corners=corners_name(group))
    board = Board(f"seat-corner-{seat.corner}-plan", title, voice, scale)
    ways = [np.array([side * math.sin(turn), math.cos(turn)])
            for side, turn in zip((-1.0, 1.0), seat.turns, strict=True)]  # fmt: skip
    far = seat.reach + max(0.25 * seat.reach, board.paper(8.0))
    draw_pier(board, seat, ways, far)
    front = [way * seat.reach for way in ways]
    low, high = _seat_face(seat)
    half = seat.width / 2
    if seat.kind == "corbel":  # the courses under the seat, between both walls
        ends = [way * (-high / way[1]) for way in ways]
        springer = np.array([np.zeros(2), *ends[::-1]])
    else:
        springer = np.array([front[0], front[1], [half, -low], [-half, -low]])
    board.hatch([springer], "CUT HATCH", gap_mm=1.6)
    board.line(springer, "TILE CUT", closed=True)
    board.lines([(np.zeros(2), end) for end in front], "CHORD")
    face = np.array([[-half, -low], [half, -low], [half, -high], [-half, -high]])
    board.wipe(face)
    board.hatch([face], "HALF HATCH", angle_deg=90, gap_mm=1.0)
    board.line(face, "EDGE", closed=True)
    board.lines([(np.zeros(2), np.array([0.0, far]))], "AXIS")
    creased = plan.vault.family == "groin"
    board.text((0.0, far + board.paper(3.0)), say("groin") if creased else say("diagonal"))
    k = CORNERS.index(seat.corner)
    for way, side, anchor in zip(ways, (SIDE_NAMES[k - 1], SIDE_NAMES[k]), ("right", "left"),
                                 strict=True):  # fmt: skip
        board.text(way * far + np.array([math.copysign(board.paper(2.0), way[0]), 0.0]),
                   _arch_name(side if len(group) == 1 else None, creased=creased),
                   anchor="right" if anchor == "right" else "left")  # fmt: skip
    board.measure(np.zeros(2), front[1], away_mm=7.0)
    deepest = -max(low, high, seat.depth)
    below = np.array([[-half, deepest], [half, deepest]])
    board.measure(below[0], below[1], away_mm=-8.0, angle=0.0)
    # Between the groin's line and the front's corner, clear of the figure on the other side.
    place = np.array([-0.3 * half, 0.8 * front_at(seat)])
    board.wipe([moved(place, x * board.paper(4.5), y * board.paper(1.8))
                for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))])  # fmt: skip
    board.text(place, say("solid"))
    return board.finish(margin_mm=1.0)


def _arch_name(side: str | None, *, creased: bool) -> Message:
    """Of the arch at a side, or of any."""
    if side is None:
        return say("wall arch") if creased else say("edge arch")
    return say("wall arch {side}", side=side) if creased else say("edge arch {side}", side=side)


def _seat_face(seat: CornerSeat) -> tuple[float, float]:
    """How far into the pier (negative before it) the seat's lower and upper edge stand, plumb."""
    if seat.kind == "bed":
        return 0.0, seat.depth
    if seat.kind == "corbel":
        return float(seat.section[0, 0]), float(seat.section[1, 0])
    return float(seat.section[1, 0]), float(seat.section[2, 0])


def _section(plan: SurfacePlan, group: list[CornerSeat], voice: Voice, scale: int) -> Picture:
    seat = group[0]
    title = say("Corner seat along the groin: {corners}", corners=corners_name(group))
    if plan.vault.family != "groin":
        title = say("Corner seat along the diagonal: {corners}", corners=corners_name(group))
    board = Board(f"seat-corner-{seat.corner}-section", title, voice, scale)
    t = seat.thickness
    into = len(pier_front(seat, 0.0)) > 1
    # Under a pier that stands in the room the name of the seat has its place.
    low = float(min(seat.section[:, 1].min(), 0.0)) - (0.35 if into else 0.9) * t
    high = float(seat.section[:, 1].max()) + 0.8 * t
    if seat.kind == "corbel":
        low = min(low, float(seat.section[0, 1]) - _corbelled(seat) - 0.3 * t)
    deep = 2.0 * max(seat.depth, 1.2 * t)
    foot_of_pier = pier_front(seat, low)
    outline = np.array([*foot_of_pier, *_courses(seat), *seat.section, [0.0, high]])
    if seat.kind == "corbel":  # its back is inside the masonry, no edge
        outline = np.array([*foot_of_pier, *_courses(seat), *seat.section[:3], [0.0, high]])
    board.hatch([np.concatenate([outline, [[deep, high], [deep, low]]])], "WALL HATCH", gap_mm=2.2)
    board.line(outline, "WALL")
    board.text((deep, high + board.paper(3.0)), say("pier"), anchor="right", bold=True)
    foot, along, square = _foot(seat)
    _shell(board, plan, seat, (foot, along, square))
    _arrows(board, seat, (foot, along, square))
    _dimensions(board, seat, high)
    return board.finish(margin_mm=1.0)


def _courses(seat: CornerSeat) -> list[list[float]]:
    """The steps of the courses under a corbel, from the pier up to its front edge; none otherwise."""
    if seat.kind != "corbel":
        return []
    steps, out = round(1 / CORBEL_STEP), seat.stands_out
    bottom = float(seat.section[0, 1]) - _corbelled(seat)
    rise = _corbelled(seat) / steps
    points = []
    for k in range(steps):
        level = bottom + k * rise
        points += [[-out * (k + 1) / steps, level], [-out * (k + 1) / steps, level + rise]]
    return [[0.0, bottom], *points]


def _foot(seat: CornerSeat) -> tuple[Floats, Floats, Floats]:
    """Where the intrados meets the seat; along the groin's curve into the pier; square to it."""
    along = np.array([math.cos(seat.slope), -math.sin(seat.slope)])
    square = np.array([math.sin(seat.slope), math.cos(seat.slope)])
    if seat.kind == "bed":
        return np.zeros(2), along, square
    low, upper = (seat.section[1], seat.section[2]) if seat.kind == "chase" else seat.section[:2]
    middle = (low + upper) / 2
    return middle - square * seat.thickness / 2, along, square


def _shell(
    board: Board, plan: SurfacePlan, seat: CornerSeat, at: tuple[Floats, Floats, Floats]
) -> None:
    """The layers as they come down, and the springer that is solid before and in the pier."""
    foot, along, square = at
    stretched = seat.thickness / plan.vault.thickness
    run = SHOWN * seat.thickness + front_at(seat) / max(math.cos(seat.slope), 0.2)
    if seat.kind == "bed":  # a steep curve is drawn as far as the pocket is high
        run = float(seat.section[-1, 1])
    start = foot - along * run
    front = -front_at(seat)
    solid = math.cos(seat.slope) > 1e-6 and foot[0] > front
    if solid:
        reach = min((foot[0] - front) / along[0], 0.6 * run)
        ring = np.array([foot, foot - along * reach,
                         foot - along * reach + square * seat.thickness,
                         foot + square * seat.thickness])  # fmt: skip
        board.wipe(ring)
        board.hatch([ring], "CUT HATCH", gap_mm=1.6)
        board.line(ring, "TILE CUT", closed=True)
        foot_of_tiles = foot - along * reach
    else:
        foot_of_tiles = foot
    for layer in plan.vault.layers:
        inner, outer = (square * edge * stretched for edge in (layer.inner, layer.outer))
        ring = np.array(
            [foot_of_tiles + inner, start + inner, start + outer, foot_of_tiles + outer]
        )
        board.line(ring, "TILE", closed=True)
    board.line(np.array([foot, start]), "INTRADOS")
    board.line(np.array([foot, start]) + square * seat.thickness, "EXTRADOS")
    board.lines([(foot, foot + square * seat.thickness)], "EDGE")
    board.measure(start, start + square * seat.thickness, away_mm=5.0)


def _arrows(board: Board, seat: CornerSeat, at: tuple[Floats, Floats, Floats]) -> None:
    """Least and greatest thrust as they lean, at the middle of the seat."""
    foot, _, square = at
    tip = foot + square * seat.thickness / 2
    for bound, layer in (("least", "THRUST LEAST"), ("greatest", "THRUST GREATEST")):
        states = [t for t in seat.thrusts if t.bound == bound]
        if not states:
            continue
        state = max(states, key=lambda t: t.square)
        way = np.array([math.cos(state.lean), -math.sin(state.lean)])
        tail = tip - way * max(1.6 * seat.thickness, board.paper(16.0))
        board.arrow(tip, tail, layer)
        said = (
            say("least {force:force}", force=math.hypot(state.level, state.down))
            if bound == "least"
            else say("greatest {force:force}", force=math.hypot(state.level, state.down))
        )
        up = board.paper(26.0 if bound == "least" else 6.0)
        side = board.paper(9.0 if bound == "least" else -9.0)
        if bound == "least":
            board.leader(tail, tail + np.array([side, up]), said, arrow=False)
        else:
            # Clear of the name of the seat, which stands lower.
            over = float(seat.section[:, 1].min()) - board.paper(SEAT_NAME_MM - 4.5)
            end = np.array([tail[0] + side, max(tail[1] - 3 * up, over)])
            board.leader(tail, end, said, arrow=False)


def _dimensions(board: Board, seat: CornerSeat, high: float) -> None:
    section = seat.section
    level = high + board.paper(7.0)
    if seat.kind == "corbel":
        board.measure((-seat.stands_out, level), (0.0, level), away_mm=0.0, angle=0.0)
    else:
        deepest = section[int(np.argmax(section[:, 0]))]
        board.lines([(deepest, (deepest[0], level))], "DIMENSION")
        board.measure((0.0, level), (deepest[0], level), away_mm=0.0, angle=0.0)
    edge = (section[0] + section[1]) / 2 if seat.kind == "bed" else (section[1] + section[2]) / 2
    if seat.kind == "corbel":
        edge = (section[0] + section[1]) / 2
    low = float(section[:, 1].min()) - board.paper(SEAT_NAME_MM)
    board.leader(
        edge,
        np.array([-board.paper(5.0), low]),
        say("seat {angle:angle} to the level", angle=seat.angle),
    )
