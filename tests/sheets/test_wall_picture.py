"""A wall with set-offs is drawn as thick as it is at every bed, and the resultant stands in it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import tomlkit

import timbrel.job
from timbrel.job.load import read_job
from timbrel.plan import make_plan
from timbrel.sheets.sections import wall_faces
from timbrel.sheets.thrust import wall_picture
from timbrel.words import Voice

EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"
SET_OFFS = [{"under": 300, "out": 150}, {"under": 900, "out": 250}]


def test_outline_and_resultant_follow_the_set_offs() -> None:
    stated = tomlkit.parse(EXAMPLE.read_text())
    left = stated["walls"]["left"]  # type: ignore[index]
    left["thickness"], left["setoffs"] = 850, SET_OFFS  # type: ignore[index]
    plan = make_plan(read_job(tomlkit.dumps(stated)))
    picture = wall_picture(plan, Voice(), "left", (100.0, 100.0))
    assert picture is not None
    space = picture.doc.modelspace()
    (outline,) = (line for line in space.query("LWPOLYLINE") if line.dxf.layer == "WALL")
    faces = {round(-x) for x, *_ in outline.get_points()}
    assert faces == {0, 850, 1000, 1100}
    drawn = [
        np.array([point[:2] for point in line.get_points()])
        for line in space.query("LWPOLYLINE")
        if line.dxf.layer == "THRUST GREATEST" and len(line) > 2
    ]
    state = max(
        (w for s in plan.statics.stations for w in s.walls
         if w.side == "left" and w.case.bound == "greatest"),
        key=lambda w: abs(w.eccentricity).max(),
    )  # fmt: skip
    # What the picture tells, from the inner face: half the bed and the eccentricity.
    at = 1e3 * (state.across / 2 + state.eccentricity)
    assert any(len(d) == len(at) and np.allclose(-d[:, 0], at, atol=1.0) for d in drawn)


def test_faces_of_a_wall_that_steps_back_over_the_springing() -> None:
    stated = tomlkit.parse(EXAMPLE.read_text())
    left = stated["walls"]["left"]  # type: ignore[index]
    left["setoffs"], left["above_thickness"] = [{"under": 300, "out": 150}], 700  # type: ignore[index]
    wall = read_job(tomlkit.dumps(stated)).job.walls.left
    inner, outer = wall_faces(wall, (0.0, 1.4), -1.0, 0.8, 2.4)
    assert inner == [(0.0, 0.8), (0.0, 1.4), (-0.4, 1.4), (-0.4, 2.4)]
    assert np.allclose(
        outer,
        [(-1.25, 0.8), (-1.25, 1.1), (-1.1, 1.1), (-1.1, 1.4), (-1.1, 1.4), (-1.1, 2.4)],
    )
