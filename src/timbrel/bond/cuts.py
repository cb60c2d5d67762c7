"""What is cut: equal pieces grouped to 1 mm, and nested into whole tiles."""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np

from timbrel.bond.layout import CutGroup, CutList, Floats, LayerBond, Nest, Piece
from timbrel.bond.nesting import nest_lengths
from timbrel.job.model import Job, Tile

KERF = 0.003
"""Width of a saw cut (m). Common practice, no source."""
SQUARE = 0.002
"""A piece within this of its rectangle is cut as the rectangle (m): cut 2 mm easy."""


def bounding_rectangle(ring: Floats) -> tuple[float, float]:
    """Least rectangle round a convex ring that lies along one of its sides: long, short side."""
    edges = np.roll(ring, -1, axis=0) - ring
    length = np.hypot(*edges.T)
    way = edges[length > 1e-6] / length[length > 1e-6, None]
    along, across = ring @ way.T, ring @ np.stack([-way[:, 1], way[:, 0]])
    size = np.stack([np.ptp(along, axis=0), np.ptp(across, axis=0)])
    best = size[:, np.argmin(size.prod(axis=0))]
    return float(best.max()), float(best.min())


def group_pieces(layer: LayerBond, tile: Tile) -> list[CutGroup]:
    """Equal pieces of a layer, to 1 mm; whole tiles are not listed."""
    found: dict[tuple[int, float, float, tuple[float, ...]], list[str]] = defaultdict(list)
    for i in np.flatnonzero(layer.kind != Piece.WHOLE):
        ring = straightened(layer.polygon(int(i)))
        sides = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
        square = len(ring) == 4 and abs(sides[0] - sides[2]) + abs(sides[1] - sides[3]) < SQUARE
        going_round: tuple[float, ...] = ()
        if square:
            long, short = sorted(sides[:2].tolist(), reverse=True)
        else:
            long, short = bounding_rectangle(layer.polygon(int(i)))
            going_round = turned(sides)
        found[int(layer.kind[i]), round(long, 3), round(short, 3), going_round].append(
            layer.names[i]
        )
    groups = [
        CutGroup(layer.layer, layer.tile, Piece(kind), *lying(long, short, tile), sides, tuple(n))
        for (kind, long, short, sides), n in found.items()
    ]
    return sorted(groups, key=lambda g: (g.kind, -g.count, -g.length, -g.width, g.sides))


def straightened(ring: Floats, easy: float = SQUARE) -> Floats:
    """The ring as it is sawn: a curved edge as the fewest straight cuts that stay within `easy` (m).

    Along a groin or beside a curved wall an edge is a run of facets that nobody marks one by one.
    """
    import shapely

    way = np.roll(ring, -1, axis=0) - ring
    before = np.roll(way, 1, axis=0)
    turn = np.abs(np.arctan2(before[:, 0] * way[:, 1] - before[:, 1] * way[:, 0],
                             (before * way).sum(axis=1)))  # fmt: skip
    whole = shapely.Polygon(np.roll(ring, -int(np.argmax(turn)), axis=0))
    sawn = shapely.get_coordinates(shapely.simplify(whole, easy))[:-1]
    return sawn if len(sawn) > 2 else ring


def lying(long: float, short: float, tile: Tile) -> tuple[float, float]:
    """The rectangle's measures along and across the whole tile: (length, width)."""
    if long > tile.width + SQUARE or short > tile.width:
        return long, short
    # Short pieces as wide as the tile are cut across it, the others lengthwise.
    return (short, long) if long > tile.width - SQUARE else (long, short)


def turned(sides: Floats) -> tuple[float, ...]:
    """Sides going round, begun so that equal pieces read alike wherever their first corner is."""
    rounded = [round(side, 3) for side in sides.tolist()]
    return max(tuple(rounded[k:] + rounded[:k]) for k in range(len(rounded)))


def cut_list(job: Job, layers: list[LayerBond], kerf: float = KERF) -> CutList:
    """Group the pieces of all layers, and nest them tile by tile."""
    groups = [group for layer in layers for group in group_pieces(layer, job.tiles[layer.tile])]
    nests = []
    for name in dict.fromkeys(layer.tile for layer in layers):
        tile = job.tiles[name]
        whole = sum(layer.number_of(Piece.WHOLE) for layer in layers if layer.tile == name)
        mine = [i for i, group in enumerate(groups) if group.tile == name]
        patterns, bound = nest_lengths(
            [(groups[i].length, groups[i].width, groups[i].count) for i in mine], tile, kerf
        )
        named = tuple(p.renumbered(mine) for p in patterns)
        sawn = sum(pattern.times for pattern in named)
        breakage = math.ceil(tile.breakage * (whole + sawn) - 1e-9)
        nests.append(Nest(name, whole, sawn, named, whole + bound, breakage))
    return CutList(tuple(groups), tuple(nests), kerf)
