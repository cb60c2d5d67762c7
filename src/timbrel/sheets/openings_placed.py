"""Openings and hooks on the drawings of the whole vault: general plan, bond, long section."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.opened import WALL, place_openings
from timbrel.shape.opened_plan import hooks_of
from timbrel.sheets.board import Board, bare_length, moved
from timbrel.sheets.drawing_file import TEXT_MM
from timbrel.sheets.font import width_of

if TYPE_CHECKING:
    from timbrel.plan import Plan

Floats = NDArray[np.float64]


def draw_on_plan(board: Board, plan: Plan, turned: bool) -> None:
    """Openings, hooks and their tapes on the general plan.

    turned: is the plan drawn on its side, near end on the left.
    """
    if plan.edge_site is None:
        return
    corners = _on_paper(np.asarray(plan.room.corners)[:, :2], turned)
    for opening in plan.bond.openings:
        ring = _on_paper(opening.plan, turned)
        board.wipe(ring)
        board.line(ring, "EDGE", closed=True)
        half = len(ring) // 2
        for k in range(0, half, max(half // 2, 1)):
            board.lines([(ring[k], ring[k + half])], "AXIS")
        stated = plan.job.openings[opening.number - 1]
        top = float(ring[:, 1].max() - ring[:, 1].mean())
        _tapes(board, corners, stated.corner, ring.mean(axis=0), opening.name, top)
    for hook in hooks_of(plan.job, plan.vault):
        at = _on_paper(hook.plan[None], turned)[0]
        board.dot(at, "HINGE", 2.4)
        board.dot(at, "HINGE", 0.8, filled=True)
        stated_hook = plan.job.hooks[hook.number - 1]
        _tapes(board, corners, stated_hook.corner, at, hook.name)


def _on_paper(points: Floats, turned: bool) -> Floats:
    return np.column_stack([points[:, 1], -points[:, 0]]) if turned else points


def _tapes(
    board: Board, corners: Floats, corner: str, at: Floats, name: str, top: float = 0.0
) -> None:
    """The two measures that find a place: along the springing wall, then square off it.

    top: how far the outline reaches over the place (m): a name too wide for it stands over it.
    """
    here, there = (corners[k] for k in WALL[corner])
    way = (there - here) / np.hypot(*(there - here))
    foot = here + way * float((at - here) @ way)
    board.lines([(foot, at)], "BELOW")
    board.measure(foot, at, away_mm=1.5)
    # Inside the room, clear of the level that stands at the corner.
    inside = np.sign(way[0] * (at - foot)[1] - way[1] * (at - foot)[0])
    board.measure(here, foot, away_mm=9.0 * float(inside))
    up = board.paper(4.0)
    if up < top < board.paper(width_of(name, TEXT_MM, bold=True)):
        up = top + board.paper(2.5)
    board.text(moved(at, 0.0, up), name, bold=True)


def draw_on_layer(board: Board, plan: Plan, index: int, mirror: bool) -> None:
    """Openings on the unrolled layer, with the offsets of their nearest corner."""
    face = plan.vault.develop(plan.vault.layers[index].inner)
    up = np.array([1.0, -1.0 if mirror else 1.0])
    for placed in place_openings(plan.job, plan.vault):
        ring = placed.flat(face) * up
        board.line(ring, "EDGE", closed=True)
        half = len(ring) // 2
        board.lines([(ring[0], ring[half]), (ring[half // 2], ring[half // 2 + half])], "AXIS")
        low, high = ring.min(axis=0), ring.max(axis=0)
        near = face.flat(np.array([placed.u[0]]), np.array([0.0]))[0] * up
        left = face.flat(np.array([0.0]), np.array([placed.middle[1]]))[0] * up
        y = high[1] if mirror else low[1]
        board.measure((near[0], y), (low[0], y), away_mm=1.5, angle=0.0, on_ground=True)
        board.measure((low[0], left[1]), (low[0], y), away_mm=-1.5, angle=np.pi / 2, on_ground=True)
        along = bare_length(board.voice, placed.along)
        across = bare_length(board.voice, float(high[1] - low[1]))
        _inside(
            board, (low + high) / 2, float(high[0] - low[0]), (placed.name, f"{along} x {across}")
        )


def _inside(board: Board, middle: Floats, wide: float, lines: tuple[str, str]) -> None:
    """Two lines in an opening, as high as they can stand between its edges."""
    longest = max(width_of(line, 1.0) for line in lines)
    height = min(TEXT_MM, 0.92 * wide / board.paper(1.0) / longest)
    for k, line in enumerate(lines):
        at = moved(middle, 0.0, board.paper(height * (0.9 - 1.8 * k)))
        board.text(at, line, height_mm=height)


def draw_on_long_section(board: Board, plan: Plan, low: Floats, high: Floats) -> None:
    """Openings along the crown line: cut through where they cross it, else dashed beyond it.

    low, high: (n, 2) intrados and extrados of the section, distance along the axis and level.
    """
    share = np.linspace(0.0, 1.0, 201)
    top = float(share[np.argmax(plan.vault.point(share, np.full(201, 0.5))[:, 2])])
    length = plan.vault.axis_length
    for placed, opening in zip(
        place_openings(plan.job, plan.vault), plan.bond.openings, strict=True
    ):
        x = np.array(placed.v) * length
        under, over = (np.interp(x, line[:, 0], line[:, 1]) for line in (low, high))
        crosses = placed.u[0] < top < placed.u[1]
        ring = np.array([[x[0], under[0]], [x[1], under[1]], [x[1], over[1]], [x[0], over[0]]])
        if crosses:
            board.wipe(ring)
        board.lines([(ring[0], ring[3]), (ring[1], ring[2])], "EDGE" if crosses else "BELOW")
        trimmer = plan.job.openings[placed.number - 1].trimmer
        wall = trimmer.kerb_thickness
        if opening.kerb_volume:
            for edge, out, level in ((x[0], -wall, over[0]), (x[1], wall, over[1])):
                foot = level + opening.thickness - plan.vault.thickness
                kerb = [(edge, foot), (edge + out, foot), (edge + out, foot + trimmer.kerb_height),
                        (edge, foot + trimmer.kerb_height)]  # fmt: skip
                board.line(kerb, "WALL" if crosses else "BELOW", closed=True)
        board.measure(ring[0], ring[1], away_mm=-4.0, angle=0.0)
        board.text(
            moved((ring[0] + ring[1]) / 2, 0.0, -board.paper(8.0)), placed.name, anchor="top"
        )
