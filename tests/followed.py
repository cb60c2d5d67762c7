"""Examples planned, and followed through their building, once in a run of tests: plans are frozen."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from timbrel.job import load_job
from timbrel.plan import Plan, follow_building, make_plan

EXAMPLES = Path(__file__).parents[1] / "examples"


@cache
def planned(name: str) -> Plan:
    """The example's plan in its first go."""
    return make_plan(load_job(EXAMPLES / name))


@cache
def built(name: str) -> Plan:
    """... with every stage of its building."""
    return follow_building(planned(name))
