"""Polylines of curves that are cut in wood: how long they are and how far apart."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.directrix import Directrix

Floats = NDArray[np.float64]


def drawn(curve: Directrix, step: float) -> tuple[Floats, Floats]:
    """Arc lengths (n,) at about `step`, every break of the curve among them, and the points (n, 2).

    The points stand in the axes of the curve that was measured: the seat of a parallel is added.
    """
    pieces = [
        np.linspace(start, end, max(2, int(np.ceil((end - start) / step)) + 1))
        for start, end in pairwise(curve.breaks)
    ]
    s = np.unique(np.concatenate(pieces))
    return s, curve.at(s) + np.asarray(curve.seat)


def distance_to_line(points: Floats, line: Floats) -> Floats:
    """Least distance (n,) of each point (n, 2) from a polyline (m, 2)."""
    a, along = line[:-1], np.diff(line, axis=0)
    squared = np.maximum(np.einsum("mj,mj->m", along, along), 1e-30)
    to_points = points[:, None, :] - a[None, :, :]
    t = np.clip(np.einsum("nmj,mj->nm", to_points, along) / squared, 0.0, 1.0)
    apart = to_points - t[..., None] * along
    return np.asarray(np.sqrt(np.einsum("nmj,nmj->nm", apart, apart)).min(axis=1))
