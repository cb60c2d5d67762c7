"""The motion whose crushing costs least for the work of a load: by two barriers that fade together.

Stretch is parted, E = X - Y, into what opens and what shuts, neither negative along any direction;
pressure P lies between nil and f, and Q = f - P is what is spare. At the least price P X = 0 (what
opens presses nowhere) and Q Y = 0 (what shuts presses to the full), and the pressures balance the
loads: a program over cones with its dual. Newton's steps lead to P X = m = Q Y, with m falling as far
as a trial step allows (Mehrotra 1992), scaled between P and X and between Q and Y (Nesterov and Todd
1997; all from memory). Each vector has one barrier, whatever its volume: weighed by volume
they take three times the steps.

The motion that is found is only proposed: what it costs is summed afresh elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.mechanism_cones import (
    Array,
    Scaling,
    furthest,
    inverse,
    inverted,
    matrix_times,
    parted,
    product,
    quotient,
    scaling,
)
from timbrel.statics.mechanism_masonry import Masonry

CLOSE = 0.03  # of the factor: gap of the two programs at which the price moves by a tenth of that
BALANCE = 1e-3  # of the pushes: what may be out of balance
STEPS = 60  # of Newton's; 25 to 40 are usual
SHORT = 0.97  # of the step that reaches the cone
WIDE = 3.0  # of the greatest stretch: what is laid on both parts at the start
LEAST = 1e-3  # of the barrier that one step may leave
SOFT = 1e-13  # of the greatest stiffness: what an unknown that moves nothing is held with


@dataclass(frozen=True)
class _Point:
    """A motion, its stretch in two parts, the pressures (of a strength of one)."""

    motion: Array
    opens: Array
    shuts: Array
    pressed: Array
    spare: Array

    @property
    def gap(self) -> float:
        return float((self.pressed * self.opens).sum() + (self.spare * self.shuts).sum())

    def inside(self, way: _Point) -> float:
        """The longest step along a way."""
        return min(
            furthest(self.opens, way.opens),
            furthest(self.shuts, way.shuts),
            furthest(self.pressed, way.pressed),
            furthest(self.spare, way.spare),
        )

    def moved(self, way: _Point, share: float) -> _Point:
        return _Point(
            self.motion + share * way.motion,
            self.opens + share * way.opens,
            self.shuts + share * way.shuts,
            self.pressed + share * way.pressed,
            self.spare + share * way.spare,
        )


def cheapest(masonry: Masonry, dead: Array, live: Array) -> Array:
    """The motion (unknowns,) whose crushing, less the work of the dead load, costs least while the
    live load does the work of one newton metre; or one that costs less than half of what the dead
    load does.

    dead, live: (unknowns,) work by unit motions. An unknown that moves nothing stays still.
    """
    whole, dead, live = live, dead / masonry.strength, live / masonry.strength
    at = _start(masonry, live)
    factor = 0.0
    for _ in range(STEPS):
        short = dead + masonry.pushed(at.pressed)
        price = masonry.price(at.motion) / masonry.strength
        worth = price - float(dead @ at.motion)
        size = float(np.abs(short - dead).max())
        balanced = float(np.abs(short + factor * live).max()) <= BALANCE * size
        # Where it moves by its dead load alone there is no least price: twice over is enough.
        if worth <= -price or (balanced and at.gap <= CLOSE * abs(worth)):
            break
        try:
            way, towards = _Step(masonry, at, live, short).way()
        except np.linalg.LinAlgError:  # no digits are left: what is found so far is proposed
            break
        share = min(1.0, SHORT * at.inside(way))
        at, factor = at.moved(way, share), factor + share * (towards - factor)
    return np.asarray(at.motion / (whole @ at.motion))


def _start(masonry: Masonry, live: Array) -> _Point:
    motion = live / (live @ live)
    stretch = masonry.stretch(motion)
    opens, shuts = parted(stretch, WIDE * float(np.abs(stretch).max()))
    half = np.zeros_like(stretch)
    half[0] = 0.5
    return _Point(motion, opens, shuts, half, half)


class _Step:
    """One step of Newton's from a point: the matrix is made and parted once, and used twice."""

    def __init__(self, masonry: Masonry, at: _Point, live: Array, short: Array) -> None:
        import scipy.linalg

        self.masonry, self.at, self.live, self.short = masonry, at, live, short
        self.opening = scaling(at.pressed, at.opens)
        self.shutting = scaling(at.spare, at.shuts)
        self.open_square = self.opening.square()
        self.soft = inverted(self.open_square + self.shutting.square())
        band = masonry.stiffness(self.soft)
        band[0] += SOFT * float(band[0].max())
        self.factor = scipy.linalg.cholesky_banded(band, lower=True, check_finite=False)
        self.level = self._solved(live)

    def way(self) -> tuple[_Point, float]:
        """The way to go, and the load factor at its end."""
        at = self.at
        trial, _ = self._towards(-at.opens, -at.shuts)
        left = max((1 - min(1.0, at.inside(trial))) ** 3, LEAST)
        barrier = left * at.gap / (2 * at.opens.shape[1])
        return self._towards(
            barrier * inverse(at.pressed)
            - at.opens
            - _bent(self.opening, at.pressed, trial.pressed, trial.opens),
            barrier * inverse(at.spare)
            - at.shuts
            - _bent(self.shutting, at.spare, trial.spare, trial.shuts),
        )

    def _towards(self, opens: Array, shuts: Array) -> tuple[_Point, float]:
        """The way on which, but for pressure, what opens and what shuts change by so much."""
        apart = matrix_times(self.soft, opens - shuts)
        down = self._solved(self.short + self.masonry.pushed(apart))
        factor = -float(self.live @ down) / float(self.live @ self.level)
        motion = down + factor * self.level
        stretch = self.masonry.stretch(motion)
        pressed = apart - matrix_times(self.soft, stretch)
        opening = opens - matrix_times(self.open_square, pressed)
        return _Point(motion, opening, opening - stretch, pressed, -pressed), factor

    def _solved(self, a: Array) -> Array:
        import scipy.linalg

        found = scipy.linalg.cho_solve_banded((self.factor, True), a, check_finite=False)
        return np.asarray(found)


def _bent(by: Scaling, p: Array, p_way: Array, x_way: Array) -> Array:
    """What the product of two vectors lacks when both have gone a trial step (Mehrotra)."""
    return by.times(quotient(by.times(p), product(by.times(p_way), by.over(x_way))))
