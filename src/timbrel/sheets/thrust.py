"""Thrust lines on the section, with hinges; the loads; each wall with the path of its resultant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.sheets.board import Board, Picture, fitted, moved
from timbrel.sheets.drawing_file import TEXT_MM
from timbrel.sheets.font import width_of
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.statics.station import Station
    from timbrel.statics.strip import Strip, StripLoad, ThrustLine
    from timbrel.statics.strip_answer import Bounded
    from timbrel.statics.walls import WallState

Floats = NDArray[np.float64]
ARROWS = 24
PARTS = 32
"""Arrows of a load over the span, and parts of the span in the diagram of the loads."""
LEGEND_MM = 14.0
"""What a line of the legend takes up before its words."""
FEET_MM = 16.0
"""Room that forces and letters take at both feet of an arch."""
BETWEEN_MM, UNDER_MM = 2.0, 9.0
"""How far under the springings the first line under an arch stands: between its feet, or under them."""
HINGE_LETTERS = "EFGHJKLMNPQRSTUV"
"""Hinges are lettered, so that meaning hangs on no colour."""


def _strip_outline(board: Board, strip: Strip) -> None:
    outer = strip.shell_outer
    board.line(strip.inner, "INTRADOS")
    board.line(outer, "EXTRADOS")
    board.lines(zip(strip.inner, outer, strict=True), "JOINT")
    for share in (1 / 3, 2 / 3):
        board.line(strip.inner + (outer - strip.inner) * share, "MIDDLE THIRD")
    if strip.backing is not None:
        _backing_outline(board, strip, strip.backing)


def _backing_outline(board: Board, strip: Strip, beyond: Floats) -> None:
    """What backs the shell, and the wall behind it, as far as the thrust may go."""
    for part in (slice(None, len(beyond) // 2), slice(len(beyond) // 2, None)):
        reached = np.flatnonzero(beyond[part] > 0)
        if len(reached) < 2:
            continue
        outer, shell = strip.outer[part][reached], strip.shell_outer[part][reached]
        board.line(outer, "FILL")
        board.hatch([np.concatenate([outer, shell[::-1]])], "WALL HATCH", angle_deg=45, gap_mm=3.0)


def hinge_places(answer: Bounded) -> list[tuple[float, float, bool]]:
    """Where the work turns: (x, z, at the extrados).

    From the mechanism when one was found; a line held in by the crushing strength does not touch
    the faces at its hinges. Joints that slide have no place.
    """
    mechanism = answer.mechanism
    if mechanism is None:
        return [(h.x, h.z, h.outer) for h in answer.hinges]
    return [
        (float(x), float(z), outer)
        for (x, z), outer in zip(mechanism.places, mechanism.outer, strict=True)
        if np.isfinite(x)
    ]


def _hinges(board: Board, answer: Bounded, skip: int = 0) -> int:
    """A ring at each hinge, lettered on its side of the shell; how many there are."""
    places = hinge_places(answer)
    for letter, (x, z, outer) in zip(HINGE_LETTERS[skip:], places, strict=False):
        board.dot((x, z), "HINGE", 2.6)
        up = 1.0 if outer else -1.0
        board.text(moved((x, z), 0, up * board.paper(4.0)), letter, bold=True)
    return len(places)


def thrust_pictures(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> tuple[Picture, ...]:
    """For the worst station: thrust under dead load, and the worst line of each load pattern."""
    station = plan.statics.worst
    strip = station.answer.strip
    points = np.concatenate([strip.inner, strip.outer])
    size = np.ptp(points, axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        return (
            _dead_lines(station, voice, scale),
            *(
                _pattern_line(station, kind, voice, scale)
                for kind in ("full", "half", "line")
                if station.answer.worst(kind) is not None
            ),
        )

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)


def _dead_lines(station: Station, voice: Voice, scale: int) -> Picture:
    board = Board("thrust-dead", say("Least and greatest thrust, dead load alone"), voice, scale)
    answer = station.answer
    _strip_outline(board, answer.strip)
    lettered = 0
    for bounded, layer in (
        (answer.least_thrust, "THRUST LEAST"),
        (answer.greatest_thrust, "THRUST GREATEST"),
    ):
        if bounded is not None:
            _line_of_thrust(board, bounded.line, layer)
            lettered += _hinges(board, bounded, lettered)
    if answer.least_thrust is None or answer.greatest_thrust is None:
        _says_none(board, answer.strip)
        return board.finish(margin_mm=0.5)
    middle = float(answer.strip.middle[:, 0].mean())
    rows = (
        ("THRUST LEAST", say("least thrust {thrust:line_load}",
                             thrust=answer.least_thrust.static)),
        ("THRUST GREATEST", say("greatest thrust {thrust:line_load}",
                                thrust=answer.greatest_thrust.static)),
    )  # fmt: skip
    low = _under(board, answer.strip, [words for _, words in rows], LEGEND_MM)
    for i, (layer, words) in enumerate(rows):
        z = low - board.paper(4.5 * i)
        board.lines([((middle - board.paper(34.0), z), (middle - board.paper(22.0), z))], layer)
        board.text((middle - board.paper(20.0), z), words, anchor="left")
    return board.finish(margin_mm=0.5)


def _under(board: Board, strip: Strip, lines: Sequence[Message], beside_mm: float = 0.0) -> float:
    """Level of the first of some lines under an arch: between its feet where they have room there, else
    clear of the forces and the letters at the lower foot. beside_mm: what stands before them."""
    wide = max(width_of(board.voice(line), TEXT_MM, bold=True) for line in lines) + beside_mm
    room = float(np.ptp(strip.inner[:, 0])) - board.paper(FEET_MM)
    clear = BETWEEN_MM if board.paper(wide) < room else UNDER_MM
    return float(strip.inner[:, 1].min()) - board.paper(clear)


def _says_none(board: Board, strip: Strip) -> None:
    middle = float(strip.middle[:, 0].mean())
    board.text(
        (middle, float(strip.inner[:, 1].min()) + board.paper(6.0)),
        say("no thrust line lies inside the thickness"),
        bold=True,
    )


def _line_of_thrust(board: Board, line: ThrustLine, layer: str) -> None:
    board.line(line.points, layer)
    for force, at, sign in ((line.force[0], line.points[0], -1.0),
                            (line.force[-1], line.points[-1], 1.0)):  # fmt: skip
        way = np.asarray(force, dtype=float) * sign
        way = way / np.hypot(*way)
        board.arrow(at + way * board.paper(5.0), at + way * board.paper(0.5), layer)


def _pattern_line(station: Station, kind: str, voice: Voice, scale: int) -> Picture:
    """The line at the worst arrangement of a kind, with what it carries drawn over it."""
    factor = station.answer.worst(kind)  # type: ignore[arg-type]
    assert factor is not None
    board = Board(f"thrust-{kind}", factor.title, voice, scale)
    strip = station.answer.strip
    _strip_outline(board, strip)
    _line_of_thrust(board, factor.answer.line, "THRUST LEAST")
    _hinges(board, factor.answer)
    load = next(p.load for p in station.actions.patterns if p.load.key == factor.pattern)
    _load_arrows(board, strip, load)
    middle = float(strip.middle[:, 0].mean())
    words: list[Message] = [
        say("carries {factor:ratio} times this load", factor=factor.static)
        if np.isfinite(factor.static)
        else say("no multiple of this load brings it down, short of crushing")
    ]
    if factor.kinematic is not None and factor.gap is not None:
        words.append(
            say(
                "mechanism at {factor:ratio} times, gap {gap:percent}",
                factor=factor.kinematic,
                gap=factor.gap,
            )
        )
    low = _under(board, strip, words)
    for i, line in enumerate(words):
        board.text((middle, low - board.paper(4.5 * i)), line, bold=i == 0)
    return board.finish(margin_mm=0.5)


def _load_arrows(board: Board, strip: Strip, load: StripLoad) -> None:
    """Arrows over the extrados, as long as the load on each part of the strip is heavy."""
    weight = -load.force[:, 1]
    if weight.max() <= 0:
        return
    top = float(strip.outer[:, 1].max()) + board.paper(4.0)
    edges = np.linspace(*_face_ends(strip), ARROWS + 1)
    dense = over_plan(load, edges)
    for x, heavy in zip((edges[1:] + edges[:-1]) / 2, dense, strict=True):
        if heavy > dense.max() * 1e-3:
            tall = board.paper(4.0 + 8.0 * float(heavy / dense.max()))
            board.arrow((float(x), top), (float(x), top + tall), "LOAD", 1.8)


def _face_ends(strip: Strip) -> tuple[float, float]:
    """x of the two ends of the extrados."""
    return float(strip.shell_outer[0, 0]), float(strip.shell_outer[-1, 0])


def over_plan(load: StripLoad, edges: Floats) -> Floats:
    """Weight a metre of span (N/m2 of a strip a metre wide) between edges along the span: what each
    part of the strip carries, where it acts."""
    x = load.at[:, 0]
    bounds = np.concatenate([edges[:1], (x[1:] + x[:-1]) / 2, edges[-1:]])
    reached = np.concatenate([[0.0], np.cumsum(-load.force[:, 1])])
    upto = np.interp(edges, np.maximum.accumulate(bounds), reached)
    return np.asarray(np.diff(upto) / np.diff(edges))


STRETCH_MM = 22.0
"""Height on paper of the thickness in the unrolled picture."""


def unrolled_picture(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> Picture:
    """Where each line runs within the thickness, from springing to springing.

    The middle line is laid straight and the thickness stretched, so that hinges and the distance
    to the middle third can be read; the true curve stands in the other pictures.
    """
    station = plan.statics.worst
    strip = station.answer.strip
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(strip.shell_middle, axis=0).T))])

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_unrolled(station, run, voice, scale),)

    return fitted(draw, (float(run[-1]), 0.0), room_mm)[0]


def _unrolled(station: Station, run: Floats, voice: Voice, scale: int) -> Picture:
    title = say("The lines within the thickness, unrolled and stretched")
    board = Board("thrust-unrolled", title, voice, scale)
    tall, end = board.paper(STRETCH_MM), float(run[-1])
    board.line([(0.0, 0.0), (end, 0.0)], "INTRADOS")
    board.line([(0.0, tall), (end, tall)], "EXTRADOS")
    for share in (1 / 3, 2 / 3):
        board.line([(0.0, tall * share), (end, tall * share)], "MIDDLE THIRD")
    board.text((-board.paper(2.0), 0.0), say("intrados"), anchor="right")
    board.text((-board.paper(2.0), tall), say("extrados"), anchor="right")
    answer = station.answer
    drawn: list[tuple[ThrustLine, str, Message]] = []
    if answer.least_thrust and answer.greatest_thrust:
        drawn += [
            (answer.least_thrust.line, "THRUST LEAST", say("least thrust")),
            (answer.greatest_thrust.line, "THRUST GREATEST", say("greatest thrust")),
        ]
    for kind, layer in (("half", "LOAD"), ("line", "HINGE")):
        worst = answer.worst(kind)  # type: ignore[arg-type]
        if worst is not None and np.isfinite(worst.static):
            drawn.append((worst.answer.line, layer, worst.title))
    for i, (line, layer, words) in enumerate(drawn):
        # In the backing a line leaves the band of the shell: it is drawn up to one band above it.
        height = np.minimum(tall * line.position / answer.strip.shell_thickness, 2 * tall)
        board.line(np.column_stack([run, height]), layer)
        # Each line is numbered where it runs clear of its neighbours.
        at = int(len(run) * (0.08 + 0.07 * i))
        board.text((float(run[at]), float(height[at])), f"{i + 1}", bold=True)
        z = -board.paper(5.0 * (i + 1))
        board.lines([((0.0, z), (board.paper(9.0), z))], layer)
        board.text((board.paper(11.0), z), f"{i + 1}  {voice(words)}", anchor="left")
    return board.finish(margin_mm=0.5)


def load_picture(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> Picture:
    """Every permanent load as a diagram over the span, stacked: weight a metre of span."""
    station = plan.statics.worst
    strip = station.answer.strip
    size = np.ptp(np.concatenate([strip.inner, strip.outer]), axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_load_diagram(station, voice, scale),)

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)[0]


def _load_diagram(station: Station, voice: Voice, scale: int) -> Picture:
    board = Board("loads", say("Loads on a strip one metre wide"), voice, scale)
    strip = station.answer.strip
    _strip_outline(board, strip)
    edges = np.linspace(*_face_ends(strip), PARTS + 1)
    centre = (edges[:-1] + edges[1:]) / 2
    base = float(strip.outer[:, 1].max()) + board.paper(8.0)
    stacked = np.zeros(len(centre))
    loads = station.actions.permanent
    total = sum(over_plan(load, edges) for load in loads)
    unit = board.paper(28.0) / float(np.max(total))
    hatches = (45, 135, 20, 70)
    for i, load in enumerate(loads):
        lower = base + stacked * unit
        stacked = stacked + over_plan(load, edges)
        upper = base + stacked * unit
        ring = np.concatenate(
            [np.column_stack([centre, lower]), np.column_stack([centre, upper])[::-1]]
        )
        board.hatch([ring], "FILL HATCH", angle_deg=hatches[i % 4], gap_mm=1.4 + 0.5 * i)
        board.line(ring, "LOAD", closed=True)
        end = float(centre[-1])
        board.leader(
            (end, float((lower[-1] + upper[-1]) / 2)),
            (end + board.paper(6.0), float((lower[-1] + upper[-1]) / 2)),
            say("{load}: {total:line_load}", load=load.title, total=load.total),
            arrow=False,
        )
    return board.finish(margin_mm=0.5)


def wall_picture(
    plan: Plan, voice: Voice, side: str, room_mm: tuple[float, float]
) -> Picture | None:
    """A wall with the resultant at every bed under least and greatest thrust; None without data."""
    states = [w for s in plan.statics.stations for w in s.walls if w.side == side]
    if not states:
        return None
    worst = {
        bound: max(
            (w for w in states if w.case.bound == bound),
            key=lambda w: abs(w.eccentricity).max(),
            default=None,
        )
        for bound in ("least", "greatest")
    }
    high = float(states[0].depth[-1])

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_wall(worst, side, voice, scale),)

    return fitted(draw, (states[0].thickness, high), room_mm)[0]


def _wall(worst: dict[str, WallState | None], side: str, voice: Voice, scale: int) -> Picture:
    title = say("Left wall") if side == "left" else say("Right wall")
    board = Board(f"wall-{side}", title, voice, scale)
    some = next(w for w in worst.values() if w is not None)
    thick, high = some.thickness, float(some.depth[-1])
    out = -1.0 if side == "left" else 1.0
    # Between two beds it is as thick as at the lower one.
    lifts = list(zip(some.depth, some.depth[1:], some.across[1:], strict=False))
    face = [(out * across, -z) for top, low, across in lifts for z in (top, low)]
    board.line([(0, 0), *face, (0, -high)], "WALL", closed=True)
    for depth, across in zip(some.depth, some.across, strict=True):
        board.lines([((0, -depth), (out * across, -depth))], "JOINT")
    for share in (1 / 3, 2 / 3):
        for top, low, across in lifts:
            board.line([(out * across * share, -top), (out * across * share, -low)], "MIDDLE THIRD")
    for bound, layer in (("least", "THRUST LEAST"), ("greatest", "THRUST GREATEST")):
        state = worst[bound]
        if state is None:
            continue
        x = out * (state.across - state.arm)
        inside = (state.arm > -0.3 * thick) & (state.arm < 1.3 * thick)
        board.line(np.column_stack([x, -state.depth])[inside], layer)
        for px, pz in np.column_stack([x, -state.depth])[inside]:
            board.dot((px, pz), layer, 1.2, filled=bound == "greatest")
    a, b = sorted((0.0, out * thick))
    board.measure((a, -high), (b, -high), away_mm=-8.0, angle=0.0)
    board.measure((b, -high), (b, 0.0), away_mm=-8.0, angle=np.pi / 2)
    board.text(
        (out * thick / 2, board.paper(3.0)),
        say("room on the right") if side == "left" else say("room on the left"),
        anchor="over",
    )
    return board.finish(margin_mm=0.5)
