"""The motion of a dome, re-read: what it crushes, measured in space.

Imports neither the price nor the stretch that proposed it. The velocities of points on surfaces over
and under the middle are told in space, and stretch is what small steps between such points find; so a
fault in the formulas for stretch comes out, and whether anything slides through the depth is looked at
too. Summed over points of its own, closer than the proposal's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.statics.mechanism_dome_field import DomeField, meridian_of
from timbrel.statics.mechanism_splines import Array

FINE = 9  # points each way of a cell, at even steps: more find a thousandth more
LAYERS = 17
STEP = 1e-5  # m, between points whose velocities are compared
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
        return (self.price - self.dead) / self.live if self.live > 0 else np.inf

    @property
    def sound(self) -> bool:
        """Does the load sink, and nothing slide."""
        return self.live > 0 and self.slides <= SLIDES and bool(np.isfinite(self.price))


def check_dome(
    vault: Any, field: DomeField, motion: Array, strength: float, work: tuple[float, float]
) -> DomeReport:
    """What a motion (unknowns,) costs beside the work of the dead and the live load."""
    count = field.along * FINE, field.around * FINE
    s = (np.arange(count[0]) + 0.5) * field.length / count[0]
    turn = (np.arange(count[1]) + 0.5) * np.pi / count[1]
    at, on = (a.ravel() for a in np.meshgrid(s, turn, indexing="ij"))
    piece = 2 * field.length / count[0] * np.pi / count[1]
    depths = -np.cos(np.linspace(0, np.pi, LAYERS)) * vault.thickness / 2
    part = np.diff(depths) / 2
    parts = np.pad(part, (1, 0)) + np.pad(part, (0, 1))
    beside = [
        (
            _moved(vault, field, motion, at - ds, on - dt),
            _moved(vault, field, motion, at + ds, on + dt),
        )
        for ds, dt in ((STEP, 0.0), (0.0, STEP))
    ]
    here = _moved(vault, field, motion, at, on)
    price, slides, most = 0.0, 0.0, 1e-300
    for z, thick in zip(depths, parts, strict=True):
        run = [(b.place(z) - a.place(z)) / (2 * STEP) for a, b in beside] + [here.normal]
        speed = [(b.speed(z) - a.speed(z)) / (2 * STEP) for a, b in beside] + [here.tilt]
        long = [np.linalg.norm(r, axis=1) for r in run]
        rate = [
            [np.einsum("nk,nk->n", speed[a], run[b]) / long[a] / long[b] for b in range(3)]
            for a in range(3)
        ]
        along, across, shear = rate[0][0], rate[1][1], (rate[0][1] + rate[1][0]) / 2
        radius = np.hypot((along - across) / 2, shear)
        shut = sum(np.maximum(-((along + across) / 2 + x), 0.0) for x in (radius, -radius))
        price += strength * float((long[0] * long[1] * shut).sum()) * piece * thick
        through = [rate[0][2] + rate[2][0], rate[1][2] + rate[2][1], rate[2][2]]
        slides = max(slides, *(float(np.abs(t).max()) for t in through))
        most = max(most, float(np.abs(along).max()), float(np.abs(across).max()))
    foot = _moved(vault, field, motion, np.zeros(count[1]), turn)
    for z, thick in zip(depths, parts, strict=True):
        shut = np.maximum(-_opens(field, foot, motion, turn, z), 0.0)
        ring = np.hypot(*foot.place(z)[:, :2].T)
        price += strength * float((shut * ring).sum()) * 2 * np.pi / count[1] * thick
    return DomeReport(*work, price, slides / most)


@dataclass(frozen=True)
class _Moved:
    """Points (n, 3) of the middle surface in space, the unit way square to it, their velocities, and
    those of points a metre over them beside that."""

    middle: Array
    normal: Array
    velocity: Array
    tilt: Array

    def place(self, depth: float) -> Array:
        return np.asarray(self.middle + depth * self.normal)

    def speed(self, depth: float) -> Array:
        return np.asarray(self.velocity + depth * self.tilt)


def _moved(vault: Any, field: DomeField, motion: Array, s: Array, turn: Array) -> _Moved:
    middle = meridian_of(vault, s)
    own = motion[field.numbers(s, turn)]
    v = {key: np.einsum("npu,nu->np", move, own) for key, move in field.motions(s, turn).items()}
    out = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    on = np.stack([-np.sin(turn), np.cos(turn), 0 * turn], axis=1)
    up = np.array([0.0, 0.0, 1.0])
    sin, cos = np.sin(middle.lean)[:, None], np.cos(middle.lean)[:, None]
    normal, way = sin * out + cos * up, sin * up - cos * out

    def space(part: Array) -> Array:
        return np.asarray(part[:, :1] * out + part[:, 1:2] * on + part[:, 2:] * up)

    by_turn = space(v[0, 1]) + v[0, 0][:, :1] * on - v[0, 0][:, 1:2] * out
    tilt = -np.einsum("nk,nk->n", space(v[1, 0]), normal)[:, None] * way
    tilt -= (np.einsum("nk,nk->n", by_turn, normal) / middle.radius)[:, None] * on
    place = middle.radius[:, None] * out + middle.level[:, None] * up
    return _Moved(place, normal, space(v[0, 0]), tilt)


def _opens(field: DomeField, foot: _Moved, motion: Array, turn: Array, depth: float) -> Array:
    """(n,) how fast the springing joint opens; it shuts without bound where it slides."""
    speed = foot.speed(depth)
    sin, cos = np.sin(field.foot), np.cos(field.foot)
    out = speed[:, 0] * np.cos(turn) + speed[:, 1] * np.sin(turn)
    on = speed[:, 1] * np.cos(turn) - speed[:, 0] * np.sin(turn)
    slid = np.hypot(on, out * sin + speed[:, 2] * cos)
    size = max(float(np.abs(motion).max()), 1e-300)
    return np.where(slid > SLIDES * size, -np.inf, speed[:, 2] * sin - out * cos)
