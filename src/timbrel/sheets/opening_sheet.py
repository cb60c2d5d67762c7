"""Openings drawn: their place on plan and on the bond, ring and section in detail, the forces."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Piece, TrimmedOpening
from timbrel.shape.local_face import face_at
from timbrel.shape.opened import PlacedOpening, place_openings
from timbrel.shape.opened_plan import BARRELS, hooks_of, on_shell, openings_of, way_along
from timbrel.shape.plan import SIDE_NAMES
from timbrel.sheets.board import Board, Picture, bare_length, fitted, moved
from timbrel.sheets.drawing_file import TEXT_MM
from timbrel.sheets.font import width_of
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.statics.opening_proof import OpeningProof

Floats = NDArray[np.float64]
MARK_MM = 1.8
BESIDE = 0.45
PLAN_BESIDE = 0.20
"""Shell drawn beyond the ring in the section of a barrel, and of a vault on a plan (m)."""
FORCE_MM = 14.0
"""Length of the arrows of force on paper."""


def opening_pictures(
    plan: Plan, voice: Voice, room_mm: tuple[float, float], low_mm: tuple[float, float]
) -> tuple[Picture, ...]:
    """Ring and forces of every opening, each within `room_mm` of paper; section and thrust, each
    within `low_mm`. Of a vault on a plan, whose net is drawn apart, ring and section."""
    placed = openings_of(plan.job, plan.vault)
    made: list[Picture] = []
    if plan.edges is None:
        for opening, where in zip(plan.bond.openings, placed, strict=True):
            made.append(ring_picture(plan, opening, where, voice, room_mm))
            made.append(plan_section(plan, opening, where, voice, low_mm))
        return tuple(made)
    for opening, where, proof in zip(plan.bond.openings, placed, plan.edges.openings, strict=True):
        made += [
            ring_picture(plan, opening, where, voice, room_mm),
            force_picture(plan, where, proof, voice, room_mm),
            section_picture(plan, opening, where, voice, low_mm),
            thrust_picture(plan, proof, voice, low_mm),
        ]
    return tuple(made)


def ring_picture(
    plan: Plan,
    opening: TrimmedOpening,
    placed: PlacedOpening,
    voice: Voice,
    room_mm: tuple[float, float],
) -> Picture:
    """The first ring layer from above, every tile named, with the clear size of the opening."""
    ring = opening.ring[0]
    # Unrolled barrels are seen from below, so they are turned over.
    up = np.array([1.0, -1.0 if plan.vault.family in BARRELS else 1.0])
    outline = placed.flat(face_at(plan.vault, placed, plan.vault.thickness)) * up
    size = np.ptp(ring.points, axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("{name}: ring, first layer, from above", name=opening.name)
        board = Board(f"opening-ring-{opening.number}", title, voice, scale)
        for i in range(ring.count):
            tile = ring.polygon(i) * up
            cut = ring.kind[i] == Piece.CUT
            board.line(tile, "TILE CUT" if cut else "TILE", closed=True)
            if cut:
                board.hatch([tile], "CUT HATCH", angle_deg=135, gap_mm=1.6)
            turn = np.pi / 2 if np.ptp(tile[:, 1]) > np.ptp(tile[:, 0]) else 0.0
            middle = (tile.min(axis=0) + tile.max(axis=0)) / 2
            board.text(middle, ring.names[i], height_mm=MARK_MM, angle=turn)
        board.line(outline, "EDGE", closed=True)
        low, high = outline.min(axis=0), outline.max(axis=0)
        outer = ring.points * up
        foot, left = float(outer[:, 1].min()), float(outer[:, 0].min())
        right = float(outer[:, 0].max())
        board.measure((low[0], foot), (high[0], foot), away_mm=-5.0, angle=0.0)
        board.measure((high[0], foot), (right, foot), away_mm=-5.0, angle=0.0)
        board.measure((left, low[1]), (left, high[1]), away_mm=5.0, angle=np.pi / 2)
        _sides(board, outer, ways(plan.vault, placed))
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)[0]


def _sides(board: Board, points: Floats, words: tuple[Message | None, ...]) -> None:
    """Which way the springings and the ends lie: over, under, left and right."""
    low, high = points.min(axis=0), points.max(axis=0)
    middle, far = (low + high) / 2, board.paper(11.0)
    over, under, left, right = words
    if over is not None:
        board.text((middle[0], high[1] + board.paper(2.0)), over, anchor="over")
    if under is not None:
        board.text((middle[0], low[1] - far), under, anchor="top")
    if left is not None:
        board.text((low[0] - far, middle[1]), left, angle=np.pi / 2, anchor="over")
    if right is not None:
        at = (high[0] + board.paper(2.0), middle[1])
        board.text(at, right, angle=np.pi / 2, anchor="top")


def ways(vault: Any, placed: PlacedOpening) -> tuple[Message | None, ...]:
    """What lies over, under, left and right of an opening as its ring is drawn."""
    crown, springing = say("towards the crown"), say("towards the springing")
    if vault.family == "dome":
        return crown, springing, None, None
    if vault.family in ("groin", "cloister"):
        wall = say("towards {side}", side=SIDE_NAMES[placed.web])
        return (None, None, wall, crown) if vault.family == "groin" else (crown, wall, None, None)
    return say("towards DA"), say("towards BC"), say("towards AB"), say("towards DC")


def plan_section(
    plan: Plan,
    opening: TrimmedOpening,
    placed: PlacedOpening,
    voice: Voice,
    room_mm: tuple[float, float],
) -> Picture:
    """Plumb across an opening of a vault on a plan, through its middle: shell, ring and kerb."""
    vault, web = plan.vault, plan.vault.webs[placed.web]
    middle = placed.plan.mean(axis=0)
    along = way_along(vault, placed.web, middle)
    across = np.array([-along[1], along[0]])
    reach = float(np.ptp(placed.plan @ across)) / 2
    flat = 2 * reach / placed.across

    def profile(t: Floats, offset: float = 0.0) -> Floats:
        uv, _ = on_shell(vault, placed.web, middle + np.asarray(t)[:, None] * across)
        points = np.asarray(web.point(uv[:, 0], uv[:, 1], offset))
        return np.column_stack([(points[:, :2] - middle) @ across, points[:, 2]])

    beyond = (placed.ring + PLAN_BESIDE) * flat
    wide = placed.across + 2 * (placed.ring + PLAN_BESIDE)

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("{name}: section", name=opening.name)
        board = Board(f"opening-section-{opening.number}", title, voice, scale)
        edges = []
        for way in (-1.0, 1.0):
            t = way * np.linspace(reach, reach + beyond, 33)
            t = t[np.isfinite(on_shell(vault, placed.web, middle + t[:, None] * across)[1])]
            for layer in vault.layers:
                for offset in (layer.inner, layer.outer):
                    board.line(profile(t, offset), "TILE")
            inner, outer = profile(t), profile(t, vault.thickness)
            board.line(inner, "INTRADOS")
            board.line(outer, "EXTRADOS")
            shell = np.concatenate([inner, outer[::-1]])
            board.hatch([shell], "HALF HATCH", angle_deg=45, gap_mm=1.4)
            board.lines([(inner[0], outer[0]), (inner[-1], outer[-1])], "EDGE")
            edges.append(inner[0])
            _ring_cut(board, plan, opening, profile, way * reach, way * placed.ring * flat)
        a, b = edges
        board.measure(a, b, away_mm=-18.0)
        # Both levels are told in the opening, clear of the shell.
        for edge, side in zip(edges, (1, -1), strict=True):
            at = moved(edge, side * board.paper(1.0), 0.0)
            board.level(at, float(edge[1]), say("edge"), side=side, raised_mm=-2.5)
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (wide, 0.7), room_mm)[0]


def section_picture(
    plan: Plan,
    opening: TrimmedOpening,
    placed: PlacedOpening,
    voice: Voice,
    room_mm: tuple[float, float],
) -> Picture:
    """Across the vault through the middle of the opening: both trimmers with ring, kerb, bars."""
    vault, v = plan.vault, placed.middle[1]
    arc = placed.across / (placed.u[1] - placed.u[0])
    reach = (placed.ring + BESIDE) / arc
    sides = (
        (max(placed.u[0] - reach, 0.0), placed.u[0], -1.0),
        (placed.u[1], min(placed.u[1] + reach, 1.0), 1.0),
    )
    wide = placed.across + 2 * (placed.ring + BESIDE)

    def at_station(u: Floats, offset: float) -> Floats:
        return np.asarray(vault.profile(v, u, offset))

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("{name}: section", name=opening.name)
        board = Board(f"opening-section-{opening.number}", title, voice, scale)
        edges = []
        for start, end, way in sides:
            u = np.linspace(start, end, 33)
            for layer in vault.layers:
                for offset in (layer.inner, layer.outer):
                    board.line(vault.profile(v, u, offset), "TILE")
            inner, outer = vault.profile(v, u), vault.profile(v, u, vault.thickness)
            board.line(inner, "INTRADOS")
            board.line(outer, "EXTRADOS")
            board.hatch(
                [np.concatenate([inner, outer[::-1]])], "HALF HATCH", angle_deg=45, gap_mm=1.4
            )
            board.lines([(inner[0], outer[0]), (inner[-1], outer[-1])], "EDGE")
            edge = end if way < 0 else start
            edges.append(vault.profile(v, np.array([edge]))[0])
            _ring_cut(board, plan, opening, at_station, edge, way * placed.ring / arc)
        a, b = edges
        board.measure(a, b, away_mm=-9.0)
        board.level(moved(a, board.paper(1.0), 0.0), float(a[1]), say("edge"), raised_mm=-2.5)
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (wide, 0.5), room_mm)[0]


def _ring_cut(
    board: Board,
    plan: Plan,
    opening: TrimmedOpening,
    profile: Callable[[Floats, float], Floats],
    edge: float,
    width: float,
) -> None:
    """Ring tiles, bar and kerb over one trimmer. profile: points of the section at places along it
    and an offset; edge: place of the opening's edge; width: of the ring, signed, in the same."""
    vault, trimmer = plan.vault, plan.job.openings[opening.number - 1].trimmer
    thickness = plan.job.tiles[opening.ring[0].tile].thickness
    u = np.linspace(edge, edge + width, 9)
    offset = vault.thickness
    for _ in opening.ring:
        low, high = offset + trimmer.bed, offset + trimmer.bed + thickness
        ring = np.concatenate([profile(u, low), profile(u, high)[::-1]])
        board.line(ring, "TILE CUT", closed=True)
        board.hatch([ring], "CUT HATCH", angle_deg=135, gap_mm=1.2)
        offset = high
    if trimmer.bar is not None:
        middle = profile(np.array([edge + width / 2]), vault.thickness + trimmer.bed / 2)
        board.dot(middle[0], "EDGE", max(trimmer.bar * 1e3 / board.scale, 0.8), filled=True)
        spot = moved(middle[0], np.sign(width) * board.paper(9.0), board.paper(15.0))
        words = say("bar {bar:length}", bar=trimmer.bar)
        board.leader(middle[0], spot, words)
    foot = profile(np.array([edge, edge + width * min(
        trimmer.kerb_thickness / opening.ring_width, 1.0)]), offset)  # fmt: skip
    if opening.kerb_volume:
        top = foot + np.array([0.0, trimmer.kerb_height])
        kerb = np.array([foot[0], foot[1], top[1], top[0]])
        board.line(kerb, "WALL", closed=True)
        board.hatch([kerb], "WALL HATCH", angle_deg=45, gap_mm=1.6)
        if width > 0:
            board.measure(foot[1], top[1], away_mm=-5.0, angle=np.pi / 2)


