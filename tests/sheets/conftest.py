"""One plan of the example job for all tests of the sheets, and what can be read out of a PDF."""

from __future__ import annotations

from pathlib import Path

import pytest

import timbrel.job
from timbrel.job.load import load_job
from timbrel.plan import Plan, make_plan
from timbrel.sheets.board import Picture
from timbrel.sheets.drawings import drawings
from timbrel.words import Voice

EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"


@pytest.fixture(scope="session")
def plan() -> Plan:
    return make_plan(load_job(EXAMPLE))


@pytest.fixture(scope="session")
def voice() -> Voice:
    return Voice()


@pytest.fixture(scope="session")
def pictures(plan: Plan, voice: Voice) -> dict[str, Picture]:
    return drawings(plan, voice)
