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

from timbrel.statics.mechanism_splines import LOCAL, Array, Index, open_splines, round_splines

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
    """The unknowns: cells along the meridian and round half a ring. length: slant, m. foot: lean at
    the springing."""

    along: int
    around: int
    length: float
    foot: float

    @property
    def size(self) -> int:
        return PARTS * (self.along + 2) * self.around

    @property
    def free(self) -> NDArray[np.bool_]:
        """(size,) unknowns that are free: those of the springing are out alone, which stands for how
        fast the shell moves up along the meridian there."""
        found = np.ones((self.around, self.along + 2, PARTS), bool)
        found[:, 0, 1:] = False
        return found.ravel()

    def own(self, s: Array, turn: Array, moved: Array) -> Array:
        """What unknowns do to points (n, ..., OWN), from what the splines do: an odd part changes its
        sign beyond the mirror, and at the springing nothing moves round the ring or square to the
        surface, but the joint may open or shut along the meridian."""
        _, image, _ = round_splines(self.around, turn)
        i, _ = open_splines(self.along, self.length, s)
        shape = (len(s),) + (1,) * (moved.ndim - 2)
        found = moved.reshape(*moved.shape[:-1], LOCAL, LOCAL, PARTS).copy()
        found[..., 1] *= image.reshape(*shape, 1, LOCAL)
        foot = (i == 0).reshape(*shape, LOCAL, 1)
        along = np.sin(self.foot) * found[..., 2] - np.cos(self.foot) * found[..., 0]
        found[..., 0] = np.where(foot, along, found[..., 0])
        for part in (1, 2):
            found[..., part] = np.where(foot, 0.0, found[..., part])
        return np.asarray(found.reshape(moved.shape))

    def numbers(self, s: Array, turn: Array) -> Index:
        """(n, OWN) unknowns that move points."""
        i, _ = open_splines(self.along, self.length, s)
        j, _, _ = round_splines(self.around, turn)
        number = (j[:, None, :] * (self.along + 2) + i[:, :, None])[..., None] * PARTS
        return np.asarray((number + np.arange(PARTS)).reshape(-1, OWN))

    def motions(self, s: Array, turn: Array) -> dict[tuple[int, int], Array]:
        """Derivatives of V, by (along, round): (n, 3, OWN), parts out, round and up, by the
        unknowns."""
        _, by_s = open_splines(self.along, self.length, s)
        _, _, by_turn = round_splines(self.around, turn)
        found = {}
        for d, e in ((0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (0, 2)):
            own = np.einsum("na,nb->nab", by_s[d], by_turn[e])
            moved = np.einsum("nab,pq->npabq", own, np.eye(PARTS)).reshape(-1, PARTS, OWN)
            found[d, e] = self.own(s, turn, moved)
        return found


@dataclass(frozen=True)
class Stretch:
    """How unknowns (OWN,) stretch points: rates along, round and in shear, even and by the depth,
    before they are divided by the length of the fibre there. even, tilt: (n, 4, OWN): U,s . s^,
    U,turn . round, U,turn . s^, U,s . round."""

    even: Array
    tilt: Array
    radius: Array
    lean: Array
    curve: Array

    def at(self, depth: float) -> Array:
        """(n, 3, OWN) stretch along, round, shear at a depth (m) over the middle."""
        run = self.even + depth * self.tilt
        by_s = (1 / (1 + depth * self.curve))[:, None]
        by_turn = (1 / (self.radius + depth * np.sin(self.lean)))[:, None]
        shear = run[:, 2] * by_turn + run[:, 3] * by_s
        return np.stack([run[:, 0] * by_s, run[:, 1] * by_turn, shear], axis=1)

    def size(self, depth: float) -> Array:
        """(n,) volume at a depth by unit slant, turn and depth, m."""
        return np.asarray((1 + depth * self.curve) * (self.radius + depth * np.sin(self.lean)))


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
        np.stack(even, axis=1),
        np.stack(tilt, axis=1),
        middle.radius,
        middle.lean,
        middle.curve,
    )


def sinking_of(field: DomeField, middle: Meridian, s: Array, turn: Array, depth: float) -> Array:
    """(n, OWN) how fast points at a depth over the middle sink."""
    v = field.motions(s, turn)
    sin, cos = np.sin(middle.lean)[:, None], np.cos(middle.lean)[:, None]
    b = -(v[1, 0][:, 0] * sin + v[1, 0][:, 2] * cos)
    return np.asarray(-(v[0, 0][:, 2] + depth * b * sin))


def opening_of(field: DomeField, turn: Array, depth: float) -> Array:
    """(n, OWN) how fast the springing joint opens at a depth over the middle."""
    v = field.motions(np.zeros(len(turn)), turn)
    sin, cos = np.sin(field.foot), np.cos(field.foot)
    along = v[0, 0][:, 2] * sin - v[0, 0][:, 0] * cos
    return np.asarray(along - depth * (v[1, 0][:, 0] * sin + v[1, 0][:, 2] * cos))
