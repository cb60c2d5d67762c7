"""Openings drawn by themselves: the ring in detail, the forces in it, the thrust beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Piece, TrimmedOpening
from timbrel.shape.local_face import face_at
from timbrel.shape.opened import PlacedOpening
from timbrel.shape.opened_plan import BARRELS, openings_of
from timbrel.shape.plan import SIDE_NAMES
from timbrel.sheets.board import Board, Picture, fitted
from timbrel.sheets.opening_sections import plan_section, section_picture
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan
    from timbrel.statics.opening_proof import OpeningProof

Floats = NDArray[np.float64]
MARK_MM = 1.8
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
            sides = np.roll(tile, -1, axis=0) - tile
            longest = sides[int(np.hypot(*sides.T).argmax())]
            turn = float(np.arctan2(longest[1], longest[0]))
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
