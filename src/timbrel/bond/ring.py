"""The ring that trims an opening: tiles laid flat over the shell round it, square to its edge.

Each side is a band of headers (their long side across the band). In the first ring layer the two
bands along the axis run through at the corners, in the next one the other two, so that the corners
are bonded. Round an opening that is round the tiles are cut to a taper. The first perpends are
placed so that they lie off the corners, where joints of the shell end. Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any

import numpy as np

from timbrel.bond.cuts import bounding_rectangle
from timbrel.bond.laps import LEAST_LAP
from timbrel.bond.layout import Floats, Gauge, LayerBond, Piece, TrimmedOpening
from timbrel.bond.shapes import tidy
from timbrel.bond.stock import LEAST_WIDTH
from timbrel.job.model import Job, Tile
from timbrel.job.openings import Trimmer
from timbrel.shape.local_face import face_at
from timbrel.shape.opened import PlacedOpening
from timbrel.shape.opened_plan import BARRELS

SPARE = 0.001
"""What is kept over the least lap (m)."""
WIDENED = 2e-3
"""How much a joint of the ring may be widened so that its band closes in wholes (m)."""
INTO = 0.02
"""How far into the ring its tile over a corner is looked for (m)."""
ALIKE = 1e-3
"""A piece within this of a whole tile is one (m)."""


def trim_opening(job: Job, vault: Any, placed: PlacedOpening) -> TrimmedOpening:
    """The ring, kerb and bars of an opening."""
    stated = job.openings[placed.number - 1]
    trimmer = stated.trimmer
    name = trimmer.tile or job.layers[-1].tile
    tile, joint = job.tiles[name], job.layers[-1].joint.best
    offset = float(vault.thickness)
    layers: list[LayerBond] = []
    beds = area = 0.0
    for k in range(trimmer.layers):
        inner = offset + trimmer.bed
        face = face_at(vault, placed, inner)
        rings = _pieces(placed, placed.flat(face), tile, joint, k)
        made = _layer(job, vault, placed, name, rings, inner, k)
        area = _band(placed, face)
        beds += area * trimmer.bed + (area - float(made.area.sum())) * tile.thickness
        layers.append(made)
        offset = inner + tile.thickness
    outline = placed.flat(face_at(vault, placed, float(vault.thickness)))
    girth = float(np.hypot(*(np.roll(outline, -1, axis=0) - outline).T).sum())
    kerb = girth + 4 * trimmer.kerb_thickness if trimmer.kerb_height else 0.0
    volume = kerb * trimmer.kerb_height * trimmer.kerb_thickness
    return TrimmedOpening(
        number=placed.number,
        name=placed.name,
        use=placed.use,
        round=placed.round,
        plan=placed.plan,
        points=placed.points,
        along=placed.along,
        across=placed.across,
        areas=tuple(_area(placed.cut(face_at(vault, placed, p.inner))) for p in vault.layers),
        ring=tuple(layers),
        ring_width=placed.ring,
        thickness=offset,
        ring_area=area,
        mortar=beds,
        kerb_length=kerb,
        kerb_volume=volume,
        bars=0 if trimmer.bar is None else 4,
        bar_length=bar_length(placed, trimmer),
        bar=trimmer.bar,
        corner_lap=None if placed.round else corner_lap(placed, vault, layers[0]),
    )


def bar_length(placed: PlacedOpening, trimmer: Trimmer) -> float:
    """Mean length of the bars: each side and forty diameters beyond it at both ends.

    Forty diameters of anchorage: common practice, no source.
    """
    if trimmer.bar is None:
        return 0.0
    return (placed.along + placed.across) / 2 + 2 * 40 * trimmer.bar


def _area(ring: Floats) -> float:
    x, y = ring.T
    return float(abs(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def _band(placed: PlacedOpening, face: Any) -> float:
    """Area of the ring's band on a face (m2)."""
    from shapely import Polygon

    inner = Polygon(placed.flat(face))
    style = "round" if placed.round else "mitre"
    return float(inner.buffer(placed.ring, join_style=style).area - inner.area)


