"""Joints between rigid blocks: planes through the eye, and where the masonry lies in them.

A joint may open, never shut and never slide: the jump across it runs along its normal, and is
nowhere less than nothing over the masonry that it cuts. In a plane the jump varies evenly, so the
corners of a hull round that masonry speak for all of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.blocks_mesh import BlockMesh
from timbrel.statics.blocks_solid import Array, BlockSolid, Index

LINES = 5  # lines through the thickness along a joint, both ends counted
BULGE = 0.55  # of a second difference: a half lifts points on to the tangents of a parabola
DEPTHS = (0.0, 0.03, 0.1, 0.3, 0.7, 0.9, 0.97, 1.0)  # shares of the depth at which joints crush
GROUND = -1


@dataclass(frozen=True)
class Joints:
    """Joints of a cut vault.

    first, second: (j,) blocks on both sides, -1 for the ground or the mirror image. normal: (j, 3)
    unit, from first to second. along, third: (j, 3) unit, square to it. place: (j, 3) a point of the
    joint. points: (j, 2 l, 3) hull of its masonry, l on the upper face and l on the
    lower, points named twice where it has fewer. mirror:
    (j,) the other side is the mirror image (the jump is twice the block's own motion along the
    normal, and cannot slide). nodes: (j, 2) of its edge; alike on a corner seat.
    """

    first: Index
    second: Index
    normal: Array
    along: Array
    place: Array
    points: Array
    mirror: np.ndarray[tuple[int], np.dtype[np.bool_]]
    nodes: Index

    def pressed(self) -> tuple[Array, Array]:
        """Points (j, q, 3) spread over each joint from face to face, closest at the faces, and the
        areas (j, q) that they stand for (trapezoid rule: never less than a convex share of it)."""
        lines = self.points.shape[1] // 2
        return spread(self.points[:, lines:], self.points[:, :lines])

    @property
    def third(self) -> Array:
        return np.cross(self.normal, self.along)

    def __len__(self) -> int:
        return len(self.first)


def spread(low: Array, high: Array) -> tuple[Array, Array]:
    """Points (j, l d, 3) and areas (j, l d) between two face lines (j, l, 3), at depths DEPTHS."""
    depth = np.asarray(DEPTHS)
    points = high[:, :, None] + depth[:, None] * (low - high)[:, :, None]
    deep = np.linalg.norm(low - high, axis=2)
    step = np.linalg.norm(np.diff((low + high) / 2, axis=1), axis=2) / 2
    long = np.zeros(deep.shape)
    long[:, :-1] += step
    long[:, 1:] += step
    part = np.zeros(len(depth))
    part[:-1] += np.diff(depth) / 2
    part[1:] += np.diff(depth) / 2
    area = (long * deep)[:, :, None] * part
    return points.reshape(len(low), -1, 3), area.reshape(len(low), -1)


def joints_of(solid: BlockSolid, mesh: BlockMesh) -> Joints:
    """All joints of a mesh: between blocks, on carried sides, on mirrors, on corner seats."""
    at = solid.reference(mesh.plan)
    middle = at[mesh.blocks].mean(axis=1)
    edges, pairs = mesh.inner_edges()
    parts = [_between(solid, mesh, at, edges, pairs, middle)]
    for name, (rim, block) in mesh.rims.items():
        side = mesh.sides[name]
        if side.ends == "mirror":
            parts.append(_on_mirror(solid, mesh, at, rim, block, side.outward))
        elif side.carried:
            parts.append(_on_wall(solid, mesh, at, rim, block, name, middle))
    parts += _on_seats(solid, mesh)
    return _together(parts)


def _between(
    solid: BlockSolid, mesh: BlockMesh, at: Array, edges: Index, pairs: Index, middle: Array
) -> Joints:
    a, b = at[edges[:, 0]], at[edges[:, 1]]
    normal = _unit(np.cross(a - solid.eye, b - solid.eye))
    lines = [_line(solid, mesh, at, edges[:, k], normal) for k in range(2)]
    low, high = _fans(solid, (a, b), lines)
    _set_square_ends(solid, mesh, at, edges, normal, low, high)
    way = np.einsum("jk,jk->j", middle[pairs[:, 1]] - middle[pairs[:, 0]], normal)
    first, second = np.where(way[:, None] > 0, pairs, pairs[:, ::-1]).T
    return _made(first, second, normal, (a, b), low, high, edges)


def _line(solid: BlockSolid, mesh: BlockMesh, at: Array, nodes: Index, normal: Array) -> Array:
    """(j, 3) ways through the thickness at nodes, in planes with a normal: towards the eye's rays,
    or in the plane in which the masonry ends."""
    way = _unit(at[nodes] - solid.eye)
    for name, held in mesh.held.items():
        side = mesh.sides[name]
        if side.ends not in ("plumb", "mirror"):
            continue
        here = np.isin(nodes, held)
        cut = np.cross(normal[here], side.outward)
        long = np.linalg.norm(cut, axis=1)
        # On a corner of the plan both walls cut the line; the ray is as good there.
        good = (long > 1e-6) & ~np.isin(nodes[here], list(mesh.corners.values()))
        cut = cut / np.maximum(long, 1e-12)[:, None] * np.where(cut[:, 2:] < 0, -1.0, 1.0)
        way[np.flatnonzero(here)[good]] = cut[good]
    return way


def _fans(solid: BlockSolid, ends: tuple[Array, Array], ways: list[Array]) -> tuple[Array, Array]:
    """Points (j, LINES, 3) of both faces on lines that turn evenly from end to end."""
    share = np.linspace(0, 1, LINES)[None, :, None]
    start = (1 - share) * ends[0][:, None] + share * ends[1][:, None]
    way = _unit((1 - share) * ways[0][:, None] + share * ways[1][:, None])
    shape = start.shape
    flat = start.reshape(-1, 3), way.reshape(-1, 3)
    return (
        solid.hit(*flat, solid.low).reshape(shape),
        solid.hit(*flat, solid.high).reshape(shape),
    )


def _set_square_ends(
    solid: BlockSolid,
    mesh: BlockMesh,
    at: Array,
    edges: Index,
    normal: Array,
    low: Array,
    high: Array,
) -> None:
    """Joints that reach a springing, a rim or a seat end on its own line, laid into their plane."""
    ends: dict[int, tuple[Array, Array]] = {}
    for name, held in mesh.held.items():
        if mesh.sides[name].ends in ("springing", "eye"):
            inner, outer = solid.square_line(at[held])
            ends |= {int(n): (inner[k], outer[k]) for k, n in enumerate(held)}
    for seat in solid.seats():
        if seat.corner in mesh.corners:
            ends[mesh.corners[seat.corner]] = (seat.inner, seat.outer)
    for node, (inner, outer) in ends.items():
        for column, place in ((0, 0), (1, LINES - 1)):
            for j in np.flatnonzero(edges[:, column] == node):
                for line, point in ((low, inner), (high, outer)):
                    line[j, place] = point - ((point - solid.eye) @ normal[j]) * normal[j]


def _on_mirror(
    solid: BlockSolid, mesh: BlockMesh, at: Array, rim: Index, block: Index, outward: Array
) -> Joints:
    a, b = at[rim[:, 0]], at[rim[:, 1]]
    normal = np.tile(-outward, (len(rim), 1))
    ways = [_line(solid, mesh, at, rim[:, k], normal) for k in range(2)]
    low, high = _fans(solid, (a, b), ways)
    _set_square_ends(solid, mesh, at, rim, _unit(np.cross(a - solid.eye, b - solid.eye)), low, high)
    ground = np.full(len(block), GROUND)
    made = _made(ground, block, normal, (a, b), low, high, rim)
    return Joints(**{**made.__dict__, "mirror": np.ones(len(block), bool)})


def _on_wall(
    solid: BlockSolid,
    mesh: BlockMesh,
    at: Array,
    rim: Index,
    block: Index,
    name: str,
    middle: Array,
) -> Joints:
    side = mesh.sides[name]
    a, b = at[rim[:, 0]], at[rim[:, 1]]
    ground = np.full(len(block), GROUND)
    if side.ends == "plumb":
        normal = np.tile(-side.outward, (len(rim), 1))
        apex = at[mesh.blocks[block].sum(axis=1) - rim.sum(axis=1)]
        ways = [_where_cut(solid, p, apex, side.outward) for p in (a, b)]
        low, high = _fans(solid, (a, b), ways)
        return _made(ground, block, normal, (a, b), low, high, rim)
    one, two = (solid.square_line(p) for p in (a, b))
    # The plane through the foot of the joint and the middle of its head.
    foot = two[0] - one[0]
    head = (one[1] + two[1]) / 2 - (one[0] + two[0]) / 2
    normal = _unit(np.cross(foot, head))
    inward = np.einsum("jk,jk->j", middle[block] - (one[0] + two[0]) / 2, normal)
    normal *= np.sign(inward)[:, None]
    up = head / np.linalg.norm(head, axis=1)[:, None]
    start = ((one[0] + one[1]) / 2, (two[0] + two[1]) / 2)
    low, high = _fans(solid, start, [up, up])
    base = (one[0] + two[0]) / 2
    for line, column, end in (
        (low, 0, one[0]),
        (low, -1, two[0]),
        (high, 0, one[1]),
        (high, -1, two[1]),
    ):
        line[:, column] = end - np.einsum("jk,jk->j", end - base, normal)[:, None] * normal
    # Between its ends the joint of a round springing cuts the faces a little higher.
    for line in (low, high):
        for k in range(1, LINES - 1):
            lost = np.isnan(line[:, k, 0])
            line[lost, k] = (line[lost, 0] + line[lost, -1]) / 2
    return _made(ground, block, normal, (one[0], two[0]), low, high, rim)


def _where_cut(solid: BlockSolid, end: Array, apex: Array, outward: Array) -> Array:
    """(j, 3) upward ways in which the planes of blocks' other edges meet a wall's plane."""
    way = np.cross(np.cross(end - solid.eye, apex - solid.eye), outward)
    return _unit(way * np.where(way[:, 2:] < 0, -1.0, 1.0))


def _on_seats(solid: BlockSolid, mesh: BlockMesh) -> list[Joints]:
    found = []
    for seat in solid.seats():
        node = mesh.corners.get(seat.corner)
        if node is None:
            continue
        blocks = np.flatnonzero((mesh.blocks == node).any(axis=1))
        n = len(blocks)
        found.append(
            Joints(
                np.full(n, GROUND),
                blocks.astype(np.int64),
                np.tile(seat.normal, (n, 1)),
                np.tile(seat.along, (n, 1)),
                np.tile(seat.inner, (n, 1)),
                np.tile(np.stack([seat.outer, seat.inner]), (n, 1, 1)),
                np.zeros(n, bool),
                np.full((n, 2), node),
            )
        )
    return found


def _made(
    first: Index,
    second: Index,
    normal: Array,
    ends: tuple[Array, Array],
    low: Array,
    high: Array,
    nodes: Index,
) -> Joints:
    place = (ends[0] + ends[1]) / 2
    along = ends[1] - ends[0]
    along = along - np.einsum("jk,jk->j", along, normal)[:, None] * normal
    hull = _hull(low, high)
    return Joints(
        first.astype(np.int64),
        second.astype(np.int64),
        normal,
        _unit(along),
        place,
        hull,
        np.zeros(len(first), bool),
        nodes.astype(np.int64),
    )


def _hull(low: Array, high: Array) -> Array:
    """(j, 2 LINES, 3) points round the masonry between two face lines (j, LINES, 3), drawn out so
    that straight lines between them run clear of what bulges, kinks included."""
    low, high = _filled(low), _filled(high)
    way = _unit(high - low)
    return np.concatenate([_drawn_out(high, way), _drawn_out(low, -way)], axis=1)


def _filled(line: Array) -> Array:
    """Lines that miss a face take the point of the nearer end."""
    found = line.copy()
    for k in range(line.shape[1]):
        lost = np.isnan(found[:, k, 0])
        found[lost, k] = found[lost, 0 if k < line.shape[1] / 2 else -1]
    return found


def _drawn_out(line: Array, out: Array) -> Array:
    """A face line moved out by the bulge between neighbours; its ends stand fast."""
    second = line[:, :-2] - 2 * line[:, 1:-1] + line[:, 2:]
    bulge = np.maximum(-np.einsum("jkx,jkx->jk", second, out[:, 1:-1]), 0.0) * BULGE
    found = line.copy()
    found[:, 1:-1] += bulge[..., None] * out[:, 1:-1]
    return found


def _together(parts: list[Joints]) -> Joints:
    most = max(part.points.shape[1] for part in parts) // 2
    points = [_padded(part.points, most) for part in parts]
    return Joints(
        np.concatenate([p.first for p in parts]),
        np.concatenate([p.second for p in parts]),
        np.concatenate([p.normal for p in parts]),
        np.concatenate([p.along for p in parts]),
        np.concatenate([p.place for p in parts]),
        np.concatenate(points),
        np.concatenate([p.mirror for p in parts]),
        np.concatenate([p.nodes for p in parts]),
    )


def _padded(points: Array, lines: int) -> Array:
    """Upper and lower lines (j, 2 l, 3) with their last points named until each has `lines`."""
    both = np.split(points, 2, axis=1)
    more = lines - both[0].shape[1]
    grown = [np.concatenate([b, np.repeat(b[:, -1:], more, axis=1)], axis=1) for b in both]
    return np.concatenate(grown, axis=1)


def _unit(a: Array) -> Array:
    return np.asarray(a / np.maximum(np.linalg.norm(a, axis=-1, keepdims=True), 1e-300))
