"""The whole way: what it holds, how it tells its progress."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

import timbrel.job
import timbrel.plan
from tests.followed import built, planned
from timbrel.job.load import load_job
from timbrel.plan import SurfacePlan, follow_verdicts, make_plan, part
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


@pytest.mark.slow
def test_the_waits_of_the_building_reach_the_site_with_and_without_help(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Stages followed in another process ask the same programme and stop line as those here."""
    quick, here = planned("market-groin"), built("market-groin")
    assert isinstance(quick, SurfacePlan) and isinstance(here, SurfacePlan)

    class Helped:
        helped = True

        def begin(self, *_: Any) -> Any:
            return SimpleNamespace(result=lambda _told: here.stages)

    monkeypatch.setattr(timbrel.plan, "follow_net", lambda plan, *_: plan)
    there = follow_verdicts(quick, aside=Helped())  # type: ignore[arg-type]
    assert here.stages is not None
    asked = here.stages.orders[0].wait_courses
    assert asked is not None and asked > 0
    for followed in (here, there):
        layer = {o.key: o.wait for o in followed.site.programme.operations}["layer-1"]
        before = {o.key: o.wait for o in quick.site.programme.operations}["layer-1"]
        assert layer >= before + asked - 1e-6
        assert followed.site.stop_line.arch_time > quick.site.stop_line.arch_time
        told = {c.name: c.value for c in followed.checks}["site.stop-line"]
        assert told == followed.site.stop_line.a_day