def _pieces(
    placed: PlacedOpening, outline: Floats, tile: Tile, joint: float, layer: int
) -> list[tuple[Floats, bool]]:
    """Rings (4, 2) of the pieces of one ring layer, flat, and which are whole."""
    rows = max(1, int(np.ceil((placed.ring + joint - ALIKE) / (tile.length + joint))))
    depth = (placed.ring - (rows - 1) * joint) / rows
    if placed.round:
        return _round(outline, placed.ring, depth, rows, tile, joint, layer)
    found: list[tuple[Floats, bool]] = []
    corners = list(outline) if _signed(outline) > 0 else list(outline[::-1])
    sides = [(corners[k], corners[(k + 1) % 4]) for k in range(4)]
    along = [abs(float((b - a)[0])) > abs(float((b - a)[1])) for a, b in sides]
    for (start, end), runs in zip(sides, along, strict=True):
        way = (end - start) / np.hypot(*(end - start))
        out = np.array([way[1], -way[0]])
        length = float(np.hypot(*(end - start)))
        # Bands that run through take the corners, the others end a joint short of them.
        through = runs == (layer % 2 == 0)
        first = -placed.ring if through else joint
        room = length + 2 * placed.ring if through else length - 2 * joint
        for begin, width in _divided(room, tile.width, joint, placed.ring if through else None):
            for row in range(rows):
                low = row * (depth + joint)
                a = start + (first + begin) * way
                b = a + width * way
                ring = np.stack([a + low * out, a + (low + depth) * out,
                                 b + (low + depth) * out, b + low * out])  # fmt: skip
                whole = abs(width - tile.width) < ALIKE and abs(depth - tile.length) < ALIKE
                found.append((ring, whole))
    return found


def _signed(ring: Floats) -> float:
    x, y = ring.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def _divided(
    room: float, width: float, joint: float, corner: float | None
) -> list[tuple[float, float]]:
    """Where the tiles of a band begin, and how wide they are: wholes, and what is left over.

    corner: distance from either end at which a perpend should not lie. What is left over is put
    where the perpends keep furthest off both corners; under the least width two pieces share it.
    """
    count = int((room + joint + 1e-9) / (width + joint))
    rest = room - count * (width + joint)
    if count == 0:
        return [(0.0, room)]
    even = (room - count * width) / max(count - 1, 1)
    filled = rest + joint <= WIDENED * count + 1e-9
    choices = []
    rows = [] if filled else [*_rows(count, rest, width)]
    # Where little is over it goes into the joints.
    gaps = [(even, [width] * count)] * filled
    gaps += [(joint, row) for row in (*rows, *_centred(room, width, joint, corner))]
    for gap, row in gaps:
        begin = np.cumsum([0.0, *(w + gap for w in row[:-1])])
        apart = np.inf
        if corner is not None and len(row) > 1:
            marks = begin[1:] - gap / 2
            apart = float(np.abs(marks[:, None] - np.array([corner, room - corner])).min())
        cuts = sum(w < width - ALIKE for w in row)
        placed = list(zip(begin.tolist(), row, strict=True))
        choices.append((-min(apart, LEAST_LAP + SPARE), cuts, -apart, placed))
    return min(choices, key=lambda c: c[:3])[3]


def _rows(count: int, rest: float, width: float) -> Iterator[list[float]]:
    """Rows of so many wholes and a rest: the rest by itself, or shared with one whole."""
    if rest >= width / 2:
        for place in range(count + 1):
            yield [*[width] * place, rest, *[width] * (count - place)]
    half = (width + rest) / 2
    for first, second in combinations(range(count + 1), 2):
        yield [half if k in (first, second) else width for k in range(count + 1)]


def _centred(
    room: float, width: float, joint: float, corner: float | None
) -> Iterator[list[float]]:
    """The row with a whole tile astride each corner, what lies between and beyond in equal parts."""
    if corner is None:
        return
    beyond = corner - width / 2 - joint
    between = room - 2 * corner - width - 2 * joint
    parts = []
    for length in (beyond, between):
        count = max(int(np.ceil((length + joint) / (width + joint) - 1e-9)), 0)
        each = (length - (count - 1) * joint) / max(count, 1)
        if count and each < LEAST_WIDTH:
            return
        parts.append([each] * count)
    if parts[1] or abs(between + joint) < 1e-9:
        yield [*parts[0], width, *parts[1], width, *parts[0]]


