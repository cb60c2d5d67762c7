"""Fixtures shared by all tests."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

Evidence = Callable[[str, float, float, str], None]


@pytest.fixture
def evidence(request: pytest.FixtureRequest) -> Evidence:
    """Note what was published and what we get: `make evidence` gathers the rows into a table.

    Call with: what, published, ours, source.
    """

    def note(what: str, published: float, ours: float, source: str) -> None:
        folder = os.environ.get("TIMBREL_EVIDENCE")
        if folder:
            row = {
                "what": what,
                "published": float(published),
                "ours": float(ours),
                "source": source,
                "test": request.node.nodeid,
            }
            with Path(folder, f"{os.getpid()}.jsonl").open("a", encoding="utf-8") as out:
                out.write(json.dumps(row) + "\n")

    return note
