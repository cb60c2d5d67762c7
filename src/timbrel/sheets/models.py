"""The vault in three dimensions: tiles as solids (GLB) and the shell as one closed body (STL)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import LayerBond, Piece

if TYPE_CHECKING:
    from timbrel.plan import AnyPlan

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LAYER_INKS = ((196, 122, 84), (214, 160, 118), (176, 104, 76), (205, 140, 100))
CUT_SHADE = 0.78
"""Cut pieces are darker by this, halves by its square root."""


def tile_solid(corners: Floats, thickness: float) -> tuple[Floats, Ints]:
    """A flat tile: its corners (k, 3) on its middle surface, moved half the thickness each way.

    The tile is flat, as tiles are: it lies in the mean plane of its corners (Newell's normal).
    Answers vertices (2k, 3) and triangles that close it, seen from outside anticlockwise.
    """
    points, faces = tile_solids(corners[None], thickness)
    return points[0], faces[0]


def tile_solids(corners: Floats, thickness: float) -> tuple[Floats, Ints]:
    """Tiles with as many corners each, (n, k, 3): vertices (n, 2k, 3), triangles (n, f, 3)."""
    n, k, _ = corners.shape
    normal = np.cross(corners, np.roll(corners, -1, axis=1)).sum(axis=1)
    normal = normal / np.linalg.norm(normal, axis=1)[:, None]
    middle = corners.mean(axis=1)
    off = np.einsum("nkj,nj->nk", corners - middle[:, None], normal)
    flat = corners - off[..., None] * normal[:, None]
    half = normal[:, None] * (thickness / 2)
    side = np.arange(k)
    nxt = np.roll(side, -1)
    walls = np.concatenate(
        [np.column_stack([side, nxt, nxt + k]), np.column_stack([side, nxt + k, side + k])]
    )
    edges = np.roll(flat, -1, axis=1) - flat
    turns = np.einsum("nkj,nj->nk", np.cross(edges, np.roll(edges, -1, axis=1)), normal)
    fan = np.arange(1, k - 1)
    lids = np.broadcast_to(np.column_stack([0 * fan, fan, fan + 1]), (n, k - 2, 3)).copy()
    for i in np.flatnonzero((turns < -1e-12).any(axis=1)):
        lids[i] = _triangles_of_hollow(flat[i], normal[i])
    # Vertices 0..k-1 lie below (against the normal), k..2k-1 above.
    faces = np.concatenate([lids[:, :, ::-1], lids + k, np.broadcast_to(walls, (n, 2 * k, 3))], 1)
    return np.concatenate([flat - half, flat + half], axis=1), faces


def _triangles_of_hollow(flat: Floats, normal: Floats) -> Ints:
    """The same for a polygon with a corner that points inward."""
    import shapely

    first = flat[1] - flat[0]
    first = first / np.linalg.norm(first)
    plane = np.column_stack([flat @ first, flat @ np.cross(normal, first)])
    found = []
    for part in shapely.constrained_delaunay_triangles(shapely.Polygon(plane)).geoms:
        ring = np.asarray(shapely.normalize(part).exterior.coords)[:3]
        index = [int(np.argmin(np.hypot(*(plane - point).T))) for point in ring]
        a, b, c = plane[index]
        (ux, uy), (vx, vy) = b - a, c - a
        if ux * vy - uy * vx < 0:
            index = index[::-1]
        found.append(index)
    return np.array(found, dtype=np.int64)


def layer_mesh(layer: LayerBond, thickness: float, tiles: Ints) -> tuple[Floats, Ints, Ints]:
    """Some tiles of a layer as one body: vertices, triangles, and the tile of each triangle."""
    points: list[Floats] = []
    faces: list[Ints] = []
    owner: list[Ints] = []
    first = 0
    sizes = np.diff(layer.start)[tiles]
    for k in np.unique(sizes):
        same = tiles[sizes == k]
        corners = layer.corners[layer.start[same][:, None] + np.arange(k)]
        vertices, triangles = tile_solids(corners, thickness)
        shift = first + 2 * k * np.arange(len(same))
        points.append(vertices.reshape(-1, 3))
        faces.append((triangles + shift[:, None, None]).reshape(-1, 3))
        owner.append(np.repeat(same, triangles.shape[1]))
        first += 2 * k * len(same)
    return np.concatenate(points), np.concatenate(faces), np.concatenate(owner)


def tiles_glb(plan: AnyPlan) -> bytes:
    """All tiles as solids: a node a course under a node a layer, named, metres, z turned up.

    The `extras` of each course hold the names of its tiles in the order of their triangles.
    """
    import trimesh

    scene: Any = trimesh.Scene()
    laid = [(f"layer-{layer.layer}", layer) for layer in plan.bond.layers]
    for opening in plan.bond.openings:
        laid += [(f"opening-{opening.number}-ring-{k}", r) for k, r in enumerate(opening.ring, 1)]
    for group, layer in laid:
        thickness = plan.job.tiles[layer.tile].thickness
        base = np.array(LAYER_INKS[(layer.layer - 1) % len(LAYER_INKS)], dtype=float)
        scene.graph.update(frame_from=scene.graph.base_frame, frame_to=group)
        rows = layer.web * (int(layer.course.max()) + 1) + layer.course
        for row in np.unique(rows):
            tiles = np.flatnonzero(rows == row)
            points, faces, owner = layer_mesh(layer, thickness, tiles)
            mesh = trimesh.Trimesh(points, faces, process=False)
            shade = np.ones(len(owner))
            shade[layer.kind[owner] == Piece.CUT] = CUT_SHADE
            shade[layer.kind[owner] == Piece.HALF] = CUT_SHADE**0.5
            inks = np.full((len(owner), 4), 255, dtype=np.uint8)
            inks[:, :3] = np.round(linear_light(base * shade[:, None]) * 255)
            mesh.visual = trimesh.visual.ColorVisuals(mesh, face_colors=inks)
            web, course = int(layer.web[tiles[0]]), int(layer.course[tiles[0]])
            name = f"{group}-web-{web}-course-{course:02d}"
            mesh.metadata["tiles"] = [layer.names[int(i)] for i in tiles]
            scene.add_geometry(mesh, node_name=name, geom_name=name, parent_node_name=group)
    # glTF has y up; our z is up.
    scene.apply_transform(np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1.0]]))
    return bytes(scene.export(file_type="glb"))


def linear_light(inks: Floats) -> Floats:
    """Shares of light of sRGB inks (0 to 255): what glTF 2.0 (3.9.2) wants of a vertex.
    IEC 61966-2-1:1999."""
    share = np.asarray(inks, dtype=float) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def shell_mesh(plan: AnyPlan, across: int = 97, along: int = 33) -> Any:
    """The whole shell, layers and beds as closed bodies, cut true at walls and creases."""
    from timbrel.plan import SurfacePlan

    if isinstance(plan, SurfacePlan):
        from timbrel.shape.opened_plan import openings_of
        from timbrel.sheets.surface_models import surface_mesh

        return surface_mesh(plan.vault, openings_of(plan.job, plan.vault))
    if plan.job.openings:
        from timbrel.shape.opened import place_openings
        from timbrel.sheets.opened_models import opened_mesh

        return opened_mesh(plan.vault, place_openings(plan.job, plan.vault), across, along)
    import trimesh

    vault = plan.vault
    u = np.linspace(0.0, 1.0, across)
    grids = []
    for offset in (0.0, vault.thickness):
        start, end = vault.end_cuts(u, offset)
        share = np.linspace(0.0, 1.0, along)
        v = start[:, None] + (end - start)[:, None] * share
        grids.append(vault.point(np.broadcast_to(u[:, None], v.shape), v, offset))
    points = np.concatenate([grid.reshape(-1, 3) for grid in grids])
    index = np.arange(across * along).reshape(across, along)
    below, above = index, index + across * along
    quads = [
        _quads(below, flip=True),
        _quads(above, flip=False),
        _band(below[0], above[0], flip=False),
        _band(below[-1], above[-1], flip=True),
        _band(below[:, 0], above[:, 0], flip=True),
        _band(below[:, -1], above[:, -1], flip=False),
    ]
    return trimesh.Trimesh(points, np.concatenate(quads), process=False)


def _quads(grid: Ints, *, flip: bool) -> Ints:
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    faces = np.concatenate(
        [np.stack([a, b, c], -1).reshape(-1, 3), np.stack([a, c, d], -1).reshape(-1, 3)]
    )
    return faces[:, ::-1] if flip else faces


def _band(low: Ints, high: Ints, *, flip: bool) -> Ints:
    return _quads(np.stack([low, high]), flip=flip)


def shell_stl(plan: AnyPlan) -> bytes:
    """The shell as binary STL, in millimetres, as print shops and slicers expect."""
    mesh = shell_mesh(plan)
    mesh.apply_scale(1000.0)
    return bytes(mesh.export(file_type="stl"))
