"""Rings of a dome with openings: each ring that an opening crosses is a row that ends at it on either
side, divided anew there as the rows of a barrel are; its tiles are cut true to the outline.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.bond.broken_rows import Bit, break_at, broken_row
from timbrel.bond.courses import Courses
from timbrel.bond.dome import LaidRings, bed_slants, ring_tiles
from timbrel.bond.layer import tile_names
from timbrel.bond.layout import Floats, Gauge, Ints, LayerBond, Piece, Rod
from timbrel.bond.rings import TURN, Ring
from timbrel.bond.shapes import CRUMB, ring_area, tidy
from timbrel.bond.stock import Stock
from timbrel.bond.trimmed import TOUCHED, unnotched, worth_sawing
from timbrel.shape.opened import PlacedOpening

ALONG = np.array([1.0, 0.0])
BESIDE = 0.9
"""Joints are followed up to this share of a joint from the opening: there the ring ties them over."""
LEANING = 0.004
"""What a piece at an opening keeps over the least closer (m)."""
STILL = 1e-9


@dataclass(frozen=True)
class _Row:
    """A ring that an opening crosses, followed once round from a perpend.

    begin: share of the ring at which it starts. girth: at mid-width (m). ring: with its pieces as
    they are now, cut ones drawn on to where they are cut true. solid: area left to mortar (m2).
    """

    begin: float
    girth: float
    ring: Ring
    solid: float


@dataclass(frozen=True)
class _Tile:
    """One piece: flat (k, 2) and as (u, v) (k, 2), what it is cut to, its length and width (m)."""

    flat: Floats
    uv: Floats
    kind: int
    length: float
    width: float


def rings_round(
    layers: list[LayerBond], laid: list[LaidRings], dome: Any, openings: tuple[PlacedOpening, ...]
) -> list[LayerBond]:
    """The layers of a dome with every tile cut to the openings, from the seen one upward."""
    if not openings:
        return layers
    made: list[LayerBond] = []
    for i, layer in enumerate(layers):
        others = [made[-1].joints] if made else []
        if i + 1 < len(layers):
            others.append(layers[i + 1].joints)
        beside = np.concatenate(others) if others else np.zeros((0, 2, 2))
        made.append(_opened(layer, laid[i], dome, openings, beside))
    return made


def _opened(
    layer: LayerBond,
    laid: LaidRings,
    dome: Any,
    openings: tuple[PlacedOpening, ...],
    beside: Floats,
) -> LayerBond:
    holes = [opening.closely for opening in openings]
    squares = [opening.uv if len(opening.uv) == 4 else None for opening in openings]
    tiles: list[_Tile] = []
    course: list[int] = []
    left, rods = 0.0, list(layer.gauge.rods)
    lines, widths, follows = [], [], []
    beds = laid.meridian.u(bed_slants(laid.gauge))
    for k, ring in enumerate(laid.rings):
        row = _row(ring, laid, holes, squares, beside)
        own = ring if row is None else row.ring
        cut, rest = _cut(own, laid, holes if row else [])
        first = len(tiles)
        tiles += cut
        course += [k + 1] * len(cut)
        left += rest + (row.solid if row else 0.0)
        bed = beds[k] if k < len(beds) else None
        here, wide, whose = _joints(own, cut, laid, holes if row else [], bed)
        lines.append(here)
        widths.append(wide)
        follows.append(first + whose)
        if row is not None:
            rods[k + 1] = _rod(rods[k + 1], cut)
    rings = len(laid.rings)
    for i in np.flatnonzero(layer.course > rings).tolist():
        # The round key at the crown stays as it is.
        tiles.append(
            _Tile(layer.polygon(i), np.zeros((0, 2)), int(layer.kind[i]), float(layer.length[i]),
                  float(layer.width[i]))
        )  # fmt: skip
        course.append(int(layer.course[i]))
    courses = np.array(course, dtype=np.int64)
    number = _numbers(courses)
    space = [
        dome.point(tile.uv[:, 0], tile.uv[:, 1], laid.middle) for tile in tiles if len(tile.uv)
    ]
    space += [layer.solid_corners(i) for i in np.flatnonzero(layer.course > rings).tolist()]
    return replace(
        layer,
        names=tile_names(laid.number, "", courses, number),
        web=np.zeros(len(tiles), dtype=np.int64),
        course=courses,
        number=number,
        kind=np.array([tile.kind for tile in tiles]),
        arch=courses - 1,
        points=np.concatenate([tile.flat for tile in tiles]),
        start=np.concatenate([[0], np.cumsum([len(tile.flat) for tile in tiles])]),
        corners=np.concatenate(space),
        area=np.array([float(ring_area(tile.flat)) for tile in tiles]),
        length=np.array([tile.length for tile in tiles]),
        width=np.array([tile.width for tile in tiles]),
        solid=layer.solid + left,
        gauge=Gauge(tuple(rods)),
        joints=np.concatenate(lines),
        joint_width=np.concatenate(widths),
        joint_web=np.zeros(sum(len(w) for w in widths), dtype=np.int64),
        joint_tile=np.concatenate(follows),
    )


def _row(
    ring: Ring,
    laid: LaidRings,
    holes: list[Floats],
    squares: list[Floats | None],
    beside: Floats,
) -> _Row | None:
    """A ring as a row broken at the openings; None where none crosses it.

    squares: the corners of those that are not round.
    """
    met = [
        (h, square)
        for h, square in zip(holes, squares, strict=True)
        if h[:, 0].min() < ring.u_high and h[:, 0].max() > ring.u_low
    ]
    if not met:
        return None
    girth = TURN * (ring.below + ring.above) / 2
    begin = _start(ring, [h for h, _ in met])
    courses = Courses(
        origin=np.zeros((1, 2)),
        along=ALONG[None],
        low=np.array([[ring.low, 0.0]]),
        high=np.array([[ring.high, 0.0]]),
        near=np.zeros((1, 3)),
        far=np.full((1, 3), girth),
        cut=np.zeros(1, dtype=bool),
    )
    outlines = [_unrolled(h, square, laid, begin, girth) for h, square in met]
    found = [b for o in outlines if (b := break_at(courses, laid.stock, 0, o)) is not None]
    if not found:
        return _Row(begin, girth, ring, 0.0)
    row, joint = _bits(ring, begin, girth)
    under = _perpends(ring, beside, begin, girth)
    for broken in sorted(found, key=lambda b: b.near):
        row = broken_row(row, broken, _wary(laid.stock), under)
    return _Row(begin, girth, _ring_of(ring, row, joint, begin, girth, laid.stock),
                sum(b.solid for b in found))  # fmt: skip


def _wary(stock: Stock) -> Stock:
    """The tile with a least closer a little longer: ends at an opening lean on the ring's radius."""
    return replace(stock, share=stock.share + LEANING / (stock.along + stock.joint.best))


