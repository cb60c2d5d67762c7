"""A dome that opens all over: velocities told by splines, and how fast they stretch the masonry.

The middle surface moves by V = R out + T round + Z up, told along the meridian (s, from the springing
up) and round half a ring (turn, from an axis about which load and motion are their own mirror
image). Lines square to the middle surface stay square and keep their length, so that nothing slides
through the thickness, and a point at depth z moves by U = V + z (b s^ + c round), b and c the slopes
at which the surface tilts. With the lean a of the surface and its curvature k along the meridian
(n = sin a out + cos a up, s^ = sin a up - cos a out),

    b = -V,s . n                         c = -V,turn . n / r
    stretch along   (U,s . s^)/(1 + k z)         stretch round   (U,turn . round)/(r + z sin a)
    shear           (U,turn . s^)/(r + z sin a) + (U,s . round)/(1 + k z),

exact at every depth. Source: Kirchhoff's lines on a shell of revolution (Flügge 1973, "Stresses in
Shells", from memory); derived here by differentiating U.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.mechanism_splines import (
    DEGREE,
    LOCAL,
    Array,
    Index,
    cell_of,
    every,
    local,
    mirror,
    mirrored_knots,
    open_knots,
)

PARTS = 3  # out, round, up
OWN = LOCAL * LOCAL * PARTS  # unknowns that move a cell


@dataclass(frozen=True)
class Meridian:
    """The middle surface at places (n,) along the meridian: radius, level, lean from level, and
    curvature along it (1/m)."""

    radius: Array
    level: Array
    lean: Array
    curve: Array


def meridian_of(vault: Any, at: Array) -> Meridian:
    """The middle surface of a dome at slant lengths (n,) from its springing."""
    depth = vault.thickness / 2
    at, back = np.unique(at, return_inverse=True)
    u = vault.ring_at(at, depth)
    rings = vault.rings(u, depth)
    bent = np.asarray(vault.base.jet(u * vault.patch.upto)[2])
    curve = bent / (1 + (depth + vault.shift) * bent)
    return Meridian(*(a[back] for a in (rings.radius, rings.level, rings.lean, curve)))


def length_of(vault: Any) -> float:
    """Slant length of the middle surface from springing to oculus, m."""
    return float(vault.rings(np.array([1.0]), vault.thickness / 2).slant[0])


@dataclass(frozen=True)
class DomeField:
    """The unknowns: cells between slants (m, from nil) along the meridian and between turns (from nil
    to pi) round half a ring. foot: lean at the springing."""

    slants: Array
    turns: Array
    foot: float

    @property
    def along(self) -> int:
        return len(self.slants) - 1

    @property
    def around(self) -> int:
        return len(self.turns) - 1

    @property
    def length(self) -> float:
        return float(self.slants[-1])

    @property
    def rows(self) -> int:
        """Splines along the meridian."""
        return self.along + DEGREE

    @property
    def size(self) -> int:
        return PARTS * self.rows * (self.around + 1)

    @property
    def free(self) -> NDArray[np.bool_]:
        """(size,) unknowns that move something. At the springing, out stands for how fast the shell
        moves up along the meridian, and nothing moves square to the surface; on the axis of the
        mirror nothing moves round the ring."""
        found = np.ones((self.around + 1, self.rows, PARTS), bool)
        found[:, 0, 2] = False
        found[[0, -1], :, 1] = False
        return found.ravel()

    def numbers(self, s: Array, turn: Array) -> Index:
        """(n, OWN) unknowns that move points."""
        i = cell_of(self.slants, s)[:, None] + np.arange(LOCAL)
        j = mirror(self.around)[0][cell_of(self.turns, turn)[:, None] + np.arange(LOCAL)]
        number = (j[:, None, :] * self.rows + i[:, :, None])[..., None] * PARTS
        return np.asarray((number + np.arange(PARTS)).reshape(-1, OWN))

    def motions(self, s: Array, turn: Array) -> dict[tuple[int, int], Array]:
        """Derivatives of V, by (along, round): (n, 3, OWN), parts out, round and up, by the
        unknowns."""
        cell, row = cell_of(self.turns, turn), cell_of(self.slants, s)
        by_s = local(open_knots(self.slants), s, row)
        by_turn = local(mirrored_knots(self.turns), turn, cell)
        odd = mirror(self.around)[1][cell[:, None] + np.arange(LOCAL)]
        sin, cos = np.sin(self.foot), np.cos(self.foot)
        held = np.flatnonzero(row == 0)
        found = {}
        for d, e in ((0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (0, 2)):
            own = by_s[d][:, :, None] * by_turn[e][:, None, :]
            moved = np.zeros((len(s), PARTS, LOCAL, LOCAL, PARTS))
            moved[:, 0, :, :, 0] = moved[:, 2, :, :, 2] = own
            moved[:, 1, :, :, 1] = own * odd[:, None, :]
            moved[held, 0, 0, :, 0] *= -cos
            moved[held, 2, 0, :, 0] = own[held, 0] * sin
            moved[held, 2, 0, :, 2] = 0.0
            found[d, e] = moved.reshape(-1, PARTS, OWN)
        return found

    def moved(self, motion: Array, s: Array, turn: Array) -> dict[tuple[int, int], Array]:
        """Derivatives of V by a motion (size,) at every slant (n,) by every turn (m,): (n, m, 3)."""
        own = motion.reshape(self.around + 1, self.rows, PARTS).copy()
        up = own[:, 0, 0] * np.sin(self.foot)
        own[:, 0, 0] *= -np.cos(self.foot)
        own[:, 0, 2] = up
        number, odd = mirror(self.around)
        own = own[number]
        own[..., 1] *= odd[:, None]
        by_s, by_turn = every(open_knots(self.slants), s), every(mirrored_knots(self.turns), turn)
        return {
            (d, e): np.einsum("ni,mj,jip->nmp", by_s[d], by_turn[e], own, optimize=True)
            for d, e in ((0, 0), (1, 0), (0, 1))
        }

    def pushed(self, s: Array, turn: Array, lean: Array, load: Array, depth: float) -> Array:
        """(size,) work over unit motions of plumb loads (n, m) at every slant (n,) by every turn
        (m,), at a depth over the middle of a surface of this lean (n,)."""
        by_s, by_turn = every(open_knots(self.slants), s), every(mirrored_knots(self.turns), turn)
        sin, cos = np.sin(lean)[:, None], np.cos(lean)[:, None]
        # What is at a depth sinks by -(up - depth (V,s . n) sin a).
        parts = {0: depth * sin * sin * load, 2: depth * cos * sin * load}
        own = np.zeros((len(by_turn[0][0]), self.rows, PARTS))
        for part, tilted in parts.items():
            own[..., part] = np.einsum("ni,nm,mj->ji", by_s[1], tilted, by_turn[0], optimize=True)
        own[..., 2] -= np.einsum("ni,nm,mj->ji", by_s[0], load, by_turn[0], optimize=True)
        number, _ = mirror(self.around)
        found = np.zeros((self.around + 1, self.rows, PARTS))
        np.add.at(found, number, own)
        found[:, 0, 0] = found[:, 0, 2] * np.sin(self.foot) - found[:, 0, 0] * np.cos(self.foot)
        found[:, 0, 2] = 0.0
        return found.ravel()


def even_field(vault: Any, cells: tuple[int, int]) -> DomeField:
    """Cells of one size, so many along the meridian and round half a ring."""
    return DomeField(
        np.linspace(0.0, length_of(vault), cells[0] + 1),
        np.linspace(0.0, np.pi, cells[1] + 1),
        float(vault.rings(np.zeros(1)).lean[0]),
    )


@dataclass(frozen=True)
class Stretch:
    """How unknowns stretch points, before that is divided by the length of the fibre there. run:
    (n, 8, OWN), four on the middle surface and what a metre over it adds to each: U,s . s^,
    U,turn . round, U,turn . s^, U,s . round."""

    run: Array
    radius: Array
    lean: Array
    curve: Array

    def shares(self, depth: Array) -> tuple[Array, Array]:
        """(n, depths) one over the length by unit slant and by unit turn of fibres at depths (m) over
        the middle."""
        along = 1 + depth * self.curve[:, None]
        return 1 / along, 1 / (self.radius[:, None] + depth * np.sin(self.lean)[:, None])


def stretch_of(field: DomeField, middle: Meridian, s: Array, turn: Array) -> Stretch:
    """The stretch of points of the middle surface and of the fibres over and under them."""
    r, k = middle.radius[:, None], middle.curve[:, None]
    sin, cos = np.sin(middle.lean)[:, None], np.cos(middle.lean)[:, None]
    v = field.motions(s, turn)

    def out(d: int, e: int) -> Array:
        return v[d, e][:, 0]

    def on(d: int, e: int) -> Array:
        return v[d, e][:, 1]

    def up(d: int, e: int) -> Array:
        return v[d, e][:, 2]

    turned = out(0, 1) - on(0, 0)
    square = turned * sin + up(0, 1) * cos
    b = -(out(1, 0) * sin + up(1, 0) * cos)
    c = -square / r
    along = up(1, 0) * sin - out(1, 0) * cos
    b_s = -(out(2, 0) * sin + up(2, 0) * cos) - k * along
    b_turn = -(out(1, 1) * sin + up(1, 1) * cos)
    c_turn = -((out(0, 2) - on(0, 1)) * sin + up(0, 2) * cos) / r
    square_s = (out(1, 1) - on(1, 0)) * sin + up(1, 1) * cos - k * turned * cos + k * up(0, 1) * sin
    c_s = -square_s / r - square * cos / r**2
    even = [along, on(0, 1) + out(0, 0), up(0, 1) * sin - turned * cos, on(1, 0)]
    tilt = [b_s, c_turn - cos * b, b_turn + cos * c, c_s]
    return Stretch(
        np.stack(even + tilt, axis=1),
        middle.radius,
        middle.lean,
        middle.curve,
    )


def joint_of(field: DomeField, turn: Array, radius: float) -> Array:
    """(n, 8, OWN) how the springing joint opens (first) and slides round the ring (fourth), on the
    middle and by a metre over it (four further on), told as a stretch: a joint is masonry of no
    length, whose opening is its stretch along and whose sliding its shear."""
    v = field.motions(np.zeros(len(turn)), turn)
    sin, cos = np.sin(field.foot), np.cos(field.foot)
    found = np.zeros((len(turn), 8, OWN))
    found[:, 0] = v[0, 0][:, 2] * sin - v[0, 0][:, 0] * cos
    found[:, 3] = v[0, 0][:, 1]
    found[:, 4] = -(v[1, 0][:, 0] * sin + v[1, 0][:, 2] * cos)
    turned = v[0, 1][:, 0] - v[0, 0][:, 1]
    found[:, 7] = -(turned * sin + v[0, 1][:, 2] * cos) / radius
    return found
