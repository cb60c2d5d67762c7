"""Where ties lie in plan, and what they add to the order: by hand on stated rooms."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import tomlkit

from timbrel.job.load import read_job
from timbrel.plan import AnyPlan, make_plan
from timbrel.statics.tie_lines import tie_lines

EXAMPLES = Path(__file__).parents[2] / "examples"
BAR = {"diameter": 20, "anchor": {"side": 160, "thickness": 15}}
STEEL = 7850.0


def _plan(name: str, ties: dict[str, object], **left: object) -> AnyPlan:
    stated = tomlkit.parse((EXAMPLES / name / "job.toml").read_text())
    stated["walls"]["ties"] = ties
    for side in ("left", "right"):
        for key, value in left.items():
            stated["walls"][side][key] = value
    return make_plan(read_job(tomlkit.dumps(stated)))


def test_between_piers_they_run_in_the_middle_of_both() -> None:
    """Room 3.4 m square, piers 1 m with their inner edge in its corners: 1 + 3.4 + 1 m, 0.5 m out."""
    plan = _plan("market-groin", BAR, pier=1000, thickness=1000, pier_out=500)
    lines = {line.name: line for line in tie_lines(plan.job, plan.vault)}
    assert set(lines) == {"AB", "BC", "CD", "DA"}
    assert all(line.length == pytest.approx(5.4, abs=1e-4) for line in lines.values())
    corner = plan.room.corners[0]
    assert lines["AB"].line[0] == pytest.approx([corner[0] - 1.0, corner[1] - 0.5], abs=1e-4)


def test_a_pier_that_stands_nearer_takes_a_shorter_tie() -> None:
    """Middle 0.2 m out: outer face 0.7 m out."""
    plan = _plan("market-groin", BAR, pier=1000, thickness=1000, pier_out=200)
    assert all(
        line.length == pytest.approx(4.8, abs=1e-4) for line in tie_lines(plan.job, plan.vault)
    )


def test_across_they_are_no_farther_apart_than_stated() -> None:
    """A barrel of 6.6 m: five ties at 1.5 m, each from outer face to outer face of two walls."""
    plan = _plan("granary", BAR | {"spacing": 1500})
    lines = tie_lines(plan.job, plan.vault)
    assert len(lines) == 5
    walls = (plan.job.walls.left.thickness or 0) + (plan.job.walls.right.thickness or 0)
    for line in lines:
        assert walls + 4.25 < line.length < walls + 4.35


def test_round_four_walls_they_run_in_their_middle() -> None:
    plan = _plan("chapel-cloister", BAR)
    thick = plan.job.walls.left.thickness
    assert thick is not None
    for line in tie_lines(plan.job, plan.vault):
        assert line.length == pytest.approx(3.2 + 2 * thick, abs=1e-4)


def test_the_order_by_hand() -> None:
    """Four bars of 5.4 m, 2 x 15 mm of plate, 2 x (2 x 16 + 10) mm for nuts: 5.514 m, bought as 5.55;
    eight plates; sixteen nuts of 30 mm across flats, 16 mm high: about 58 g each (by hand)."""
    plan = _plan("market-groin", BAR, pier=1000, thickness=1000, pier_out=500)
    assert plan.takeoff.line("ties").order == pytest.approx(
        4 * 5.55 * math.pi * 0.01**2 * STEEL, rel=1e-9
    )
    assert plan.takeoff.line("ties.plates").order == pytest.approx(8 * 0.16**2 * 0.015 * STEEL)
    assert plan.takeoff.line("ties.nuts").order == pytest.approx(16 * 0.0584, rel=0.01)


def test_a_ring_has_no_plates() -> None:
    """pi d of the springing."""
    plan = _plan("well-dome", {"kind": "flat", "width": 60, "thickness": 8})
    (line,) = tie_lines(plan.job, plan.vault)
    radius = float(plan.vault.rings(0.0).radius)
    assert line.length == pytest.approx(2 * math.pi * radius, rel=1e-3)
    keys = {line.key for line in plan.takeoff.lines if line.key.startswith("ties")}
    assert keys == {"ties"}


def test_no_ties_no_lines() -> None:
    stated = tomlkit.parse((EXAMPLES / "chapel-cloister" / "job.toml").read_text())
    plan = make_plan(read_job(tomlkit.dumps(stated)))
    assert tie_lines(plan.job, plan.vault) == ()
    assert not [line for line in plan.takeoff.lines if line.key.startswith("ties")]