def _round(
    outline: Floats, ring: float, depth: float, rows: int, tile: Tile, joint: float, layer: int
) -> list[tuple[Floats, bool]]:
    """Tapered tiles round a circle: as many as the outer edge takes."""
    from shapely import Polygon, area, get_coordinates, get_parts

    hole = Polygon(outline)
    centre = outline.mean(axis=0)
    away = outline - centre
    turn = np.unwrap(np.arctan2(away[:, 1], away[:, 0]))
    order = np.argsort(turn % (2 * np.pi))
    angle, radius = (turn % (2 * np.pi))[order], np.hypot(*away.T)[order]
    mean = float(radius.mean())
    count = int(np.ceil(2 * np.pi * (mean + ring) / (tile.width + joint)))
    found: list[tuple[Floats, bool]] = []
    for k in range(count):
        for row in range(rows):
            low = row * (depth + joint)
            ends = []
            for r in (low, low + depth):
                half = np.pi / count - joint / 2 / (mean + r)
                at = 2 * np.pi * (k + 0.5 * (layer % 2)) / count
                edge = np.array([at - half, at + half])
                reach = np.interp(edge % (2 * np.pi), angle, radius, period=2 * np.pi) + r
                ends.append(centre + reach[:, None] * np.stack([np.cos(edge), np.sin(edge)], 1))
            piece = Polygon(np.concatenate([ends[1], ends[0][::-1]])).difference(hole)
            found.append((tidy(get_coordinates(max(get_parts(piece), key=area))), False))
    return found


def corner_lap(placed: PlacedOpening, vault: Any, ring: LayerBond) -> float:
    """Least distance of a perpend of the first ring layer from the corners' joints, along its
    band (m)."""
    face = face_at(vault, placed, float(vault.layers[-1].outer))
    corners = placed.flat(face)
    middle = corners.mean(axis=0)
    least = np.inf
    for corner in corners:
        # A point just outside the corner, in the band that runs through there.
        x, y = corner + np.array([0.0, np.sign(corner[1] - middle[1]) * INTO])
        for i in range(ring.count):
            low, high = ring.polygon(i).min(axis=0), ring.polygon(i).max(axis=0)
            if low[0] <= x <= high[0] and low[1] <= y <= high[1]:
                least = min(least, float(x - low[0]), float(high[0] - x))
    return float(least) if np.isfinite(least) else 0.0


def _layer(
    job: Job,
    vault: Any,
    placed: PlacedOpening,
    name: str,
    rings: list[tuple[Floats, bool]],
    inner: float,
    k: int,
) -> LayerBond:
    tile = job.tiles[name]
    joint = job.layers[-1].joint.best
    n = len(rings)
    points = np.concatenate([ring if _signed(ring) > 0 else ring[::-1] for ring, _ in rings])
    start = np.concatenate([[0], np.cumsum([len(ring) for ring, _ in rings])])
    u, v = face_at(vault, placed, inner).lift(points)
    sizes = [bounding_rectangle(ring) for ring, _ in rings]
    ones = np.ones(n, dtype=np.int64)
    number = np.arange(1, n + 1)
    return LayerBond(
        layer=len(job.layers) + 1 + k,
        tile=name,
        direction="ring",
        courses=1,
        bed_joint=joint,
        perpend_joint=joint,
        joint_least=joint,
        joint_most=joint,
        names=tuple(f"R{placed.number}-{k + 1}-{i:02d}" for i in number.tolist()),
        webs=("",),
        web=np.zeros(n, dtype=np.int64),
        course=ones,
        number=number,
        kind=np.array([int(Piece.WHOLE if whole else Piece.CUT) for _, whole in rings]),
        arch=np.zeros(n, dtype=np.int64),
        points=points,
        start=start,
        corners=_over(vault, placed)(u, v, inner + tile.thickness / 2),
        area=np.array([_area(ring) for ring, _ in rings]),
        length=np.array([size[0] for size in sizes]),
        width=np.array([size[1] for size in sizes]),
        solid=0.0,
        facet=0.0,
        gauge=Gauge(()),
        joints=np.zeros((0, 2, 2)),
        joint_width=np.zeros(0),
        joint_web=np.zeros(0, dtype=np.int64),
        joint_tile=np.zeros(0, dtype=np.int64),
    )


def _over(vault: Any, placed: PlacedOpening) -> Any:
    """Points of the web that an opening lies in, by (u, v) and offset."""
    return vault.point if vault.family in BARRELS else vault.webs[placed.web].point
