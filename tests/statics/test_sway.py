"""Level accelerations reach the walls and piers themselves, ties or none, and say which way."""

from __future__ import annotations

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.statics.carrying import carry, pushing_hardest
from timbrel.statics.envelope import envelope
from timbrel.statics.net_carrying import carry_net, gathered
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_states import net_states
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.proof import prove
from timbrel.statics.pushes import gather
from timbrel.statics.sway import multiple_borne, way_of
from timbrel.statics.unlike_pushes import beside_mean, pressed_sideways
from timbrel.statics.walls import wall_frame
from timbrel.verdict import Verdict

SHARE = 0.05
WALL = {"thickness": 900, "height": 2600, "load_above": 20}
TIES = {
    "diameter": 20,
    "spacing": 1500,
    "stay": "for good",
    "anchor": {"side": 200, "thickness": 12},
}


def carried(trial_job, trial_vault, **loads):
    job = trial_job(walls={"left": WALL, "right": WALL}, loads=loads)
    vault = trial_vault(job)
    return carry(job, vault, prove(job, vault))


def values(carrying, name):
    return {c.name: c.value for c in carrying.checks if name in c.name}


def test_nothing_is_added_where_the_job_asks_for_none(trial_job, trial_vault):
    found = carried(trial_job, trial_vault)
    assert not values(found, "left.level")
    assert all(s.level is None and s.work.sway is None for s in found.supports)


def test_a_wall_bears_less_the_more_of_its_load_above_sways(trial_job, trial_vault):
    found = carried(trial_job, trial_vault, horizontal=SHARE)
    (own,) = values(found, "right.level").values()
    assert own is not None and own < 50
    light = WALL | {"load_above_level": 0}
    job = trial_job(walls={"left": light, "right": light}, loads={"horizontal": SHARE})
    vault = trial_vault(job)
    (held,) = values(carry(job, vault, prove(job, vault)), "right.level").values()
    assert held > 1.02 * own


def test_the_shares_of_both_walls_point_the_way_of_the_acceleration(trial_job, trial_vault):
    job = trial_job(walls={"left": WALL, "right": WALL}, loads={"horizontal": SHARE})
    vault = trial_vault(job)
    station = pushing_hardest(prove(job, vault))
    every = envelope(station.actions, job.loads)
    for side, way in (("left", -1), ("right", 1)):
        pushes = gather(every, wall_frame(vault, station.v, side), None, SHARE)
        for key, sway in zip(pushes.keys, pushes.push.sway, strict=True):
            wanted = SHARE * way * (("level.right" in key) - ("level.left" in key))
            assert sway == pytest.approx(wanted, rel=0.02, abs=1e-12)


def test_ties_do_not_hold_what_presses_the_vault_one_way(trial_job, trial_vault):
    job = trial_job(walls={"left": WALL, "right": WALL, "ties": TIES}, loads={"horizontal": SHARE})
    vault = trial_vault(job)
    station = pushing_hardest(prove(job, vault))
    every = envelope(station.actions, job.loads)
    weight = sum(p.total for p in station.actions.permanent)
    frames = {side: wall_frame(vault, station.v, side) for side in ("left", "right")}
    both = {s: gather(every, f, job.walls.ties, SHARE) for s, f in frames.items()}
    for i, key in enumerate(both["right"].keys):
        left = both["left"].rest.level[i] / frames["left"].square ** 2
        right = both["right"].rest.level[i] / frames["right"].square ** 2
        share = SHARE * (("level.right" in key) - ("level.left" in key))
        assert right - left == pytest.approx(share * weight, rel=1e-3, abs=1e-3)
        assert min(left, right) == pytest.approx(0.0, abs=1e-3)


