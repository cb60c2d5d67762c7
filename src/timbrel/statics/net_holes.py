"""Which struts of a net pass an opening by, and which would run through it.

The sides of an opening are cut square to the shell. A point of a strut lies in the opening when the
foot of the normal through it, on the middle surface, lies within the outline there. The feet along a
strut are joined to a line in plan, which is tried against the outline itself; it may touch the edge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from timbrel.statics.net_solid import Array, Index, NetSolid

Guess = Callable[[Index], Array]
ALONG = np.linspace(0.0, 1.0, 97)[:, None]
"""Shares along a strut that may graze an oculus; those at which certificates are checked among them."""
FEET = 6
"""Of those shares each so-manieth is where feet of normals are found."""
OUT = 10.0
"""Thicknesses off the middle surface past which there is no shell at all: in an oculus."""
STEP = 1e-4  # m: by which a point is moved to feel which way the normal leans
EDGE = 5e-4  # m: joints are made to a millimetre


def clear_of_holes(
    solid: NetSolid,
    outlines: Sequence[Array],
    ends: tuple[Array, Array],
    guess: Guess,
    eyes: int = 0,
) -> Index:
    """(k,) numbers of the struts that run through no opening.

    outlines: (k, 2) in plan, of the middle surface. ends: (m, 3) each. guess: gives the parameters
    (k, 97, 2) near some struts (k,) at the shares `ALONG`. eyes: how many of the outlines, the first
    ones, are an oculus, in which the solid itself has no shell.
    """
    import shapely

    start, end = ends
    clear = np.ones(len(start), bool)
    for k, outline in enumerate(outlines):
        low, high = outline.min(axis=0), outline.max(axis=0)
        reach = solid.thickness
        left = np.minimum(start, end)[:, :2] < high + reach
        right = np.maximum(start, end)[:, :2] > low - reach
        near = np.flatnonzero((left & right).all(axis=1) & clear)
        if not len(near):
            continue
        points = start[near, None] + ALONG * (end - start)[near, None]
        around = guess(near)
        lines = shapely.linestrings(feet_on_plan(solid, points[:, ::FEET], around[:, ::FEET]))
        inner = shapely.Polygon(outline).buffer(-EDGE, join_style="mitre")
        shapely.prepare(inner)
        clear[near] = ~shapely.intersects(inner, lines)
        if k < eyes:
            clear[near] &= np.abs(solid.offset(points, around)).max(axis=1) < OUT * solid.thickness
    return np.flatnonzero(clear).astype(np.int64)


def feet_on_plan(solid: NetSolid, points: Array, guess: Array) -> Array:
    """(..., 2) plan of the feet, on the middle surface, of normals through points (..., 3)."""
    offset = solid.offset(points, guess)
    feet = points[..., :2].copy()
    for axis in (0, 1):
        moved = points.copy()
        moved[..., axis] += STEP
        lean = (solid.offset(moved, guess) - offset) / STEP
        feet[..., axis] -= offset * lean
    return feet
