"""Rigid blocks against the literature: the least thickness of a semicircle and of a hemisphere.

Milankovitch 1907, restated in Makris and Alexakis 2013 (Archive of Applied Mechanics): a semicircular
arch with radial joints under its own weight needs t/R = 0.1075. Heyman 1967 ("On shell solutions for
masonry domes"): a hemisphere needs about 0.042 R (from memory; 0.0428 by an independent computation).
A mechanism says what falls, so the least thickness found lies under the true one, and grows to it.
"""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.job.model import Job
from timbrel.shape.vault import shape_vault
from timbrel.statics.blocks_joints import joints_of
from timbrel.statics.blocks_loads import owners, pieces_of
from timbrel.statics.blocks_mesh import Mirror, cut
from timbrel.statics.blocks_program import BlockWork, most_sinking, work_of
from timbrel.statics.blocks_solid import BlockSolid

WHOLE = Mirror(near=True, left=True)
BEDDED = {"tile": "stout", "binder": "mortar", "bed": 12}
LAYERS = [{"tile": "stout", "binder": "quick"}, BEDDED, BEDDED]


def vault_of(family: str, layer: float) -> tuple[Job, Any]:
    """A barrel or dome over a semicircle of radius 2.1 m to the intrados, in three layers."""
    job = Job.model_validate(
        {
            "format": 1,
            "job": {"title": "Trial"},
            "room": {
                **{"AB": 4200, "BC": 4200, "CD": 4200, "DA": 4200, "AC": 5939.7, "BD": 5939.7},
                "levels": {"A": 2100, "B": 2100, "C": 2100, "D": 2100},
            },
            "curve": {"family": family, "directrix": "semicircle", "rise": 2100},
            "tiles": {"stout": {"length": 280, "width": 140, "thickness": layer}},
            "binders": {"quick": {"kind": "natural quick cement"}, "mortar": {"kind": "mortar"}},
            "layers": LAYERS,
            "walls": {
                "left": {"thickness": 900, "height": 2100},
                "right": {"thickness": 900, "height": 2100},
            },
            "loads": {"fill": {"kind": "none"}, "use": "floor", "finish": 0},
        }
    )
    corners = np.array([[0, 0, 2.1], [4.2, 0, 2.1], [4.2, 4.2, 2.1], [0, 4.2, 2.1]], float)
    room: Any = SimpleNamespace(corners=corners, measures=(), checks=())
    return job, shape_vault(job, room)


def falls(job: Job, vault: Any, share: float, cells: tuple[int, int]) -> bool:
    """Does some motion of the blocks let the dead load sink, thinned about the middle."""
    solid = BlockSolid(vault, share)
    mesh = cut(solid, *cells, WHOLE)
    nodes = solid.reference(mesh.plan)
    about = nodes[mesh.blocks].mean(axis=1)
    parts = pieces_of(job, solid, "full", WHOLE)
    owner = owners(parts.points, solid.eye, nodes, mesh.blocks)
    dead = work_of(parts.points, parts.dead, owner, about)
    return most_sinking(joints_of(solid, mesh), about, BlockWork(dead, dead)) > (
        1e-6 * parts.total[0]
    )


def least(
    job: Job, vault: Any, cells: tuple[int, int], low: float, high: float, halvings: int
) -> float:
    """Least thickness over the mean radius at which the blocks stand, by halving."""
    radius = 2.1 + vault.thickness / 2
    for _ in range(halvings):
        middle = (low + high) / 2
        share = middle * radius / vault.thickness
        low, high = (middle, high) if falls(job, vault, share, cells) else (low, middle)
    return (low + high) / 2


def test_semicircular_arch(evidence: Any) -> None:
    job, vault = vault_of("barrel", 74)
    found = [least(job, vault, cells, 0.09, 0.125, 9) for cells in ((16, 2), (32, 2))]
    evidence("semicircle by blocks, least t/R", 0.1075, found[1], "Milankovitch 1907")
    assert found[1] == pytest.approx(0.1075, rel=0.01)


def test_hemisphere(evidence: Any) -> None:
    """Blocks between rays are cut straight, which stiffens them: the more rays, the nearer."""
    job, vault = vault_of("dome", 28)
    radius = 2.1 + vault.thickness / 2

    def sinks(thickness: float, rays: int) -> bool:
        return falls(job, vault, thickness * radius / vault.thickness, (12, rays))

    assert not sinks(0.0355, 16) and sinks(0.0355, 32)
    assert not sinks(0.0405, 32) and sinks(0.0405, 64)
    assert not sinks(0.0428 * 1.01, 64)
    evidence(
        "hemisphere by 64 rays of blocks, falls at t/R", 0.0428, 0.0405, "Heyman 1967, derived"
    )
