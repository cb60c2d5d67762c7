"""Models in three dimensions: closed, named, of the right volume."""

from __future__ import annotations

import io

import numpy as np
import pytest

from timbrel.bond.layout import Piece
from timbrel.plan import Plan
from timbrel.sheets.models import linear_light, shell_mesh, shell_stl, tile_solid, tiles_glb


def _volume(points: np.ndarray, faces: np.ndarray) -> float:
    a, b, c = (points[faces[:, i]] for i in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def _edges_are_shared(faces: np.ndarray) -> bool:
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    one_way = {tuple(e) for e in edges.tolist()}
    return len(one_way) == len(edges) and all((b, a) in one_way for a, b in one_way)


@pytest.mark.parametrize(
    "ring",
    [
        [(0, 0), (0.3, 0), (0.3, 0.15), (0, 0.15)],
        [(0, 0), (0.3, 0), (0.1, 0.2)],
        [(0, 0), (0.3, 0), (0.3, 0.15), (0.1, 0.05), (0, 0.15)],
    ],
)
def test_a_tile_is_a_closed_solid_of_area_times_thickness(ring: list[tuple[float, float]]) -> None:
    flat = np.array(ring, dtype=float)
    x, y = flat.T
    area = float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    leaning = np.column_stack([flat, 0.4 * x - 0.7 * y])
    slope = np.sqrt(1 + 0.4**2 + 0.7**2)
    points, faces = tile_solid(leaning, 0.02)
    assert _edges_are_shared(faces)
    assert _volume(points, faces) == pytest.approx(area * slope * 0.02, rel=1e-9)


def test_the_shell_is_one_closed_body_of_the_vaults_volume(plan: Plan) -> None:
    mesh = shell_mesh(plan)
    assert mesh.is_watertight and mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(plan.vault.volume, rel=2e-3)


def test_the_stl_is_in_millimetres(plan: Plan) -> None:
    import trimesh

    mesh = trimesh.load(io.BytesIO(shell_stl(plan)), file_type="stl")
    assert mesh.extents[0] > 1000
    assert mesh.volume * 1e-9 == pytest.approx(plan.vault.volume, rel=2e-3)


def test_the_glb_names_layers_and_courses_and_holds_every_tile(plan: Plan) -> None:
    import trimesh

    scene = trimesh.load(io.BytesIO(tiles_glb(plan)), file_type="glb")
    names = set(scene.graph.nodes_geometry)
    for layer in plan.bond.layers:
        mine = [name for name in names if name.startswith(f"layer-{layer.layer}-")]
        assert len(mine) == len(set(zip(layer.web.tolist(), layer.course.tolist(), strict=True)))
    meshes = scene.dump(concatenate=False)
    volume = sum(_volume(np.asarray(m.vertices), np.asarray(m.faces)) for m in meshes)
    ours = sum(
        float(layer.area.sum()) * plan.job.tiles[layer.tile].thickness for layer in plan.bond.layers
    )
    assert volume == pytest.approx(ours, rel=0.02)
    tiles = [name for m in meshes for name in m.metadata.get("tiles", [])]
    assert len(tiles) == sum(layer.count for layer in plan.bond.layers)
    assert max(m.vertices[:, 1].max() for m in meshes) == pytest.approx(
        max(float(layer.corners[:, 2].max()) for layer in plan.bond.layers), abs=0.05
    )


def test_cut_pieces_are_there_to_be_seen(plan: Plan) -> None:
    assert any((layer.kind == Piece.CUT).any() for layer in plan.bond.layers)


def test_inks_go_out_as_light() -> None:
    """Middle grey, 187 of 255, is half the light (IEC 61966-2-1: 0.4969, from memory)."""
    assert linear_light(np.array([0.0, 187.0, 255.0])) == pytest.approx([0.0, 0.497, 1.0], abs=5e-4)
    assert linear_light(np.array([10.0]))[0] == pytest.approx(10 / 255 / 12.92)
