"""What a vault stands on: refused where its kind or the ends of its room say otherwise."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.job.model import Job
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"


def stated(name: str, curve: dict[str, Any], room: dict[str, Any] | None = None) -> Job:
    job = tomlkit.parse((EXAMPLES / name / "job.toml").read_text(encoding="utf-8"))
    tables: Any = job
    tables["curve"].update(curve)
    tables["room"].update(room or {})
    return read_job(tomlkit.dumps(job)).job


def test_a_sail_stands_on_walls_unless_the_job_says_corners() -> None:
    assert not stated("study-sail", {}).curve.on_corners
    assert not stated("study-sail", {"stands": "walls"}).curve.on_corners
    assert stated("study-sail", {"stands": "corners"}).curve.on_corners
    assert stated("market-groin", {}).curve.on_corners
    assert stated("market-groin", {"stands": "corners"}).curve.on_corners
    assert not stated("chapel-cloister", {"stands": "walls"}).curve.on_corners


@pytest.mark.parametrize(
    ("name", "given", "accepted"),
    [
        ("market-groin", "walls", '"corners"'),
        ("chapel-cloister", "corners", '"walls"'),
        ("well-dome", "corners", '"walls"'),
        ("granary", "corners", '"walls"'),
        ("study-sail", "piers", "corners"),
    ],
)
def test_what_a_kind_cannot_stand_on_is_refused(name: str, given: str, accepted: str) -> None:
    with pytest.raises(TimbrelError) as error:
        stated(name, {"stands": given})
    told = str(error.value)
    assert "curve.stands" in told
    assert given in told
    assert accepted in told
    assert "\n" not in told


@pytest.mark.parametrize("end", ["wall", "carrying wall"])
@pytest.mark.parametrize("name", ["near_end", "far_end"])
def test_no_wall_stands_under_an_open_edge(name: str, end: str) -> None:
    with pytest.raises(TimbrelError, match=f"room.{name} is .*{end}.*accepted") as error:
        stated("study-sail", {"stands": "corners"}, {name: end})
    assert "curve.stands" in str(error.value)


@pytest.mark.parametrize("end", ["free", "closing wall"])
def test_an_open_edge_may_be_free_or_closed(end: str) -> None:
    assert stated("study-sail", {"stands": "corners"}, {"near_end": end}).curve.on_corners


def test_ties_run_from_pier_to_pier() -> None:
    """A band of wall that carries a push to the corners, or ties across, need walls."""
    bar = {"kind": "bar", "diameter": 20, "anchor": {"side": 150, "thickness": 20}}
    job = tomlkit.parse((EXAMPLES / "study-sail" / "job.toml").read_text(encoding="utf-8"))
    tables: Any = job
    tables["curve"]["stands"] = "corners"
    tables["walls"]["ties"] = bar
    assert read_job(tomlkit.dumps(job)).job.walls.ties is not None
    for key, value in (("layout", "across"), ("band", 400)):
        tables["walls"]["ties"] = {**bar, key: value}
        with pytest.raises(TimbrelError, match=f"walls.ties.{key}"):
            read_job(tomlkit.dumps(job))
