"""The examples of the house hold, from the first arch to the load on the floor."""

from __future__ import annotations

from pathlib import Path

import pytest

from timbrel.job import load_job
from timbrel.plan import follow_building, make_plan
from timbrel.verdict import Verdict

EXAMPLES = Path(__file__).parents[1] / "examples"


@pytest.mark.parametrize("name", ["granary", "cistern-cellar", "shelter-roof"])
def test_every_check_of_an_example_holds(name: str) -> None:
    made = follow_building(make_plan(load_job(EXAMPLES / name)))
    bad = {c.name: (c.verdict, str(c.reason)) for c in made.checks if c.verdict != Verdict.HOLDS}
    assert not bad
    assert made.verdict is Verdict.HOLDS


def test_the_granary_is_of_the_size_that_is_measured() -> None:
    """The figures of speed are stated for a room of 4 x 6 m, two layers and 2 000 tiles at least."""
    made = make_plan(load_job(EXAMPLES / "granary"))
    assert made.vault.near.span > 4 and made.vault.axis_length > 6
    assert len(made.bond.layers) == 2
    assert sum(len(layer.names) for layer in made.bond.layers) >= 2000
