"""Crushing in a net: what passes a face must find room in it.

A force N square to a face of depth t and width b, with a moment M about its middle, stands on a
block of stress of depth N/(f b) about its own line, so |M| <= N t/2 - N^2/(2 f b). The linear
program has chords of this parabola: they lie inside it, so nothing is lost on the unsafe side, and
with their ends at squares of even steps they lie inside by less than a two-hundredth of the lever
arm. Only the chords that an answer breaks are put to the program, again and again until it
breaks none.

A net stands on a pier at one point, where every strength would fail: the corner of the vault is built
solid with its pier, and faces within two thicknesses of it are not asked.

Source: Heyman 1982, "The Masonry Arch", ch. 2 (finite strength, the rectangular block of stress);
adding broken rows, Kelley 1960, "The cutting-plane method".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net_faces import FaceForces, Faces
from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid
from timbrel.statics.net_struts import Struts

CHORDS = 16
ENDS = (np.arange(CHORDS + 1) / CHORDS) ** 2  # of the chords, as shares of the force that crushes
BROKEN = 4e-4  # of the force on a face, over the lever arm: a chord is broken
LITTLE = 1e-6  # of the force that crushes: what is not looked at
SEAT = 2.0  # thicknesses about a pier within which the vault is solid with it
SAFE = 0.998  # of the strength is put to the program, so that rounding does not break the parabola


@dataclass(frozen=True)
class Cuts:
    """Chords put to a program: face, sign of the moment, number of the chord, (k,) each."""

    face: Index
    sign: Index
    chord: Index

    @property
    def size(self) -> int:
        return len(self.face)

    def keys(self) -> Index:
        return np.asarray((self.face * 2 + (self.sign > 0)) * CHORDS + self.chord)

    def without(self, other: Cuts) -> Cuts:
        new = ~np.isin(self.keys(), other.keys())
        return Cuts(self.face[new], self.sign[new], self.chord[new])

    def with_(self, other: Cuts) -> Cuts:
        return Cuts(
            np.concatenate([self.face, other.face]),
            np.concatenate([self.sign, other.sign]),
            np.concatenate([self.chord, other.chord]),
        )


def no_cuts() -> Cuts:
    none = np.zeros(0, np.int64)
    return Cuts(none, none, none)


class Crushing:
    """The crushing strength (N/m2) of a shell, at the faces between the cells of its net."""

    def __init__(self, solid: NetSolid, grid: NetGrid, struts: Struts, strength: float) -> None:
        self.strength, self.thickness = strength, solid.thickness
        self.forces = FaceForces(solid, grid, struts)
        self.faces = self.forces.faces
        self._most = SAFE * strength * self.faces.width * solid.thickness
        self._solid = _on_piers(grid, self.faces, SEAT * solid.thickness)

    def overshoot(self, force: Array) -> float:
        """By how much (m) the block of stress is deeper than there is room for it, on the worst
        face; at most zero when the strength suffices. force: (m,) in the struts, N."""
        square, moment = self.forces.state(force)
        some = (square > LITTLE * self._most) & ~self._solid
        depth = square[some] / (self.strength * self.faces.width[some])
        room = self.thickness - 2 * np.abs(moment[some]) / square[some]
        return float((depth - room).max(initial=-self.thickness))

    def kept_faces(self, group: Index) -> Index:
        """One face of every set of faces that the symmetries ((g, n)) make alike."""
        a, b = self.faces.nodes.T
        on, size = self.faces.on_line, group.shape[1]
        least = np.full(len(a), np.iinfo(np.int64).max)
        for g in group:
            i, j = g[a], g[b]
            # A face between lines has no first line, one on a line has.
            low, high = np.where(on, i, np.minimum(i, j)), np.where(on, j, np.maximum(i, j))
            least = np.minimum(least, (on * size + low) * size + high)
        _, first = np.unique(least, return_index=True)
        # Cells that shrink to nothing have faces of no width, which no force crosses.
        asked = ~self._solid[first] & (self.faces.width[first] > 0)
        return first[asked].astype(np.int64)

    def broken(self, force: Array, kept: Index) -> Cuts:
        """The chords that forces (m,) break on the kept faces: on each the one broken worst, and
        between lines those beside it, which the next answer would break."""
        square, moment = self.forces.state(force, kept)
        square, lever = square[kept] / self._most[kept], moment[kept] * 2 / self.thickness
        lever = lever / self._most[kept]
        some = np.flatnonzero(square > LITTLE)
        room = ENDS[:-1] * ENDS[1:] + (1 - ENDS[:-1] - ENDS[1:]) * square[some, None]
        over = np.abs(lever[some])[:, None] - room
        worst = over.argmax(axis=1)
        bad = over[np.arange(len(some)), worst] > BROKEN * square[some]
        sign = np.where(lever[some] < 0, -1, 1)
        face, side = kept[some[bad]], sign[bad].astype(np.int64)
        chord = worst[bad, None] + np.array([-1, 0, 1])
        # Faces on lines are many and alike: of these the worst chord tells enough.
        asked = (chord == chord.clip(0, CHORDS - 1)) & (
            ~self.faces.on_line[face, None] | np.array([False, True, False])
        )
        row = np.nonzero(asked)[0]
        every = Cuts(face[row], side[row], chord[asked].astype(np.int64))
        _, once = np.unique(every.keys(), return_index=True)
        return Cuts(every.face[once], every.sign[once], every.chord[once])

    def caps(self, kept: Index) -> Cuts:
        """The last chord on the kept faces between lines, for both signs: together they bound every
        force."""
        kept = kept[~self.faces.on_line[kept]]
        face = np.repeat(kept, 2)
        sign = np.tile(np.array([-1, 1], np.int64), len(kept))
        return Cuts(face, sign, np.full(len(face), CHORDS - 1, np.int64))

    def rows(self, cuts: Cuts, orbit: Index, orbits: int) -> tuple[Any, Array]:
        """Chords as rows over shared forces, (k, orbits) sparse, and the most (k,) that each may
        come to, N."""
        from scipy import sparse

        row, strut, square, moment = self.forces.of_faces(cuts.face)
        low, high = ENDS[cuts.chord], ENDS[cuts.chord + 1]
        value = cuts.sign[row] * moment * 2 / self.thickness - (1 - low - high)[row] * square
        column = orbit[strut]
        matrix = sparse.coo_array((value, (row, column)), shape=(cuts.size, orbits)).tocsr()
        return matrix, low * high * self._most[cuts.face]

    def places(self, cuts: Cuts) -> Array:
        """(k, 2) row and column of each chord's face on the grid."""
        return self.faces.place[cuts.face]


def _on_piers(grid: NetGrid, faces: Faces, reach: float) -> NDArray[np.bool_]:
    """Which faces (f,) stand so near a pier, in plan, that they are solid with it."""
    near = np.zeros(faces.size, bool)
    for support in grid.supports:
        if support.kind == "pier":
            for node in support.nodes:
                away = faces.centre[:, :2] - grid.middle[node, :2]
                near |= np.hypot(*away.T) < reach
    return near
