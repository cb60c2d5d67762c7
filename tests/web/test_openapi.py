"""Schemathesis sends what nobody would: the server answers it all, and never breaks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings

from timbrel.web.guard import Door
from timbrel.web.jobs import JobStore
from timbrel.web.server import create_app

SMALL = (Path(__file__).parent / "small.toml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def api(tmp_path_factory: pytest.TempPathFactory) -> Any:
    folder = tmp_path_factory.mktemp("jobs")
    JobStore(folder).new("Pantry", SMALL)
    app = create_app(folder, Door(frozenset()))
    return schemathesis.openapi.from_asgi("/openapi.json", app)


schema = schemathesis.pytest.from_fixture("api")


@schema.parametrize()
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_nothing_breaks_the_server(case: Any) -> None:
    answer = case.call()
    assert answer.status_code < 500