def test_a_dome_that_is_pressed_one_way_presses_its_drum_by_all_of_it():
    job = changed_job("well-dome", loads={"horizontal": SHARE})
    vault = vault_of(job)
    rung = Rungs(job, solid_of(vault))[0]
    states = net_states(job, vault, rung.net, rung.acts)
    weight = float(rung.acts.dead.weight.sum())
    seen = 0
    for c in states.pushed:
        (ring,) = (p for p in c.pushes if p.support == "ring")
        level = pressed_sideways(c)
        wanted = SHARE * weight * way_of(c.combination.key)
        assert level == pytest.approx(wanted, rel=1e-3, abs=1e-3)
        seen += bool(level.any())
        # As the cosine of the angle round the ring it comes to the whole again.
        length = -ring.total[2] / ring.force.down
        angle = np.linspace(0, 2 * np.pi, 721)[:-1]
        whole = (beside_mean(c, ring) * np.cos(angle) ** 2).mean() * length
        assert whole == pytest.approx(np.hypot(*level), rel=1e-9, abs=1e-9)
    assert seen
    tied = gathered(states.pushed, "ring", job.walls.ties, share=SHARE)
    free = gathered(states.pushed, "ring", None, share=SHARE)
    for key, left in zip(tied.keys, tied.rest.level, strict=True):
        assert (left > 1.0) == bool(way_of(key).any())
    assert (free.rest.level >= tied.rest.level - 1e-9).all()


def test_walls_of_a_cloister_lean_with_it_and_notes_say_so():
    job = changed_job("chapel-cloister", loads={"horizontal": SHARE})
    vault = vault_of(job)
    rung = Rungs(job, solid_of(vault))[0]
    found = carry_net(job, vault, rung.net, rung.acts)
    level = {c.name: c for c in found.checks if c.name.endswith(".level")}
    assert set(level) >= {f"supports.{s}.level" for s in ("left", "right", "near", "far")}
    for wall in found.walls:
        way = {"left": "left", "right": "right", "near": "near", "far": "far"}[wall.side]
        assert f"accidental.level.{way}" in wall.level.combination
    shares = [n for n in found.notes if n.symbol == "a_u"]
    assert len(shares) == 4
    assert shares[0].result == pytest.approx(found.walls[0].level.value * SHARE, rel=1e-3)


@pytest.mark.parametrize("most", [0.3, 1.0001, 7.0])
def test_what_is_borne_is_found_either_side_of_one(most):
    assert multiple_borne(lambda n: n > most) == pytest.approx(most, rel=1e-4)


def test_what_never_falls_is_unlimited_and_what_falls_at_once_bears_nothing():
    assert multiple_borne(lambda n: np.zeros(len(n), bool)) == np.inf
    assert multiple_borne(lambda n: np.ones(len(n), bool)) == 0.0


def lap_carried(**masonry):
    job = changed_job("market-groin", loads={"horizontal": SHARE}, masonry=masonry)
    vault = vault_of(job)
    rung = Rungs(job, solid_of(vault))[0]
    return carry_net(job, vault, rung.net, rung.acts)


def level_of(carrying):
    (check,) = (c for c in carrying.checks if c.name == "supports.level")
    return check


def test_a_groin_is_not_judged_level_without_its_lap_but_told_what_it_has_to_carry():
    found = lap_carried()
    assert level_of(found).verdict is Verdict.NOT_JUDGED
    assert all(s.tension is not None and 1 < s.tension < 200 for s in found.level)
    assert "masonry.lap_tension" in str(level_of(found).reason)
    # What it puts on its piers is known all the same.
    levels = [c for c in found.checks if c.name.startswith("supports.pier.") and "level" in c.name]
    assert len(levels) == 4
    assert all(c.verdict is Verdict.HOLDS for c in levels)
    (combinations,) = (c for c in found.checks if c.name == "supports.combinations")
    assert "level" not in str(combinations.reason)


def test_a_groin_is_judged_level_with_what_its_lap_carries():
    strong, weak = lap_carried(lap_tension=1.0), lap_carried(lap_tension=0.005)
    assert level_of(strong).verdict is Verdict.HOLDS
    assert level_of(weak).verdict is Verdict.FAILS
    needed = max(s.tension for s in strong.level)
    assert 5.0 < needed < 1000.0
    assert {s.direction for s in strong.level} == {"right", "left", "far", "near"}


def test_all_that_a_groin_pushes_level_arrives_on_its_piers():
    found = lap_carried()
    rows = [c for c in found.pushed if "level" in c.combination.key]
    assert len(rows) == 16
    heavy = [
        p for c in found.pushed if c.combination.key == "characteristic.dead" for p in c.pushes
    ]
    weight = -sum(p.total[2] for p in heavy) / 2  # least and greatest thrust
    for c in rows:
        wanted = SHARE * weight * way_of(c.combination.key)
        assert pressed_sideways(c) == pytest.approx(wanted, rel=1e-3, abs=1.0)
