"""A mechanism of rigid blocks, re-read from its motions alone: does it open, what work is done.

Imports neither the program nor the joints that proposed it. Every pair of neighbours is looked at on
lines of its own through the masonry of their joint, closer than the program's; what slides or shuts
there is priced as if the joint pressed there with the whole strength of the masonry over the whole
of its area, which is more than it can take, and the price is added to the load factor. The work of
all loads is summed over pieces of another fineness. So the factor told rests on the motions, the
geometry and the densities only.

Source: kinematic theorem (Heyman 1966): any stresses that masonry without tension can bear do no
positive work over a motion in which all joints open.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_loads import Pieces, owners
from timbrel.statics.blocks_solid import Array, BlockSolid, Index

LINES = 9  # lines through the masonry of a joint
DEPTHS = 17  # points on each, closest at the faces
STRENGTH = 20e6  # N/m2 where the job states none; more than thin tiles in mortar crush at
EDGE = 1e-6  # m
SLIDES = 1e-6  # sliding over the greatest velocity up to which a mechanism is sound
SOUND = 2e-3  # price over the work up to which it is, where the job states no strength


@dataclass(frozen=True)
class BlockMotion:
    """A mechanism of rigid blocks.

    nodes: (n, 3) where blocks meet, on the middle of the masonry. blocks: (b, 3) nodes of each.
    about, move: (b, 3) points and (b, 6) velocity there and turn. held: pairs of nodes (k, 2) on
    carried sides; outward: (k, 3) of each unit level direction out of the room where the side is
    plumb, nil where its joint is square to the faces. mirrors: (m, 2) pairs of nodes on mirrors and
    mirrored: (m, 3) level directions out of the half. seats: (s, 2, 3) inner and outer ends of
    corner seats and seated: (s,) their nodes.
    """

    nodes: Array
    blocks: Index
    about: Array
    move: Array
    held: Index
    outward: Array
    mirrors: Index
    mirrored: Array
    seats: Array
    seated: Index

    def velocity(self, block: Index, points: Array) -> Array:
        """(n, 3) of points that belong to blocks."""
        turn = np.cross(self.move[block, 3:], points - self.about[block])
        return np.asarray(self.move[block, :3] + turn)


@dataclass(frozen=True)
class BlockReport:
    """dead, live: work, N m. price: the most work that stresses can do where joints crush or slide,
    N m. slides, shuts: greatest, by the greatest velocity. factor: load factor that is proved."""

    dead: float
    live: float
    price: float
    slides: float
    shuts: float

    @property
    def factor(self) -> float:
        return (self.price - self.dead) / self.live if self.live > 0 else np.inf

    def sound(self, strength: float | None) -> bool:
        """Does the imposed load sink, does next to nothing slide, nor shut where no strength is
        stated."""
        dear = self.price > SOUND * max(abs(self.dead), self.live)
        return self.live > 0 and self.slides <= SLIDES and (strength is not None or not dear)


def check_motion(job: Job, solid: BlockSolid, motion: BlockMotion, pieces: Pieces) -> BlockReport:
    """The work of all loads and the price of all that does not open."""
    owner = owners(pieces.points, solid.eye, motion.nodes, motion.blocks)
    up = motion.velocity(owner, pieces.points)[:, 2]
    dead, live = -float(pieces.dead @ up), -float(pieces.live @ up)
    strength = job.masonry.crushing or STRENGTH
    size = float(np.abs(up).max())
    price = slides = shuts = 0.0
    for jump, normal, area in _jumps(solid, motion):
        along = np.einsum("jlk,jk->jl", jump, normal)
        slide = np.linalg.norm(jump - along[..., None] * normal[:, None], axis=2)
        shut = np.maximum(-along, 0.0)
        price += strength * float((area * (slide.max(axis=1, keepdims=True) + shut)).sum())
        slides = max(slides, float(slide.max(initial=0.0)))
        shuts = max(shuts, float(shut.max(initial=0.0)))
    return BlockReport(dead, live, price, slides / size, shuts / size)


def _jumps(solid: BlockSolid, motion: BlockMotion) -> list[tuple[Array, Array, Array]]:
    """Jumps (j, l, 3) at points of joints, unit normals (j, 3) along which they should run, areas
    (j,): between blocks, on walls, on mirrors, on seats."""
    sides = _sides(motion.blocks)
    inner = [(edge, own) for edge, own in sides.items() if len(own) == 2]
    found = []
    if inner:
        edges = np.array([edge for edge, _ in inner])
        own = np.array([pair for _, pair in inner])
        normal, points, area = _cut(solid, motion, edges)
        middle = motion.nodes[motion.blocks].mean(axis=1)
        way = np.einsum("jk,jk->j", middle[own[:, 1]] - middle[own[:, 0]], normal)
        normal = normal * np.sign(way)[:, None]
        jump = _at(motion, own[:, 1], points) - _at(motion, own[:, 0], points)
        found.append((jump, normal, area))
    for edges, outward, mirror in (
        (motion.held, motion.outward, False),
        (motion.mirrors, motion.mirrored, True),
    ):
        if not len(edges):
            continue
        block = np.array([sides[(int(min(e)), int(max(e)))][0] for e in edges])
        apex = motion.blocks[block].sum(axis=1) - edges.sum(axis=1)
        normal, points, area = _rim(solid, motion, edges, outward, motion.nodes[apex])
        jump = _at(motion, block, points)
        if mirror:
            # The image moves alike along the mirror: only what runs square to it jumps, and twice as
            # far; half of that is this half's own.
            jump = 2 * np.einsum("jlk,jk->jl", jump, normal)[..., None] * normal[:, None]
            area = area / 2
        found.append((jump, normal, area))
    for node, seat in zip(motion.seated, motion.seats, strict=True):
        block = np.flatnonzero((motion.blocks == node).any(axis=1))
        points = np.tile(seat, (len(block), 1, 1))
        rod = (seat[1] - seat[0]) / np.linalg.norm(seat[1] - seat[0])
        normal = np.append(solid.centre - seat[0, :2], 0.0)
        normal -= (normal @ rod) * rod
        normal /= np.linalg.norm(normal)
        reach = np.full((len(block), 2), float(solid.thickness) ** 2 / 2)
        found.append((_at(motion, block, points), np.tile(normal, (len(block), 1)), reach))
    return found


def _sides(blocks: Index) -> dict[tuple[int, int], list[int]]:
    """Blocks on each edge, by its two nodes."""
    found: dict[tuple[int, int], list[int]] = {}
    for k, (a, b, c) in enumerate(blocks):
        for p, q in ((a, b), (b, c), (c, a)):
            found.setdefault((int(min(p, q)), int(max(p, q))), []).append(k)
    return found


def _at(motion: BlockMotion, block: Index, points: Array) -> Array:
    """(j, l, 3) velocities of points (j, l, 3) of blocks (j,)."""
    lines = points.shape[1]
    flat = motion.velocity(np.repeat(block, lines), points.reshape(-1, 3))
    return flat.reshape(points.shape)


def _cut(solid: BlockSolid, motion: BlockMotion, edges: Index) -> tuple[Array, Array, Array]:
    """Normals (j, 3), points (j, l, 3) of the masonry in the planes through the eye and edges, and
    areas (j,). Points outside the room or off the masonry are not counted."""
    a, b = motion.nodes[edges[:, 0]], motion.nodes[edges[:, 1]]
    normal = np.cross(a - solid.eye, b - solid.eye)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    share = np.linspace(0, 1, LINES)[None, :, None]
    start = (1 - share) * a[:, None] + share * b[:, None]
    way = start - solid.eye
    way /= np.linalg.norm(way, axis=2)[..., None]
    for outward, through in _plumb_ends(solid):
        for column in (0, -1):
            here = np.abs((start[:, column] - through) @ outward) < EDGE
            along = np.cross(normal[here], outward)
            long = np.linalg.norm(along, axis=1)
            good = long > EDGE
            along = along / np.maximum(long, EDGE)[:, None] * np.sign(along[:, 2:])
            way[np.flatnonzero(here)[good], column] = along[good]
    # From end to end the lines turn evenly, so that none leaves the room.
    way = (1 - share) * way[:, :1] + share * way[:, -1:]
    points, area = _through(solid, start, way)
    return normal, points, area


def _plumb_ends(solid: BlockSolid) -> list[tuple[Array, Array]]:
    """Outward directions and points of the plumb planes in which the masonry ends."""
    sides = solid.sides()
    names = ("near", "right", "far", "left")
    return [
        (sides[name].outward, solid.room[k])
        for k, name in enumerate(names)
        if name in sides and sides[name].ends == "plumb"
    ]


def _rim(
    solid: BlockSolid, motion: BlockMotion, edges: Index, outward: Array, apex: Array
) -> tuple[Array, Array, Array]:
    """The same on walls and mirrors: in the plumb plane between the other two planes of the block
    (apex: (j, 3) its third node), or square to the faces."""
    a, b = motion.nodes[edges[:, 0]], motion.nodes[edges[:, 1]]
    share = np.linspace(0, 1, LINES)[None, :, None]
    start = (1 - share) * a[:, None] + share * b[:, None]
    plumb = np.linalg.norm(outward, axis=1) > 0.5
    ends = []
    for node in (a, b):
        run = np.cross(np.cross(node - solid.eye, apex - solid.eye), outward)
        for side, through in _plumb_ends(solid):
            # Where a mirror meets a plumb end, that end cuts the joint.
            on = (np.abs((node - through) @ side) < EDGE) & (np.abs(outward @ side) < 0.5)
            run[on] = np.cross(outward[on], side)
        run *= np.where(run[:, 2:] < 0, -1.0, 1.0)
        run[~plumb] = [0.0, 0.0, 1.0]
        ends.append(run / np.linalg.norm(run, axis=1)[:, None])
    way = (1 - share) * ends[0][:, None] + share * ends[1][:, None]
    points, area = _through(solid, start, way)
    normal = -outward.copy()
    square = np.flatnonzero(~plumb)
    if len(square):
        one, two = (solid.square_line(p[square]) for p in (a, b))
        foot, head = two[0] - one[0], (one[1] + two[1] - one[0] - two[0]) / 2
        face = np.cross(foot, head)
        face /= np.linalg.norm(face, axis=1)[:, None]
        inward = np.append(solid.centre, 0.0) - one[0] * [1.0, 1.0, 0.0]
        normal[square] = face * np.sign(np.einsum("jk,jk->j", face, inward))[:, None]
        seen, area[square] = spread(
            *((1 - share) * one[d][:, None] + share * two[d][:, None] for d in (0, 1))
        )
        # At a valley the ends of the joint are skew: it is cut in one plane all the same.
        flat, base = normal[square], (one[0] + two[0]) / 2
        off = np.einsum("jlk,jk->jl", seen - base[:, None], flat)
        points[square] = seen - off[..., None] * flat[:, None]
    return normal, points, area


def _through(solid: BlockSolid, start: Array, way: Array) -> tuple[Array, Array]:
    """Points (j, q, 3) between both faces on lines (j, l, 3), and the areas (j, q) that they stand
    for; a line that misses a face is told by its start."""
    way = way / np.linalg.norm(way, axis=2)[..., None]
    flat = start.reshape(-1, 3), way.reshape(-1, 3)
    faces = [solid.hit(*flat, d).reshape(start.shape) for d in (solid.low, solid.high)]
    low, high = (np.where(np.isnan(face), start, face) for face in faces)
    return spread(low, high)


def spread(low: Array, high: Array) -> tuple[Array, Array]:
    """Points and areas from face to face, by the trapezoid rule: what shuts varies evenly where it
    shuts, so the rule never gives less than the integral."""
    depth = (1 - np.cos(np.linspace(0, np.pi, DEPTHS))) / 2
    points = low[:, :, None] + depth[:, None] * (high - low)[:, :, None]
    share = (np.pad(np.diff(depth), (1, 0)) + np.pad(np.diff(depth), (0, 1))) / 2
    deep = np.linalg.norm(high - low, axis=2)
    middle = (low + high) / 2
    step = np.linalg.norm(np.diff(middle, axis=1), axis=2)
    long = np.pad(step, ((0, 0), (1, 0))) / 2 + np.pad(step, ((0, 0), (0, 1))) / 2
    area = (long * deep)[..., None] * share
    return points.reshape(len(low), -1, 3), area.reshape(len(low), -1)