def _start(ring: Ring, holes: list[Floats]) -> float:
    """The perpend that lies furthest from all openings."""
    middles = np.array([h[:, 1].mean() for h in holes])
    away = ring.begin[:, None] - middles
    return float(ring.begin[np.abs(away - np.round(away)).min(axis=1).argmax()])


def _unrolled(
    hole: Floats, square: Floats | None, laid: LaidRings, begin: float, girth: float
) -> Floats:
    """An outline of (u, v) beside the row of a ring: along it from its beginning, true to size about
    the outline's own middle, and the slant length. The sides of a square one that lie along the ring
    bow against it: they are put where they reach furthest."""
    slant = laid.meridian.slant(hole[:, 0])
    middle = float(hole[:, 1].mean())
    here = hole if square is None else square
    level = laid.meridian.slant(here[:, 0])
    away = (here[:, 1] - middle) * TURN * laid.meridian.radius(level)
    if square is not None:
        level = np.where(level < level.mean(), slant.min(), slant.max())
    return np.stack([np.mod(middle - begin, 1.0) * girth + away, level], axis=1)


def _bits(ring: Ring, begin: float, girth: float) -> tuple[list[Bit], Floats]:
    """Pieces in the order of the row, at mid-width, and the joint of each."""
    middle = np.mod(ring.begin - begin + STILL, 1.0) - STILL + ring.share / 2
    half = (ring.bottom + ring.top) / 4
    order = np.argsort(middle)
    bits = [
        Bit(float(middle[i] * girth - half[i]), float(middle[i] * girth + half[i]), int(i), False)
        for i in order
    ]
    return bits, ring.share * girth - 2 * half


