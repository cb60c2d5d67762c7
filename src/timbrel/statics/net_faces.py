"""Faces between and at the lines of a net, and what the struts put through them.

Half-way between two neighbouring lines stands a face, as wide as the cells beside it and as deep as
the shell. On each line stand faces too, along the rows, along the columns and along both diagonals
of its cell, one just before the line and one just after it: there struts meet, and a moment is at
its greatest. Every strut that passes from one side to the other puts its force through the face that
it meets; half and half where it meets the corner of two. A face sees the sum of the forces square to
it and their moment about the middle surface, taken even over its width. Lines on an edge have
no diagonal faces: these would cut half a cell, which not all the force of the line passes.

Source: none; derived from the equilibrium of a part of the shell cut along the faces.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid
from timbrel.statics.net_struts import Struts, parameters_between

TIE = 1e-9
WAYS = np.array([[[0, 1], [1, 0]], [[1, 0], [0, 1]], [[1, -1], [1, 1]], [[1, 1], [1, -1]]])
"""By way of a cut: the step over the grid (row, column) across it and the step along it."""
STRAIGHT = 2  # of the ways: along rows and columns; the others are diagonal


@dataclass(frozen=True)
class Faces:
    """nodes: (f, 2) the lines on both sides; of a face on a line that line and the next one on the
    side it looks to. on_line: (f,). centre: (f, 3). square: (f, 3) unit direction square to
    the face, in the shell. width: (f,) m. place: (f, 2) row and column on the grid, by halves."""

    nodes: Index
    on_line: NDArray[np.bool_]
    centre: Array
    square: Array
    width: Array
    place: Array

    @property
    def size(self) -> int:
        return len(self.width)


@dataclass(frozen=True)
class FaceTables:
    """Numbers of faces at places (rows, columns) of the grid, -1 where there is none. between: by
    straight way, the face between a place and the next across it. at: by way and side (0 before,
    1 after)."""

    between: tuple[Index, ...]
    at: tuple[tuple[Index, Index], ...]


@dataclass(frozen=True)
class Crossings:
    """Pairs of lines whose struts pass faces, sorted by pair: face, pair, share: (k,) each."""

    face: Index
    pair: Index
    share: Array


def cell_faces(grid: NetGrid) -> tuple[Faces, FaceTables]:
    """All faces of a grid, and their numbers."""
    number = _numbers(grid)
    parts: list[tuple[NDArray[Any], ...]] = []
    between: list[Index] = []
    count = 0

    def add(there: NDArray[np.bool_], ends: tuple[Index, Index], on: bool, data: _Cut) -> Index:
        nonlocal count
        row, column = np.nonzero(there)
        a, b = ends[0][there], ends[1][there]
        run = data.run[there]
        normal = grid.half[a] if on else grid.half[a] + grid.half[b]
        square = np.cross(run, normal)
        square /= np.maximum(np.linalg.norm(square, axis=1, keepdims=True), 1e-300)
        nodes = np.stack([a, b], axis=1)
        place = np.stack([row, column], axis=1) + data.shift
        width = np.linalg.norm(run, axis=1)
        parts.append((nodes, np.full(len(a), on), data.centre[there], square, width, place))
        table = np.full(number.shape, -1, np.int64)
        table[there] = count + np.arange(len(row))
        count += len(row)
        return table

    own = np.where((number >= 0)[..., None], grid.middle[number], np.nan)
    at: list[tuple[Index, Index]] = []
    for way, (across, alongside) in enumerate(WAYS):
        if way < STRAIGHT:
            after = _moved(number, across, grid.columns)
            there = (number >= 0) & (after >= 0) & (number != after)
            middle = np.full((*number.shape, 3), np.nan)
            middle[there] = (grid.middle[number[there]] + grid.middle[after[there]]) / 2
            cut = _Cut(middle, _run(middle, alongside, grid.columns), across / 2)
            between.append(add(there, (number, after), False, cut))
        cut = _Cut(own, _run(own, alongside, grid.columns), np.zeros(2))
        sides = []
        for sign in (-1, 1):
            other = _moved(number, sign * across, grid.columns)
            there = (number >= 0) & (other >= 0) & (number != other)
            if way >= STRAIGHT:
                ends = (_moved(number, to * alongside, grid.columns) for to in (1, -1))
                there &= np.all([end >= 0 for end in ends], axis=0)
            if grid.pole >= 0:
                there &= number != grid.pole
                there &= (way < STRAIGHT) | (other != grid.pole)
            sides.append(add(there, (number, other), True, cut))
        at.append((sides[0], sides[1]))
    joined = (np.concatenate(part) for part in zip(*parts, strict=True))
    return Faces(*joined), FaceTables(tuple(between), tuple(at))


@dataclass(frozen=True)
class _Cut:
    """Centres (rows, columns, 3) of faces, their runs, and their shift over the grid."""

    centre: Array
    run: Array
    shift: Array


def _numbers(grid: NetGrid) -> Index:
    """(rows, columns) node at each place, the pole all along its row; -1: none."""
    top = grid.place.max(axis=0) + 1
    number = np.full((int(top[0]), int(top[1])), -1, np.int64)
    number[grid.place[:, 0], grid.place[:, 1]] = np.arange(grid.size)
    if grid.pole >= 0:
        number[0] = grid.pole
    return number


def _moved(table: NDArray[Any], step: Index, closed: int) -> NDArray[Any]:
    """What stands a step further on the grid; -1 or nan beyond its edges."""
    found = np.roll(table, (-step[0], -step[1]), axis=(0, 1))
    none = -1 if table.dtype.kind == "i" else np.nan
    if step[0]:
        found[-1 if step[0] > 0 else 0] = none
    if step[1] and not closed:
        found[:, -1 if step[1] > 0 else 0] = none
    return found


def _run(middle: Array, step: Index, closed: int) -> Array:
    """Half the way from the neighbour before to the one behind; where there is none, from the face's
    own middle (half as wide)."""
    ahead, behind = (_moved(middle, sign * step, closed) for sign in (1, -1))
    ahead, behind = (np.where(np.isnan(side), middle, side) for side in (ahead, behind))
    return np.asarray((ahead - behind) / 2)


def crossings(grid: NetGrid, pairs: Index, tables: FaceTables) -> Crossings:
    """Which pairs (p, 2) of lines have struts through which faces, told on the grid: a strut runs
    straight from place to place."""
    start, end = grid.place[pairs[:, 0]].copy(), grid.place[pairs[:, 1]].copy()
    if grid.pole >= 0:
        start[:, 1] = np.where(pairs[:, 0] == grid.pole, end[:, 1], start[:, 1])
        end[:, 1] = np.where(pairs[:, 1] == grid.pole, start[:, 1], end[:, 1])
    step = end - start
    if grid.columns:
        step[:, 1] -= (grid.columns * np.round(step[:, 1] / grid.columns)).astype(np.int64)
    found: list[tuple[Index, Index, Array]] = []

    def note(table: Index, way: int, some: Index, x: Array, line: Index) -> None:
        """Pairs that at shares x of their way pass the cut number `line` of a way."""
        across, alongside = WAYS[way]
        size = int(alongside @ alongside)  # steps from face to face along a cut
        level = start[some] @ alongside + x * (step[some] @ alongside)
        first = (line * (across @ alongside)) if way < STRAIGHT else line
        turn = (level - first) / size + 0.5
        tied = np.abs(turn - np.round(turn)) < TIE
        low = np.where(tied, np.round(turn), np.floor(turn)).astype(np.int64)
        for before in (0, 1):
            here = tied if before else np.ones(len(some), bool)
            along = first[here] + size * (low[here] - before)
            place = (line[here, None] * across + along[:, None] * alongside) // size
            if grid.columns:
                place[:, 1] %= grid.columns
            inside = ((place >= 0) & (place < table.shape)).all(axis=1)
            face = np.full(len(place), -1, np.int64)
            face[inside] = table[place[inside, 0], place[inside, 1]]
            share = np.where(tied[here], 0.5, 1.0)
            there = face >= 0
            found.append((face[there], some[here][there], share[there]))

    for way, (across, _) in enumerate(WAYS):
        gaps = step @ across
        first = start @ across
        sign, gaps = np.sign(gaps), np.abs(gaps)
        for k in range(int(gaps.max(initial=0)) + 1):
            on = np.flatnonzero((gaps >= k) & (gaps > 0))
            x, line = k / gaps[on], first[on] + k * sign[on]
            for side in (0, 1):
                # A strut lies after its first cut and before its last, where it runs up the grid.
                ahead = sign[on] == (1 if side else -1)
                seen = np.where(ahead, k < gaps[on], k > 0)
                note(tables.at[way][side], way, on[seen], x[seen], line[seen])
            if way < STRAIGHT:
                some = np.flatnonzero(gaps > k)
                before = first[some] + k * sign[some] + np.minimum(sign[some], 0)
                note(tables.between[way], way, some, (k + 0.5) / gaps[some], before)
    face, pair, share = (np.concatenate(part) for part in zip(*found, strict=True))
    order = np.argsort(pair, kind="stable")
    return Crossings(face[order], pair[order], share[order])


class FaceForces:
    """What candidate struts put through the faces of a net, worked out where it is asked for."""

    def __init__(self, solid: NetSolid, grid: NetGrid, struts: Struts) -> None:
        self._solid, self._grid, self._struts = solid, grid, struts
        self.faces, tables = cell_faces(grid)
        named, self._pair = np.unique(struts.i * grid.size + struts.j, return_inverse=True)
        pairs = np.stack([named // grid.size, named % grid.size], axis=1)
        self._met = crossings(grid, pairs, tables)
        self._by_pair = np.searchsorted(self._met.pair, np.arange(len(named) + 1))
        self._by_face = np.argsort(self._met.face, kind="stable")
        self._of_face = np.searchsorted(
            self._met.face[self._by_face], np.arange(self.faces.size + 1)
        )
        self._struts_of = np.argsort(self._pair, kind="stable")
        self._first_strut = np.searchsorted(self._pair[self._struts_of], np.arange(len(named) + 1))
        # What each strut meets is kept at its own place, once it was worked out.
        passed = np.diff(self._by_pair)[self._pair]
        self._base = np.cumsum(passed) - passed
        self._square = np.full(int(passed.sum()), np.nan)
        self._offset = np.full(int(passed.sum()), np.nan)

    def of_faces(self, face: Index) -> tuple[Index, Index, Array, Array]:
        """Struts through some faces (k,): number in that list, strut, and per newton in the strut
        the force square to the face and the moment about the middle surface, m."""
        row, at = _within(self._of_face, face)
        met = self._by_face[at]
        each, at = _within(self._first_strut, self._met.pair[met])
        strut = self._struts_of[at]
        return row[each], strut, *self._through(strut, met[each])

    def _through(self, strut: Index, met: Index) -> tuple[Array, Array]:
        kept = self._base[strut] + met - self._by_pair[self._pair[strut]]
        new = np.flatnonzero(np.isnan(self._offset[kept]))
        if len(new):
            self._work_out(kept[new], strut[new], met[new])
        square = self._square[kept]
        return square, square * self._offset[kept]

    def _work_out(self, kept: Index, strut: Index, met: Index) -> None:
        """Force square to the face per newton, and offset there, of struts where they meet faces."""
        face, struts = self._met.face[met], self._struts.take(strut)
        start, end = struts.ends(self._grid)
        run, across = end - start, self.faces.square[face]
        along = np.einsum("ka,ka->k", run, across)
        reach = np.einsum("ka,ka->k", self.faces.centre[face] - start, across)
        flat = np.abs(along) < TIE
        x = np.where(flat, 0.5, reach / np.where(flat, 1.0, along)).clip(0.0, 1.0)
        guess = parameters_between(self._grid, struts.i, struts.j, x[:, None, None])[:, 0]
        self._square[kept] = self._met.share[met] * np.abs(along) / np.linalg.norm(run, axis=1)
        self._offset[kept] = self._solid.offset(start + x[:, None] * run, guess)

    def state(self, force: Array, some: Index | None = None) -> tuple[Array, Array]:
        """Force (f,) and moment (f,) on every face under forces (m,) in the struts; some: numbers of
        the faces that alone are asked for, the others stay nil."""
        used = np.flatnonzero(force > 0)
        row, met = _within(self._by_pair, self._pair[used])
        if some is not None:
            asked = np.zeros(self.faces.size, bool)
            asked[some] = True
            here = np.flatnonzero(asked[self._met.face[met]])
            row, met = row[here], met[here]
        square, turning = self._through(used[row], met)
        own, face, size = force[used[row]], self._met.face[met], self.faces.size
        return (
            np.bincount(face, square * own, minlength=size).astype(float),
            np.bincount(face, turning * own, minlength=size).astype(float),
        )


def _within(start: Index, which: Index) -> tuple[Index, Index]:
    """Members of some groups: number (k,) in the list of groups, and the members; start: (n + 1,)
    first member of each group."""
    count = start[which + 1] - start[which]
    row = np.repeat(np.arange(len(which)), count)
    member = np.arange(len(row)) - np.repeat(np.cumsum(count) - count, count) + start[which][row]
    return row, member
