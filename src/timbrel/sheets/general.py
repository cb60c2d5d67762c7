"""The general plan: lettered corners, sides and diagonals as measured, walls, levels, sections."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.barrel import Barrel
from timbrel.sheets.board import TEXT_MM, Board, Picture, bare_length, fitted, signed_level
from timbrel.sheets.font import width_of
from timbrel.sheets.tie_drawing import draw_ties
from timbrel.statics.net_supports import side_beside, wall_at
from timbrel.statics.pier_shape import pier_shape
from timbrel.statics.piers import middle_of_pier
from timbrel.statics.walls import AnySide, wall_of
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

Floats = NDArray[np.float64]
Named = tuple[Floats, Message, float]
"""Where a text stands, what it says, and its turn, rad."""
WALL_MM = 10.0
"""Greatest depth of a wall on paper; a thicker one, or one of unknown depth, is drawn open."""


def general_plan(plan: AnyPlan, voice: Voice, room_mm: tuple[float, float]) -> Picture:
    """The room from above, with everything that was measured."""
    corners = turned(plan.room.corners, room_mm)
    flat = corners[:, :2]
    rings = [ring for rings in pier_rings(plan).values() for ring in rings]
    out = max((float(np.abs(ring).max()) for ring in rings), default=0.0)
    reach = np.ptp(flat, axis=0) + 2 * out

    def draw(scale: int) -> tuple[Picture, ...]:
        board = Board("general-plan", say("General plan, from above"), voice, scale)
        _draw(board, plan, corners, max(out, board.paper(WALL_MM)))
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (float(reach[0]), float(reach[1])), room_mm)[0]


def _draw(board: Board, plan: AnyPlan, corners: Floats, out: float) -> None:
    """out: how far walls or piers stand out of the room on paper, m."""
    flat = corners[:, :2]
    board.line(flat, "ROOM", closed=True)
    named: list[Named] = []
    if plan.vault.on_corners:
        _piers(board, plan, flat)
    else:
        named = _walls(board, plan, flat)
    if plan.vault.family in ("barrel", "flight"):
        _axis(board, flat, _holes(plan, corners))
    else:
        _lines_of_vault(board, plan, corners)
    draw_ties(
        board,
        plan,
        board.paper(WALL_MM),
        turned=not np.allclose(flat, np.asarray(plan.room.corners)[:, :2]),
    )
    for at, words, turn in named:
        board.clear_ground(at, words, angle=turn)
        board.text(at, words, angle=turn)
    _measures(board, plan, flat)
    if plan.bond.openings or plan.job.hooks:
        from timbrel.sheets.openings_placed import draw_on_plan

        draw_on_plan(board, plan, not np.allclose(flat, np.asarray(plan.room.corners)[:, :2]))
    _letters(board, corners, out)


def turned(corners: Floats, room_mm: tuple[float, float]) -> Floats:
    """A long room lies on wide paper, near end on the left, as bond sheets of upper layers do."""
    reach = np.ptp(corners[:, :2], axis=0)
    if reach[1] <= reach[0] or room_mm[1] > room_mm[0]:
        return corners
    return np.column_stack([corners[:, 1], -corners[:, 0], corners[:, 2]])


def outward(a: Floats, b: Floats) -> Floats:
    """Unit vector to the right of the way from a to b: out of a room that goes round A, B, C, D."""
    way = (b - a) / np.hypot(*(b - a))
    return np.array([way[1], -way[0]])


def _walls(board: Board, plan: AnyPlan, flat: Floats) -> list[Named]:
    """Their hatched depth; where and what their names are, to be written over all that crosses them."""
    found: list[Named] = []
    stated = thicknesses(plan)
    free = {0: plan.job.room.near_end == "free", 2: plan.job.room.far_end == "free"}
    for side in range(4):
        a, b = flat[side], flat[(side + 1) % 4]
        if free.get(side, False):
            board.line([a, b], "AXIS")
            continue
        thickness = stated[side]
        most = board.paper(WALL_MM)
        if isinstance(plan.vault, Barrel) and side % 2:
            # Before a corbel or a ledger the room's measures are taken at its front edge.
            back = plan.vault.behind[0 if side == 3 else 1]
            a, b = a + outward(a, b) * back, b + outward(a, b) * back
            most = max(most - back, most / 2)
            board.line([a, b], "WALL")
        out = outward(a, b) * (most if thickness is None else min(thickness, most))
        board.hatch([np.array([a, b, b + out, a + out])], "WALL HATCH", gap_mm=2.0)
        if thickness is None or thickness > most:
            board.lines([(a, a + out), (b, b + out)], "WALL")
        else:
            board.line([a, a + out, b + out, b], "WALL")
        if thickness is not None:
            turn = float(np.arctan2(*(b - a)[::-1]))
            words = say("wall {thickness:length} thick", thickness=thickness)
            found.append((a + (b - a) * 0.2 + out / 2, words, turn))
    return found


def pier_rings(plan: AnyPlan) -> dict[str, list[Floats]]:
    """Outlines of the shaft of each pier under a vault and of what leans on it, as at its base, from
    its corner of the room (m); of stated piers alone."""
    found: dict[str, list[Floats]] = {}
    if not plan.vault.on_corners:
        return found
    for letter in "ABCD":
        wall, _ = wall_at(plan.job, letter)
        if wall.pier is None or wall.height is None:
            continue
        shape = pier_shape(wall, letter, wall_of(plan.job, side_beside(letter)))
        middle = middle_of_pier(wall, letter)
        found[letter] = [
            np.array([(a, b), (c, b), (c, d), (a, d)]) + middle
            for (a, b, c, d), _ in shape.parts(shape.height)
        ]
    return found


def _piers(board: Board, plan: AnyPlan, flat: Floats) -> None:
    was_turned = not np.allclose(flat, np.asarray(plan.room.corners)[:, :2])
    for letter, rings in pier_rings(plan).items():
        for ring in rings:
            turn = np.column_stack([ring[:, 1], -ring[:, 0]]) if was_turned else ring
            at = turn + flat["ABCD".index(letter)]
            board.hatch([at], "WALL HATCH", gap_mm=2.0)
            board.line(at, "WALL", closed=True)


def thicknesses(plan: AnyPlan) -> dict[int, float | None]:
    """Of the walls on AB, BC, CD and DA (m). Those at the ends of a barrel carry nothing, and are
    told only where they are stated."""
    walls = plan.job.walls
    if plan.vault.family in ("barrel", "flight"):
        ends = [None if wall is None else wall.thickness for wall in (walls.near, walls.far)]
        return {0: ends[0], 1: walls.right.thickness, 2: ends[1], 3: walls.left.thickness}
    sides: tuple[AnySide, ...] = ("near", "right", "far", "left")
    return {i: wall_of(plan.job, side).thickness for i, side in enumerate(sides)}


def _measures(board: Board, plan: AnyPlan, flat: Floats) -> None:
    """Sides and diagonals carry the figures that the tape read, not the fitted ones."""
    given = {m.name: m.given for m in plan.room.measures}
    away = 7.0 if plan.vault.on_corners else -(WALL_MM + 6.0)
    for i, name in enumerate(("AB", "BC", "CD", "DA")):
        a, b = flat[i], flat[(i + 1) % 4]
        board.measure(a, b, away_mm=away, label=f"{name}  {bare_length(board.voice, given[name])}")
    for name, (i, j), share in (("AC", (0, 2), 0.30), ("BD", (1, 3), 0.30)):
        a, b = flat[i], flat[j]
        board.line([a, b], "CHORD")
        way = b - a
        place = a + way * share
        if way[0] < 0:
            way = -way
        turn = float(np.arctan2(way[1], way[0]))
        board.text(
            place + np.array([-np.sin(turn), np.cos(turn)]) * board.paper(0.8),
            f"{name}  {bare_length(board.voice, given[name])}",
            anchor="over",
            angle=turn,
        )


def _holes(plan: AnyPlan, corners: Floats) -> Floats:
    """Middles of the openings, and the hooks, as the drawing is turned; (n, 2)."""
    rings = [opening.plan.mean(axis=0)[:2] for opening in plan.bond.openings]
    hooks = [hook.point[:2] for hook in (plan.edges.hooks if plan.edges else ())]
    found = np.array([*rings, *hooks]).reshape(-1, 2)
    upright = np.allclose(corners[:, :2], np.asarray(plan.room.corners)[:, :2])
    return found if upright else np.column_stack([found[:, 1], -found[:, 0]])


def _axis(board: Board, flat: Floats, holes: Floats) -> None:
    """The crown line in plan, and the names of the four edges, inside the room.

    The line is named where it is clear of holes, (n, 2), as far as that can be.
    """
    near, far = (flat[0] + flat[1]) / 2, (flat[2] + flat[3]) / 2
    over = (far - near) / np.hypot(*(far - near)) * board.paper(4.0)
    board.line([near - over, far + over], "AXIS")
    turn = float(np.arctan2(*(far - near)[::-1]))
    aside = np.array([-np.sin(turn), np.cos(turn)]) * board.paper(1.0)
    places = [near + (far - near) * share + aside for share in (0.25, 0.12, 0.38, 0.62, 0.75, 0.88)]
    clear = board.paper(25.0)
    room = [min([clear, *np.hypot(*(holes - place).T)]) for place in places]
    board.text(places[int(np.argmax(room))], say("crown line"), anchor="over", angle=turn)
    names = (say("near end"), say("right springing"), say("far end"), say("left springing"))
    for i, words in enumerate(names):
        a, b = flat[i], flat[(i + 1) % 4]
        way = b - a
        share = 0.38 if i % 2 == 0 else 0.5
        at = a + way * share - outward(a, b) * board.paper(5.0)
        board.text(at, words, angle=float(np.arctan2(way[1], way[0])))


def _lines_of_vault(board: Board, plan: AnyPlan, corners: Floats) -> None:
    """Creases, ridges and rings over the room; arches at the walls lie on the walls."""
    was_turned = not np.allclose(corners[:, :2], plan.room.corners[:, :2])
    for edge in getattr(plan.vault, "edges", ()):
        if edge.kind == "wall arch":
            continue
        points = edge.points
        if was_turned:
            points = np.column_stack([points[:, 1], -points[:, 0], points[:, 2]])
        board.line(points[:, :2], "AXIS" if edge.kind == "ridge" else "EDGE")


def _letters(board: Board, corners: Floats, out: float) -> None:
    """A ringed letter outside each corner, so far out (m), and its springing level inside."""
    middle = corners[:, :2].mean(axis=0)
    for letter, corner in zip("ABCD", corners, strict=True):
        away = np.sign(corner[:2] - middle)
        at = corner[:2] + away * (board.paper(7.0) + out)
        board.dot(at, "LETTERING", 7.0)
        board.text(at, letter, height_mm=3.5, bold=True)
        inside = corner[:2] - away * np.array([board.paper(9.0), board.paper(4.0)])
        said = signed_level(board.voice, float(corner[2]))
        half = board.paper(width_of(said, TEXT_MM) / 2)
        middle_of = inside - np.array([away[0] * half, 0.0])
        # A pier, or a measure along its face, runs under the level.
        board.clear_ground(middle_of, said)
        board.text(middle_of, said)
