"""Does a block of stress find room on the faces between the lines of a certificate: worked out from
its numbers alone.

Between two neighbouring lines of the grid stands a face through the middle of their middles, square to
the way between the middles of the faces beside it, half as wide as they are apart, and as deep as the
shell. A strut runs over the grid from place to place and passes the face whose half of a step it
meets; where it meets the end of two it counts half on each. With N the force square to a face and M
about the middle surface the block of stress is N/(f b) deep and has t - 2|M|/N of room (Heyman
1982). Faces within two thicknesses of a pier are solid with it.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
SEAT = 2.0  # thicknesses
EVEN = 1e-9
LITTLE = 1e-6  # of the force that crushes a face: what is not looked at


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
        self.ends = np.array(ends, np.int64).reshape(-1, 2)
        self.centre = middle[self.ends].mean(axis=1)
        run = np.array([self._run(k, *at) for k, at in enumerate(where)]).reshape(-1, 3)
        square = np.cross(run, half[self.ends].sum(axis=1))
        self.square = square / np.maximum(np.linalg.norm(square, axis=1), 1e-300)[:, None]
        self.width = np.linalg.norm(run, axis=1)

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
        strut, face, share = [], [], []
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
        return np.array(strut, np.int64), np.array(face, np.int64), np.array(share)

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
