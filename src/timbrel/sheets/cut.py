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

    v: station, 0 near, 1 far. thickness: of the whole shell.
    """

    v: float
    lines: dict[float, Floats]
    thickness: float

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


def cut_shell(plan: Plan, v: float) -> Cut:
    """Every face of every layer at station v."""
    vault = plan.vault
    faces = {offset for layer in vault.layers for offset in (layer.inner, layer.outer)}
    offsets = sorted({0.0, vault.thickness} | faces)
    lines = {offset: np.asarray(vault.section(v, offset, n=POINTS)) for offset in offsets}
    return Cut(v, lines, vault.thickness)
