"""Stress in layers through the depth of a shell: what forces and moments masonry bears.

Masonry bears principal stresses between nil and -f in the plane of the shell. Even stress in each of
some layers of any thickness is a state of it, so what layers bear, masonry bears; where a layer ends
as deep as the pressed zone does, nothing is lost. Faces of layers are told from -1 (inner face) to 1,
for every point.

A stress (ss, tt, st) by f is held between nil and -1 by two cones: |(d, st)| <= -m and
|(d, st)| <= 1 + m, with m = (ss + tt)/2 and d = (ss - tt)/2. Source: the equal-area block is
Heyman 1982, "The Masonry Arch", ch. 2; cones for plane stress, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy import sparse

from timbrel.statics.forces_pieces import Array
from timbrel.statics.solver import stoppably

KINDS = 6  # N_ss, N_tt, N_st, M_ss, M_tt, M_st
AROUND = (0.35, 0.6, 0.8, 1.0, 1.2, 1.6)  # of the depth that is pressed: where layers end
THINNEST, DEEPEST = 0.004, 0.45  # of the thickness: ends of layers from either face


def even_layers(count: int) -> Array:
    """(count + 1,) faces of layers, thinnest at both faces of the shell."""
    return np.asarray(-np.cos(np.linspace(0.0, np.pi, count + 1)))


def layers_about(stress: Array, faces: Array) -> Array:
    """(n, ...) faces of layers that end near the depths that are pressed from either face.

    stress: (n, layers, 3) by f. faces: (n, layers + 1).
    """
    share = np.diff(faces, axis=1) / 2
    middle = (faces[:, 1:] + faces[:, :-1]) / 2
    pressed = np.clip(-(stress[..., 0] + stress[..., 1]), 0.0, 1.0) * share
    ends = []
    for side in (-1, 1):
        depth = (pressed * (side * middle > 0)).sum(axis=1)
        depth = np.clip(depth, THINNEST, DEEPEST / max(AROUND))
        ends.append(side * (1 - 2 * depth[:, None] * np.array(AROUND)))
    edge = np.ones((len(stress), 1))
    return np.concatenate([-edge, ends[0], ends[1][:, ::-1], edge], axis=1)


@dataclass(frozen=True)
class Layers:
    """Layers at points of a shell. faces: (n, layers + 1). thickness: m. curve: 1/m, of both ways."""

    faces: Array
    thickness: float
    curve: float

    @property
    def points(self) -> int:
        return len(self.faces)

    @property
    def count(self) -> int:
        return int(self.faces.shape[1]) - 1

    @property
    def stresses(self) -> int:
        return 3 * self.points * self.count

    @property
    def units(self) -> Array:
        """(6,) of forces and moments, by f."""
        return np.repeat([self.thickness, self.thickness**2 / 4], 3)

    def sums(self) -> Any:
        """(6 n, stresses) sparse: forces and moments of stresses by f, in their units, kind by kind.
        A fibre at depth z is longer than on the middle, and bears by so much more."""
        ends = self.faces * self.thickness / 2
        low, high = ends[:, :-1], ends[:, 1:]
        powers = [(high ** (p + 1) - low ** (p + 1)) / (p + 1) for p in range(3)]
        weight = [powers[p] + self.curve * powers[p + 1] for p in range(2)]
        every = np.arange(self.points * self.count)
        point = np.repeat(np.arange(self.points), self.count)
        parts = [
            (weight[kind // 3].ravel() / self.units[kind], kind * self.points + point, kind % 3)
            for kind in range(KINDS)
        ]
        return sparse.csc_array(
            (
                np.concatenate([value for value, _, _ in parts]),
                (
                    np.concatenate([row for _, row, _ in parts]),
                    np.concatenate([3 * every + part for _, _, part in parts]),
                ),
            ),
            shape=(KINDS * self.points, self.stresses),
        )

    def cones(self) -> tuple[Any, Array]:
        """Rows (6 n layers, stresses) and their constants: constant - rows x stress lies, three by
        three, in the cones, first those that bear no tension, then those that do not crush."""
        every = np.arange(self.points * self.count)
        half = np.full(len(every), 0.5)

        def rows(sign: float, first: int) -> tuple[Array, Array, Array]:
            at, own = first + 3 * every, 3 * every
            value = np.concatenate([sign * half, sign * half, -half, half, -2 * half])
            row = np.concatenate([at, at, at + 1, at + 1, at + 2])
            return value, row, np.concatenate([own, own + 1, own, own + 1, own + 2])

        count = 3 * len(every)
        parts = [rows(1.0, 0), rows(-1.0, count)]
        value, row, column = (np.concatenate(a) for a in zip(*parts, strict=True))
        constant = np.zeros(2 * count)
        constant[count::3] = 1.0
        return sparse.csc_array((value, (row, column)), shape=(2 * count, count)), constant


def solved(
    cost: Array, matrix: Any, right: Array, equal: int, close: float
) -> tuple[Array, Array] | None:
    """Unknowns and duals of: least cost x with right - matrix x nil in the first `equal` rows and,
    three by three, in cones below; None where no answer was found. close: relative gap."""
    import clarabel

    settings = clarabel.DefaultSettings()
    settings.verbose = False
    settings.max_threads = 1
    settings.tol_gap_rel = settings.tol_gap_abs = close
    settings.tol_feas = close / 10
    kinds = [clarabel.ZeroConeT(equal)]
    kinds += [clarabel.SecondOrderConeT(3)] * ((len(right) - equal) // 3)
    none = sparse.csc_matrix((len(cost), len(cost)))
    solver = clarabel.DefaultSolver(none, cost, sparse.csc_matrix(matrix), right, kinds, settings)
    found = stoppably(solver.solve)
    if found.status not in (clarabel.SolverStatus.Solved, clarabel.SolverStatus.AlmostSolved):
        return None
    return np.array(found.x), np.array(found.z)
