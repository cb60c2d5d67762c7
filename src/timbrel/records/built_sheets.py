"""A vault on a plan as built, on paper: its measured points from above, and their table."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.records.built_surface import BuiltSurface
from timbrel.sheets import blocks
from timbrel.sheets.board import Board, Picture, fitted
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan


def built_plan_picture(
    plan: Plan, built: BuiltSurface, voice: Voice, room_mm: tuple[float, float]
) -> Picture:
    """The room and the lines of the vault from above, each point with how far it is off."""
    room = np.asarray(plan.room.corners)[:, :2]

    def draw(scale: int) -> tuple[Picture, ...]:
        board = Board("as-built-plan", say("As built, from above"), voice, scale)
        board.line(room, "ROOM", closed=True)
        for edge in plan.vault.edges:
            board.line(edge.points[:, :2], "AXIS")
        middle = room.mean(axis=0)
        for letter, corner in zip("ABCD", room, strict=True):
            away = np.sign(corner - middle) * board.paper(5.0)
            board.text(corner + away, letter, height_mm=3.5, bold=True)
        for point in built.points:
            at = point.place[:2]
            over = abs(point.off) > built.tolerance
            board.dot(at, "HINGE", 4.0 if over else 1.6, filled=not over)
            told = voice.number(point.off * 1e3, 1)
            board.text(at + np.array([0.0, board.paper(4.5)]), told, height_mm=2.5, bold=over)
        return (board.finish(margin_mm=2.0),)

    size = np.ptp(room, axis=0)
    return fitted(draw, (float(size[0]), float(size[1])), room_mm)[0]


def built_surface_blocks(built: BuiltSurface, voice: Voice) -> list[blocks.Block]:
    """Every measured point of a vault on a plan, how far it is off, and the factor again."""
    rows = [
        (
            voice.quantity(p.v, "percent"),
            voice.length(p.x),
            voice.quantity(float(p.place[2]), "metres"),
            voice.length(p.off, 1),
        )
        for p in built.points
    ]
    return [
        blocks.heading(voice, say("Measured points of the intrados")),
        blocks.words(
            voice,
            say(
                "Off: along the normal of the design, outward positive; tolerance {most:length}. "
                "Geometric factor by a coarse net: design {design:ratio}, as built {built:ratio}.",
                most=built.tolerance,
                design=built.design.factor,
                built=built.built.factor,
            ),
        ),
        blocks.table(
            voice,
            [say("Station"), say("From the wall DA"), say("Level"), say("Off")],
            rows,
            align="rrrr",
            dense=True,
        ),
    ]
