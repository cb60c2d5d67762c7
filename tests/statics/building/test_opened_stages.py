"""Stages of a vault with openings are not judged, but for how a tile is held."""

from __future__ import annotations

from tests.opened_vaults import opened_vault

from timbrel.statics.building.surface_checks import round_openings
from timbrel.verdict import Check, Verdict, judge
from timbrel.words import say


def _holds(name: str) -> Check:
    return judge(
        name, say("x"), 0.5, 1.0, kind="ratio", at_least=False, reason=say("x"), source="x"
    )


def test_what_the_whole_shell_would_hold_is_not_judged_of_the_opened_one() -> None:
    checks = tuple(_holds(f"building.{k}") for k in ("course", "eased", "hold", "buckling"))
    job, _ = opened_vault("dome")
    told = {c.name: c.verdict for c in round_openings(job, checks)}
    assert told.pop("building.hold") is Verdict.HOLDS
    assert set(told.values()) == {Verdict.NOT_JUDGED}
    whole = job.model_copy(update={"openings": ()})
    assert round_openings(whole, checks) == checks
