"""Equilibrium of a strip written as rows: what every joint feels of the unknowns and of the loads.

Columns: force x, force z and moment at the middle of the left springing joint, then the share of
the dead load, then one a variable load. Forces are scaled by the mean load of a voussoir, lengths
by the span, each variable load to the size of the dead load.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.strip import Array, Strip, ThrustLine, carried, thrust_line


class JointRows:
    """Rows of a strip under a dead load ((n, 3) wrenches) and variable ones ((p, n, 3))."""

    def __init__(self, strip: Strip, dead: Array, variable: Array) -> None:
        weight = float(np.abs(dead[:, :2]).sum())
        if not weight > 0:
            raise ValueError("a strip without weight has no thrust line")
        self.strip = strip
        self.dead = dead
        self.variable = variable
        self.force = weight / strip.voussoirs
        self.length = strip.span
        sizes = np.abs(variable[:, :, :2]).sum((1, 2)) / weight
        self.size: Array = np.where(sizes > 0, sizes, 1.0)
        scale = np.array([1.0, 1.0, 1 / self.length]) / self.force
        every = [carried(dead * scale)]
        every += [carried(w * scale / s) for w, s in zip(variable, self.size, strict=True)]
        self._sums = np.stack(every, axis=1)

    def about(self, point: Array) -> Array:
        """(n + 1, columns) moment of the resultant at each joint about a point of that joint."""
        p = point / self.length
        sums = self._sums
        moved = p[:, :1] * sums[:, :, 1] - p[:, 1:] * sums[:, :, 0] - sums[:, :, 2]
        arm = p - self.strip.middle[0] / self.length
        return np.column_stack([-arm[:, 1], arm[:, 0], -np.ones(len(p)), moved])

    def along(self, direction: Array) -> Array:
        """(n + 1, columns) component of the resultant at each joint along a unit vector."""
        parts = np.einsum("ijk,ik->ij", self._sums[:, :, :2], direction)
        return np.column_stack([direction, np.zeros(len(direction)), parts])

    def line(self, springing: Array, dead: float, factors: Array) -> ThrustLine:
        """The thrust line of scaled unknowns at the springing and plain factors of the loads."""
        wrench = springing * np.array([1.0, 1.0, self.length]) * self.force
        loads = dead * self.dead + np.tensordot(factors, self.variable, axes=1)
        return thrust_line(self.strip, wrench, loads)
