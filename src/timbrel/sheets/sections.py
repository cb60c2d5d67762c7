"""Cross sections at the two ends, and the long section with the level budget."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Wall
from timbrel.sheets.board import TEXT_MM, Board, Picture, bare_length, fitted, moved, signed_level
from timbrel.sheets.cut import POINTS, Cut, cut_shell
from timbrel.sheets.font import width_of
from timbrel.site.seat_shape import under_bracket
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan

Floats = NDArray[np.float64]
STEEP = 0.2
"""Slope of a springing chord past which the section is that of a flight to whoever letters it."""
WALL_SHOWN = 0.6
"""Height of wall shown under the springing and over the crown, m, where the wall is higher."""


def section_name(v: float) -> Message:
    """Which section it is."""
    if v == 0.0:
        return say("Section at the near end, AB")
    if v == 1.0:
        return say("Section at the far end, DC")
    return say("Section at {share:percent} from the near end", share=v)


def section_extent(plan: Plan, cut: Cut) -> tuple[float, float]:
    """Width and height that the section with its walls takes, m."""
    line = cut.outer
    walls = plan.job.walls
    left, right = (
        wall_depth(w.thickness) + max((s.out for s in w.setoffs if s.under < WALL_SHOWN), default=0)
        for w in (walls.left, walls.right)
    )
    wide = float(np.ptp(line[:, 0])) + left + right
    return wide, float(np.ptp(line[:, 1])) + 2 * WALL_SHOWN


def wall_depth(thickness: float | None) -> float:
    """Thickness of a wall as drawn."""
    return 0.3 if thickness is None else thickness


def draw_shell(board: Board, plan: Plan, cut: Cut) -> None:
    """The layers cut through: faces of tiles and the beds between them, and the springing cut."""
    layers = plan.vault.layers
    for layer in layers:
        for offset in (layer.inner, layer.outer):
            board.line(cut.lines[offset], "TILE")
    board.line(cut.inner, "INTRADOS")
    board.line(cut.outer, "EXTRADOS")
    board.lines([(cut.inner[0], cut.outer[0]), (cut.inner[-1], cut.outer[-1])], "EDGE")
    for lower, upper in pairwise(layers):
        bed = np.concatenate([cut.lines[lower.outer], cut.lines[upper.inner][::-1]])
        board.tint(bed, "BED")


def draw_walls(board: Board, plan: Plan, cut: Cut) -> None:
    """The walls that take the thrust, down to their base or a break."""
    left, right = cut.left_wall, cut.right_wall
    crown = float(cut.outer[:, 1].max())
    walls = plan.job.walls
    for at, wall, out in ((left, walls.left, -1.0), (right, walls.right, 1.0)):
        stated = wall.thickness is not None
        height = wall.height if wall.height is not None else WALL_SHOWN
        shown = min(height, WALL_SHOWN)
        roof = max(crown + WALL_SHOWN, at[1])
        top = min(at[1] + wall.above, roof)
        foot = at[1] - shown
        inner, outer = wall_faces(wall, (at[0], at[1]), out, foot, top)
        board.hatch([[*inner, *outer[::-1]]], "WALL HATCH", gap_mm=2.0)
        board.line(inner, "WALL")
        board.line(outer, "WALL")
        if at[1] + wall.above > roof:
            _break_line(board, inner[-1][0], outer[-1][0], top)
        else:
            board.lines([(inner[-1], outer[-1])], "WALL")
        if shown < height or not stated:
            _break_line(board, inner[0][0], outer[0][0], foot)
        else:
            board.lines([(inner[0], outer[0])], "WALL")
        if stated:
            low = foot - board.paper(4.0)
            a, b = sorted(((inner[0][0], low), (outer[0][0], low)))
            board.measure(a, b, away_mm=-4.0, angle=0.0)


def wall_faces(
    wall: Wall, at: tuple[float, float], out: float, foot: float, top: float
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Inner and outer face of a wall from its foot up, with its set-offs and its step back.

    at: x and level of the springing. out: 1 or -1, the way outward. foot, top: levels shown.
    """
    (x, level), T = at, wall_depth(wall.thickness)
    seen = [s for s in wall.setoffs if level - s.under > foot]
    places = [x + out * T, *(x + out * (T + s.out) for s in seen)]
    outer = [(places[0], level)]
    for over, lower, s in zip(places, places[1:], seen, strict=False):
        outer += [(over, level - s.under), (lower, level - s.under)]
    outer = [(places[-1], foot), *outer[::-1]]
    inner = [(x, foot), (x, level)]
    if wall.above_thickness is not None and top > level:
        inset = T - wall.above_thickness if wall.above_inset is None else wall.above_inset
        faces = (x + out * inset, x + out * (inset + wall.above_thickness))
        inner += [(faces[0], level), (faces[0], top)]
        outer += [(faces[1], level), (faces[1], top)]
    else:
        inner.append((x, top))
        outer.append((places[0], top))
    return inner, outer


