"""What the routes work with: the jobs, the plans made of them and the work going on."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from fastapi import Request

from timbrel.web.jobs import JobStore
from timbrel.web.planning import Planner
from timbrel.web.turns import Turns
from timbrel.web.work import Bench


@dataclass
class Desk:
    """One server's state; `examples` is a folder of jobs that a new one may start from."""

    store: JobStore
    examples: Path | None = None
    planner: Planner = field(default_factory=Planner)
    bench: Bench = field(default_factory=Bench)
    turns: Turns = field(default_factory=Turns)


def desk_of(request: Request) -> Desk:
    """The desk of the server that got a request."""
    desk: Desk = request.app.state.desk
    return desk
