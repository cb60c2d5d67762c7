"""Length of the springing walls in plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.statics.walls import Side

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel


def wall_length(vault: Barrel, side: Side) -> float:
    """Length of a springing wall, m."""
    A, B, C, D = np.asarray(vault.room.corners, float)[:, :2]
    start, end = (A, D) if side == "left" else (B, C)
    return float(np.linalg.norm(end - start))
