"""Bond sheets: each layer unrolled, every tile drawn, halves and cuts marked and named.

Whole tiles are plain, halves hatched lightly, cut pieces hatched closely with a heavy outline and
their number. Courses are numbered at both ends. Black and white prints read the same.

The first layer is drawn as seen from the room, looking up: it is the face that is seen. Later
layers are drawn from above, as the mason stands over them; the edges are named on every sheet.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import LayerBond, Piece
from timbrel.sheets.board import Board, Picture, scales_from
from timbrel.sheets.openings_placed import draw_on_layer
from timbrel.words import Message, Voice, say

if TYPE_CHECKING:
    from timbrel.plan import Plan

Floats = NDArray[np.float64]
MARK_MM = 1.8
"""Height of the marks on tiles (the least of ISO 3098-1, from memory)."""
DETAIL = 10
"""The corner detail is drawn 1 to this."""


def as_seen(layer: LayerBond, flat: Floats) -> Floats:
    """Flat points turned to the side from which the layer is drawn."""
    return flat if layer.layer == 1 else flat * [1.0, -1.0]


def tile_ring(layer: LayerBond, i: int) -> Floats:
    """Corners of tile i as drawn."""
    return as_seen(layer, layer.polygon(i))


def bond_sheets(plan: Plan, voice: Voice, room_mm: tuple[float, float]) -> tuple[Picture, ...]:
    """All layers at one scale."""
    reach = np.max([np.ptp(layer.points, axis=0) for layer in plan.bond.layers], axis=0)
    # Course numbers and the names of the edges take some 22 x 14 mm.
    size = (float(reach[0]), float(reach[1]))
    bare = (room_mm[0] - 22, room_mm[1] - 14)
    scale = next(scales_from(*size, bare))
    return tuple(bond_sheet(plan, voice, i, scale) for i in range(len(plan.bond.layers)))


def bond_sheet(plan: Plan, voice: Voice, index: int, scale: int) -> Picture:
    """Layer `index` (from 0) unrolled at the inner face of its tiles."""
    layer = plan.bond.layers[index]
    board = Board(
        f"bond-layer-{layer.layer}",
        say("Layer {number:count} unrolled", number=layer.layer),
        voice,
        scale,
    )
    _tiles(board, layer)
    _course_numbers(board, layer)
    _cut_marks(board, layer)
    _edges(board, layer)
    if plan.bond.openings:
        draw_on_layer(board, plan, index, mirror=layer.layer != 1)
    _least_lap(board, plan, layer)
    return board.finish(margin_mm=1.0, notes=bond_notes(plan, layer))


def _tiles(board: Board, layer: LayerBond) -> None:
    halves, cuts = [], []
    for i in range(layer.count):
        ring = tile_ring(layer, i)
        kind = layer.kind[i]
        board.line(ring, "TILE CUT" if kind == Piece.CUT else "TILE", closed=True)
        if kind == Piece.CUT:
            cuts.append(ring)
        elif kind == Piece.HALF:
            halves.append(ring)
    if halves:
        board.hatch(halves, "HALF HATCH", angle_deg=45, gap_mm=1.6)
    if cuts:
        board.hatch(cuts, "CUT HATCH", angle_deg=135, gap_mm=0.9)


def _middle(ring: Floats) -> Floats:
    return np.asarray((ring.min(axis=0) + ring.max(axis=0)) / 2)


def _row_ends(layer: LayerBond) -> dict[tuple[int, int], tuple[int, int]]:
    """First and last tile of each course, by web and course."""
    ends: dict[tuple[int, int], tuple[int, int]] = {}
    for i, key in enumerate(zip(layer.web.tolist(), layer.course.tolist(), strict=True)):
        first, last = ends.get(key, (i, i))
        ends[key] = (
            i if layer.number[i] < layer.number[first] else first,
            i if layer.number[i] > layer.number[last] else last,
        )
    return ends


def _course_numbers(board: Board, layer: LayerBond) -> None:
    """Course numbers at both ends, every one where there is room, else every fifth."""
    ends = _row_ends(layer)
    gap = np.array([board.paper(1.2), 0.0])
    heights = [np.ptp(tile_ring(layer, i)[:, 1]) for i, _ in ends.values()]
    every = 1 if float(np.median(heights)) > board.paper(MARK_MM * 1.5) else 5
    for (_, course), (first, last) in ends.items():
        if course % every and course not in (1, layer.courses):
            continue
        a, b = tile_ring(layer, first), tile_ring(layer, last)
        if _middle(a)[0] > _middle(b)[0]:
            a, b = b, a
        left = np.array([a[:, 0].min(), _middle(a)[1]])
        right = np.array([b[:, 0].max(), _middle(b)[1]])
        board.text(left - gap, f"{course}", anchor="right", height_mm=MARK_MM)
        board.text(right + gap, f"{course}", anchor="left", height_mm=MARK_MM)


def _cut_marks(board: Board, layer: LayerBond) -> None:
    """The number of each cut piece in its course, where it can be read."""
    for i in np.flatnonzero(layer.kind == Piece.CUT):
        ring = tile_ring(layer, int(i))
        room = np.ptp(ring, axis=0)
        word = f"{layer.number[i]}"
        if room[1] > board.paper(MARK_MM * 1.3) and room[0] > board.paper(
            MARK_MM * 0.8 * len(word)
        ):
            board.text(_middle(ring), word, height_mm=MARK_MM, bold=True)


def _edges(board: Board, layer: LayerBond) -> None:
    """What lies at the four edges of the unrolled layer."""
    drawn = as_seen(layer, layer.points)
    low, high = drawn.min(axis=0), drawn.max(axis=0)
    middle = (low + high) / 2
    left, right = say("left springing (DA)"), say("right springing (BC)")
    under, over = (left, right) if layer.layer == 1 else (right, left)
    far = board.paper(7.0)
    board.text((low[0] - far, middle[1]), say("near end (AB)"), angle=np.pi / 2, anchor="over")
    board.text((high[0] + far, middle[1]), say("far end (DC)"), angle=np.pi / 2, anchor="top")
    board.text((middle[0], low[1] - board.paper(2.0)), under, anchor="top")
    board.text((middle[0], high[1] + board.paper(2.0)), over, anchor="over")


def _least_lap(board: Board, plan: Plan, layer: LayerBond) -> None:
    """A ring where the lap over the layer below is least."""
    for lap in plan.bond.laps:
        if lap.upper != layer.layer or lap.reached is None:
            continue
        name = next((n for n in lap.tiles if n in layer.names), None)
        if name is None:
            continue
        at = _middle(tile_ring(layer, layer.names.index(name)))
        board.dot(at, "HINGE", 5.0)


def bond_notes(plan: Plan, layer: LayerBond) -> tuple[Message, ...]:
    """What is said beside a bond sheet."""
    tile = plan.job.tiles[layer.tile]
    notes = [
        say(
            "Tile {tile}, {length:length} x {width:length} x {thickness:length}; {courses:count} "
            "courses; {whole:count} whole (plain), {half:count} halves (wide hatch), {cut:count} "
            "cut (close hatch, numbered).",
            tile=layer.tile,
            length=tile.length,
            width=tile.width,
            thickness=tile.thickness,
            courses=layer.courses,
            whole=layer.number_of(Piece.WHOLE),
            half=layer.number_of(Piece.HALF),
            cut=layer.number_of(Piece.CUT),
        ),
        say(
            "Gauged joints {bed:length} between courses, {perpend:length} between tiles "
            "({least:length} to {most:length} anywhere). Facet {facet:length}.",
            bed=layer.bed_joint,
            perpend=layer.perpend_joint,
            least=layer.joint_least,
            most=layer.joint_most,
            facet=layer.facet,
        ),
        say(
            "Unrolled at the inner face of the tiles and drawn as seen from the room, looking up. "
            "A tile is named layer-course-number; courses count from the left springing."
        )
        if layer.layer == 1
        else say(
            "Unrolled at the inner face of the tiles and drawn as seen from above. A tile is named "
            "layer-course-number; courses count from the left springing."
        ),
    ]
    for lap in plan.bond.laps:
        if lap.upper == layer.layer and lap.reached is not None:
            notes.append(
                say(
                    "Least lap over layer {lower:count}: {reached:length} (ringed); at least "
                    "{wanted:length} wanted.",
                    lower=lap.lower,
                    reached=lap.reached,
                    wanted=lap.wanted,
                )
            )
    return tuple(notes)


def corner_detail(plan: Plan, voice: Voice, index: int, size_mm: tuple[float, float]) -> Picture:
    """How the rows start at corner A, with the joints of the layer below dashed."""
    layer = plan.bond.layers[index]
    board = Board(
        f"corner-layer-{layer.layer}",
        say("Layer {number:count}, start at corner A, looking up from the room", number=1)
        if layer.layer == 1
        else say("Layer {number:count}, start at corner A, from above", number=layer.layer),
        voice,
        DETAIL,
    )
    drawn = as_seen(layer, layer.points)
    frame = board.paper(4.0)
    wide, high = board.paper(size_mm[0]), board.paper(size_mm[1])
    x0 = float(drawn[:, 0].min()) - frame
    if layer.layer == 1:
        y0 = float(drawn[:, 1].min()) - frame
    else:
        y0 = float(drawn[:, 1].max()) + frame - high
    box = (x0, y0, x0 + wide, y0 + high)
    for i in range(layer.count):
        ring = tile_ring(layer, i)
        if (ring.min(axis=0) > box[2:]).any() or (ring.max(axis=0) < box[:2]).any():
            continue
        _clipped_tile(board, ring, layer.kind[i], box)
        at = _middle(ring)
        if box[0] < at[0] < box[2] - frame and box[1] + frame < at[1] < box[3] - frame:
            _name(board, ring, layer.names[i])
    if index > 0:
        _joints_below(board, plan, index, box)
    _corner_edges(board, layer, box, board.paper(1.0))
    return board.finish(box=box)


def _name(board: Board, ring: Floats, name: str) -> None:
    """A tile's name near its lower edge; upright in its middle where the tile is narrower."""
    if np.ptp(ring[:, 0]) < board.paper(MARK_MM * 0.75 * len(name)):
        board.text(_middle(ring), name, height_mm=MARK_MM, angle=np.pi / 2)
        return
    low = (_middle(ring)[0], float(ring[:, 1].min()) + board.paper(2.6))
    board.text(low, name, height_mm=MARK_MM)


