"""Walls and loads that cannot be true together are refused with one sentence, by their key."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.words import TimbrelError

EXAMPLES = Path(__file__).parents[2] / "examples"
BUTTRESS = {"width": 450, "spacing": 2400, "depth": 900}
TIE = {"diameter": 20, "spacing": 1500, "anchor": {"side": 200, "thickness": 20}}
WALL = {"thickness": 500, "height": 2000}
LINE = {"name": "Partition", "x": 2000, "y": 1000, "x_end": 2000, "load": 2}


def put(changes: dict[str, Any], name: str = "granary") -> None:
    """Read an example with some of its keys stated otherwise."""
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text())
    for key, value in changes.items():
        *tables, last = key.split(".")
        table: Any = stated
        for own in tables:
            table = table.setdefault(own, {})
        table[last] = value
    read_job(tomlkit.dumps(stated))


def door(start: int, sill: int = 0, head: int = 1200) -> dict[str, int]:
    return {"start": start, "width": 1000, "sill": sill, "head": head}


@pytest.mark.parametrize(
    "changes",
    [
        {"walls.left.openings": [door(500), door(1600)]},
        {"walls.left.openings": [door(500, head=600), door(500, sill=700)]},
        {"walls.left.ground.toe": 300},
        {"walls.left.leaves": [{"thickness": 700}, {"thickness": 400, "bonded": False}],
         "walls.left.ground.footing": 800},
        {"walls.left.buttress": {**BUTTRESS, "steps": [{"height": 700, "depth": 400}]}},
        {"walls.left.setoffs": [{"under": 400, "out": 100}], "walls.left.ground.footing": 1200},
        {"walls.left.above_thickness": 700, "walls.left.above_inset": 100},
        {"walls.ties": {**TIE, "over_springing": -300}},
        {"loads.fill.saturated": 18},
        {"loads.lines": [{**LINE, "y_end": 3000}]},
    ],
)  # fmt: skip
def test_what_can_be_true_together_is_taken(changes: dict[str, Any]) -> None:
    put(changes)


@pytest.mark.parametrize(
    ("changes", "key"),
    [
        ({"walls.left.load_offset": 700}, "walls.left.load_offset"),
        ({"walls.left.openings": [door(500), door(900)]}, "walls.left.openings.1.start"),
        ({"walls.left.openings": [door(500), door(1500)]}, "walls.left.openings.1.start"),
        ({"walls.left.ground.footing": 900}, "walls.left.ground.footing"),
        ({"walls.left.ground.toe": 400}, "walls.left.ground.toe"),
        ({"walls.left.buttress": {**BUTTRESS, "spacing": 9000}}, "walls.left.buttress.spacing"),
        ({"walls.left.buttress": {**BUTTRESS, "depth_top": 950}}, "walls.left.buttress.depth_top"),
        (
            {"walls.left.buttress": {**BUTTRESS, "steps": [{"height": 1400, "depth": 400}]}},
            "walls.left.buttress.steps",
        ),
        (
            {"walls.left.setoffs": [{"under": 400, "out": 200}, {"under": 800, "out": 150}]},
            "walls.left.setoffs",
        ),
        ({"walls.left.setoffs": [{"under": 1500, "out": 200}]}, "walls.left.setoffs"),
        ({"walls.left.setoffs": [{"under": 400, "out": 400}]}, "walls.left.ground.footing"),
        ({"walls.left.above_thickness": 1200}, "walls.left.above_thickness"),
        (
            {"walls.left.above_thickness": 900, "walls.left.above_inset": 300},
            "walls.left.above_inset",
        ),
        ({"walls.left.above_inset": 300}, "walls.left.above_inset"),
        ({"walls.ties": {**TIE, "over_springing": 4500}}, "walls.ties.over_springing"),
        ({"walls.ties": {**TIE, "over_springing": -1500}}, "walls.ties.over_springing"),
        ({"loads.fill.saturated": 5}, "loads.fill.saturated"),
        (
            {"loads.fill.kind": "none", "loads.fill.lifts": [{"top": 600, "unit_weight": 6}]},
            "loads.fill.lifts",
        ),
        ({"loads.fill": {"level": 700}}, "loads.fill.level"),
        ({"loads.lines": [{**LINE, "y_end": 1000}]}, "loads.lines.0.x_end"),
    ],
)
def test_what_contradicts_is_refused(changes: dict[str, Any], key: str) -> None:
    with pytest.raises(TimbrelError) as error:
        put(changes)
    assert error.value.key == key
    assert "accepted" in str(error.value)
    assert "\n" not in str(error.value)


def test_near_and_far_walls_are_looked_at_too() -> None:
    with pytest.raises(TimbrelError) as error:
        put({"walls.near": {**WALL, "load_offset": 400}}, "chapel-cloister")
    assert error.value.key == "walls.near.load_offset"


@pytest.mark.parametrize("name", ["market-groin", "chapel-cloister", "study-sail", "well-dome"])
def test_walls_of_every_family_pass(name: str) -> None:
    put({}, name)
