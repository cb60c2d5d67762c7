"""Drawings of vaults that lie between guides: groin, cloister, sail, dome.

The plan shows the lines of the vault (creases, arches, rings) over the room; two sections run
through the middle; each layer is drawn from above as it lies, and its webs unrolled; every guide
stands in its true shape with its ordinates.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import LayerBond, Piece
from timbrel.sheets.bars import programme_picture
from timbrel.sheets.before_book import before_pictures
from timbrel.sheets.board import Board, Picture, fitted
from timbrel.sheets.foot_picture import foot_pictures
from timbrel.sheets.general import general_plan
from timbrel.sheets.load_plan import load_plan
from timbrel.sheets.opening_sheet import opening_pictures
from timbrel.sheets.ordinates import ordinates
from timbrel.sheets.surface_net import net_pictures
from timbrel.sheets.surface_sections import middle_sections
from timbrel.sheets.surface_stages import surface_stage_pictures
from timbrel.sheets.template import lower_edge
from timbrel.words import Voice, say

if TYPE_CHECKING:
    from timbrel.plan import SurfacePlan
    from timbrel.site.guides import Guide

Floats = NDArray[np.float64]


def surface_drawings(plan: SurfacePlan, voice: Voice) -> dict[str, Picture]:
    """Every drawing, by name, in the order of the pack."""
    from timbrel.sheets.sheet import room_for

    size = plan.job.site.sheet
    narrow = size == "A4"
    whole = room_for(size)
    made = [
        general_plan(plan, voice, whole),
        *middle_sections(plan, voice, room_for(size, rows=2)),
        *(layer_from_above(plan, voice, layer, whole) for layer in plan.bond.layers),
        *(
            picture
            for layer in plan.bond.layers
            for picture in webs_unrolled(
                plan,
                voice,
                layer,
                room_for(size, columns=1 if narrow else 2),
                room_for(size, columns=2 if narrow else 4),
            )
        ),
        *opening_pictures(plan, voice, *_opening_rooms(size)),
        *net_pictures(plan, voice, whole if narrow else room_for(size, columns=2), whole),
        *load_plan(plan, voice, whole if narrow else room_for(size, columns=2)),
        *foot_pictures(plan, voice, whole if narrow else room_for(size, columns=2)),
        programme_picture(plan, voice, room_for(size, columns=1 if narrow else 2)[0]),
        *surface_stage_pictures(plan, voice, _stage_room(size)),
        *guide_pictures(plan, voice, room_for(size, rows=min(len(plan.site.guides), 3))),
        *before_pictures(plan, voice),
    ]
    return {picture.name: picture for picture in made}


def _opening_rooms(size: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Ring and section of an opening stand beside each other, on narrow paper one over the other."""
    from timbrel.sheets.sheet import room_for

    narrow = size == "A4"
    room = room_for(size, columns=1 if narrow else 2, rows=2)
    return room, room


def _stage_room(size: str) -> tuple[float, float]:
    """Six stages stand on one sheet."""
    from timbrel.sheets.sheet import room_for

    return room_for(size, columns=2, rows=3) if size == "A4" else room_for(size, columns=3, rows=2)


def layer_from_above(
    plan: SurfacePlan, voice: Voice, layer: LayerBond, room_mm: tuple[float, float]
) -> Picture:
    """A layer as it lies, seen from above; halves and cuts hatched, courses numbered."""
    flat = layer.corners[:, :2]
    size = np.ptp(flat, axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        title = say("Layer {number:count} from above", number=layer.layer)
        board = Board(f"bond-plan-{layer.layer}", title, voice, scale)
        _pieces(board, layer, flat, np.arange(layer.count))
        room = np.asarray(plan.room.corners)[:, :2]
        board.line(room, "ROOM", closed=True)
        middle = room.mean(axis=0)
        for letter, corner in zip("ABCD", room, strict=True):
            away = np.sign(corner - middle) * board.paper(5.0)
            board.text(corner + away, letter, height_mm=3.5, bold=True)
        return (board.finish(margin_mm=1.0),)

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)[0]


