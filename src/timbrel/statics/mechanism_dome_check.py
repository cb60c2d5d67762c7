"""The motion of a dome, re-read: what it crushes, measured in space.

Imports neither the price nor the stretch that proposed it. The velocities of points on surfaces over
and under the middle are told in space, and stretch is what small steps between such points find; so a
fault in the formulas for stretch comes out, and whether anything slides through the depth is looked at
too. Summed over points and depths of its own, closer than the proposal's, by the trapezoid rule: finer
sums tell less. The work of the loads is summed afresh from how fast points sink in space.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.mechanism_dome_field import DomeField, meridian_of
from timbrel.statics.mechanism_dome_loads import DomeLoads, cells_of, middles
from timbrel.statics.mechanism_splines import Array

FINE = 8  # even parts each way of a cell
LAYERS = 65
STEP = 1e-5  # m, between points whose velocities are compared
_STEPS = ((STEP, 0.0), (0.0, STEP))
SLIDES = 1e-4  # of the greatest stretch: what may slide through the depth


@dataclass(frozen=True)
class DomeReport:
    """dead, live: work of the loads, N m. price: work of crushing. slides: greatest shear through the
    depth by the greatest stretch, nil but for rounding. factor: load factor that is proved."""

    dead: float
    live: float
    price: float
    slides: float

    @property
    def factor(self) -> float:
        return float((self.price - self.dead) / self.live) if self.live > 0 else np.inf

    @property
    def sound(self) -> bool:
        """Does the load sink, and nothing slide."""
        return self.live > 0 and self.slides <= SLIDES and bool(np.isfinite(self.price))


def check_dome(loads: DomeLoads, field: DomeField, motion: Array, strength: float) -> DomeReport:
    """What a motion (unknowns,) costs beside the work of the dead and the live load."""
    vault = loads.vault
    s, by_s = _evenly(field.slants)
    turn, by_turn = _evenly(field.turns)
    s = np.clip(s, STEP, field.length - STEP)
    piece = 2 * (by_s[:, None] * by_turn).ravel()
    depths = -np.cos(np.linspace(0, np.pi, LAYERS)) * vault.thickness / 2
    part = np.diff(depths) / 2
    parts = np.pad(part, (1, 0)) + np.pad(part, (0, 1))
    here = _moved(vault, field, motion, s, turn)
    behind, ahead = (
        [_moved(vault, field, motion, s + k * ds, turn + k * dt) for ds, dt in _STEPS]
        for k in (-1, 1)
    )
    ends = list(zip(behind, ahead, strict=True))
    # Places and velocities are linear in the depth: what is told on the middle and a metre over it.
    run = [
        ((b.middle - a.middle) / (2 * STEP), (b.normal - a.normal) / (2 * STEP)) for a, b in ends
    ]
    run.append((here.normal, np.zeros_like(here.normal)))
    gain = [
        ((b.velocity - a.velocity) / (2 * STEP), (b.tilt - a.tilt) / (2 * STEP)) for a, b in ends
    ]
    gain.append((here.tilt, np.zeros_like(here.tilt)))
    length = [[_by_depth(one, one) for one in run[:2]], [_by_depth(run[2], run[2])]]
    rates = [[_by_depth(g, r) for r in run] for g in gain]
    price, slides, most = 0.0, 0.0, 1e-300
    for z, thick in zip(depths, parts, strict=True):
        powers = np.array([1.0, z, z * z])
        long = [np.sqrt(powers @ own) for own in (*length[0], *length[1])]
        rate = [[powers @ rates[a][b] / long[a] / long[b] for b in range(3)] for a in range(3)]
        along, across, shear = rate[0][0], rate[1][1], (rate[0][1] + rate[1][0]) / 2
        radius = np.hypot((along - across) / 2, shear)
        shut = sum(np.maximum(-((along + across) / 2 + x), 0.0) for x in (radius, -radius))
        price += strength * thick * float((piece * long[0] * long[1] * shut).sum())
        through = [rate[0][2] + rate[2][0], rate[1][2] + rate[2][1], rate[2][2]]
        slides = max(slides, *(float(np.abs(t).max()) for t in through))
        most = max(most, float(np.abs(along).max()), float(np.abs(across).max()))
    foot = _moved(vault, field, motion, np.zeros(1), turn)
    for z, thick in zip(depths, parts, strict=True):
        ring = np.hypot(*foot.place(z)[:, :2].T)
        shut = _shuts(field, foot, motion, turn, z)
        price += strength * thick * float((2 * by_turn * ring * shut).sum())
    return DomeReport(*_worked(loads, field, motion), price, slides / most)


def _worked(loads: DomeLoads, field: DomeField, motion: Array) -> tuple[float, float]:
    """Work of the dead and of the live load, by how fast each point sinks in space."""
    (s, by_s), (turn, by_turn) = (middles(a, FINE) for a in cells_of(loads, field))
    here = _moved(loads.vault, field, motion, s, turn)
    middle, shape = meridian_of(loads.vault, s), (len(s), len(turn))
    piece = 2 * by_s[:, None] * by_turn

    def work(load: Array, depth: float) -> float:
        return float(-(piece * load * here.speed(depth)[:, 2].reshape(shape)).sum())

    thick = float(loads.vault.thickness)
    dead = work(loads.above(middle)[:, None], thick / 2)
    for z, part in zip(*np.polynomial.legendre.leggauss(2), strict=True):
        depth = z * thick / 2
        dead += work(loads.shell(middle, depth)[:, None] * part * thick / 2, depth)
    if loads.rim:
        edge = _moved(loads.vault, field, motion, np.array([field.length]), turn)
        dead -= 2 * loads.rim * float(by_turn @ edge.velocity[:, 2])
    return dead, work(loads.live(middle, turn), 0.0)


def _evenly(places: Array) -> tuple[Array, Array]:
    """Ends of FINE even parts of each cell, and what each stands for by the trapezoid rule."""
    step = np.repeat(np.diff(places), FINE) / FINE
    at = np.concatenate([[places[0]], places[0] + np.cumsum(step)])
    return at, (np.pad(step, (1, 0)) + np.pad(step, (0, 1))) / 2


def _by_depth(a: tuple[Array, Array], b: tuple[Array, Array]) -> Array:
    """(3, n) the dot product of two vectors that are linear in the depth, by its powers."""
    return np.stack(
        [
            np.einsum("nk,nk->n", a[0], b[0]),
            np.einsum("nk,nk->n", a[0], b[1]) + np.einsum("nk,nk->n", a[1], b[0]),
            np.einsum("nk,nk->n", a[1], b[1]),
        ]
    )


@dataclass(frozen=True)
class _Moved:
    """Points (n, 3) of the middle surface in space, the unit way square to it, their velocities, and
    what points a metre over them have beside that."""

    middle: Array
    normal: Array
    velocity: Array
    tilt: Array

    def place(self, depth: float) -> Array:
        return np.asarray(self.middle + depth * self.normal)

    def speed(self, depth: float) -> Array:
        return np.asarray(self.velocity + depth * self.tilt)


def _moved(vault: Any, field: DomeField, motion: Array, s: Array, turn: Array) -> _Moved:
    """Every slant by every turn."""
    v = {key: part.reshape(-1, 3) for key, part in field.moved(motion, s, turn).items()}
    by_s = meridian_of(vault, s)
    radius, level, lean = (np.repeat(a, len(turn)) for a in (by_s.radius, by_s.level, by_s.lean))
    turn = np.tile(turn, len(s))
    out = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    on = np.stack([-np.sin(turn), np.cos(turn), 0 * turn], axis=1)
    up = np.array([0.0, 0.0, 1.0])
    sin, cos = np.sin(lean)[:, None], np.cos(lean)[:, None]
    normal, way = sin * out + cos * up, sin * up - cos * out

    def space(part: Array) -> Array:
        return np.asarray(part[:, :1] * out + part[:, 1:2] * on + part[:, 2:] * up)

    by_turn = space(v[0, 1]) + v[0, 0][:, :1] * on - v[0, 0][:, 1:2] * out
    tilt = -np.einsum("nk,nk->n", space(v[1, 0]), normal)[:, None] * way
    tilt -= (np.einsum("nk,nk->n", by_turn, normal) / radius)[:, None] * on
    place = radius[:, None] * out + level[:, None] * up
    return _Moved(place, normal, space(v[0, 0]), tilt)


def _shuts(field: DomeField, foot: _Moved, motion: Array, turn: Array, depth: float) -> Array:
    """(n,) what the springing joint takes by unit of strength and area: opened by d and slid round by
    c, (|(d, c)| - d)/2; without bound where it slides square to the shell."""
    speed = foot.speed(depth)
    sin, cos = np.sin(field.foot), np.cos(field.foot)
    out = speed[:, 0] * np.cos(turn) + speed[:, 1] * np.sin(turn)
    on = speed[:, 1] * np.cos(turn) - speed[:, 0] * np.sin(turn)
    opens, lifts = speed[:, 2] * sin - out * cos, out * sin + speed[:, 2] * cos
    size = max(float(np.abs(motion).max()), 1e-300)
    return np.where(np.abs(lifts) > SLIDES * size, np.inf, (np.hypot(opens, on) - opens) / 2)
