"""Lines of a net run from face to face and stand in the walls' planes, whichever line the job gives."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.shape.vault import shape_vault
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_symmetry import symmetries
from timbrel.statics.net_vaults import solid_of

SQUARE = [[0, 0, 2.1], [4, 0, 2.1], [4, 4, 2.1], [0, 4, 2.1]]
ODD = [[0, 0, 2.1], [4.1, 0.1, 2.1], [4.2, 4.5, 2.1], [-0.1, 4.3, 2.1]]


@pytest.mark.parametrize("line", ["intrados", "axis", "extrados"])
@pytest.mark.parametrize("family", ["groin", "cloister", "sail"])
@pytest.mark.parametrize("room", [SQUARE, ODD], ids=["square", "odd"])
def test_lines_from_face_to_face(trial_job: Any, family: str, line: str, room: Any) -> None:
    job = trial_job(curve={"family": family, "rise": 800, "line": line})
    stated: Any = SimpleNamespace(corners=np.array(room, float), measures=(), checks=())
    vault = shape_vault(job, stated)
    solid = solid_of(vault)
    grid = grid_of(solid, 6)
    # Off the surface the direction is that of its foot: true to a second order of the thickness.
    for points, wanted in ((grid.inner, 0.0), (grid.outer, vault.thickness)):
        assert solid.depth(points, grid.uv) == pytest.approx(wanted, abs=1.3e-3)
    if room is SQUARE:
        # A turned or mirrored net is the same net: lines on creases lean to neither web.
        assert len(symmetries(grid)) == 8
    if family == "cloister":
        return
    for k in range(4):
        through, outward = vault.plan.wall(k)
        on = np.abs(grid.uv[:, (1, 0, 1, 0)[k]] - (0.0, 1.0, 1.0, 0.0)[k]) < 1e-9
        for points in (grid.inner, grid.outer):
            assert np.abs((points[on] - through) @ outward).max() < 1e-9
