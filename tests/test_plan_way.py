"""The whole way: what it holds, how it tells its progress."""

from __future__ import annotations

from pathlib import Path

import timbrel.job
from timbrel.job.load import load_job
from timbrel.plan import make_plan, part
from timbrel.verdict import Verdict
from timbrel.words import Message, say

EXAMPLE = Path(timbrel.job.__file__).parent / "example" / "granary.toml"


def test_progress_grows_and_ends_at_one() -> None:
    told: list[tuple[str, float]] = []
    plan = make_plan(load_job(EXAMPLE), lambda what, share: told.append((str(what), share)))
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert shares[0] == 0.0 and shares[-1] == 1.0
    assert plan.verdict in tuple(Verdict)
    rooms = {check.name.split(".")[0] for check in plan.checks}
    assert {"room", "levels", "bond", "statics", "walls", "site"} <= rooms


def test_a_part_of_the_work_is_told_as_part_of_the_whole() -> None:
    told: list[float] = []

    def note(_what: Message, share: float) -> None:
        told.append(share)

    piece = part(note, 0.5, 0.9)
    piece(say("Laying"), 0.0)
    piece(say("Laying"), 1.0)
    assert told == [0.5, 0.9]
