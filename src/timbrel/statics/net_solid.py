"""What a strut net asks of a vault: lines through the masonry, and whether a point lies in it.

A solid is a shell of one thickness about a middle surface, known through parameters (u, v). At a
crease (groin, valley) the line runs from the crease of one face to that of the other. The signed
offset of a point from the middle surface decides whether it lies in the masonry; at creases it is
that of the true solid: the least of the webs' offsets over a groin (the room is the union of the
webs' rooms), the greatest over a valley (their intersection).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]

SupportKind = Literal["wall", "pier"]


class NetSolid(Protocol):
    """A shell that a net can be drawn into.

    thickness: m. beds: offsets of the mortar beds between layers from the middle surface, m.
    """

    @property
    def thickness(self) -> float: ...

    @property
    def beds(self) -> tuple[float, ...]: ...

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        """Middles (..., 3) of the lines through the masonry at (u, v) and their halves (..., 3):
        middle - half lies on the intrados, middle + half on the extrados."""
        ...

    def offset(self, points: Array, guess: Array) -> Array:
        """Signed offsets (...) of points (..., 3) from the middle surface, outward positive; guess:
        (..., 2) parameters near which each point lies. A point is in the masonry when its offset
        is within half the thickness."""
        ...


@dataclass(frozen=True)
class Support:
    """A part of the edge that carries the vault.

    name: stable key. kind: a wall takes thrust along its length, a pier as one resultant. nodes:
    (k,) nodes that stand on it. outward: (k, 2) unit level directions out of the room. length:
    (k,) of wall that each node stands for, m (zero on a pier).
    """

    name: str
    kind: SupportKind
    nodes: Index
    outward: Array
    length: Array


@dataclass(frozen=True)
class NetHole:
    """An opening that a net leaves out.

    number: of the opening, from 1. outline: (k, 2) in plan, of the middle surface. rim: (m,) nodes
    round it, in order. beside: cells that meet it. swell: what the load on them is multiplied by, for
    what their straight sides miss of the true outline.
    """

    number: int
    outline: Array
    rim: Index
    beside: Index
    swell: float


@dataclass(frozen=True)
class NetGrid:
    """Nodes of a net over a solid, in their order on the grid.

    uv: (n, 2) parameters. place: (n, 2) whole numbers, row and column. middle, half: (n, 3), see
    :meth:`NetSolid.lines`. cells: (q, 4) corner nodes of each cell, going round (a triangle names
    its last corner twice). spread: (q, 4, 2) parameters of the corners of the surface whose load each
    cell takes; beside an oculus it reaches beyond the nodes. supports: the edge. columns: number
    of columns that close round, 0 when the grid is open. pole: node at the top that all columns
    share, -1 without. twins: (g, n)
    node numberings that may be symmetries of the vault, the identity first. holes: openings that
    nodes and cells leave out. free: (k, 2) outlines in plan, of the middle surface, that struts must
    pass by: those of the openings, and of an oculus beside them.
    """

    uv: Array
    place: Index
    middle: Array
    half: Array
    cells: Index
    spread: Array
    supports: tuple[Support, ...]
    columns: int
    pole: int
    twins: Index
    holes: tuple[NetHole, ...] = ()
    free: tuple[Array, ...] = ()

    @property
    def size(self) -> int:
        return len(self.uv)

    @property
    def held(self) -> NDArray[np.bool_]:
        """(n,) which nodes stand on a support."""
        found = np.zeros(self.size, bool)
        for support in self.supports:
            found[support.nodes] = True
        return found

    @property
    def inner(self) -> Array:
        return self.middle - self.half

    @property
    def outer(self) -> Array:
        return self.middle + self.half

    def area(self) -> Array:
        """(n,) area of the middle surface that each node stands for, m2."""
        corners = self.middle[self.cells]
        across = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
        share = np.linalg.norm(across, axis=1) / 8
        found = np.zeros(self.size)
        np.add.at(found, self.cells.ravel(), np.repeat(share, 4))
        return found

    def rim(self) -> Array:
        """(n, 3) level unit directions out of the sheet at the nodes on its rim, zero elsewhere."""
        run = np.stack([self.cells, np.roll(self.cells, -1, axis=1)], axis=-1).reshape(-1, 2)
        plan = self.middle[:, :2]
        centre = np.repeat(plan[self.cells].mean(axis=1), 4, axis=0)
        sides, first, count = np.unique(
            np.sort(run, axis=1), axis=0, return_index=True, return_counts=True
        )
        once = (count == 1) & (sides[:, 0] != sides[:, 1])
        a, b = sides[once].T
        along = plan[b] - plan[a]
        out = np.stack([along[:, 1], -along[:, 0]], axis=1)
        out *= np.sign(np.einsum("ka,ka->k", out, plan[a] - centre[first[once]]))[:, None]
        found = np.zeros((self.size, 3))
        np.add.at(found[:, :2], a, out)
        np.add.at(found[:, :2], b, out)
        length = np.linalg.norm(found, axis=1, keepdims=True)
        return np.where(length > 0, found / np.where(length > 0, length, 1.0), 0.0)

    def pairs(self, reach: int) -> Index:
        """(m, 2) pairs of nodes whose rows and columns lie at most `reach` apart, i before j."""
        at = {(int(r), int(c)): k for k, (r, c) in enumerate(self.place) if k != self.pole}
        number = self._numbers(at)
        found = []
        rows, columns = number.shape
        for dr in range(reach + 1):
            for dc in range(-reach, reach + 1):
                if (dr, dc) <= (0, 0):
                    continue
                first = number[: rows - dr]
                if self.columns:
                    second = np.roll(number, -dc, axis=1)[dr:]
                elif dc >= 0:
                    first, second = first[:, : columns - dc], number[dr:, dc:]
                else:
                    first, second = first[:, -dc:], number[dr:, : columns + dc]
                both = (first >= 0) & (second >= 0)
                found.append(np.stack([first[both], second[both]], axis=1))
        if self.pole >= 0:
            near = np.flatnonzero((self.place[:, 0] <= reach) & (np.arange(self.size) != self.pole))
            found.append(np.stack([np.full(len(near), self.pole), near], axis=1))
        pairs = np.sort(np.concatenate(found), axis=1)
        return np.unique(pairs[pairs[:, 0] != pairs[:, 1]], axis=0).astype(np.int64)

    def _numbers(self, at: dict[tuple[int, int], int]) -> Index:
        top = self.place.max(axis=0) + 1
        number = np.full((int(top[0]), int(top[1])), -1, np.int64)
        for (r, c), k in at.items():
            number[r, c] = k
        return number