def _corner_edges(
    board: Board, layer: LayerBond, box: tuple[float, float, float, float], off: float
) -> None:
    """The springing and the end that meet at corner A, named in the margin of the detail."""
    across, up = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    board.text((box[0] + off, up), say("near end (AB)"), height_mm=MARK_MM, angle=np.pi / 2,
               anchor="top")  # fmt: skip
    first = layer.layer == 1
    board.text((across, box[1] + off if first else box[3] - off), say("left springing (DA)"),
               height_mm=MARK_MM, anchor="over" if first else "top")  # fmt: skip
    corner = (box[0] + off, box[1] + off if first else box[3] - off)
    board.text(corner, "A", bold=True, height_mm=MARK_MM, anchor="left")


def _clipped_tile(
    board: Board, ring: Floats, kind: int, box: tuple[float, float, float, float]
) -> None:
    import shapely

    part = shapely.intersection(shapely.Polygon(ring), shapely.box(*box))
    if part.is_empty or part.geom_type != "Polygon":
        return
    shape = np.asarray(part.exterior.coords)[:-1]
    board.line(shape, "TILE CUT" if kind == Piece.CUT else "TILE", closed=True)
    if kind == Piece.CUT:
        board.hatch([shape], "CUT HATCH", angle_deg=135, gap_mm=1.2)
    elif kind == Piece.HALF:
        board.hatch([shape], "HALF HATCH", angle_deg=45, gap_mm=2.2)


def _joints_below(
    board: Board, plan: Plan, index: int, box: tuple[float, float, float, float]
) -> None:
    """Joints of the layer below, brought onto this layer's unrolled surface."""
    import shapely

    below = plan.bond.layers[index - 1]
    surface = plan.vault.develop(plan.vault.layers[index].inner)
    ends = below.joints.reshape(-1, 2)
    flat = np.asarray(surface.flat(ends[:, 0], ends[:, 1]))
    flat = as_seen(plan.bond.layers[index], flat).reshape(-1, 2, 2)
    for part in shapely.intersection(shapely.linestrings(flat), shapely.box(*box)):
        if part.geom_type == "LineString" and part.length > 0:
            board.line(np.asarray(part.coords), "BELOW")