def _pieces(board: Board, layer: LayerBond, flat: Floats, tiles: NDArray[np.intp]) -> None:
    rings = {int(i): flat[layer.start[i] : layer.start[i + 1]] for i in tiles}
    for i, ring in rings.items():
        board.line(ring, "TILE CUT" if layer.kind[i] == Piece.CUT else "TILE", closed=True)
    for kind, name, angle, gap in (
        (Piece.HALF, "HALF HATCH", 45, 1.6),
        (Piece.CUT, "CUT HATCH", 135, 1.0),
    ):
        found = [ring for i, ring in rings.items() if layer.kind[i] == kind]
        if found:
            board.hatch(found, name, angle_deg=angle, gap_mm=gap)


STEP_OF_SCALE = 1.25
"""From 1:20 to 1:25: what a drawing may lose for a sheet less."""


def webs_unrolled(
    plan: SurfacePlan,
    voice: Voice,
    layer: LayerBond,
    room_mm: tuple[float, float],
    less_mm: tuple[float, float],
) -> tuple[Picture, ...]:
    """Each web of a layer unrolled; none for a dome, whose courses are rings of the rod table.

    less_mm: room in which more webs stand on a sheet; taken where that costs one step of scale.
    """
    if plan.vault.family == "dome":
        return ()
    webs = [np.flatnonzero(layer.web == k) for k in range(len(layer.webs))]
    spans = [np.ptp(_points_of(layer, tiles), axis=0) for tiles in webs]
    size = np.max(spans, axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(
            _web(layer, layer.webs[k], tiles, voice, scale) for k, tiles in enumerate(webs)
        )

    reach = (float(size[0]), float(size[1]))
    large = fitted(draw, reach, room_mm)
    if len(webs) == 1:
        return large
    small = fitted(draw, reach, less_mm)
    return small if small[0].scale <= STEP_OF_SCALE * large[0].scale else large


def _points_of(layer: LayerBond, tiles: NDArray[np.intp]) -> Floats:
    return np.concatenate([layer.polygon(int(i)) for i in tiles])


def _web(layer: LayerBond, web: str, tiles: NDArray[np.intp], voice: Voice, scale: int) -> Picture:
    title = (
        say("Layer {number:count}, web {web}, unrolled", number=layer.layer, web=web)
        if web
        else say("Layer {number:count} unrolled", number=layer.layer)
    )
    board = Board(f"bond-web-{layer.layer}-{web or 'all'}", title, voice, scale)
    _pieces(board, layer, layer.points, tiles)
    firsts: dict[int, int] = {}
    for i in tiles:
        course = int(layer.course[i])
        if course not in firsts or layer.number[i] < layer.number[firsts[course]]:
            firsts[course] = int(i)
    every = 1 if scale <= 25 else 5
    for course, i in firsts.items():
        if course % every == 0 or course == 1:
            ring = layer.polygon(i)
            at = (float(ring[:, 0].min()) - board.paper(1.2), float(ring[:, 1].mean()))
            board.text(at, f"{course}", anchor="right", height_mm=1.8)
    return board.finish(margin_mm=1.0)


def guide_pictures(
    plan: SurfacePlan, voice: Voice, room_mm: tuple[float, float]
) -> tuple[Picture, ...]:
    """Every guide in its true shape, at one scale."""
    guides = plan.site.guides
    size = np.max([np.ptp(guide.line, axis=0) for guide in guides], axis=0)

    def draw(scale: int) -> tuple[Picture, ...]:
        return tuple(_guide(plan, guide, voice, scale) for guide in guides)

    return fitted(draw, (float(size[0]), float(size[1])), room_mm)


def _guide(plan: SurfacePlan, guide: Guide, voice: Voice, scale: int) -> Picture:
    board = Board(f"guide-{guide.key.replace('.', '-')}", guide.title, voice, scale)
    base = float(guide.line[:, 1].min())
    line, template = guide.line - [0.0, base], guide.template - [0.0, base]
    board.line(line, "INTRADOS")
    board.line(template, "CENTRING")
    board.line(lower_edge(template, plan.job.site.rib_depth), "CENTRING")
    board.lines([((float(line[0, 0]), 0.0), (float(line[-1, 0]), 0.0))], "CHORD")
    low = min(0.0, float(template[:, 1].min())) - board.paper(2.0)
    ordinates(board, guide.x, guide.level - base, low, say("along"))
    return board.finish(margin_mm=2.0)