def _break_line(board: Board, x0: float, x1: float, z: float) -> None:
    a, b = sorted((x0, x1))
    over, zig = board.paper(2.0), board.paper(1.2)
    middle = (a + b) / 2
    points = [(a - over, z), (middle - zig, z), (middle - zig / 2, z + zig),
              (middle + zig / 2, z - zig), (middle + zig, z), (b + over, z)]  # fmt: skip
    board.line(points, "NOTE")


def cross_sections(
    plan: Plan, voice: Voice, room_mm: tuple[float, float], *, layers_beside: bool = True
) -> tuple[Picture, ...]:
    """Near and far end at one scale, each with that much room.

    layers_beside: what the shell is made of stands beside each section.
    """
    cuts = [cut_shell(plan, v) for v in (0.0, 1.0)]
    sizes = np.array([section_extent(plan, cut) for cut in cuts])

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(
            cross_section(plan, voice, cut, scale, layers_beside=layers_beside) for cut in cuts
        )

    return fitted(draw, (float(sizes[:, 0].max()), float(sizes[:, 1].max())), room_mm)


def cross_section(
    plan: Plan, voice: Voice, cut: Cut, scale: int, *, layers_beside: bool = True
) -> Picture:
    """The vault cut square to its springing at one end, with all the measures a mason checks."""
    name = {0.0: "section-near", 1.0: "section-far"}.get(cut.v, "section")
    board = Board(name, section_name(cut.v), voice, scale)
    draw_walls(board, plan, cut)
    _brackets(board, plan, cut)
    draw_shell(board, plan, cut)
    draw_backing(board, plan, cut)
    _fill(board, plan, cut)
    _dimensions(board, plan, cut)
    if layers_beside:
        _layer_notes(board, plan, cut)
    return board.finish(margin_mm=2.0)


def _brackets(board: Board, plan: Plan, cut: Cut) -> None:
    """Corbels or ledgers under the springings, before the walls."""
    for seat, at, out in zip(
        plan.site.seats, (cut.left_wall, cut.right_wall), (-1.0, 1.0), strict=True
    ):
        if seat.kind == "chase":
            continue
        for outline in (seat.section, under_bracket(seat.kind, seat.stands_out)):
            ring = at + outline * np.array([out, 1.0])
            board.line(ring, "WALL", closed=True)
            board.hatch([ring], "WALL HATCH", gap_mm=1.6)


def draw_backing(board: Board, plan: Plan, cut: Cut) -> None:
    """Masonry that backs the haunches, hatched across, with its level."""
    backing = plan.site.backing
    if backing is None:
        return
    outer, top = cut.outer, backing.top
    crown = int(np.argmax(outer[:, 1]))
    for half, face in (
        (outer[: crown + 1], cut.left_wall[0]),
        (outer[crown:][::-1], cut.right_wall[0]),
    ):
        inside = half[(half[:, 1] < top) & (np.abs(half[:, 0] - outer[crown, 0])
                                            <= abs(face - outer[crown, 0]))]  # fmt: skip
        if len(inside) < 2:
            continue
        edge = float(np.interp(top, half[:, 1], half[:, 0]))
        ring = np.concatenate([inside, [[edge, top], [face, top]]])
        board.hatch([ring], "WALL HATCH", angle_deg=45, gap_mm=1.6)
        board.lines([((edge, top), (face, top))], "WALL")
    out = cut.left_wall[0] - wall_depth(plan.job.walls.left.thickness) - board.paper(2.0)
    board.level(np.array([out, top]), top, say("top of the backing"), side=-1)


