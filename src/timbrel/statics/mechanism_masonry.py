"""What a motion of masonry costs: fibres that stretch along two ways, and joints.

Masonry bears principal stresses between nil and -f in the plane of the shell, any way they turn, so a
motion takes f max(-e, 0) by unit of volume along each of its two principal rates of stretch e. A
joint is masonry of no length: what opens it is its stretch along, what slides it its shear, and its
area stands for the volume; opened by d and slid by c it takes f (|(d, c)| - d)/2 by unit of area
(the limit of a thin band; Chen 1975, "Limit Analysis and Soil Plasticity", from memory).

Told as vectors of :mod:`timbrel.statics.mechanism_cones`, twice the volume by (t, u, w).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.mechanism_cones import Array

Index = NDArray[np.int64]
RUNS = 4  # stretch along, round, and the two parts of shear, before the fibre's length


@dataclass(frozen=True)
class Fibres:
    """Masonry in elements, each with surface points that have depths over and under them.

    number: (e, u) unknowns that move each element. run: (e, q, 8, u) the runs of its surface points
    by those, and what a metre over adds to them. along, round: (e q, depths) volume of a fibre over
    its length along and round. depth: (depths,) m.
    """

    number: Index
    run: Array
    along: Array
    round: Array
    depth: Array

    @property
    def count(self) -> int:
        return int(self.along.size)

    @cached_property
    def flat(self) -> Array:
        """(e, 8 q, u)."""
        return np.asarray(self.run.reshape(len(self.number), -1, self.number.shape[1]))

    def stretch(self, motion: Array) -> Array:
        """(3, count)."""
        runs = np.matmul(self.flat, motion[self.number][..., None]).reshape(-1, 2, RUNS, 1)
        one, two, three, four = np.moveaxis(runs[:, 0] + runs[:, 1] * self.depth, 1, 0)
        along, across = self.along * one, self.round * two
        shear = self.round * three + self.along * four
        return np.stack([along + across, along - across, shear]).reshape(3, -1)

    def pushed(self, pressure: Array) -> Array:
        """(e, u) work of pressures (3, count) over unit motions."""
        t, u, w = pressure.reshape(3, *self.along.shape)
        parts = np.stack(
            [self.along * (t + u), self.round * (t - u), self.round * w, self.along * w], axis=1
        )
        tilt = (parts * self.depth).sum(axis=2)
        runs = np.concatenate([parts.sum(axis=2), tilt], axis=1)
        return np.asarray(np.matmul(runs.reshape(len(self.number), 1, -1), self.flat)[:, 0])

    def stiffness(self, m: Array) -> Array:
        """(e, u, u) of symmetric matrices m (6, count) between stretches."""
        tt, tu, tw, uu, uw, ww = m.reshape(6, *self.along.shape)
        a, b = self.along, self.round
        ab = a * b
        plus, minus = tw + uw, tw - uw
        entries = {
            (0, 0): a * a * (tt + 2 * tu + uu),
            (0, 1): ab * (tt - uu),
            (1, 1): b * b * (tt - 2 * tu + uu),
            (0, 2): ab * plus,
            (0, 3): a * a * plus,
            (1, 2): b * b * minus,
            (1, 3): ab * minus,
            (2, 2): b * b * ww,
            (2, 3): ab * ww,
            (3, 3): a * a * ww,
        }
        powers = self.depth[:, None] ** np.arange(3)
        found = np.empty((len(a), 2 * RUNS, 2 * RUNS))
        for (i, j), entry in entries.items():
            even, once, twice = (entry @ powers).T
            for k, n in ((i, j), (j, i)):
                found[:, k, n] = even
                found[:, k, n + RUNS] = found[:, k + RUNS, n] = once
                found[:, k + RUNS, n + RUNS] = twice
        own = np.matmul(found, self.run.reshape(len(a), 2 * RUNS, -1)).reshape(self.flat.shape)
        return np.asarray(np.matmul(self.flat.transpose(0, 2, 1), own))

    @cached_property
    def places(self) -> tuple[NDArray[np.bool_], Index, Index]:
        """Which entries of a stiffness lie in the lower band, how far under the diagonal, and in
        which column."""
        apart = self.number[:, :, None] - self.number[:, None, :]
        lower = apart >= 0
        column = np.broadcast_to(self.number[:, None, :], apart.shape)
        return lower, apart[lower], column[lower]


@dataclass(frozen=True)
class Masonry:
    """Fibres of a crushing strength (N/m2) moved by so many unknowns."""

    parts: tuple[Fibres, ...]
    strength: float
    unknowns: int

    def stretch(self, motion: Array) -> Array:
        """(3, n) of all fibres over a motion (unknowns,)."""
        return np.concatenate([part.stretch(motion) for part in self.parts], axis=1)

    def price(self, motion: Array) -> float:
        """Work (N m) of crushing over a motion."""
        middle, *aside = self.stretch(motion)
        way = np.hypot(*aside)
        shut = np.maximum(way - middle, 0.0) + np.maximum(-way - middle, 0.0)
        return self.strength / 2 * float(shut.sum())

    def pushed(self, pressure: Array) -> Array:
        """(unknowns,) work of pressures (3, n) over unit motions."""
        found = np.zeros(self.unknowns)
        for part, own in zip(self.parts, self._split(pressure), strict=True):
            work = part.pushed(own)
            found += np.bincount(part.number.ravel(), work.ravel(), minlength=self.unknowns)
        return found

    def stiffness(self, m: Array) -> Array:
        """The lower band (reach + 1, unknowns) of what matrices m (6, n) between stretches come to
        between unknowns."""
        size = (self.reach + 1) * self.unknowns
        found = np.zeros(size)
        for part, own in zip(self.parts, self._split(m), strict=True):
            lower, apart, column = part.places
            place = apart * self.unknowns + column
            found += np.bincount(place, part.stiffness(own)[lower], minlength=size)
        return found.reshape(self.reach + 1, self.unknowns)

    @cached_property
    def reach(self) -> int:
        """How far apart unknowns of one element are numbered."""
        return max(int(np.ptp(part.number, axis=1).max()) for part in self.parts)

    def _split(self, values: Array) -> list[Array]:
        ends = np.cumsum([part.count for part in self.parts])[:-1]
        return np.split(values, ends, axis=1)
