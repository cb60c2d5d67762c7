"""Forces and moments in a spherical dome, in balance with its loads whatever their unknowns.

Middle surface: a sphere of radius R about the axis, s up the meridian from the springing, t the turn
from the axis about which the load is its own mirror image, a the lean from level, r = R sin a. Forces
N and moments M act by unit length along the meridian (ss), round the ring (tt) and in shear (st); N is
negative where it presses, M positive where it stretches the outer face. Two parts are added:

* *held*: each lune carries its own load down to the springing as a cantilever, in balance but much too
  strong for masonry;
* *own*: from three stress functions, up the meridian (u), round (v) and outward (w), which hold the
  balance without any load:

      N_ss = k_tt / r        N_tt = k_ss        N_st = (o sin a - k_st) / r
      M_ss = -e_tt / r       M_tt = -e_ss       M_st = (e_st / r + e_ts) / 2
      e_ss = u' + w/R        e_tt = v. - u cos a + w sin a
      e_st = u. + v cos a    e_ts = v'          o = (e_st / r - e_ts) / 2
      k_ss = u'/R - w''      k_tt = -(w.. - v. sin a)/r - cos a (u/R - w')
      k_st = u./R - w'. - cos a (w. - v sin a)/r

  (' by s, . by t). Values of u, v, w and slopes of w have to join; slopes of u and v need not.

On the free rim of the oculus u = v = w = w' = 0: nothing passes. At the springing they are free.

Source: the static-geometric analogy of shells (Gol'denveizer 1961, "Theory of Elastic Thin Shells";
Lur'e 1940), from memory; :mod:`timbrel.statics.forces_check` tries the balance by virtual work.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.forces_pieces import Array, Index, Pieces
from timbrel.statics.mechanism_dome_field import length_of, meridian_of
from timbrel.statics.mechanism_dome_loads import DomeLoads

DEGREE = 4
PANELS = 40  # parts of a lune over which its load is summed
GAUSS = 4
ROUND = 1e-6  # of the curvature: what a meridian may stray from a circle about the axis
SEARCHED = 9  # places at which that is tried


@dataclass(frozen=True)
class Sphere:
    """The middle surface: radius, lean at the springing, slant length up to the oculus, m."""

    radius: float
    foot: float
    length: float

    def lean(self, s: Array) -> Array:
        return np.asarray(self.foot - s / self.radius)


def sphere_of(vault: Any) -> Sphere | None:
    """A dome with an oculus over a sphere; None for any other."""
    if vault.family != "dome" or not vault.oculus:
        return None
    length = length_of(vault)
    middle = meridian_of(vault, np.linspace(0.0, length, SEARCHED))
    curve = float(middle.curve[0])
    round_ = np.abs(middle.curve - curve).max(), np.abs(np.sin(middle.lean) / middle.radius - curve)
    if max(round_[0], round_[1].max()) > ROUND * curve:
        return None
    return Sphere(1 / curve, float(middle.lean[0]), length)


@dataclass(frozen=True)
class ForceField:
    """Stress functions over cells between slants (m, from nil) and turns (from nil to pi)."""

    sphere: Sphere
    slants: Array
    turns: Array
    degree: int = DEGREE

    def _pieces(self, slopes: int) -> tuple[Pieces, Pieces]:
        return Pieces(self.slants, self.degree, slopes), Pieces(self.turns, self.degree, slopes)

    def _tables(self) -> tuple[list[Index], int]:
        """Numbers (along, round) of the unknowns of u, v and w, and how many there are; -1: held at
        nil by the free rim, or by the mirror."""
        tables, size = [], 0
        for part, slopes in enumerate((0, 0, 1)):
            along, across = self._pieces(slopes)
            rows, columns = along.count - 1 - slopes, np.arange(across.count)
            kept = np.ones(len(columns), bool)
            if part == 1:
                kept[[0, -1]] = False  # odd about the axis
            if slopes:
                columns[[0, -1]] = columns[[1, -2]]  # level across the axis
            _, number = np.unique(columns[kept], return_inverse=True)
            table = np.full((along.count, across.count), -1, np.int64)
            table[:rows, kept] = size + np.arange(rows)[:, None] * (number.max() + 1) + number
            size = int(table.max()) + 1
            tables.append(table)
        return tables, size

    @property
    def size(self) -> int:
        return self._tables()[1]

    def own(self, at: tuple[Array, Array], cell: tuple[Index, Index]) -> tuple[Array, Index]:
        """The own part by its unknowns.

        at, cell: slants and turns (n,) and the cells they are in. Returns (6, n, k) of N_ss, N_tt,
        N_st, M_ss, M_tt, M_st, and the numbers (n, k) of the unknowns, -1 for none.
        """
        tables, _ = self._tables()
        shapes, numbers = [], []
        for part, slopes in enumerate((0, 0, 1)):
            by_s, by_t = self._pieces(slopes)
            along, across = by_s.values(at[0], cell[0]), by_t.values(at[1], cell[1])
            shapes.append(np.einsum("dna,enb->denab", along, across))
            rows = by_s.first(cell[0])[:, None] + np.arange(by_s.local)
            columns = by_t.first(cell[1])[:, None] + np.arange(by_t.local)
            found = tables[part][rows[:, :, None], columns[:, None, :]]
            numbers.append(found.reshape(len(at[0]), -1))
        flat = [one.reshape(3, 3, len(at[0]), -1) for one in shapes]
        return self._forces(at[0], *flat), np.concatenate(numbers, axis=1)

    def _forces(self, s: Array, u: Array, v: Array, w: Array) -> Array:
        """(6, n, k) by the shapes (3, 3, n, k) of the parts and their derivatives (by s, by t)."""
        sin, cos = (f(self.sphere.lean(s))[:, None] for f in (np.sin, np.cos))
        k = 1 / self.sphere.radius
        r = sin / k
        none = np.zeros_like(u[0, 0])

        def joined(by_u: Array, by_v: Array, by_w: Array) -> Array:
            return np.concatenate([by_u, by_v, by_w], axis=1)

        e_ss = joined(u[1, 0], none, k * w[0, 0])
        e_tt = joined(-cos * u[0, 0], v[0, 1], sin * w[0, 0])
        e_st = joined(u[0, 1], cos * v[0, 0], none)
        e_ts = joined(none, v[1, 0], none)
        k_ss = joined(k * u[1, 0], none, -w[2, 0])
        k_tt = joined(-cos * k * u[0, 0], sin / r * v[0, 1], cos * w[1, 0] - w[0, 2] / r)
        k_st = joined(k * u[0, 1], cos * sin / r * v[0, 0], -w[1, 1] - cos / r * w[0, 1])
        spin = (e_st / r - e_ts) / 2
        return np.stack(
            [
                k_tt / r,
                k_ss,
                (spin * sin - k_st) / r,
                -e_tt / r,
                -e_ss,
                (e_st / r + e_ts) / 2,
            ]
        )


def held(loads: DomeLoads, sphere: Sphere, s: Array, turn: Array) -> tuple[Array, Array]:
    """The held part (2, n) of the dead and of the live load at slants and turns (n,): N_ss and M_ss of
    the lunes as cantilevers; all else is nil."""
    found = np.zeros((2, 2, len(s)))
    edge = _floor_edge(loads, sphere)
    slants, back = np.unique(s, return_inverse=True)
    order = np.argsort(back, kind="stable")
    for one, some in zip(slants, np.split(order, np.cumsum(np.bincount(back))[:-1]), strict=True):
        turns, which = np.unique(turn[some], return_inverse=True)
        for k, part in enumerate(_cantilever(loads, sphere, (float(one), edge), turns)):
            found[k][:, some] = part[:, which]
    return found[0], found[1]


def _cantilever(
    loads: DomeLoads, sphere: Sphere, above: tuple[float, float], turn: Array
) -> tuple[Array, Array]:
    """N_ss and M_ss (2, m) over a slant under the dead and the live load; above: that slant, and the
    one at which the floor ends."""
    thickness = float(loads.vault.thickness)
    ends = np.linspace(above[0], sphere.length, PANELS + 1)
    if above[0] < above[1]:
        ends = np.union1d(ends, above[1])
    x, weight = np.polynomial.legendre.leggauss(GAUSS)
    step = np.diff(ends)[:, None]
    at, piece = (ends[:-1, None] + (x + 1) / 2 * step).ravel(), (weight / 2 * step).ravel()
    middle = meridian_of(loads.vault, at)
    sine, rim_sine = np.sin(sphere.lean(np.array([above[0], sphere.length])))
    own, rim = sphere.radius * sine, sphere.radius * rim_sine
    arm = own - middle.radius
    depths, shares = np.polynomial.legendre.leggauss(2)
    dead: list[tuple[Array, float]] = [
        (loads.shell(middle, z * thickness / 2) * share * thickness / 2, float(z * thickness / 2))
        for z, share in zip(depths, shares, strict=True)
    ]
    dead.append((loads.above(middle), thickness / 2))
    down = sum(float(piece @ q) for q, _ in dead) + loads.rim
    # What lies over the middle stands further out than the middle does.
    turned = sum(float(piece @ (q * (arm - z * np.sin(middle.lean)))) for q, z in dead)
    turned += loads.rim * (own - rim)
    live = piece[:, None] * loads.live(middle, turn)
    on, bent = live.sum(axis=0), (live * arm[:, None]).sum(axis=0)
    one = np.ones(len(turn))
    return (
        np.stack([-down * sine / own * one, turned / own * one]),
        np.stack([-on * sine / own, bent / own]),
    )


def _floor_edge(loads: DomeLoads, sphere: Sphere) -> float:
    """Slant up to which the shell hangs over its wall and carries no floor."""
    sine = BlockSolid(loads.vault).reach / sphere.radius
    return float(np.clip((sphere.foot - np.arcsin(min(sine, 1.0))) * sphere.radius, 0.0, np.inf))
