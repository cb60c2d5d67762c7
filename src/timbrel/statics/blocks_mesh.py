"""How a vault is cut into rigid blocks: triangles over its plan.

Every cell of a grid of four sides is cut from its corners to its middle, so that joints run four
ways; the crown of a dome without oculus is a fan. Halves and quarters stand for vaults and loads
that are their own mirror images.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.blocks_solid import Array, BlockSolid, Index, Side

SIDES = ("near", "right", "far", "left")


@dataclass(frozen=True)
class BlockMesh:
    """Blocks over the plan.

    plan: (n, 2) nodes, m. blocks: (b, 3) nodes of each. rims: by name of a side the nodes (k, 2) of
    the edges on it and the block (k,) beside each. sides: what each is. corners: node on each corner
    of the plan that this part holds.
    """

    plan: Array
    blocks: Index
    rims: dict[str, tuple[Index, Index]]
    sides: dict[str, Side]
    corners: dict[int, int]

    def inner_edges(self) -> tuple[Index, Index]:
        """(e, 2) nodes and (e, 2) blocks on both sides of every edge between two blocks."""
        edges, owner = self._edges()
        both = np.flatnonzero((edges[1:] == edges[:-1]).all(axis=1))
        return edges[both], np.stack([owner[both], owner[both + 1]], axis=1)

    def _edges(self) -> tuple[Index, Index]:
        edges = np.concatenate(
            [self.blocks[:, [0, 1]], self.blocks[:, [1, 2]], self.blocks[:, [2, 0]]]
        )
        edges = np.sort(edges, axis=1)
        owner = np.tile(np.arange(len(self.blocks)), 3)
        order = np.lexsort((owner, edges[:, 1], edges[:, 0]))
        return edges[order], owner[order]

    @property
    def held(self) -> dict[str, Index]:
        """Nodes on each side."""
        return {name: np.unique(edges) for name, (edges, _) in self.rims.items()}

    def areas(self) -> Array:
        """(b,) plan areas, positive while a block is not turned inside out."""
        a, b, c = (self.plan[self.blocks[:, k]] for k in range(3))
        one, two = b - a, c - a
        return np.asarray((one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]) / 2)


@dataclass(frozen=True)
class Mirror:
    """Which halves stand for the whole: the near one (low y), the left one (low x)."""

    near: bool = False
    left: bool = False


def cut(solid: BlockSolid, along: int, across: int, mirror: Mirror) -> BlockMesh:
    """Blocks in `along` by `across` cells over the whole plan (even numbers): left to right and
    near to far, or rings by rays of a dome (rays a multiple of four)."""
    if solid.family == "dome":
        return _dome(solid, along, across, mirror)
    return _sheet(solid, along, across, mirror)


def _triangles(number: Index, first: int) -> Index:
    """Four triangles of every cell of a numbered grid, about middles numbered from `first`."""
    corners = (number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1])
    quads = [corner.ravel() for corner in corners]
    middle = first + np.arange(len(quads[0]))
    found = [np.stack([quads[k], quads[(k + 1) % 4], middle], axis=1) for k in range(4)]
    return np.concatenate(found).astype(np.int64)


def _rim(edges: Index, blocks: Index) -> tuple[Index, Index]:
    """Edges (k, 2) with the block that holds each."""
    nodes = [set(map(int, block)) for block in blocks]
    owner: dict[tuple[int, int], int] = {}
    for k, three in enumerate(nodes):
        for a in three:
            for b in three:
                if a < b:
                    owner.setdefault((a, b), k)
    found = [owner[(int(min(e)), int(max(e)))] for e in edges]
    return edges.astype(np.int64), np.asarray(found, np.int64)


def _pairs(line: Index) -> Index:
    return np.stack([line[:-1], line[1:]], axis=1)


def shares(solid: BlockSolid, steps: int) -> Array:
    """Shares of the span at equal angles about the eye, from 0 to 1."""
    spring = float(solid.room[:, 2].mean()) - float(solid.eye[2])
    half = float(np.arctan2(solid.reach, max(spring, 1e-6)))
    even = np.linspace(-half, half, steps + 1)
    return np.asarray(np.sin(even) / np.sin(half) / 2 + 0.5)


def _sheet(solid: BlockSolid, along: int, across: int, mirror: Mirror) -> BlockMesh:
    s, t = shares(solid, along), shares(solid, across)
    if mirror.left:
        s = s[: along // 2 + 1]
    if mirror.near:
        t = t[: across // 2 + 1]
    number = np.arange(len(s) * len(t)).reshape(len(t), len(s))
    ss, tt = np.meshgrid(s, t)
    mid_s, mid_t = np.meshgrid((s[1:] + s[:-1]) / 2, (t[1:] + t[:-1]) / 2)
    all_s, all_t = (np.concatenate([a.ravel(), b.ravel()]) for a, b in ((ss, mid_s), (tt, mid_t)))
    plan = place(solid, all_s, all_t)
    blocks = _triangles(number, number.size)
    lines = {"near": number[0], "right": number[:, -1], "far": number[-1], "left": number[:, 0]}
    sides = dict(solid.sides())
    if mirror.left:
        sides["right"] = Side("mirror", True, np.array([1.0, 0.0, 0.0]))
    if mirror.near:
        sides["far"] = Side("mirror", True, np.array([0.0, 1.0, 0.0]))
    rims = {name: _rim(_pairs(line), blocks) for name, line in lines.items()}
    corners = {0: int(number[0, 0])}
    if not mirror.left:
        corners[1] = int(number[0, -1])
    if not mirror.near:
        corners[3] = int(number[-1, 0])
    if not mirror.left and not mirror.near:
        corners[2] = int(number[-1, -1])
    return BlockMesh(plan, blocks, rims, sides, corners)


def place(solid: BlockSolid, s: Array, t: Array) -> Array:
    """Plan points (n, 2) at shares from left to right and from near to far."""
    if solid.family in ("groin", "cloister"):
        return np.asarray(solid.vault.plan.tent(s, t))
    a, b, c, d = solid.room[:, :2]
    s, t = s[:, None], t[:, None]
    return np.asarray(a + s * (b - a) + t * (d - a) + s * t * (a - b + c - d))


def ring_radii(solid: BlockSolid, rings: int) -> Array:
    """Radii of the middle line at equal steps of the meridian, from the springing inward."""
    vault = solid.vault
    at = vault.base.at(np.linspace(0, 1, rings + 1) * vault.patch.upto)
    return np.asarray(np.maximum(vault.base.span / 2 - at[:, 0], 0.0))


def _dome(solid: BlockSolid, rings: int, rays: int, mirror: Mirror) -> BlockMesh:
    radii = ring_radii(solid, rings)
    open_eye = bool(solid.vault.oculus)
    start, count = 0.0, rays
    if mirror.near:
        start, count = np.pi, rays // 2
    if mirror.left:
        start, count = (np.pi, rays // 4) if mirror.near else (np.pi / 2, rays // 2)
    whole = not (mirror.near or mirror.left)
    angle = start + 2 * np.pi / rays * np.arange(count if whole else count + 1)
    kept = radii if open_eye else radii[:-1]
    number = np.arange(len(kept) * len(angle)).reshape(len(kept), len(angle))
    closed = np.concatenate([number, number[:, :1]], axis=1) if whole else number
    rim_r = np.repeat(kept, len(angle))
    rim_a = np.tile(angle, len(kept))
    steps = angle if whole else angle[:-1]
    mid_r = np.repeat((kept[1:] + kept[:-1]) / 2, len(steps))
    mid_a = np.tile(steps + np.pi / rays, len(kept) - 1)
    r, a = np.concatenate([rim_r, mid_r]), np.concatenate([rim_a, mid_a])
    plan = solid.centre + r[:, None] * np.stack([np.cos(a), np.sin(a)], axis=1)
    # Rings run inward, so cells are turned round to stay anticlockwise.
    blocks = _triangles(closed, number.size)
    pole = -1
    if not open_eye:
        pole = len(plan)
        plan = np.concatenate([plan, solid.centre[None]])
        fan = np.stack([closed[-1, :-1], closed[-1, 1:], np.full(count, pole)], axis=1)
        blocks = np.concatenate([blocks, fan])
    sides = dict(solid.sides())
    lines = {"ring": _pairs(closed[0])}
    if open_eye:
        lines["oculus"] = _pairs(closed[-1])
    if not whole:
        first, last = (np.append(number[:, k], [] if open_eye else [pole]) for k in (0, -1))
        for name, line, way in (("first", first, start), ("last", last, float(angle[-1]))):
            out = way - np.pi / 2 if name == "first" else way + np.pi / 2
            sides[name] = Side("mirror", True, np.array([np.cos(out), np.sin(out), 0.0]))
            lines[name] = _pairs(line.astype(np.int64))
    rims = {name: _rim(edges, blocks) for name, edges in lines.items()}
    return BlockMesh(plan, blocks, rims, sides, {})
