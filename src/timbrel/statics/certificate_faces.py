"""Does a block of stress find room on the faces between and at the lines of a certificate: worked
out from its numbers alone.

Between two neighbouring lines of the grid stands a face through the middle of their middles, square to
the way between the middles of the faces beside it, half as wide as they are apart, and as deep as the
shell. On every line stand four more, each looked at from both sides: along its row, its column and the
two diagonals of its cell (but on an edge), from half a step before it to half a step behind. A strut
runs over the grid from place to place and passes the face whose half of a step it meets; where it
meets the end of two it counts half on each. With N the force square to a face and M about the middle
surface the block of stress is N/(f b) deep and has t - 2|M|/N of room (Heyman 1982). Faces within two
thicknesses of a pier are solid with it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
SEAT = 2.0  # thicknesses
EVEN = 1e-9
LITTLE = 1e-6  # of the force that crushes a face: what is not looked at
CUTS = (((1, 0), (0, 1)), ((0, 1), (1, 0)), ((1, 1), (-1, 1)), ((-1, 1), (1, 1)))
"""Of the faces on a line: the step over the grid along each, and the step across it."""
Met = tuple[int, int, int, float]
"""A face that a strut passes: its kind, its place from where the strut starts, the strut's share."""


class FacesRead:
    """The faces of a grid of lines.

    place: (n, 2) row and column of each line; round: columns that close round, else nil; crown: the
    line that all columns share, -1 without. middle, half: (n, 3). piers: (k,) lines.
    """

    def __init__(
        self, place: Index, closed: int, crown: int, middle: Array, half: Array, piers: Index
    ) -> None:
        self.place, self.closed, self.crown = place, closed, crown
        self.middle, self.half, self.piers = middle, half, piers
        self.line = {(int(r), int(c)): k for k, (r, c) in enumerate(place) if k != crown}
        self.columns = closed or int(place[:, 1].max()) + 1
        self.along: dict[tuple[int, int, int], int] = {}
        ends: list[tuple[int, int]] = []
        where: list[tuple[int, int, int]] = []
        for (r, c), k in self.line.items():
            for axis in (0, 1):
                other = self._line(r + (axis == 0), c + (axis == 1))
                if other is not None:
                    self.along[axis, r, c] = len(ends)
                    ends.append((k, other))
                    where.append((axis, r, c))
        first = min((r for r, _ in self.line), default=0)
        for c in range(self.columns if crown >= 0 else 0):
            other = self._line(first, c)
            if other is not None:
                self.along[0, first - 1, c] = len(ends)
                ends.append((crown, other))
                where.append((0, first - 1, c))
        self.top = first - 1
        self.ends = np.array(ends, np.int64).reshape(-1, 2)
        self.centre = middle[self.ends].mean(axis=1)
        run = np.array([self._run(k, *at) for k, at in enumerate(where)]).reshape(-1, 3)
        self.on: dict[tuple[int, int, int], int] = {}
        own, runs = self._on_lines()
        depth = np.concatenate([half[self.ends].sum(axis=1), half[own]])
        self.centre = np.concatenate([self.centre, middle[own]])
        run = np.concatenate([run, runs])
        square = np.cross(run, depth)
        self.square = square / np.maximum(np.linalg.norm(square, axis=1), 1e-300)[:, None]
        self.width = np.linalg.norm(run, axis=1)
        rows = max((r for r, _ in self.line), default=0) - self.top + 1
        self.table = np.full((2 + 2 * len(CUTS), rows, self.columns), -1, np.int64)
        for (kind, r, c), number in (self.along | self.on).items():
            self.table[kind, r - self.top, c] = number

    def _on_lines(self) -> tuple[Index, Array]:
        """Lines and runs of the faces on them; notes the faces by kind and place."""
        own: list[int] = []
        runs: list[Array] = []
        for (r, c), k in self.line.items():
            for cut, (along, across) in enumerate(CUTS):
                near = [self._beside(r + s * along[0], c + s * along[1]) for s in (1, -1)]
                if None in near and all(along):
                    continue
                ahead, behind = (k if n is None else n for n in near)
                run = (self.middle[ahead] - self.middle[behind]) / 2
                for side in (-1, 1):
                    other = self._beside(r + side * across[0], c + side * across[1])
                    if other is None or (other == self.crown and all(across)):
                        continue
                    self.on[_on(cut, side), r, c] = len(self.ends) + len(own)
                    own.append(k)
                    runs.append(run)
        return np.array(own, np.int64), np.array(runs).reshape(-1, 3)

    def _beside(self, row: int, column: int) -> int | None:
        return self.crown if row == self.top and self.crown >= 0 else self._line(row, column)

    def _line(self, row: int, column: int) -> int | None:
        return self.line.get((row, column % self.columns if self.closed else column))

    def _run(self, face: int, axis: int, row: int, column: int) -> Array:
        """Half the way from the face before to the face behind, along the face."""
        step = (0, 1) if axis == 0 else (1, 0)
        beside = []
        for sign in (1, -1):
            r, c = row + sign * step[0], column + sign * step[1]
            other = self.along_at(axis, r, c)
            beside.append(self.centre[face if other is None else other])
        return np.asarray((beside[0] - beside[1]) / 2)

    def along_at(self, axis: int, row: int, column: int) -> int | None:
        """The face that leads from a place to the next row (axis 0) or column."""
        return self.along.get((axis, row, column % self.columns if self.closed else column))

    def passed(self, i: Index, j: Index) -> tuple[Index, Index, Array]:
        """Struts (by number), the faces that they pass, and the share of each there."""
        start, step = self._over_grid(i, j)
        steps, like = np.unique(step, axis=0, return_inverse=True)
        none = np.zeros(0, np.int64)
        struts, faces, shares = [none], [none], [np.zeros(0)]
        for number, one in enumerate(steps):
            # Struts of one step meet the same faces, each from its own place on.
            some = np.flatnonzero(like == number)
            for kind, row, column, share in (*_met_between(one), *_met_on_lines(one)):
                face = self._faces_at(kind, start[some, 0] + row, start[some, 1] + column)
                there = face >= 0
                struts.append(some[there])
                faces.append(face[there])
                shares.append(np.full(int(there.sum()), share))
        return np.concatenate(struts), np.concatenate(faces), np.concatenate(shares)

    def _over_grid(self, i: Index, j: Index) -> tuple[Index, Index]:
        """Places (m, 2) where struts start and their steps (m, 2) over the grid."""
        start, end = self.place[i].astype(np.int64), self.place[j].astype(np.int64)
        # The crown lies on every column: on that of the other end.
        start[:, 1], end[:, 1] = (
            np.where(i == self.crown, end[:, 1], start[:, 1]),
            np.where(j == self.crown, start[:, 1], end[:, 1]),
        )
        step = end - start
        if self.closed:
            step[:, 1] -= self.closed * np.round(step[:, 1] / self.closed).astype(np.int64)
        return start, step

    def _faces_at(self, kind: int, row: Index, column: Index) -> Index:
        """(k,) the face of a kind at each place, -1 where there is none."""
        row = row - self.top
        if self.closed:
            column = column % self.columns
        rows, columns = self.table.shape[1:]
        on = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
        return np.where(on, self.table[kind, np.where(on, row, 0), np.where(on, column, 0)], -1)

    def lacking(
        self,
        struts: tuple[Index, Index, Array, Array, Array],
        offset: Callable[[Array, Array], Array],
        shell: tuple[float, float],
    ) -> float:
        """Depth (m) by which the block of stress on the worst face is deeper than its room.

        struts: lines i and j, starts and ends (m, 3), forces (m,). offset: of points (k, 3) from the
        middle surface, at shares (k,) along struts (k,). shell: thickness (m) and strength (N/m2).
        """
        i, j, start, end, force = struts
        thickness, strength = shell
        strut, face, share = self.passed(i, j)
        if not len(strut):
            return -thickness
        run = end[strut] - start[strut]
        through = (run * self.square[face]).sum(axis=1)
        ahead = ((self.centre[face] - start[strut]) * self.square[face]).sum(axis=1)
        level = np.abs(through) < EVEN
        x = np.clip(np.where(level, 0.5, ahead / np.where(level, 1.0, through)), 0.0, 1.0)
        lever = offset(strut.astype(float), x)
        pressed = share * force[strut] * np.abs(through) / np.linalg.norm(run, axis=1)
        count = len(self.width)
        normal = np.bincount(face, pressed, minlength=count)
        moment = np.bincount(face, pressed * lever, minlength=count)
        seats = self.middle[self.piers, :2]
        away = np.linalg.norm(self.centre[:, None, :2] - seats[None], axis=2)
        asked = (away >= SEAT * thickness).all(axis=1)
        asked &= normal > LITTLE * strength * self.width * thickness
        room = thickness - 2 * np.abs(moment[asked]) / normal[asked]
        deep = normal[asked] / (strength * self.width[asked])
        return float((deep - room).max(initial=-thickness))


