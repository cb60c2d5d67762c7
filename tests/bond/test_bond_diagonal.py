"""A sail laid from its corners: the seen layer at 45 degrees closes in a room that is out of square."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from timbrel.bond.layout import Piece
from timbrel.bond.remedy import _others
from timbrel.job.load import read_job
from timbrel.plan import make_shell
from timbrel.verdict import Verdict

SAIL = Path(__file__).parents[2] / "examples" / "study-sail" / "job.toml"


@pytest.fixture(
    scope="module", params=[(3404, 4811, 4809), (3430, 4840, 4818)], ids=["even", "odd"]
)
def laid(request: pytest.FixtureRequest) -> tuple[Any, Any]:
    stated: Any = tomlkit.parse(SAIL.read_text())
    stated["room"].update(zip(("BC", "AC", "BD"), request.param, strict=True))
    stated["layers"][0]["direction"] = "diagonal"
    job = read_job(tomlkit.dumps(stated)).job
    return job, make_shell(job)


def test_no_sliver_is_left_in_a_corner(laid: tuple[Any, Any]) -> None:
    """Bed joints are moved within their range until both corners close with a piece that holds."""
    job, shell = laid
    layer = shell.bond.layers[0]
    joint = job.layers[0].joint
    assert joint.least <= layer.bed_joint <= joint.most
    found = {check.name: check.verdict for check in shell.bond.checks}
    for name in ("bond.closer.1", "bond.joint_least.1", "bond.joint_most.1", "bond.lap.1-2"):
        assert found[name] is Verdict.HOLDS, name
    assert layer.number_of(Piece.WHOLE) > 0.6 * layer.count


def test_a_dome_is_not_told_to_turn_to_45_degrees(laid: tuple[Any, Any]) -> None:
    job, _ = laid
    tried = {family: {layer.direction for layer in _others(job.layers[1], family)}
             for family in ("sail", "dome")}  # fmt: skip
    assert tried["sail"] - tried["dome"] == {"diagonal"}
