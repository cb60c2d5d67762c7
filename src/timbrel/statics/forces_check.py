"""Forces and moments of a dome, re-read: are they in balance, and does masonry bear them everywhere.

Balance is tried by virtual work: over smooth motions of the shell, whose stretch is told by the code of
the mechanisms, what forces and moments take must come to the work of the loads. Nothing of how the
forces were derived is used, and a step that equilibrium does not allow would show. Strength is tried at
points of its own, between those that were asked: the least tension, as a share of the strength, with
which layers of its own bear what acts there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from timbrel.statics.forces_dome import ForceField
from timbrel.statics.forces_layers import KINDS, Layers, even_layers, solved
from timbrel.statics.forces_pieces import Array, Index
from timbrel.statics.forces_program import Points, points_in, resultants
from timbrel.statics.mechanism_dome_field import DomeField, even_field, meridian_of, stretch_of
from timbrel.statics.mechanism_dome_loads import DomeLoads, cells_of

MOTIONS = (7, 8)  # cells of the motions, other than those of forces
GAUSS = 6
STILL = 2  # splines along the meridian that move or turn the springing
BETWEEN = 6  # points each way of a cell at which strength is tried
LAYERS = 24  # in which it is tried
ASKED = 2000  # points tried together
CLOSE = 1e-6
BALANCED = 1e-6  # of the work of the loads


@dataclass(frozen=True)
class ForcesReport:
    """unbalanced: greatest virtual work amiss, by the work that the loads do beside it. tension:
    greatest tension asked for anywhere, by the strength. needs: (n,) of the points tried."""

    unbalanced: float
    tension: float
    points: Points
    needs: Array

    @property
    def sound(self) -> bool:
        """Are forces in balance with the loads."""
        return self.unbalanced <= BALANCED and bool(np.isfinite(self.tension))


def check_forces(
    field: ForceField, loads: DomeLoads, strength: float, own: Array, factor: float
) -> ForcesReport:
    """Re-read the unknowns (size,) of a field under a multiple of the live load."""
    shares = (np.arange(BETWEEN) + 0.5) / BETWEEN
    points = points_in(field, shares)
    needs = tension_needed(
        resultants(field, loads, points, own, factor),
        strength,
        float(loads.vault.thickness),
        1 / field.sphere.radius,
    )
    return ForcesReport(unbalanced(field, loads, own, factor), float(needs.max()), points, needs)


def tension_needed(forces: Array, strength: float, thickness: float, curve: float) -> Array:
    """(n,) least tension, by the strength, with which layers bear forces and moments (6, n); without
    bound where none was found."""
    count = forces.shape[1]
    answer = _tried(forces, strength, thickness, curve) if count <= ASKED else None
    if answer is not None:
        return answer
    if count == 1:
        return np.full(1, np.inf)
    return np.concatenate(
        [
            tension_needed(half, strength, thickness, curve)
            for half in np.array_split(forces, 2, axis=1)
        ]
    )


def _tried(forces: Array, strength: float, thickness: float, curve: float) -> Array | None:
    """The same of some points together; None where the solver stops short."""
    count = forces.shape[1]
    layers = Layers(np.tile(even_layers(LAYERS), (count, 1)), thickness, curve)
    cones, constant = layers.cones()
    # Tension widens the first half of the cones: each by that of its own point.
    rows = len(constant) // 2
    which = np.repeat(np.arange(count), layers.count)
    eased = sparse.csc_array(
        (-np.ones(rows // 3), (np.arange(0, rows, 3), which)), shape=(2 * rows, count)
    )
    none = sparse.csc_array((KINDS * count, count))
    matrix = sparse.block_array([[none, layers.sums()], [eased, cones]], format="csc")
    right = np.append((forces / (strength * layers.units)[:, None]).ravel(), constant)
    cost = np.zeros(matrix.shape[1])
    cost[:count] = 1.0
    answer = solved(cost, matrix, right, KINDS * count, CLOSE)
    return None if answer is None else answer[0][:count]


def unbalanced(field: ForceField, loads: DomeLoads, own: Array, factor: float) -> float:
    """Greatest virtual work amiss over smooth motions, by all that the loads do in it."""
    motions = even_field(loads.vault, MOTIONS)
    s, by_s = _gauss(np.union1d(cells_of(loads, motions)[0], field.slants))
    turn, by_turn = _gauss(np.union1d(cells_of(loads, motions)[1], field.turns))
    at = [a.ravel() for a in np.meshgrid(s, turn, indexing="ij")]
    piece = 2 * np.outer(by_s, by_turn).ravel()
    points = Points(at[0], at[1], (_cell(field.slants, at[0]), _cell(field.turns, at[1])))
    forces = resultants(field, loads, points, own, factor)
    middle = meridian_of(loads.vault, at[0])
    stretch = stretch_of(motions, middle, at[0], at[1]).run
    r = middle.radius
    along, across, shear = forces[:3]
    bent, bent_across, twist = forces[3:]
    parts = [r * along, across, shear, r * shear, r * bent, bent_across, twist, r * twist]
    taken = np.einsum("en,neu->nu", np.stack(parts), stretch)
    done = _work(motions, loads, (at[0], at[1], s, turn), factor)
    number = motions.numbers(at[0], at[1])
    rim = _rim_work(motions, loads)
    amiss = _gathered(number, piece[:, None] * (taken - done), motions.size) - rim
    size = _gathered(number, piece[:, None] * np.abs(done), motions.size) + np.abs(rim)
    return float(np.abs(amiss[_still(motions)]).max() / size.max())


def _gathered(number: Index, work: Array, size: int) -> Array:
    return np.bincount(number.ravel(), work.ravel(), minlength=size).astype(float)


def _work(
    motions: DomeField, loads: DomeLoads, at: tuple[Array, Array, Array, Array], factor: float
) -> Array:
    """(n, u) work of the loads by unit slant and turn over unit motions: what lies at a depth sinks
    with the line that it is on."""
    every_s, every_turn, s, turn = at
    thickness = float(loads.vault.thickness)
    middle = meridian_of(loads.vault, s)
    lean = np.repeat(middle.lean, len(turn))
    v = motions.motions(every_s, every_turn)
    sin, cos = np.sin(lean)[:, None], np.cos(lean)[:, None]
    tilt = -(v[1, 0][:, 0] * sin + v[1, 0][:, 2] * cos) * sin

    def sunk(load: Array, depth: float) -> Array:
        return np.asarray(-load[:, None] * (v[0, 0][:, 2] + depth * tilt))

    def everywhere(load: Array) -> Array:
        return np.repeat(load, len(turn))

    found = sunk(everywhere(loads.above(middle)), thickness / 2)
    for z, share in zip(*np.polynomial.legendre.leggauss(3), strict=True):
        depth = z * thickness / 2
        found += sunk(everywhere(loads.shell(middle, depth)) * share * thickness / 2, depth)
    return found + factor * sunk(loads.live(middle, turn).ravel(), 0.0)


def _rim_work(motions: DomeField, loads: DomeLoads) -> Array:
    """(size,) work of what stands on the rim."""
    turn, by_turn = _gauss(motions.turns)
    s = np.full(len(turn), motions.length)
    up = motions.motions(s, turn)[0, 0][:, 2]
    done = -2 * loads.rim * by_turn[:, None] * up
    number = motions.numbers(s, turn)
    return _gathered(number, done, motions.size)


def _still(motions: DomeField) -> Index:
    """Unknowns that leave the springing where it is, unturned."""
    rows = np.arange(motions.size) // 3 % motions.rows
    return np.flatnonzero(motions.free & (rows >= STILL))


def _gauss(places: Array) -> tuple[Array, Array]:
    x, w = np.polynomial.legendre.leggauss(GAUSS)
    step = np.diff(places)[:, None]
    return (places[:-1, None] + (x + 1) / 2 * step).ravel(), (w / 2 * step).ravel()


def _cell(places: Array, at: Array) -> Index:
    found = np.searchsorted(places, at, side="right") - 1
    return np.clip(found, 0, len(places) - 2).astype(np.int64)