def _met_between(step: Index) -> Iterator[Met]:
    """Faces between lines that a strut passes, which runs a step over the grid."""
    for axis in (0, 1):
        low, high = sorted((0, int(step[axis])))
        for line in range(low, high):
            x = (line + 0.5) / step[axis]
            for near, share in _nearest(x * step[1 - axis]):
                row, column = (line, near) if axis == 0 else (near, line)
                yield axis, row, column, share


def _met_on_lines(step: Index) -> Iterator[Met]:
    """Faces on lines that a strut passes, which runs a step over the grid."""
    for cut, (along, across) in enumerate(CUTS):
        gone = int(np.dot(step, across))
        low, high = sorted((0, gone))
        for line in range(low, high + 1) if gone else ():
            at = line / gone * step
            # The lines on a cut follow each other by whole rows, or by columns along a row.
            axis = 0 if along[0] else 1
            for near, share in _nearest(float(at[axis])):
                row, column = np.round(at + (near - at[axis]) / along[axis] * np.array(along))
                for side in (-1, 1):
                    if line < high if side > 0 else line > low:
                        yield _on(cut, side), int(row), int(column), share


def _nearest(level: float) -> tuple[tuple[int, float], ...]:
    """The whole number nearest to a level and its share; half-way both, half and half."""
    turn = level + 0.5
    even = round(turn)
    if abs(turn - even) < EVEN:
        return (even - 1, 0.5), (even, 0.5)
    return ((int(np.floor(turn)), 1.0),)


def _on(cut: int, side: int) -> int:
    """The kind of a face on lines, after those along rows and columns between them."""
    return 2 + 2 * cut + (side > 0)
