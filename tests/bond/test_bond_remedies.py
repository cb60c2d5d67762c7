"""A lap that fails says what would help, and what it says is true."""

from __future__ import annotations

import re
from typing import Any

import pytest
from tests.bond.conftest import layer, make_job

from timbrel.bond.lay import lay_bond
from timbrel.bond.remedy import with_remedies
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.verdict import Check, Verdict

ODD = {"length": 250, "width": 120, "thickness": 20}


def lap_of(job: Job) -> tuple[Check, Any]:
    vault = shape_vault(job, solve_room(job.room, "mm"))
    bond = with_remedies(lay_bond(job, vault), job, lambda other: lay_bond(other, vault))
    return next(c for c in bond.checks if c.name == "bond.lap.1-2"), vault


@pytest.mark.parametrize("direction", ["along axis", "along arc"])
def test_what_is_said_to_help_helps(direction: str) -> None:
    """A tile of another face laps badly however it is shifted; turned by 45 degrees it crosses."""
    check, _ = lap_of(make_job([layer(), layer("odd", direction)], odd=ODD))
    assert check.verdict is Verdict.FAILS
    said = re.search(r"layers\.1\.direction (.+) and stagger (\w+) this", str(check.reason))
    assert said is not None
    turned = make_job([layer(), layer("odd", said[1], stagger=said[2])], odd=ODD)
    assert lap_of(turned)[0].verdict is Verdict.HOLDS


def test_where_nothing_helps_another_tile_is_asked_for() -> None:
    job = make_job([layer(), layer("odd")], odd=ODD)
    vault = shape_vault(job, solve_room(job.room, "mm"))
    failing = lay_bond(job, vault)
    told = with_remedies(failing, job, lambda _: failing)
    check = next(c for c in told.checks if c.name == "bond.lap.1-2")
    assert "give it a tile whose length and width" in str(check.reason)


def test_a_lap_that_holds_costs_nothing_more() -> None:
    job = make_job()
    vault = shape_vault(job, solve_room(job.room, "mm"))
    holding = lay_bond(job, vault)

    def never(_: Job) -> Any:
        raise AssertionError("laid again")

    assert with_remedies(holding, job, never).checks == holding.checks
