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

    def _on_lines(self) -> tuple[Index, Array]:
        """Lines and runs of the faces on them; notes the faces by cut, side and line."""
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
                    self.on[cut, side, k] = len(self.ends) + len(own)
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
        strut: list[int] = []
        face: list[int] = []
        share: list[float] = []
        for k, (a, b) in enumerate(zip(i, j, strict=True)):
            start, end = (np.array(self.place[n], float) for n in (a, b))
            if a == self.crown:
                start[1] = end[1]
            if b == self.crown:
                end[1] = start[1]
            step = end - start
            if self.closed:
                step[1] -= self.closed * round(step[1] / self.closed)
            for axis in (0, 1):
                low, high = sorted((start[axis], start[axis] + step[axis]))
                for line in np.arange(np.floor(low), np.ceil(high)) + 0.5:
                    if not low < line < high:
                        continue
                    x = (line - start[axis]) / step[axis]
                    level = start[1 - axis] + x * step[1 - axis]
                    near = np.floor(level + 0.5)
                    tied = abs(level + 0.5 - np.round(level + 0.5)) < EVEN
                    if tied:
                        near = np.round(level + 0.5)
                    for other in (near - 1, near) if tied else (near,):
                        at = (line - 0.5, other) if axis == 0 else (other, line - 0.5)
                        found = self.along_at(axis, int(at[0]), int(at[1]))
                        if found is not None:
                            strut.append(k)
                            face.append(found)
                            share.append(0.5 if tied else 1.0)
            for found, part in self._met_on_lines(start, step):
                strut.append(k)
                face.append(found)
                share.append(part)
        return np.array(strut, np.int64), np.array(face, np.int64), np.array(share)

    def _met_on_lines(self, start: Array, step: Array) -> Iterator[tuple[int, float]]:
        """Faces on lines that a strut passes, which runs a step over the grid, and its share there."""
        for cut, (along, across) in enumerate(CUTS):
            first, gone = (round(float(np.dot(way, across))) for way in (start, step))
            low, high = sorted((first, first + gone))
            for line in range(low, high + 1) if gone else ():
                at = start + (line - first) / gone * step
                # The lines on a cut follow each other by whole rows, or by columns along a row.
                axis = 0 if along[0] else 1
                near = np.floor(at[axis] + 0.5)
                tied = abs(at[axis] + 0.5 - np.round(at[axis] + 0.5)) < EVEN
                if tied:
                    near = np.round(at[axis] + 0.5)
                for whole in (near - 1, near) if tied else (near,):
                    place = at + (whole - at[axis]) / along[axis] * np.array(along)
                    own = self._line(round(float(place[0])), round(float(place[1])))
                    if own is None:
                        continue
                    for side in (-1, 1):
                        there = line < high if side > 0 else line > low
                        if there and (cut, side, own) in self.on:
                            yield self.on[cut, side, own], 0.5 if tied else 1.0

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
