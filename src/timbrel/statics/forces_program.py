"""The greatest load that forces and moments in balance carry without breaking the masonry.

Balance is the field's own (:mod:`timbrel.statics.forces_dome`), so that the unknowns are free and the
strength alone is asked, at points of every cell, in layers (:mod:`timbrel.statics.forces_layers`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from timbrel.statics.forces_dome import ForceField, held
from timbrel.statics.forces_layers import KINDS, Layers, even_layers, layers_about, solved
from timbrel.statics.forces_pieces import Array, Index, points_of
from timbrel.statics.mechanism_dome_loads import DomeLoads

CLOSE = 1e-5  # relative gap of the program
WITHIN = 1e-7  # of a cell
NEAREST = 4  # points whose layers are taken the mean of
ROUGH = 6  # layers while it is not known how deep the shell is pressed


@dataclass(frozen=True)
class Points:
    """Slants and turns (n,) of points, and the cells they are in: points on the ends of cells are
    looked at from inside of each."""

    slants: Array
    turns: Array
    cells: tuple[Index, Index]

    def within(self, field: ForceField) -> tuple[Array, Array]:
        """Those on the ends of cells moved inside them: the load may end there."""
        found = []
        for places, at, cell in zip(
            (field.slants, field.turns), (self.slants, self.turns), self.cells, strict=True
        ):
            low, high = places[cell], places[cell + 1]
            inset = WITHIN * (high - low)
            found.append(np.clip(at, low + inset, high - inset))
        return found[0], found[1]

    def take(self, some: Index) -> Points:
        row, column = self.cells
        return Points(self.slants[some], self.turns[some], (row[some], column[some]))

    def moved(self, field: ForceField, by: tuple[float, float]) -> Points:
        """The same moved by shares of their cells, within them."""
        found = []
        for places, at, cell, share in zip(
            (field.slants, field.turns), (self.slants, self.turns), self.cells, by, strict=True
        ):
            low, high = places[cell], places[cell + 1]
            found.append(np.clip(at + share * (high - low), low, high))
        return Points(found[0], found[1], self.cells)

    def beside(self, more: Points) -> Points:
        """These and more."""
        cells = [np.concatenate(pair) for pair in zip(self.cells, more.cells, strict=True)]
        return Points(
            np.concatenate([self.slants, more.slants]),
            np.concatenate([self.turns, more.turns]),
            (cells[0], cells[1]),
        )


def points_in(field: ForceField, shares: Array) -> Points:
    """Points at shares (k,) of every cell, each way."""
    (s, row), (turn, column) = points_of(field.slants, shares), points_of(field.turns, shares)
    at = [a.ravel() for a in np.meshgrid(s, turn, indexing="ij")]
    cell = [a.ravel() for a in np.meshgrid(row, column, indexing="ij")]
    return Points(at[0], at[1], (cell[0], cell[1]))


@dataclass(frozen=True)
class Carried:
    """factor: of the live load. own: (size,) unknowns of the field. stress: (n, layers, 3) by the
    strength at the points. worth: (n,) what the strength at each is worth, by the factor."""

    factor: float
    own: Array
    stress: Array
    worth: Array


def resultants(
    field: ForceField, loads: DomeLoads, points: Points, own: Array, factor: float
) -> Array:
    """(6, n) forces (N/m) and moments (N) at points."""
    by_own, number = field.own((points.slants, points.turns), points.cells)
    found = np.einsum("knu,nu->kn", by_own, np.append(own, 0.0)[number])
    dead, live = held(loads, field.sphere, *points.within(field))
    found[[0, 3]] += dead + factor * live
    return np.asarray(found)


def greatest(
    field: ForceField, loads: DomeLoads, strength: float, points: Points, faces: Array
) -> Carried | None:
    """The greatest multiple of the live load beside the dead load that layers (n, count + 1 faces) at
    the points bear; None where no answer was found."""
    layers = Layers(faces, float(loads.vault.thickness), 1 / field.sphere.radius)
    n, size = layers.points, field.size
    units = strength * layers.units
    by_own, number = field.own((points.slants, points.turns), points.cells)
    dead, live = held(loads, field.sphere, *points.within(field))
    # Unknowns are told in moments that crush, so that all entries are near one.
    scale = float(units[-1])
    there = number >= 0
    row = np.broadcast_to(np.arange(n)[:, None], number.shape)[there]
    blocks = [
        sparse.csc_array((scale / unit * one[there], (row, number[there])), shape=(n, size))
        for unit, one in zip(units, by_own, strict=True)
    ]
    driven, right = np.zeros((KINDS, n)), np.zeros((KINDS, n))
    for place, kind in enumerate((0, 3)):
        driven[kind] = live[place] / units[kind]
        right[kind] = -dead[place] / units[kind]
    by_factor = float(np.abs(driven).max())
    if by_factor == 0:
        return None  # the load falls through the eye
    equal = [
        sparse.vstack(blocks),
        sparse.csc_array(driven.reshape(-1, 1) / by_factor),
        -layers.sums(),
    ]
    cones, constant = layers.cones()
    matrix = sparse.block_array(
        [equal, [sparse.csc_array((len(constant), size)), None, cones]], format="csc"
    )
    cost = np.zeros(matrix.shape[1])
    cost[size] = -1.0
    answer = solved(cost, matrix, np.append(right.ravel(), constant), KINDS * n, CLOSE)
    if answer is None:
        return None
    x, dual = answer
    stress = x[size + 1 :].reshape(n, layers.count, 3)
    bearing = (layers.sums() @ x[size + 1 :]).reshape(KINDS, n)
    worth = np.abs((dual[: KINDS * n].reshape(KINDS, n) * bearing).sum(axis=0))
    return Carried(float(x[size]) / by_factor, x[:size] * scale, stress, worth)


def first_layers(points: Points) -> Array:
    """Layers for a field of which nothing is known yet."""
    return np.tile(even_layers(ROUGH), (len(points.slants), 1))


def layers_near(found: Carried, faces: Array, was: Points, wanted: Points) -> Array:
    """Layers for points, by what was found to be pressed at the nearest of others."""
    from scipy.spatial import KDTree

    scale = np.array([float(np.ptp(was.slants)), float(np.ptp(was.turns))])
    tree = KDTree(np.stack([was.slants, was.turns], axis=1) / scale)
    _, nearest = tree.query(np.stack([wanted.slants, wanted.turns], axis=1) / scale, k=NEAREST)
    return np.asarray(layers_about(found.stress, faces)[nearest].mean(axis=1))
