"""The meridian of a dome at one offset, read from a fine table: many rings ask it."""

from __future__ import annotations

from typing import Any

import numpy as np

from timbrel.bond.layout import Floats

SAMPLES = 3001
"""Read straight between samples: true to a thousandth of a millimetre on spans up to 20 m."""


class Meridian:
    """Slant length and radius against the share `u` of the meridian."""

    def __init__(self, dome: Any, offset: float) -> None:
        inner = np.asarray(dome.patch.breaks)
        self._u = np.unique(np.concatenate([np.linspace(0.0, 1.0, SAMPLES), inner]))
        rings = dome.rings(self._u, offset)
        self._slant, self._radius = np.asarray(rings.slant), np.asarray(rings.radius)

    @property
    def length(self) -> float:
        """From the springing to the crown or the oculus (m)."""
        return float(self._slant[-1])

    def u(self, slant: Floats) -> Floats:
        """Shares at slant lengths from the springing."""
        return np.asarray(np.interp(slant, self._slant, self._u))

    def slant(self, u: Floats) -> Floats:
        """Slant lengths at shares."""
        return np.asarray(np.interp(u, self._u, self._slant))

    def radius(self, slant: Floats) -> Floats:
        """Radii at slant lengths."""
        return np.asarray(np.interp(slant, self._slant, self._radius))
