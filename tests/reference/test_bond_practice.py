"""Facts of the trade about the bond.

Source: common practice, no source, unless a line says otherwise. Geometry: derived.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from timbrel.bond.lay import lay_bond
from timbrel.bond.layout import Piece
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault

PRACTICE = "common practice, no source"


def store(tile: dict[str, float], layers: int = 2, rise: float = 900) -> tuple[Job, Any]:
    """A square store room of 4.30 by 6.60 m and its vault."""
    job = Job.model_validate(
        {
            "format": 1,
            "job": {"title": "Bond of an invented store room"},
            "room": {
                "AB": 4300,
                "BC": 6600,
                "CD": 4300,
                "DA": 6600,
                "AC": float(np.hypot(4300, 6600)),
                "BD": float(np.hypot(4300, 6600)),
                "levels": {"A": 2400, "B": 2400, "C": 2400, "D": 2400},
            },
            "curve": {"directrix": "segment", "rise": rise},
            "tiles": {"t": tile},
            "binders": {"quick": {"kind": "natural quick cement"}},
            "layers": [{"tile": "t", "binder": "quick"}] * layers,
        }
    )
    return job, shape_vault(job, solve_room(job.room))


@pytest.mark.parametrize(
    "tile",
    [
        {"length": 280, "width": 135, "thickness": 33},
        {"length": 290, "width": 140, "thickness": 15},
    ],
    ids=["280 x 135 x 33", "15 mm thin"],
)
def test_usual_tiles_are_taken(tile: dict[str, float], evidence: Any) -> None:
    """Tile sizes that are met: each is laid, the first layer without a cut closer."""
    job, vault = store(tile)
    bond = lay_bond(job, vault)
    cut = bond.layers[0].number_of(Piece.CUT)
    evidence(f"cut closers in the seen layer, tile {tile['thickness']} mm", 0, cut, PRACTICE)
    assert cut == 0


def test_joints_of_the_second_layer_do_not_fall_on_the_first(evidence: Any) -> None:
    """Lap between layers of at least 40 mm, reached by starting with halves and shifted rows."""
    job, vault = store({"length": 280, "width": 140, "thickness": 20})
    lap = lay_bond(job, vault).laps[0]
    assert lap.reached is not None
    evidence("least lap of two layers, mm (at least)", 40, lap.reached * 1000, PRACTICE)
    assert lap.reached >= 0.040


def test_facet_of_a_flat_tile(evidence: Any) -> None:
    """Sagitta c*c/(8 R): derived (chord of a circle), against the corners in space."""
    job, vault = store({"length": 280, "width": 140, "thickness": 20}, layers=1)
    radius = 4.3**2 / (8 * 0.9) + 0.9 / 2 + 0.010
    published = 0.140**2 / (8 * radius)
    ours = lay_bond(job, vault).layers[0].facet
    evidence("facet of a 140 mm tile, mm", published * 1000, ours * 1000, "derived")
    assert ours == pytest.approx(published, rel=0.01)


def test_gauge_rod_marks(evidence: Any) -> None:
    """Marks at k (w + j) from the first: w the tile, j the gauged joint."""
    job, vault = store({"length": 280, "width": 140, "thickness": 20}, layers=1)
    bond = lay_bond(job, vault)
    rod = bond.layers[0].gauge.rod("near")
    tenth = rod.marks[10] - rod.marks[0]
    published = 10 * (0.140 + rod.joint)
    evidence("tenth mark of the rod, mm", published * 1000, tenth * 1000, PRACTICE)
    assert tenth == pytest.approx(published, abs=1e-6)
    count = len(rod.marks) - 1
    whole = count * 0.140 + (count + 1) * rod.joint
    arc = 2 * radius_angle(4.3, 0.9)[1] * radius_angle(4.3, 0.9)[0]
    evidence("courses and joints fill the arc, mm", arc * 1000, whole * 1000, "derived")
    assert whole == pytest.approx(arc, abs=1e-6)


def radius_angle(span: float, rise: float) -> tuple[float, float]:
    """Radius and half angle of a segment, from the two right triangles."""
    radius = span**2 / (8 * rise) + rise / 2
    return radius, float(np.arcsin(span / 2 / radius))


def test_halves(evidence: Any) -> None:
    """A half is (l - j)/2, so that two and a joint make a tile."""
    job, vault = store({"length": 280, "width": 140, "thickness": 20}, layers=1)
    layer = lay_bond(job, vault).layers[0]
    half = float(layer.length[np.flatnonzero(layer.kind == Piece.HALF)[0]])
    evidence("half of a 280 mm tile with 10 mm joints, mm", 135, half * 1000, PRACTICE)
    assert half == pytest.approx(0.135, abs=1e-9)