def force_picture(
    plan: Plan,
    placed: PlacedOpening,
    proof: OpeningProof,
    voice: Voice,
    room_mm: tuple[float, float],
) -> Picture:
    """What is assumed: cut arches on flat arches in the ring, strips beside, bars; unrolled."""
    face = plan.vault.develop(0.0)
    up = np.array([1.0, -1.0])
    outline = placed.flat(face) * up
    low, high = outline.min(axis=0), outline.max(axis=0)
    widths = [side.width for side in proof.sides]
    size = (high[0] - low[0] + sum(widths), high[1] - low[1] + 2 * placed.ring)

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("{name}: forces under the design loads", name=proof.name)
        board = Board(f"opening-force-{proof.number}", title, voice, scale)
        board.line(outline, "EDGE", closed=True)
        top, bottom = high[1] + placed.ring, low[1] - placed.ring
        for x, width, sign in ((low[0], widths[0], -1.0), (high[0], widths[1], 1.0)):
            ring = [(x, bottom), (x + sign * width, bottom), (x + sign * width, top), (x, top)]
            board.line(ring, "CHORD", closed=True)
            board.hatch([np.array(ring)], "HALF HATCH", angle_deg=90, gap_mm=3.0)
            a, b = sorted((x, x + sign * width))
            board.measure((a, bottom), (b, bottom), away_mm=-5.0, angle=0.0)
        if proof.trimmers is not None:
            for y, out, arch in ((high[1], 1.0, proof.trimmers[0]),
                                 (low[1], -1.0, proof.trimmers[1])):  # fmt: skip
                _flat_arch(board, (low[0], high[0]), y, out, arch.arm)
                _pressed(board, (low[0], high[0]), y + out * placed.ring, out)
                word = say("{load:line_load}; push {push:force}", load=arch.load, push=arch.push)
                far = y + out * (placed.ring + board.paper(FORCE_MM + 3.0))
                board.text(((low[0] + high[0]) / 2, far), word,
                           anchor="over" if out > 0 else "top")  # fmt: skip
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)[0]