def _fill(board: Board, plan: Plan, cut: Cut) -> None:
    """Top of the fill and of the finish, where the job has any."""
    outer = cut.outer.copy()
    if plan.site.backing is not None:
        outer[:, 1] = np.maximum(outer[:, 1], plan.site.backing.top)
    crown = float(outer[:, 1].max())
    fill = plan.site.fill
    top = crown + plan.job.levels.crown_cover if fill is None else fill.top
    if fill is not None:
        upper = np.full(len(outer), top)
        covered = np.minimum(outer[:, 1], upper)
        ring = np.concatenate(
            [np.column_stack([outer[:, 0], covered]), [[outer[-1, 0], top], [outer[0, 0], top]]]
        )
        angle = 90 if fill.kind == "sleeper walls" else 20
        board.hatch([ring], "FILL HATCH", angle_deg=angle, gap_mm=3.0)
        board.lines([((outer[0, 0], top), (outer[-1, 0], top))], "FILL")
    if plan.job.levels.finish > 0 and top >= crown and plan.vault.family != "flight":
        # Steps climb over a flight: no floor lies level over it.
        floor = top + plan.job.levels.finish
        board.lines([((outer[0, 0], floor), (outer[-1, 0], floor))], "EXTRADOS")


def _dimensions(board: Board, plan: Plan, cut: Cut) -> None:
    """Span, rise, levels and radii; in one line under the span where the arch is small on paper."""
    left, right, inner = cut.left, cut.right, cut.inner
    board.lines([(left, right)], "CHORD")
    chord = right - left
    steep = abs(float(chord[1])) > STEEP * float(chord[0])
    board.measure(left, right, away_mm=-16.5 if steep else -14.0)
    along = chord / np.hypot(*chord)
    square = np.array([-along[1], along[0]])
    heights = (inner - left) @ square
    top = int(np.argmax(heights))
    foot = inner[top] - square * heights[top]
    rise = bare_length(board.voice, float(heights[top]))
    crown = signed_level(board.voice, float(inner[:, 1].max()))
    roomy = float(heights[top]) > board.paper(width_of(rise, TEXT_MM) + 4.0)
    _springing_levels(board, left, right)
    if roomy:
        board.measure(foot, inner[top], away_mm=0.0, label=rise)
        # A slanting measure has its figure on the side where the words stand.
        aside = board.paper(7.0 if steep else 2.5)
        spot = moved(foot + (inner[top] - foot) * 0.45, aside, 0)
        board.text(spot, say("crown {level}", level=crown), anchor="left")
        _radii(board, plan, cut.v, left, along, square)
    else:
        # Under the slanting measure of a flight, which runs from its lower springing.
        foot_level = min(float(left[1]), float(right[1])) - board.paper(6.0)
        middle = (left + right) / 2
        at = (middle[0], foot_level if steep else middle[1])
        board.text(
            moved(at, 0.0, -board.paper(20.0)),
            say("rise {rise}, crown {level}", rise=rise, level=crown),
        )


