"""A square pier that cannot pull, pushed along any direction: where it cracks, and when it falls.

As for a wall (:mod:`timbrel.statics.descent`), bed by bed: stress varies straight over the part still
pressed, and masonry beyond the crack no longer weighs on what stands below. Under a push along a
diagonal the crack cuts a corner, so the bed is divided into small squares and its plane of stress is
found as the least of a convex function (no tension: stress max(0, a + b x + c y)). A block that
could not crack is never the answer. Squares bear at their middles, which is on the safe side by half
of one of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.strip import Array

CELLS = 40  # squares along a side
BEDS = 40
NEWTON = 40
HALVINGS = 12
BALANCED = 1e-8
MOST = 100.0  # factor beyond which the push is called unlimited


@dataclass(frozen=True)
class PierLoads:
    """What acts over the middle of a pier's head: down (N), push (2,) level, N."""

    down: float
    push: Array


@dataclass(frozen=True)
class Shaft:
    """A square pier. side, height: m; weight: N/m3."""

    side: float
    height: float
    weight: float

    @property
    def volume(self) -> float:
        return self.side**2 * self.height


@dataclass(frozen=True)
class PierBase:
    """The base of a pier. normal: N, without what lies beyond cracks. offset: (2,) of the resultant
    from the middle, m. pressed: share of the bed that is pressed. stress: the greatest, N/m2."""

    normal: float
    offset: Array
    pressed: float
    stress: float


def pier_base(shaft: Shaft, loads: PierLoads) -> PierBase | None:
    """The base of a pier under its loads; None when it has fallen."""
    cells = _Cells.of(shaft.side)
    step = shaft.height / BEDS
    weighs = shaft.weight * step * cells.area
    kept = np.ones(len(cells.basis), bool)
    above = np.zeros(3)  # weight that stands over the bed, and its moments
    plane: Array | None = None
    total = above
    for bed in range(1, BEDS + 1):
        head = np.array([loads.down, *(loads.push * step * bed)])
        # What cracks within a step does not weigh on the bed under it.
        for _ in range(2):
            total = head + above + weighs * cells.basis[kept].sum(axis=0)
            plane = cells.plane(total, plane)
            if plane is None:
                return None
            kept = kept & (cells.basis @ plane > 0)
        above = above + weighs * cells.basis[kept].sum(axis=0)
    assert plane is not None
    stress = cells.basis @ plane
    pressed = float((stress > 0).mean())
    return PierBase(float(total[0]), total[1:] / total[0], pressed, float(stress.max()))


def pier_factor(shaft: Shaft, loads: PierLoads) -> float:
    """Multiple of the level push at which the cracked pier falls; infinite without a push."""
    push = float(np.abs(loads.push).max(initial=0.0))
    if push <= 0:
        return np.inf
    weight = loads.down + shaft.weight * shaft.volume
    # No pier stands longer than the block that does not crack.
    high = min(weight * shaft.side / 2 / (push * shaft.height), MOST)
    low = 0.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        stands = pier_base(shaft, PierLoads(loads.down, loads.push * middle)) is not None
        low, high = (middle, high) if stands else (low, middle)
    return low


@dataclass(frozen=True)
class _Cells:
    """basis: (n, 3) 1, x, y of every square; area: of one, m2; half: the side's half."""

    basis: Array
    area: float
    half: float

    @classmethod
    def of(cls, side: float) -> _Cells:
        at = ((np.arange(CELLS) + 0.5) / CELLS - 0.5) * side
        x, y = (g.ravel() for g in np.meshgrid(at, at))
        return cls(np.stack([np.ones(len(x)), x, y], axis=1), (side / CELLS) ** 2, side / 2)

    def plane(self, total: Array, start: Array | None) -> Array | None:
        """(3,) of the plane of stress in balance with normal force and moments (3,); None where
        there is none: the resultant has left the bed."""
        reach = self.half * (1 - 1 / CELLS)
        if total[0] <= 0 or np.abs(total[1:]).max() >= reach * total[0]:
            return None
        p = np.array([total[0] / (4 * self.half**2), 0.0, 0.0]) if start is None else start
        size = np.array([1.0, self.half, self.half]) * total[0]
        for _ in range(NEWTON):
            stress = self.basis @ p
            on = stress > 0
            pull = total - self.area * (self.basis[on].T @ stress[on])
            if (np.abs(pull) <= BALANCED * size).all():
                return np.asarray(p)
            move = self._step(on, pull)
            if move is None:
                return None
            p = self._along(p, move, total)
        return None

    def _step(self, on: NDArray[np.bool_], pull: Array) -> Array | None:
        stiff = self.area * (self.basis[on].T @ self.basis[on])
        if np.linalg.matrix_rank(stiff) < 3:
            return None
        return np.asarray(np.linalg.solve(stiff, pull))

    def _along(self, p: Array, move: Array, total: Array) -> Array:
        """As far as the convex function still sinks."""

        def value(q: Array) -> float:
            stress = np.maximum(self.basis @ q, 0.0)
            return float(self.area * (stress @ stress) / 2 - total @ q)

        share, before = 1.0, value(p)
        while share > 1e-6 and value(p + share * move) > before:
            share /= 2
        return np.asarray(p + share * move)
