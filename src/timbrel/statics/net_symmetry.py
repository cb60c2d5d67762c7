"""Symmetries of a vault and its loads, found from the nodes themselves.

A numbering of the nodes is a symmetry when one rotation or mirror carries every line of the net
onto the line with the new number, and every load too. Nothing is assumed of the family.
"""

from __future__ import annotations

import numpy as np

from timbrel.statics.net_solid import Array, Index, NetGrid

SAME = 1e-9


def symmetries(grid: NetGrid) -> Index:
    """(g, n) those of the grid's twins that carry the lines and supports onto themselves."""
    middle = grid.middle - grid.middle.mean(axis=0)
    size = float(np.abs(middle).max())
    standing = np.full(grid.size, -1)
    for k, support in enumerate(grid.supports):
        standing[support.nodes] = k
    kept = []
    for twin in grid.twins:
        turn = level_turn(middle, middle[twin])
        moved = np.abs(middle @ turn.T - middle[twin]).max()
        tilted = np.abs(grid.half @ turn.T - grid.half[twin]).max()
        level = np.abs(turn[2] - [0, 0, 1]).max()
        supported = np.array_equal(standing >= 0, standing[twin] >= 0)
        if max(moved, tilted, level * size) < SAME * size and supported:
            kept.append(twin)
    return np.stack(kept)


def of_loads(group: Index, *loads: Array) -> Index:
    """(h, n) those symmetries that also carry every load (n,) onto itself."""
    kept = [
        g
        for g in group
        if all(np.abs(load[g] - load).max() <= SAME * np.abs(load).max() for load in loads)
    ]
    return np.stack(kept)


def level_turn(start: Array, end: Array) -> Array:
    """The level rotation or mirror (3, 3) that best carries points onto points (Kabsch 1976)."""
    u, _, vt = np.linalg.svd(start[:, :2].T @ end[:, :2])
    turn = np.eye(3)
    turn[:2, :2] = (u @ vt).T
    return turn
