"""The proof of a whole vault: stations, thrusts, walls, verdicts."""

import numpy as np
import pytest

from timbrel.statics.proof import prove
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError


def check(statics, name):
    return next(c for c in statics.checks if c.name == name)


def test_a_stout_vault_holds(trial_job, trial_vault):
    job = trial_job(masonry={"crushing": 2})
    vault = trial_vault(job)
    statics = prove(job, vault)
    assert [s.name for s in statics.stations] == ["near", "far", "worst"]
    for name in ("stands", "geometric", "load_factor.half", "load_factor.line", "bounds"):
        assert check(statics, f"statics.{name}").verdict is Verdict.HOLDS, name
    worst = statics.worst.answer
    assert min(s.answer.worst("half").static for s in statics.stations) == pytest.approx(
        worst.worst("half").static, rel=1e-6
    )
    assert worst.worst("half").gap < 0.01


def test_thrusts_on_the_walls_balance_the_loads(trial_job, trial_vault):
    job = trial_job()
    statics = prove(job, trial_vault(job))
    station = statics.stations[0]
    dead = [c for c in station.forces if c.case.load == "dead" and c.case.bound == "least"]
    left, right = dead
    assert left.force.down + right.force.down == pytest.approx(
        sum(p.total for p in station.actions.permanent), rel=1e-3
    )
    assert left.force.level == pytest.approx(right.force.level, rel=1e-3)
    for thrust in statics.thrusts:
        assert 0 < thrust.least < thrust.greatest


def test_greatest_thrust_is_never_under_the_least(trial_job, trial_vault):
    job = trial_job()
    for station in prove(job, trial_vault(job)).stations:
        levels = {(c.load, c.bound): c.line.thrust for c in station.cases}
        for load, bound in levels:
            if bound == "least":
                assert levels[load, "greatest"] >= levels[load, "least"]


def test_missing_wall_data_are_not_judged(trial_job, trial_vault):
    job = trial_job(walls={"left": {"height": None}})
    statics = prove(job, trial_vault(job))
    verdict = check(statics, "walls.left.overturning")
    assert verdict.verdict is Verdict.NOT_JUDGED
    assert "walls.left.height" in str(verdict.reason)
    assert check(statics, "walls.right.overturning").verdict is not Verdict.NOT_JUDGED


def test_missing_strength_is_not_judged(trial_job, trial_vault):
    job = trial_job()
    verdict = check(prove(job, trial_vault(job)), "statics.crushing")
    assert verdict.verdict is Verdict.NOT_JUDGED


def test_a_thin_high_vault_has_no_thrust_line(trial_job, trial_vault):
    job = trial_job(
        curve={"rise": 2000},
        layers=[{"tile": "thin", "binder": "quick"}],
        loads={"fill": {"kind": "none"}},
    )
    statics = prove(job, trial_vault(job))
    stands = check(statics, "statics.stands")
    assert stands.verdict is Verdict.FAILS
    assert stands.value < 0.01
    assert "thickness" in str(stands.reason)
    assert check(statics, "statics.load_factor.half").verdict is Verdict.FAILS
    assert check(statics, "walls.left.edge").verdict is Verdict.NOT_JUDGED


def test_a_slight_wall_fails(trial_job, trial_vault):
    slight = {"thickness": 300, "height": 3000, "above": 0, "load_above": 0}
    job = trial_job(walls={"left": slight})
    statics = prove(job, trial_vault(job))
    for name in ("middle_third", "edge", "sliding", "overturning"):
        assert check(statics, f"walls.left.{name}").verdict is Verdict.FAILS, name
    over = check(statics, "walls.left.overturning")
    assert over.value < min(w.rigid for w in statics.worst.walls if w.side == "left")


def test_walls_are_followed_from_springing_to_base(trial_job, trial_vault):
    job = trial_job(walls={"left": {"course": 400}})
    for wall in prove(job, trial_vault(job)).worst.walls:
        assert wall.depth[0] == 0.0
        assert wall.depth[-1] == pytest.approx(2.1)
        assert np.all(np.diff(wall.normal) > 0)


def test_progress_is_told(trial_job, trial_vault):
    seen: list[float] = []
    job = trial_job()
    prove(job, trial_vault(job), lambda _what, share: seen.append(share))
    assert seen == sorted(seen)
    assert seen[-1] == 1.0


def test_the_march_answers_as_the_closed_form(trial_job, trial_vault):
    """One bonded leaf as thick as the wall is the wall itself."""
    slight = {"thickness": 500, "above": 800}
    plain = trial_job(walls={"left": slight})
    leaf = trial_job(walls={"left": {**slight, "leaves": [{"thickness": 500}]}})
    vault = trial_vault(plain)
    one, other = (prove(job, vault).stations[0].walls for job in (plain, leaf))
    for a, b in zip(one, other, strict=True):
        if a.side != "left":
            continue
        assert b.depth == pytest.approx(a.depth, abs=0.01)
        assert b.normal == pytest.approx(a.normal, rel=0.02)
        assert b.middle_third == pytest.approx(a.middle_third, rel=0.01)
        assert b.edge == pytest.approx(a.edge, rel=0.01)
        assert b.sliding == pytest.approx(a.sliding, rel=0.02)
        assert b.rigid == pytest.approx(a.rigid, rel=0.01)
        if np.isfinite(b.overturning):
            assert b.overturning == pytest.approx(a.overturning, rel=0.01)
    worst = min(w.overturning for w in one if w.side == "left")
    assert min(w.overturning for w in other if w.side == "left") == pytest.approx(worst, rel=0.01)


def test_buttresses_and_ties_count_in_the_proof(trial_job, trial_vault):
    slight = {"thickness": 450, "above": 500}
    buttress = {"width": 450, "spacing": 2400, "depth": 700}
    ties = {"spacing": 1500, "diameter": 24, "anchor": {"side": 200, "thickness": 25}}
    bare = trial_job(walls={"left": slight})
    vault = trial_vault(bare)
    held = trial_job(walls={"left": {**slight, "buttress": buttress}})
    tied = trial_job(walls={"left": slight, "ties": ties})
    values = [check(prove(job, vault), "walls.left.overturning").value for job in (bare, held)]
    assert values[1] > 1.5 * values[0]
    assert check(prove(tied, vault), "walls.left.overturning").verdict is Verdict.HOLDS
    assert check(prove(tied, vault), "walls.left.sliding").verdict is Verdict.HOLDS


def test_contradicting_walls_are_refused(trial_job, trial_vault):
    job = trial_job(walls={"left": {"leaves": [{"thickness": 300}]}})
    with pytest.raises(TimbrelError, match="add up"):
        prove(job, trial_vault(job))
    job = trial_job(walls={"ties": {"spacing": 1500, "diameter": 20}})
    with pytest.raises(TimbrelError, match="no anchor"):
        prove(job, trial_vault(job))
