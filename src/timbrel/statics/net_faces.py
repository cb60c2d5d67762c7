"""Faces between the cells of a net, and what the struts put through them.

Half-way between two neighbouring lines stands a face, as wide as the cells beside it and as deep as
the shell. Every strut that passes from one side to the other puts its force through the face that
it meets; half and half where it meets the corner of two. A face sees the sum of the forces square to
it and their moment about the middle surface, taken even over its width.

Source: none; derived from the equilibrium of a part of the shell cut along the faces.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid
from timbrel.statics.net_struts import Struts, parameters_between

TIE = 1e-9


@dataclass(frozen=True)
class Faces:
    """nodes: (f, 2) the lines on both sides. centre: (f, 3). square: (f, 3) unit direction square to
    the face, in the shell. width: (f,) m. place: (f, 2) row and column on the grid, by halves."""

    nodes: Index
    centre: Array
    square: Array
    width: Array
    place: Array

    @property
    def size(self) -> int:
        return len(self.width)


@dataclass(frozen=True)
class Crossings:
    """Struts through faces: face, strut, share: (k,) each; a strut may meet several faces."""

    face: Index
    strut: Index
    share: Array


def cell_faces(grid: NetGrid) -> tuple[Faces, Index, Index]:
    """All faces of a grid, and their numbers: (rows, columns) of the face between each column and
    the next, and between each row and the next (-1: none)."""
    number = _numbers(grid)
    parts, tables, count = [], [], 0
    for axis in (1, 0):
        closed = bool(grid.columns) and axis == 1
        along_closed = bool(grid.columns) and axis == 0
        after = np.roll(number, -1, axis=axis)
        if not closed:
            after = after.copy()
            after[(-1, slice(None)) if axis == 0 else (slice(None), -1)] = -1
        there = (number >= 0) & (after >= 0) & (number != after)
        row, column = np.nonzero(there)
        a, b = number[there], after[there]
        middle = np.full((*number.shape, 3), np.nan)
        middle[there] = (grid.middle[a] + grid.middle[b]) / 2
        ahead = _beside(middle, 1 - axis, -1, along_closed)[there]
        behind = _beside(middle, 1 - axis, 1, along_closed)[there]
        own = middle[there]
        run = (ahead - behind) / 2
        normal = grid.half[a] + grid.half[b]
        square = np.cross(run, normal)
        square /= np.maximum(np.linalg.norm(square, axis=1, keepdims=True), 1e-300)
        half = np.array([0.5, 0.0]) if axis == 0 else np.array([0.0, 0.5])
        place = np.stack([row, column], axis=1) + half
        parts.append((np.stack([a, b], axis=1), own, square, np.linalg.norm(run, axis=1), place))
        table = np.full(number.shape, -1, np.int64)
        table[there] = count + np.arange(len(row))
        count += len(row)
        tables.append(table)
    joined = (np.concatenate(part) for part in zip(*parts, strict=True))
    return Faces(*joined), tables[0], tables[1]


def _numbers(grid: NetGrid) -> Index:
    """(rows, columns) node at each place, the pole all along its row; -1: none."""
    top = grid.place.max(axis=0) + 1
    number = np.full((int(top[0]), int(top[1])), -1, np.int64)
    number[grid.place[:, 0], grid.place[:, 1]] = np.arange(grid.size)
    if grid.pole >= 0:
        number[0] = grid.pole
    return number


def _beside(middle: Array, axis: int, step: int, closed: bool) -> Array:
    """The neighbours' middles along an axis; where there is none, the face's own (half as wide)."""
    found = np.roll(middle, step, axis=axis)
    if not closed:
        edge = [slice(None), slice(None)]
        edge[axis] = slice(0, 1) if step > 0 else slice(-1, None)
        found[tuple(edge)] = np.nan
    return np.where(np.isnan(found), middle, found)


def crossings(grid: NetGrid, struts: Struts, columns: Index, rows: Index) -> Crossings:
    """Which struts meet which faces, told on the grid: a strut runs straight from place to place."""
    start, end = grid.place[struts.i].copy(), grid.place[struts.j].copy()
    if grid.pole >= 0:
        start[:, 1] = np.where(struts.i == grid.pole, end[:, 1], start[:, 1])
        end[:, 1] = np.where(struts.j == grid.pole, start[:, 1], end[:, 1])
    step = end - start
    if grid.columns:
        step[:, 1] -= (grid.columns * np.round(step[:, 1] / grid.columns)).astype(np.int64)
    found: list[tuple[Index, Index, Array]] = []
    for axis, table in ((1, columns), (0, rows)):
        gaps, other = np.abs(step[:, axis]), 1 - axis
        for k in range(int(gaps.max(initial=0))):
            some = np.flatnonzero(gaps > k)
            x = (k + 0.5) / gaps[some]
            sign = np.sign(step[some, axis])
            before = start[some, axis] + k * sign + np.minimum(sign, 0)
            level = start[some, other] + x * step[some, other]
            low = np.floor(level + 0.5 - TIE).astype(np.int64)
            tied = np.abs(level + 0.5 - np.round(level + 0.5)) < 2 * TIE
            for beside in (0, 1):
                here = tied if beside else np.ones(len(some), bool)
                at = [before[here], (low + beside)[here]]
                if axis == 1:
                    at.reverse()
                if grid.columns:
                    at[1] %= grid.columns
                share = np.where(tied[here], 0.5, 1.0)
                found.append((table[at[0], at[1]], some[here], share))
    face, strut, share = (np.concatenate(part) for part in zip(*found, strict=True))
    there = face >= 0
    return Crossings(face[there], strut[there], share[there])


class FaceForces:
    """What candidate struts put through the faces of a net, worked out where it is asked for."""

    def __init__(self, solid: NetSolid, grid: NetGrid, struts: Struts) -> None:
        self._solid, self._grid, self._struts = solid, grid, struts
        self.faces, columns, rows = cell_faces(grid)
        self.met = crossings(grid, struts, columns, rows)
        self._offset = np.full(len(self.met.face), np.nan)
        self._square = np.full(len(self.met.face), np.nan)

    def through(self, which: Index) -> tuple[Array, Array]:
        """Force square to the face, and its moment about the middle surface (m), per newton in the
        strut, at crossings (k,)."""
        new = which[np.isnan(self._square[which])]
        if len(new):
            self._work_out(new)
        return self._square[which], self._square[which] * self._offset[which]

    def _work_out(self, which: Index) -> None:
        met, faces = self.met, self.faces
        strut, face = met.strut[which], met.face[which]
        struts = self._struts.take(strut)
        start, end = struts.ends(self._grid)
        run = end - start
        along = np.einsum("ka,ka->k", run, faces.square[face])
        reach = np.einsum("ka,ka->k", faces.centre[face] - start, faces.square[face])
        flat = np.abs(along) < TIE
        x = np.clip(np.where(flat, 0.5, reach / np.where(flat, 1.0, along)), 0.0, 1.0)
        guess = parameters_between(self._grid, struts.i, struts.j, x[:, None, None])[:, 0]
        self._offset[which] = self._solid.offset(start + x[:, None] * run, guess)
        length = np.linalg.norm(run, axis=1)
        self._square[which] = met.share[which] * np.abs(along) / length

    def state(self, force: Array) -> tuple[Array, Array]:
        """Force (f,) and moment (f,) on every face under forces (m,) in the struts."""
        used = np.flatnonzero(force[self.met.strut] > 0)
        square, turning = self.through(used)
        own = force[self.met.strut[used]]
        face, size = self.met.face[used], self.faces.size
        return (
            np.bincount(face, square * own, minlength=size).astype(float),
            np.bincount(face, turning * own, minlength=size).astype(float),
        )
