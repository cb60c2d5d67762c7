"""A layer with openings: its tiles cut true to their outlines, its joints ended there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.bond.bedding import Laid, web_letters
from timbrel.bond.broken_rows import break_rows
from timbrel.bond.layer import drawn, joint_lines, tile_names
from timbrel.bond.layout import Floats, LayerBond, Piece
from timbrel.bond.shapes import CRUMB, tidy
from timbrel.bond.stock import Stock
from timbrel.shape.opened import PlacedOpening

TOUCHED = 1e-8
"""Area of tile inside an opening that counts (m2)."""
STRIP = 0.98
"""A piece narrower than this share of its course is a strip sawn lengthwise."""
SQUARE = 0.995
"""A piece that fills this share of its box is a rectangle, as long as its box."""
NOTCH = np.radians(30.0)
"""A corner that turns inward by more than this is a notch: the tile is cut in two there."""


@dataclass(frozen=True)
class _Cut:
    """A ring, the tile that it is of, and whether it is cut."""

    source: int
    ring: Floats
    changed: bool


def drawn_round(
    laid: Laid,
    openings: tuple[PlacedOpening, ...],
    below: LayerBond | None,
    above: Laid | None,
) -> LayerBond:
    """The layer of a barrel, or of one web, with every tile cut to the openings.

    below: the layer that it lies on, as it is drawn. above: the one that will lie on it, before it
    is cut. Perpends that are moved at an opening keep off the joints of both.
    """
    development = laid.bed.development
    holes = [opening.cut(development) for opening in openings]
    others = [np.zeros((0, 2, 2))]
    if below is not None and len(below.joints):
        others.append(development.flat(below.joints[..., 0], below.joints[..., 1]))
    if above is not None:
        lines, _, _ = joint_lines(above)
        u, v = above.bed.development.lift(lines.reshape(-1, 2))
        others.append(development.flat(u, v).reshape(-1, 2, 2))
    broken, solid = break_rows(laid, holes, np.concatenate(others))
    return _clipped(drawn(broken), broken, holes, solid)


def _clipped(layer: LayerBond, laid: Laid, holes: list[Floats], solid: float) -> LayerBond:
    from shapely import MultiPolygon, Polygon

    hole = MultiPolygon([Polygon(outline) for outline in holes])
    rings, left = _rings(layer, laid, hole)
    source = np.array([ring.source for ring in rings], dtype=np.int64)
    points = np.concatenate([ring.ring for ring in rings])
    start = np.concatenate([[0], np.cumsum([len(ring.ring) for ring in rings])])
    changed = np.array([ring.changed for ring in rings])
    bed = laid.bed
    corners = np.concatenate([layer.solid_corners(r.source) for r in rings if not r.changed])
    moved = np.repeat(changed, np.diff(start))
    u, v = bed.development.lift(points[moved])
    solid_corners = np.empty((len(points), 3))
    solid_corners[~moved] = corners
    solid_corners[moved] = bed.surface.point(u, v, bed.middle)
    number = _numbers(layer, laid, rings)
    course = layer.course[source]
    area = np.array([_area(r.ring) if r.changed else layer.area[r.source] for r in rings])
    sizes = [
        _sizes(layer, laid, r, float(a)) if c else (layer.length[r.source], layer.width[r.source])
        for r, a, c in zip(rings, area, changed, strict=True)
    ]
    lines, widths, webs, follows = _joints(layer, laid, hole, source)
    return replace(
        layer,
        names=tile_names(bed.number, web_letters(bed), course, number),
        web=layer.web[source],
        course=course,
        number=number,
        kind=np.where(changed, int(Piece.CUT), layer.kind[source]),
        arch=layer.arch[source],
        points=points,
        start=start,
        corners=solid_corners,
        area=area,
        length=np.array([size[0] for size in sizes]),
        width=np.array([size[1] for size in sizes]),
        solid=layer.solid + solid + left,
        joints=lines,
        joint_width=widths,
        joint_web=webs,
        joint_tile=follows,
    )


def _area(ring: Floats) -> float:
    x, y = ring.T
    return float(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def _rings(layer: LayerBond, laid: Laid, hole: Any) -> tuple[list[_Cut], float]:
    """Every tile's ring outside the holes; and the area of the bits that are left to mortar."""
    from shapely import Polygon, get_coordinates, get_parts, prepare

    prepare(hole)
    found: list[_Cut] = []
    left = 0.0
    least = CRUMB
    for i, near in enumerate(_near(layer, hole)):
        own = layer.polygon(i)
        tile = Polygon(own) if near else None
        if tile is None or hole.intersection(tile).area < TOUCHED:
            found.append(_Cut(i, own, False))
            continue
        square = laid.courses.along[layer.course[i] - 1]
        for part in get_parts(tile.difference(hole)):
            if part.geom_type != "Polygon":
                continue
            for bit in unnotched(part, square, laid.bed.stock.joint.best):
                ring = tidy(get_coordinates(bit))
                sound = len(ring) > 2 and worth_sawing(bit, square, laid.bed.stock)
                if sound and bit.area >= least:
                    found.append(_Cut(i, ring, True))
                else:
                    left += bit.area
    return found, left


