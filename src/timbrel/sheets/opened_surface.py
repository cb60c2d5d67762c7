"""The shell of a vault on a plan with openings as a closed body.

Quads of the shell's grid whose middle lies in an opening are left out; the corners round them are moved
onto its edge, on both faces alike, so that the sides are square to the shell.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.opened import PlacedOpening

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
EDGE_PARTS = 8
"""Parts of each side of an outline's polygon to which corners are moved."""
WAYS = ((0, -1, 0, 1), (1, 0, 1, 2), (0, 1, 2, 3), (-1, 0, 3, 0))
"""Neighbour of a quad each way, and the two of its corners that it shares with it."""


def opened_body(
    vault: Any,
    inner: Floats,
    outer: Floats,
    openings: tuple[PlacedOpening, ...],
    *,
    round_: bool = False,
) -> Any:
    """The body between two grids (m, n, 3) less the openings; round_: the second way closes."""
    import trimesh

    inner, outer = inner.copy(), outer.copy()
    shape = inner.shape[:2]
    kept = np.ones((shape[0] - 1, shape[1] - (0 if round_ else 1)), dtype=bool)
    number = np.arange(inner.shape[0] * inner.shape[1]).reshape(shape)
    if round_:
        number = np.concatenate([number, number[:, :1]], axis=1)
    for opening in openings:
        kept &= _cut(vault, inner, outer, number, opening)
    faces = _faces(number, number + inner.shape[0] * inner.shape[1], kept, round_)
    points = np.concatenate([inner.reshape(-1, 3), outer.reshape(-1, 3)])
    mesh = trimesh.Trimesh(points, faces, process=False)
    mesh.remove_unreferenced_vertices()
    if mesh.volume < 0:
        mesh.invert()
    return mesh


def _cut(vault: Any, inner: Floats, outer: Floats, number: Ints, opening: PlacedOpening) -> Flags:
    """Which quads an opening leaves; the corners round the others are moved, in place."""
    from shapely import Polygon, contains_xy

    edges = [_edge(vault, opening, offset) for offset in (0.0, float(vault.thickness))]
    flat = inner.reshape(-1, 3)[number][..., :2]
    middle = (flat[:-1, :-1] + flat[1:, :-1] + flat[:-1, 1:] + flat[1:, 1:]) / 4
    gone = contains_xy(Polygon(edges[0][:, :2]), middle[..., 0], middle[..., 1])
    corners = np.stack(
        [number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]], axis=-1
    )
    rim = np.intersect1d(corners[gone].ravel(), corners[~gone].ravel())
    if not len(rim):
        return np.asarray(~gone)
    to = np.linalg.norm(inner.reshape(-1, 3)[rim][:, None] - edges[0], axis=-1)
    place = to.argmin(axis=1)
    if not opening.round:
        # The corner of the opening goes to the nearest corner of a quad.
        for k in range(0, len(edges[0]), len(edges[0]) // 4):
            place[to[:, k].argmin()] = k
    for grid, edge in zip((inner, outer), edges, strict=True):
        grid.reshape(-1, 3)[rim] = edge[place]
    return np.asarray(~gone)


def _edge(vault: Any, opening: PlacedOpening, offset: float) -> Floats:
    """(k, 3) closely set points of the outline on a face."""
    uv = opening.closely
    share = np.arange(EDGE_PARTS)[:, None] / EDGE_PARTS
    close = np.concatenate(
        [a + share * (b - a) for a, b in zip(uv, np.roll(uv, -1, axis=0), strict=True)]
    )
    return np.asarray(vault.webs[opening.web].point(close[:, 0], close[:, 1], offset))


def _faces(below: Ints, above: Ints, kept: Flags, round_: bool) -> Ints:
    """Both faces of every kept quad, and a side wherever it has no kept neighbour."""
    i, j = np.nonzero(kept)
    corners = ((0, 0), (1, 0), (1, 1), (0, 1))
    low = np.stack([below[i + a, j + b] for a, b in corners], axis=1)
    high = np.stack([above[i + a, j + b] for a, b in corners], axis=1)
    quads = [low[:, ::-1], high]
    padded = np.pad(kept, 1)
    if round_:
        padded[:, 0], padded[:, -1] = padded[:, -2], padded[:, 1]
    for di, dj, a, b in WAYS:
        bare = ~padded[i + 1 + di, j + 1 + dj]
        quads.append(np.stack([low[:, a], low[:, b], high[:, b], high[:, a]], axis=1)[bare])
    every = np.concatenate(quads)
    return np.concatenate([every[:, [0, 1, 2]], every[:, [0, 2, 3]]])