def _perpends(ring: Ring, beside: Floats, begin: float, girth: float) -> Floats:
    """Where perpends of the neighbouring layers lie under a ring: (k,) along its row."""
    u, v = beside[..., 0], beside[..., 1]
    upright = np.abs(np.diff(v, axis=1)[:, 0]) < STILL
    under = (u.max(axis=1) > ring.u_low) & (u.min(axis=1) < ring.u_high)
    return np.asarray(np.mod(v[upright & under, 0] - begin, 1.0) * girth)


def _ring_of(
    ring: Ring, row: list[Bit], joint: Floats, begin: float, girth: float, stock: Stock
) -> Ring:
    """The ring with the pieces of a row."""
    source = np.array([bit.source for bit in row], dtype=np.int64)
    cut = np.array([bit.cut for bit in row])
    size = np.array([bit.end - bit.begin for bit in row])
    middle = np.array([(bit.begin + bit.end) / 2 for bit in row])
    taper = np.abs(ring.bottom - ring.top).max() > STILL
    gap = np.where(cut, stock.joint.best, joint[source])
    share = (size + gap) / girth
    bottom, top = size, size
    if taper:
        bottom, top = share * TURN * ring.below - gap, share * TURN * ring.above - gap
    return replace(
        ring,
        kinds=np.where(cut, int(Piece.CUT), ring.kinds[source]),
        begin=begin + middle / girth - share / 2,
        share=share,
        bottom=np.where(cut, bottom, ring.bottom[source]),
        top=np.where(cut, top, ring.top[source]),
    )


def _cut(ring: Ring, laid: LaidRings, holes: list[Floats]) -> tuple[list[_Tile], float]:
    """The pieces of a ring outside the openings, and the area of bits that are left to mortar."""
    from shapely import Polygon, get_coordinates, get_parts

    flat, uv = ring_tiles(ring)
    found, left = [], 0.0
    for i in range(len(flat)):
        centre = float(ring.begin[i] + ring.share[i] / 2)
        tile, kind = Polygon(flat[i]), int(ring.kinds[i])
        rest: Any = tile
        for hole in holes:
            rest = rest.difference(Polygon(_in_tile(hole, centre, ring, laid)))
        length = float(ring.bottom[i] + ring.top[i]) / 2
        if tile.area - rest.area < TOUCHED:
            found.append(_Tile(flat[i], uv[i], kind, length, ring.width))
            continue
        for part in get_parts(rest):
            if part.geom_type != "Polygon":
                continue
            for bit in unnotched(part, ALONG, laid.stock.joint.best):
                outline = tidy(get_coordinates(bit))
                if len(outline) < 3 or bit.area < CRUMB or not worth_sawing(bit, ALONG, laid.stock):
                    left += bit.area
                    continue
                size = np.ptp(outline, axis=0)
                strip = size[1] < 0.98 * ring.width
                wide = bit.area / size[0] if strip else ring.width
                found.append(
                    _Tile(outline, _lifted(outline, centre, ring, laid), int(Piece.CUT),
                          float(size[0] if strip else bit.area / ring.width), float(wide))
                )  # fmt: skip
    return found, float(left)


