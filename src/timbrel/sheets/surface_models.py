"""The shell of a vault on a plan as closed bodies: one a web, cut true at walls and creases."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.dome import Dome
from timbrel.shape.opened import PlacedOpening
from timbrel.shape.sail import Sail
from timbrel.shape.surface import Surface
from timbrel.shape.web import Web
from timbrel.sheets.opened_surface import opened_body

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
ACROSS, ALONG = 65, 33
ROUND = 96
"""Points over a web each way, and round a dome."""


def surface_mesh(vault: Surface, openings: tuple[PlacedOpening, ...] = ()) -> Any:
    """All webs as one mesh of closed bodies, less the openings."""
    import trimesh

    if openings:
        return _opened(vault, openings)
    if isinstance(vault, Dome):
        return closed(*_dome_faces(vault), round_=True)
    if isinstance(vault, Sail):
        return closed(*_sail_faces(vault))
    return trimesh.util.concatenate(
        [closed(*_web_faces(web, vault.thickness)) for web in vault.webs]
    )


def _opened(vault: Surface, openings: tuple[PlacedOpening, ...]) -> Any:
    import trimesh

    if isinstance(vault, Dome):
        return opened_body(vault, *_dome_faces(vault), openings, round_=True)
    if isinstance(vault, Sail):
        return opened_body(vault, *_sail_faces(vault), openings)
    return trimesh.util.concatenate(
        [
            opened_body(
                vault, *_web_faces(web, vault.thickness), tuple(o for o in openings if o.web == k)
            )
            for k, web in enumerate(vault.webs)
        ]
    )


def _web_faces(web: Web, thickness: float) -> tuple[Floats, Floats]:
    u = np.linspace(0.0, 1.0, ACROSS)
    share = np.linspace(0.0, 1.0, ALONG)
    grids = []
    for offset in (0.0, thickness):
        start, end = web.cuts(u, offset)
        v = start[:, None] + (end - start)[:, None] * share
        grids.append(web.point(np.broadcast_to(u[:, None], v.shape), v, offset))
    return grids[0], grids[1]


def _sail_faces(vault: Sail) -> tuple[Floats, Floats]:
    p, q = np.meshgrid(*[np.linspace(0.0, 1.0, ACROSS)] * 2, indexing="ij")
    grids = []
    for offset in (0.0, vault.thickness):
        u, v, _ = vault.over(p, q, offset)
        grids.append(vault.point(u, v, offset).reshape(ACROSS, ACROSS, 3))
    return grids[0], grids[1]


def _dome_faces(vault: Dome) -> tuple[Floats, Floats]:
    # v runs clockwise from above; turned round so that outer faces look outward.
    u, v = np.meshgrid(np.linspace(0.0, 1.0, ACROSS), np.arange(ROUND) / ROUND, indexing="ij")
    inner, outer = (np.asarray(vault.point(u, v, d)) for d in (0.0, vault.thickness))
    if not vault.oculus:
        for grid, offset in ((inner, 0.0), (outer, vault.thickness)):
            top = float(vault.height(vault.centre[0], vault.centre[1], offset)[0])
            grid[-1] = [vault.centre[0], vault.centre[1], top]
    return inner, outer


def closed(inner: Floats, outer: Floats, *, round_: bool = False) -> Any:
    """The body between two grids (m, n, 3) of one shape; round_: the second way closes on itself.

    Where a web runs out to a point its corners coincide but stay apart in number, so that every edge
    keeps its two faces.
    """
    import trimesh

    rows, columns = inner.shape[:2]
    points = np.concatenate([inner.reshape(-1, 3), outer.reshape(-1, 3)])
    index = np.arange(rows * columns).reshape(rows, columns)
    if round_:
        index = np.concatenate([index, index[:, :1]], axis=1)
    over = index + rows * columns
    faces = [
        _quads(index)[:, ::-1],
        _quads(over),
        _quads(np.stack([index[0], over[0]])),
        _quads(np.stack([index[-1], over[-1]]))[:, ::-1],
    ]
    if not round_:
        faces += [
            _quads(np.stack([index[:, 0], over[:, 0]]))[:, ::-1],
            _quads(np.stack([index[:, -1], over[:, -1]])),
        ]
    mesh = trimesh.Trimesh(points, np.concatenate(faces), process=False)
    if mesh.volume < 0:
        mesh.invert()
    return mesh


def _quads(grid: Ints) -> Ints:
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    return np.concatenate(
        [np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)]
    )
