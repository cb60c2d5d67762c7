"""The motion whose crushing costs least for the work of a load: by a barrier that fades.

Masonry bears principal stresses between nil and -f, so a fibre that shortens at a rate e takes
f max(-e, 0) of work by unit volume, along each principal direction. The stress that makes the most
of e and of a barrier m (log p + log (f - p)), with p its pressure, costs a smooth

    max over 0 < p < f of  -p e + m (log p + log (f - p)),

which comes to the true price as m fades. Each m takes a few of Newton's steps; the price of the two
principal rates is that of the whole fibre (a spectral function). The motion that is found is only
proposed: what it costs is summed afresh elsewhere.

Sources: Nesterov and Nemirovskii 1994 (barriers); Boyd and Vandenberghe 2004, ch. 9 to 11 (Newton's
steps within a plane, barriers that fade); both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
FADES = 0.2  # share of the barrier that is left for the next round
STEPS = 7  # of Newton's in one round
CLOSE = 0.1  # decrement by unit of volume at which a round is done
ENOUGH = 1e-3  # of the price, which the last barrier may be worth
SHORTEST = 1e-4  # of a step


@dataclass(frozen=True)
class Fibres:
    """Masonry that stretches, in elements.

    number: (e, u) unknowns that move each. rate: (e, q, 3, u) stretch along, across and in shear by
    those. volume: (e, q) m3.
    """

    number: Index
    rate: Array
    volume: Array


@dataclass(frozen=True)
class Seams:
    """Joints that open: number (e, u), rate (e, q, u) of opening, area (e, q) m2."""

    number: Index
    rate: Array
    area: Array


@dataclass(frozen=True)
class Masonry:
    """What a motion costs: fibres and seams of a crushing strength (N/m2)."""

    fibres: Fibres
    seams: Seams
    strength: float
    unknowns: int

    @property
    def volume(self) -> float:
        return float(self.fibres.volume.sum())

    def price(self, motion: Array) -> float:
        """Work (N m) of crushing over a motion (unknowns,)."""
        first, second, *_ = principal(self.stretch(motion))
        shut = np.maximum(-first, 0.0) + np.maximum(-second, 0.0)
        seams = np.maximum(-self.opening(motion), 0.0)
        return float(
            self.strength * ((self.fibres.volume * shut).sum() + (self.seams.area * seams).sum())
        )

    def smoothed(self, motion: Array, barrier: float) -> float:
        """The price with a barrier (N/m2 by unit of rate)."""
        first, second, *_ = principal(self.stretch(motion))
        volume, area = self.fibres.volume, self.seams.area
        cost = _cost(first, barrier, self.strength)[0] + _cost(second, barrier, self.strength)[0]
        opening = _cost(self.opening(motion), barrier, self.strength)[0]
        return float((volume * cost).sum() + (area * opening).sum())

    def slopes(self, motion: Array, barrier: float) -> tuple[Array, Array]:
        """First (unknowns,) and second (reach + 1, unknowns) derivatives of the smoothed price; row d
        of the second tells those of unknowns d apart, by the lesser (the lower band)."""
        fibres, seams = self.fibres, self.seams
        first, second, cos, sin = principal(self.stretch(motion))
        _, slope_1, bend_1 = _cost(first, barrier, self.strength)
        _, slope_2, bend_2 = _cost(second, barrier, self.strength)
        way_1 = np.stack([(1 + cos) / 2, (1 - cos) / 2, sin / 2], axis=-1)
        way_2 = np.stack([(1 - cos) / 2, (1 + cos) / 2, -sin / 2], axis=-1)
        turn = np.stack([-sin, sin, cos], axis=-1) / 2
        apart = (first - second) / 2
        alike = apart <= 1e-12 * (np.abs(first) + np.abs(second))
        twist = np.where(
            alike, 2 * bend_1, (slope_1 - slope_2) / np.where(alike, 1.0, apart)
        )  # the directions turn: Danskin
        volume = fibres.volume
        slope = (volume * slope_1)[..., None] * way_1 + (volume * slope_2)[..., None] * way_2
        gradient = self._gathered(
            fibres.number, np.einsum("eqc,eqcu->eu", slope, fibres.rate, optimize=True)
        )
        curve = sum(
            (volume * weight)[..., None, None] * way[..., :, None] * way[..., None, :]
            for weight, way in ((bend_1, way_1), (bend_2, way_2), (twist, turn))
        )
        flat = (len(fibres.number), -1, fibres.number.shape[1])
        bent = np.matmul(curve, fibres.rate).reshape(flat)
        own = np.matmul(fibres.rate.reshape(flat).transpose(0, 2, 1), bent)
        hessian = self._spread(fibres.number, own)
        _, slope_j, bend_j = _cost(self.opening(motion), barrier, self.strength)
        gradient += self._gathered(
            seams.number, np.einsum("eq,equ->eu", seams.area * slope_j, seams.rate)
        )
        bent = (seams.area * bend_j)[..., None] * seams.rate
        hessian += self._spread(seams.number, np.matmul(seams.rate.transpose(0, 2, 1), bent))
        return gradient, hessian

    def stretch(self, motion: Array) -> Array:
        """(e, q, 3) of every fibre."""
        fibres = self.fibres
        own = motion[fibres.number]
        return np.asarray(np.einsum("eqcu,eu->eqc", fibres.rate, own, optimize=True))

    def opening(self, motion: Array) -> Array:
        """(e, q) of every seam."""
        own = motion[self.seams.number]
        return np.asarray(np.einsum("equ,eu->eq", self.seams.rate, own))

    def _gathered(self, number: Index, value: Array) -> Array:
        found = np.bincount(number.ravel(), value.ravel(), minlength=self.unknowns)
        return np.asarray(found, float)

    @cached_property
    def reach(self) -> int:
        """How far apart unknowns of one element are numbered."""
        return int(np.ptp(self.fibres.number, axis=1).max())

    def _spread(self, number: Index, value: Array) -> Array:
        apart = number[:, :, None] - number[:, None, :]
        lower = apart >= 0
        place = apart * self.unknowns + number[:, None, :]
        size = (self.reach + 1) * self.unknowns
        found = np.bincount(place[lower], value[lower], minlength=size)
        return np.asarray(found.reshape(self.reach + 1, self.unknowns), float)


def principal(stretch: Array) -> tuple[Array, Array, Array, Array]:
    """Principal rates of stretches (..., 3), the greater first, and the cosine and sine of twice
    the angle of its direction."""
    middle = (stretch[..., 0] + stretch[..., 1]) / 2
    half, shear = (stretch[..., 0] - stretch[..., 1]) / 2, stretch[..., 2] / 2
    radius = np.hypot(half, shear)
    some = radius > 0
    safe = np.where(some, radius, 1.0)
    return (
        middle + radius,
        middle - radius,
        np.where(some, half / safe, 1.0),
        np.where(some, shear / safe, 0.0),
    )


def _cost(rate: Array, barrier: float, strength: float) -> tuple[Array, Array, Array]:
    """The smoothed price of rates, and its first two derivatives."""
    x = rate * (strength / barrier)
    root = np.sqrt(x * x + 4)
    # Whichever of the two does not lose its digits.
    both = np.where(x > 0, x + root, 4 / (root - np.minimum(x, 0.0)))
    pressed, spare = 2 / (2 + both), both / (2 + both)
    value = -strength * pressed * rate + barrier * (np.log(pressed) + np.log(spare))
    bend = strength**2 / barrier / (1 / pressed**2 + 1 / spare**2)
    return value, -strength * pressed, bend


def cheapest(masonry: Masonry, dead: Array, live: Array) -> Array:
    """The motion (unknowns,) whose crushing, less the work of the dead load, costs least while the
    live load does the work of one newton metre.

    dead, live: (unknowns,) work by unit motions. An unknown that moves nothing stays still.
    """
    import scipy.linalg

    motion = live / (live @ live)
    first, second, *_ = principal(masonry.stretch(motion))
    barrier = masonry.strength * float(np.abs(np.concatenate([first, second])).mean())
    while True:
        for _ in range(STEPS):
            slope, curve = masonry.slopes(motion, barrier)
            slope = slope - dead
            curve[0] += 1e-12 * float(curve[0].max())
            factor = scipy.linalg.cholesky_banded(curve, lower=True, check_finite=False)
            down, level = (
                scipy.linalg.cho_solve_banded((factor, True), a, check_finite=False)
                for a in (slope, live)
            )
            step = level * ((live @ down) / (live @ level)) - down
            gain = -float(slope @ step)
            motion = _along(masonry, motion, step, gain, dead, barrier)
            if gain < CLOSE * masonry.volume * barrier:
                break
        if barrier * masonry.volume < ENOUGH * abs(masonry.price(motion) - float(dead @ motion)):
            return motion
        barrier *= FADES


def _along(
    masonry: Masonry, motion: Array, step: Array, gain: float, dead: Array, barrier: float
) -> Array:
    """A step as far as it lowers the price (Armijo's rule)."""
    start = masonry.smoothed(motion, barrier) - float(dead @ motion)
    share = 1.0
    while share > SHORTEST:
        tried = motion + share * step
        cost = masonry.smoothed(tried, barrier) - float(dead @ tried)
        if cost <= start - 1e-4 * share * gain + 1e-12 * abs(start):
            return tried
        share /= 2
    return motion
