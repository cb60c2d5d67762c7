"""Slenderness of a wall, with or without buttresses (EN 1996-1-1:2005, 5.5.1).

Effective height by 5.5.1.2: held at head and base it is the height; a head that is free to move out
makes the wall a cantilever, twice the height. Effective thickness by 5.5.1.3: buttresses stiffen the
wall by the factor of table 5.1 (from memory of the standard), which is read between its figures and
never beyond them. Help of cross walls at the ends of the wall (rho 3, rho 4) is left out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Wall
from timbrel.statics.supports import Profile

# EN 1996-1-1 table 5.1, from memory: rows by pier spacing over pier width, columns by pier depth
# (face to face, the wall's thickness in it) over wall thickness.
PIER_SPACINGS = (6.0, 10.0, 20.0)
PIER_DEPTHS = (1.0, 2.0, 3.0)
PIER_STIFFENING = ((1.0, 1.4, 2.0), (1.0, 1.2, 1.4), (1.0, 1.0, 1.0))


@dataclass(frozen=True)
class Slenderness:
    """height: effective, m. thickness: effective, m. stiffening: rho_t, 1 without buttresses."""

    height: float
    thickness: float
    stiffening: float

    @property
    def ratio(self) -> float:
        """h_ef over t_ef."""
        return self.height / self.thickness


def stiffening(spacing: float, depth: float) -> float:
    """rho_t of table 5.1. spacing: of the piers over their width. depth: of the piers over the
    wall's thickness."""
    depth = min(max(depth, PIER_DEPTHS[0]), PIER_DEPTHS[-1])
    spacing = min(max(spacing, PIER_SPACINGS[0]), PIER_SPACINGS[-1])
    at_depth = [float(np.interp(depth, PIER_DEPTHS, row)) for row in PIER_STIFFENING]
    return float(np.interp(spacing, PIER_SPACINGS, at_depth))


def effective_height(height: float, head: str) -> float:
    """Height held at head and base: 1.0 h (5.5.1.2, rho 2). A free head: 2 h (a cantilever)."""
    return height if head == "held" else 2 * height


def wall_slenderness(wall: Wall, profile: Profile) -> Slenderness:
    """Slenderness of a wall as built.

    A buttress stiffens by the least that it stands out; one that ends under the springing does not
    hold the head and is not counted.
    """
    T, height = float(profile.flange[0]), float(profile.depth[-1])
    share = 1.0
    if wall.buttress is not None:
        out = float(profile.web.min())
        share = stiffening(wall.buttress.spacing / wall.buttress.width, 1 + out / T)
    return Slenderness(effective_height(height, wall.masonry.head), share * T, share)
