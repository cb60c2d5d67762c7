"""The shell cut across: the lines of its faces in one section plane, worked out once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from timbrel.plan import Plan

Floats = NDArray[np.float64]
POINTS = 161


@dataclass(frozen=True)
class Cut:
    """Lines (n, 2) by their offset from the intrados: x level from the left springing, z a level.

    v: station, 0 near, 1 far. thickness: of the whole shell. behind: how far the faces of the walls
    stand behind the springings.
    """

    v: float
    lines: dict[float, Floats]
    thickness: float
    behind: tuple[float, float]

    @property
    def inner(self) -> Floats:
        """The intrados."""
        return self.lines[0.0]

    @property
    def outer(self) -> Floats:
        """The extrados."""
        return self.lines[self.thickness]

    @property
    def left(self) -> Floats:
        """Left springing of the intrados."""
        return np.asarray(self.inner[0])

    @property
    def right(self) -> Floats:
        """Right springing of the intrados."""
        return np.asarray(self.inner[-1])

    @property
    def left_wall(self) -> Floats:
        """Face of the left wall at the level of the springing."""
        return np.asarray(self.left - np.array([self.behind[0], 0.0]))

    @property
    def right_wall(self) -> Floats:
        """Face of the right wall at the level of the springing."""
        return np.asarray(self.right + np.array([self.behind[1], 0.0]))


def cut_shell(plan: Plan, v: float) -> Cut:
    """Every face of every layer at station v."""
    vault = plan.vault
    faces = {offset for layer in vault.layers for offset in (layer.inner, layer.outer)}
    offsets = sorted({0.0, vault.thickness} | faces)
    lines = {offset: np.asarray(vault.section(v, offset, n=POINTS)) for offset in offsets}
    return Cut(v, lines, vault.thickness, vault.behind)