def _flat_arch(board: Board, span: tuple[float, float], y: float, out: float, arm: float) -> None:
    """The parabola of a flat arch in the ring, and its push along the axis at both ends."""
    x = np.linspace(*span, 33)
    share = (x - span[0]) / (span[1] - span[0])
    board.line(np.column_stack([x, y + out * arm * 4 * share * (1 - share)]), "THRUST")
    for at, sign in ((span[0], -1.0), (span[1], 1.0)):
        tail = (at, y)
        board.arrow((at + sign * board.paper(FORCE_MM * 0.7), y), tail, "THRUST")


def _pressed(board: Board, span: tuple[float, float], y: float, out: float) -> None:
    """Arrows of the cut arches on the trimmer."""
    count = 5
    for k in range(count):
        x = span[0] + (span[1] - span[0]) * (k + 0.5) / count
        board.arrow((x, y), (x, y + out * board.paper(FORCE_MM)), "LOAD")


def thrust_picture(
    plan: Plan, proof: OpeningProof, voice: Voice, room_mm: tuple[float, float]
) -> Picture:
    """Lines of the strip beside and of the cut arches under the dead load."""
    vault = plan.vault
    side = min(proof.sides, key=lambda s: s.load_factor or np.inf)
    inner, outer = vault.section(side.v), vault.section(side.v, vault.thickness)
    size = np.ptp(np.concatenate([inner, outer]), axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("{name}: thrust beside, {side}, dead load", name=proof.name, side=side.name)
        board = Board(f"opening-thrust-{proof.number}", title, voice, scale)
        board.line(inner, "INTRADOS")
        board.line(outer, "EXTRADOS")
        low = float(inner[:, 1].min()) - board.paper(3.0)
        middle = float(inner[:, 0].mean())
        rows = []
        if side.beside is None or side.thrust is None or side.thrust_arch is None:
            board.text((middle, low), say("no thrust line lies inside the thickness"), bold=True)
            return (board.finish(margin_mm=1.0),)
        board.line(side.beside.points, "THRUST LEAST")
        rows.append(("THRUST LEAST", say("strip beside, {thrust:line_load} at the springing",
                                         thrust=side.thrust)))  # fmt: skip
        for line in (side.left, side.right):
            if line is not None:
                board.line(line.points, "THRUST GREATEST")
        rows.append(("THRUST GREATEST", say("cut arches, {thrust:line_load} on the trimmer",
                                            thrust=side.thrust_arch)))  # fmt: skip
        for k, (layer, words) in enumerate(rows):
            z = low - board.paper(4.5 * k)
            start = middle - board.paper(34.0)
            board.lines([((start, z), (start + board.paper(12.0), z))], layer)
            board.text((start + board.paper(14.0), z), words, anchor="left")
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)[0]


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
        _tapes(board, corners, stated.corner, ring.mean(axis=0), opening.name)
    for hook in hooks_of(plan.job, plan.vault):
        at = _on_paper(hook.plan[None], turned)[0]
        board.dot(at, "HINGE", 2.4)
        board.dot(at, "HINGE", 0.8, filled=True)
        stated_hook = plan.job.hooks[hook.number - 1]
        _tapes(board, corners, stated_hook.corner, at, hook.name)


def _on_paper(points: Floats, turned: bool) -> Floats:
    return np.column_stack([points[:, 1], -points[:, 0]]) if turned else points


def _tapes(board: Board, corners: Floats, corner: str, at: Floats, name: str) -> None:
    """The two measures that find a place: along the springing wall, then square off it."""
    from timbrel.shape.opened import WALL

    here, there = (corners[k] for k in WALL[corner])
    way = (there - here) / np.hypot(*(there - here))
    foot = here + way * float((at - here) @ way)
    board.lines([(foot, at)], "BELOW")
    board.measure(foot, at, away_mm=1.5)
    # Inside the room, clear of the level that stands at the corner.
    inside = np.sign(way[0] * (at - foot)[1] - way[1] * (at - foot)[0])
    board.measure(here, foot, away_mm=9.0 * float(inside))
    board.text(moved(at, 0.0, board.paper(4.0)), name, bold=True)


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
