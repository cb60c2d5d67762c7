"""Loads of a vault on a plan, drawn where they stand: fill and floor everywhere, sleeper walls,
partitions, loads on one spot, patches, hooks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.supports import LineAction, PointAction
from timbrel.shape.opened_plan import hooks_of
from timbrel.sheets.board import Board, Picture, fitted, moved
from timbrel.statics.net_sleepers import Sleepers
from timbrel.statics.placed import load_ends, placed_loads
from timbrel.statics.plan_outlines import outline_of
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan


def load_plan(plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float]) -> tuple[Picture, ...]:
    """The plan of loads; nothing where none stands in a place of its own, or until the whole proof has
    been made, which weighs them."""
    loads = plan.job.loads
    placed = placed_loads(loads) or plan.job.hooks or loads.fill.kind == "sleeper walls"
    if plan.net is None or not placed:
        return ()
    low, high = np.asarray(outline_of(plan.vault).bounds).reshape(2, 2)

    def draw(scale: int) -> tuple[Picture, ...]:
        return (_drawn(plan, voice, scale),)

    size = high - low
    return fitted(draw, (float(size[0]), float(size[1])), room_mm)


def _drawn(plan: SurfacePlan, voice: Voice, scale: int) -> Picture:
    board = Board("loads", say("Loads from above"), voice, scale)
    whole = outline_of(plan.vault)
    room = np.asarray(plan.room.corners)[:, :2]
    board.line(room, "ROOM", closed=True)
    for edge in plan.vault.edges:
        if edge.kind != "wall arch":
            board.line(edge.points[:, :2], "AXIS")
    out = np.sign(room - room.mean(axis=0))
    for letter, corner, way in zip("ABCD", room, out, strict=True):
        board.text(corner + way * board.paper(5.0), letter, height_mm=3.5, bold=True)
    for ring in (whole.exterior, *whole.interiors):
        board.line(np.asarray(ring.coords)[:-1], "EXTRADOS", closed=True)
    sleepers = Sleepers.of(plan.vault, plan.job.loads.fill)
    if sleepers is not None:
        _, y0, _, y1 = whole.bounds
        board.lines([((x, y0), (x, y1)) for x in sleepers.x], "LOAD")
    for _, load in placed_loads(plan.job.loads):
        ends = np.array(load_ends(load))
        if isinstance(load, LineAction):
            board.lines([(ends[0], ends[1])], "LOAD")
            told = say("{name}, {load:line_load}", name=load.name, load=load.load)
        elif isinstance(load, PointAction):
            board.dot(ends[0], "LOAD", 2.4, filled=True)
            told = say("{name}, {load:force}", name=load.name, load=load.force)
        else:
            board.line(ends, "LOAD", closed=True)
            board.hatch([ends], "FILL HATCH", gap_mm=1.8)
            told = say("{name}, {load:pressure}", name=load.name, load=load.pressure)
        middle = ends.mean(axis=0)
        board.text(moved(middle, 0.0, board.paper(3.5)), told, height_mm=2.2)
    for hook in hooks_of(plan.job, plan.vault):
        board.dot(hook.plan, "LOAD", 2.4)
        board.dot(hook.plan, "LOAD", 0.8, filled=True)
        pull = plan.job.hooks[hook.number - 1].load
        told = say("{name}, {load:force}", name=hook.name, load=pull)
        board.text(moved(hook.plan, 0.0, board.paper(3.5)), told, height_mm=2.2)
    return board.finish(margin_mm=2.0, notes=_totals(plan))


def _totals(plan: SurfacePlan) -> tuple[Message, ...]:
    """Every load in all, on the whole vault."""
    assert plan.net is not None
    acts = plan.net.actions
    loads = [*acts.permanent, *(p for p in acts.patterns if p.key == "full")]
    loads += [other.load for other in acts.others if other.kind in ("snow", "water")]
    return tuple(
        say("{load}: {total:force} in all.", load=load.title, total=load.total) for load in loads
    )