def _near(layer: LayerBond, hole: Any) -> list[bool]:
    """Which tiles may touch a hole: those whose boxes do."""
    from shapely import box, intersects

    low = np.minimum.reduceat(layer.points, layer.start[:-1])
    high = np.maximum.reduceat(layer.points, layer.start[:-1])
    boxes = box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    found: list[bool] = intersects(boxes, hole).tolist()
    return found


def worth_sawing(bit: Any, along: Floats, stock: Stock) -> bool:
    """Is a bit wide and long enough to be sawn and to stay whole."""
    from shapely import get_coordinates

    points = get_coordinates(bit)
    across = np.ptp(points @ np.array([-along[1], along[0]]))
    length = np.ptp(points @ along)
    least = min(stock.least_across, stock.least_along) / 2
    mean = min(bit.area / max(length, 1e-9), bit.area / max(across, 1e-9))
    return bool(mean >= least)


def unnotched(part: Any, along: Floats, joint: float) -> list[Any]:
    """A polygon without inward corners: cut across its course at each, a joint wide."""
    from shapely import LineString, Polygon, get_coordinates, get_parts

    ring = get_coordinates(part)[:-1]
    ahead = np.roll(ring, -1, axis=0) - ring
    behind = ring - np.roll(ring, 1, axis=0)
    turn = np.arctan2(
        behind[:, 0] * ahead[:, 1] - behind[:, 1] * ahead[:, 0], (behind * ahead).sum(axis=1)
    )
    if _area(ring) < 0:
        turn = -turn
    inward = np.flatnonzero(turn < -NOTCH)
    if not len(inward):
        return [part]
    corner = ring[inward[0]]
    square = np.array([-along[1], along[0]])
    # The joint stands on the side where the tile is notched: the full piece ends at the opening.
    side = np.sign((Polygon(ring).centroid.coords[0] - corner) @ along) or 1.0
    line = LineString([corner - square * 2.0, corner + square * 2.0])
    band = line.buffer(joint, cap_style="flat", single_sided=True)
    if (np.asarray(band.centroid.coords[0]) - corner) @ along * side > 0:
        band = line.buffer(-joint, cap_style="flat", single_sided=True)
    found: list[Any] = []
    for bit in get_parts(part.difference(band)):
        if bit.geom_type == "Polygon" and bit.area > 0:
            found += unnotched(bit, along, joint) if bit.area < part.area - 1e-9 else [bit]
    return found


def _numbers(layer: LayerBond, laid: Laid, rings: list[_Cut]) -> Any:
    """Numbers in each course from its start, in the order along it."""
    along = laid.courses.along
    place = np.array(
        [
            (layer.course[r.source], r.ring.mean(axis=0) @ along[layer.course[r.source] - 1])
            for r in rings
        ]
    )
    order = np.lexsort((place[:, 1], place[:, 0]))
    number = np.empty(len(rings), dtype=np.int64)
    course = place[order, 0]
    first = np.concatenate([[True], course[1:] != course[:-1]])
    index = np.arange(len(rings))
    number[order] = index - np.maximum.accumulate(np.where(first, index, 0)) + 1
    return number


def _sizes(layer: LayerBond, laid: Laid, cut: _Cut, area: float) -> tuple[float, float]:
    """Mean length and width of a cut piece along and across its course."""
    course = layer.course[cut.source] - 1
    along = laid.courses.along[course]
    reach = float(np.ptp(cut.ring @ along))
    across = float(np.ptp(cut.ring @ np.array([-along[1], along[0]])))
    whole = float(layer.width[cut.source])
    if across < STRIP * whole or area > SQUARE * reach * across:
        return reach, area / reach
    return area / whole, whole


def _joints(
    layer: LayerBond, laid: Laid, hole: Any, source: Any
) -> tuple[Floats, Floats, Any, Any]:
    """Joint lines outside the holes, as common coordinates; what they follow, counted anew."""
    from shapely import difference, get_coordinates, get_parts, intersects, linestrings

    development = laid.bed.development
    flat = development.flat(layer.joints[..., 0], layer.joints[..., 1])
    lines, kept = [], []
    rim = hole.buffer(0.9 * laid.bed.stock.joint.best, join_style="mitre")
    strokes = linestrings(flat)
    way = flat[:, 1] - flat[:, 0]
    along = laid.courses.along[layer.course[layer.joint_tile] - 1]
    across = np.abs((way * along).sum(axis=1)) < 0.5 * np.hypot(*way.T)
    # Perpends that end at an opening are tied over by its ring and judged there.
    held = across & intersects(strokes, rim)
    for k, rest in enumerate(difference(strokes, rim)):
        if held[k]:
            continue
        for part in get_parts(rest):
            points = get_coordinates(part)
            if len(points) >= 2:
                lines.append(points[[0, -1]])
                kept.append(k)
    index = np.array(kept, dtype=np.int64)
    place = {int(s): i for i, s in reversed(list(enumerate(source.tolist())))}
    follows = np.array([place.get(int(layer.joint_tile[k]), -1) for k in kept], dtype=np.int64)
    there = follows >= 0
    u, v = development.lift(np.stack(lines)[there])
    return (
        np.stack([u, v], axis=-1),
        layer.joint_width[index][there],
        layer.joint_web[index][there],
        follows[there],
    )