def _in_tile(hole: Floats, centre: float, ring: Ring, laid: LaidRings) -> Floats:
    """An outline of (u, v) in the flat frame of a tile whose middle stands at a share of the ring."""
    slant = laid.meridian.slant(hole[:, 0])
    turn = hole[:, 1] - centre
    turn = turn - np.round(turn.mean())
    x = centre * TURN * ring.below + turn * TURN * laid.meridian.radius(slant)
    return np.stack([x, slant], axis=1)


def _lifted(outline: Floats, centre: float, ring: Ring, laid: LaidRings) -> Floats:
    """(k, 2) common coordinates of points in the flat frame of a tile."""
    x, slant = outline.T
    turn = (x - centre * TURN * ring.below) / (TURN * laid.meridian.radius(slant))
    return np.stack([laid.meridian.u(slant), centre + turn], axis=1)


def _joints(
    ring: Ring, tiles: list[_Tile], laid: LaidRings, holes: list[Floats], bed: float | None
) -> tuple[Floats, Floats, Ints]:
    """Joints of a ring outside the openings, as (u, v), their widths, and the tile of the ring that
    each follows. bed: share of the meridian of the bed over it, None for none."""
    from shapely import LineString, MultiPolygon, Polygon, get_coordinates, get_parts

    girth = TURN * (ring.below + ring.above) / 2
    low, high = ring.joints
    lines: list[tuple[Floats, float, bool]] = []
    ends = ring.begin + ring.share
    for i in range(len(ring.begin)):
        after = (i + 1) % len(ring.begin)
        apart = ring.begin[after] - ends[i]
        if abs(apart - np.round(apart)) * girth < laid.stock.joint.best + laid.stock.joint.most:
            middle = ends[i] + (apart - np.round(apart)) / 2
            line = np.array([[ring.u_low, middle], [ring.u_high, middle]])
            lines.append((line, float(low[after] + high[after]) / 2, True))
        if bed is not None:
            line = np.array([[bed, ring.begin[i]], [bed, ends[i]]])
            lines.append((line, laid.gauge.joint, False))

    def flat(uv: Floats) -> Floats:
        return np.stack([uv[:, 1] * girth, laid.meridian.slant(uv[:, 0])], axis=1)

    middles = np.array([tile.uv[:, 1].mean() for tile in tiles])
    # Near the pieces, and a turn before and after: the ring closes there.
    turns = [np.round(middles.mean() - h[:, 1].mean()) + t for h in holes for t in (-1, 0, 1)]
    thrice = [h for h in holes for _ in range(3)]
    near = [np.stack([h[:, 0], h[:, 1] + t], axis=1) for h, t in zip(thrice, turns, strict=True)]
    rim: Any = MultiPolygon([Polygon(flat(h)) for h in near]).buffer(
        BESIDE * laid.stock.joint.best, join_style="mitre"
    )
    found, widths, follows = [], [], []
    for line, width, upright in lines:
        stroke = LineString(flat(line))
        met = bool(holes) and stroke.intersects(rim)
        if met and upright:
            continue
        for part in get_parts(stroke.difference(rim)) if met else [stroke]:
            points = get_coordinates(part)
            if len(points) < 2:
                continue
            s, slant = points[[0, -1]].T
            found.append(np.stack([laid.meridian.u(slant), s / girth], axis=1) if met else line)
            widths.append(width)
            away = middles - float(s.mean()) / girth
            follows.append(int(np.abs(away - np.round(away)).argmin()))
    return np.stack(found), np.array(widths), np.array(follows, dtype=np.int64)


def _rod(rod: Rod, tiles: list[_Tile]) -> Rod:
    """The rod round a ring's lower edge, marked for the pieces as they are now."""
    left = [float(tile.flat[:, 0].min()) for tile in tiles]
    right = max(float(tile.flat[:, 0].max()) for tile in tiles)
    return replace(rod, marks=np.append(np.sort(np.array(left)), right))


def _numbers(course: Ints) -> Ints:
    first = np.concatenate([[True], course[1:] != course[:-1]])
    index = np.arange(len(course))
    return np.asarray(index - np.maximum.accumulate(np.where(first, index, 0)) + 1)
