"""The shell with openings as one closed body, and their rings as solids."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.opened import PlacedOpening

if TYPE_CHECKING:
    from timbrel.shape.barrel import Barrel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ROUND_LINES = 24
"""Lines of the grid over a round opening, whose edge is followed cell by cell."""


def opened_mesh(
    vault: Barrel, openings: tuple[PlacedOpening, ...], across: int = 97, along: int = 33
) -> Any:
    """The whole shell less its openings, whose sides are cut square to it. Lines of the grid run
    along the sides of every opening."""
    import trimesh

    u = _lines(across, [o.u for o in openings], [o.round for o in openings])
    v = _lines(along, [o.v for o in openings], [o.round for o in openings])
    grids = []
    for offset in (0.0, vault.thickness):
        start, end = vault.end_cuts(u, offset)
        place = np.broadcast_to(v, (len(u), len(v))).copy()
        place[:, 0], place[:, -1] = start, end
        grids.append(vault.point(np.broadcast_to(u[:, None], place.shape), place, offset))
    points = np.concatenate([grid.reshape(-1, 3) for grid in grids])
    below = np.arange(len(u) * len(v)).reshape(len(u), len(v))
    faces = cell_faces(below, below + below.size, _kept(u, v, openings))
    mesh = trimesh.Trimesh(points, faces, process=False)
    mesh.remove_unreferenced_vertices()
    return mesh


def _lines(count: int, spans: list[tuple[float, float]], rounds: list[bool]) -> Floats:
    """Even lines from 0 to 1, less those just beside an opening, and those of the openings."""
    lines = np.linspace(0.0, 1.0, count)
    added: list[float] = []
    for (low, high), is_round in zip(spans, rounds, strict=True):
        own = np.linspace(low, high, ROUND_LINES + 1) if is_round else np.array([low, high])
        added += own.tolist()
    both = np.array(added)
    near = np.abs(lines[:, None] - both).min(axis=1) < 0.3 / count
    near[[0, -1]] = False
    return np.unique(np.concatenate([lines[~near], both]))


def _kept(u: Floats, v: Floats, openings: tuple[PlacedOpening, ...]) -> NDArray[np.bool_]:
    """Which cells of the grid are masonry: those whose middle lies in no opening."""
    from shapely import Polygon, contains_xy

    middle = np.meshgrid((u[1:] + u[:-1]) / 2, (v[1:] + v[:-1]) / 2, indexing="ij")
    kept = np.ones(middle[0].shape, dtype=bool)
    for opening in openings:
        if opening.round:
            inside = contains_xy(Polygon(opening.uv), *middle)
        else:
            inside = np.ones_like(kept)
            for place, (low, high) in zip(middle, (opening.u, opening.v), strict=True):
                inside &= (place > low) & (place < high)
        kept &= ~inside
    return kept


def cell_faces(below: Ints, above: Ints, kept: NDArray[np.bool_]) -> Ints:
    """Triangles of a body of cells between two grids of vertices: both faces of every kept cell,
    and a side wherever a kept cell has no kept neighbour."""
    i, j = np.nonzero(kept)
    corners = ((0, 0), (1, 0), (1, 1), (0, 1))
    low = np.stack([below[i + a, j + b] for a, b in corners], axis=1)
    high = np.stack([above[i + a, j + b] for a, b in corners], axis=1)
    quads = [low[:, ::-1], high]
    padded = np.pad(kept, 1)
    ways = ((0, -1, 0, 1), (1, 0, 1, 2), (0, 1, 2, 3), (-1, 0, 3, 0))
    for di, dj, a, b in ways:
        bare = ~padded[i + 1 + di, j + 1 + dj]
        quads.append(np.stack([low[:, a], low[:, b], high[:, b], high[:, a]], axis=1)[bare])
    every = np.concatenate(quads)
    return np.concatenate([every[:, [0, 1, 2]], every[:, [0, 2, 3]]])