def _springing_levels(board: Board, left: Floats, right: Floats) -> None:
    """Levels of the springings, with their names where there is room for both."""
    names = (say("left springing"), say("right springing"))
    room = float(right[0] - left[0])
    longest = max(width_of(board.voice(name), TEXT_MM) for name in names)
    if room < board.paper(2 * (longest + 45.0)):
        names = (say("left"), say("right"))
    side, steep = board.paper(1.5), STEEP * room
    for point, name, inward, raised in ((left, names[0], 1, 2.0), (right, names[1], -1, -2.2)):
        other = right if inward > 0 else left
        # The upper springing of a flight lies close under its shell: its level stands on the wall.
        upper = float(point[1] - other[1]) > steep
        way = -inward if upper else inward
        if upper:
            _ground(board, point, name, way)
        board.level(
            moved(point, way * side, 0), float(point[1]), name, side=way,
            raised_mm=-2.2 if upper else raised,
        )  # fmt: skip


def _ground(board: Board, point: Floats, name: Message, way: int) -> None:
    """White ground on a wall's hatch for a level that stands there."""
    said = f"{board.voice(name)}  {signed_level(board.voice, float(point[1]))}"
    far = board.paper(10.0 + width_of(said, TEXT_MM))
    low, high = (float(point[1]) - board.paper(mm) for mm in (4.2, 0.2))
    near = float(point[0]) + way * board.paper(7.5)
    end = float(point[0]) + way * far
    board.wipe([(near, low), (end, low), (end, high), (near, high)])


def _radii(board: Board, plan: Plan, v: float, left: Floats, along: Floats, square: Floats) -> None:
    """A leader to each arc with its radius: the string's length."""
    from timbrel.shape.directrix import Trammel

    curve = plan.vault.near if v == 0.0 else plan.vault.far
    trammel = curve.setting_out
    if not isinstance(trammel, Trammel):
        return
    for arc in trammel.arcs:
        centre = np.array(arc.centre)
        start, end = np.array(arc.start) - centre, np.array(arc.end) - centre
        a0, a1 = np.arctan2(start[1], start[0]), np.arctan2(end[1], end[0])
        turn = a0 + (a1 - a0) * 0.30
        on = centre + arc.radius * np.array([np.cos(turn), np.sin(turn)])
        place = left + on[0] * along + on[1] * square
        toward = -(np.cos(turn) * along + np.sin(turn) * square)
        board.leader(
            place, place + toward * board.paper(12.0),
            f"R {bare_length(board.voice, arc.radius)}",
        )  # fmt: skip


def layer_lines(plan: Plan, voice: Voice) -> list[Message]:
    """What the shell is made of, from the top down."""
    job = plan.job
    lines = [say("shell {thickness:length} thick", thickness=plan.vault.thickness)]
    for number, layer in reversed(list(enumerate(job.layers, start=1))):
        tile = job.tiles[layer.tile]
        lines.append(
            say(
                "layer {number:count}: {tile}, {length} x {width} x {thickness:length}",
                number=number,
                tile=layer.tile,
                length=bare_length(voice, tile.length),
                width=bare_length(voice, tile.width),
                thickness=tile.thickness,
            )
        )
        lines.append(direction_name(layer.direction))
        if number > 1:
            lines.append(say("bed {bed:length}", bed=layer.bed))
    return lines


def _layer_notes(board: Board, plan: Plan, cut: Cut) -> None:
    """What the shell is made of, from the top down, on one leader beside the right wall."""
    outer = cut.outer
    at = outer[int(POINTS * 0.86)]
    lines = layer_lines(plan, board.voice)
    step = board.paper(4.2)
    right = float(outer[-1, 0]) + wall_depth(plan.job.walls.right.thickness) + board.paper(8.0)
    spot = np.array([right, max(float(at[1]), float(outer[-1, 1]) + step * (len(lines) - 1))])
    board.dot(at, "DIMENSION", 1.0, filled=True)
    board.line([at, moved(spot, -board.paper(3.0), 0), spot], "DIMENSION")
    for i, line in enumerate(lines):
        board.text(moved(spot, board.paper(1.0), -step * i), line, anchor="left", bold=i == 0)


def direction_name(direction: str) -> Message:
    """How the long side of the tiles lies."""
    return {
        "along axis": say("long side along the axis"),
        "along arc": say("long side along the arc"),
        "diagonal": say("laid at 45 degrees"),
    }[direction]
