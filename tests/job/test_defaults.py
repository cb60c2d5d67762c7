"""Every default that was used is told, and no more."""

from __future__ import annotations

from timbrel.job import read_job
from timbrel.job.new import example_text

BARE = """
format = 1
job.title = "bare"
curve = { directrix = "segment", rise = 600 }
levels.floor_below = -3000
tiles.thin = { length = 240, width = 120, thickness = 20 }
binders.quick.kind = "natural quick cement"

[room]
AB = 4000
BC = 6000
CD = 4000
DA = 6000
AC = 7211
BD = 7211
levels = { A = 0, B = 0, C = 0, D = 0 }

[[layers]]
tile = "thin"
binder = "quick"

[[layers]]
tile = "thin"
binder = "quick"
joint.least = 5
"""


def test_defaults_of_tables_within_tables_are_told() -> None:
    used = {row.key: row for row in read_job(BARE).defaults}
    assert used["room.warn"].value == 0.010 and used["room.warn"].kind == "length"
    assert used["layers.1.joint.least"].value == 0.006
    assert used["layers.2.joint.best"].value == 0.010
    assert used["tiles.thin.density"].kind == "density"
    assert used["tiles.thin.breakage"].kind == "percent"
    assert used["site.mixing"].kind == "seconds"
    assert used["loads.factors.permanent"].value == 1.35
    assert used["walls.left.thickness"].value is None
    assert all(row.description for row in used.values())


def test_what_was_stated_is_no_default() -> None:
    used = {row.key for row in read_job(BARE).defaults}
    assert not used & {"layers.2.joint.least", "curve.rise", "levels.floor_below", "room.AB"}
    assert len(used) == len(read_job(BARE).defaults)


def test_a_key_stated_with_its_default_is_stated() -> None:
    fewer = read_job(example_text()).defaults
    assert "room.warn" not in {row.key for row in fewer}
    assert "site.camber" in {row.key for row in fewer}
