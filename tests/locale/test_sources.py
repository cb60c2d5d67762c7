"""Where a figure comes from is read in the reader's language too, not only what the figure is."""

from __future__ import annotations

from pathlib import Path

import pytest

from timbrel.job import load_job
from timbrel.locale.gather import gathered
from timbrel.plan import Plan, follow_all, make_plan
from timbrel.statics.imposed import BY_USE

EXAMPLES = Path(__file__).parents[2] / "examples"
SAID = {str(message.id) for message in gathered()}


@pytest.fixture(scope="module", params=["granary", "bakehouse-loft"])
def plan(request: pytest.FixtureRequest) -> Plan:
    """A plain barrel with its load path, and one with openings and hooks."""
    return follow_all(make_plan(load_job(EXAMPLES / request.param)))


def test_every_source_of_a_check_can_be_translated(plan: Plan) -> None:
    assert {check.source for check in plan.checks} - SAID == set()


def test_every_source_of_the_load_path_can_be_translated(plan: Plan) -> None:
    assert plan.carrying is not None
    sources = {note.source for note in plan.carrying.notes}
    assert len(sources) > 15
    assert sources - SAID == set()


def test_every_source_of_a_load_can_be_translated() -> None:
    assert {row.clause for row in BY_USE.values()} - SAID == set()
