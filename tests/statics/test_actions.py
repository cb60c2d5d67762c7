"""What acts on a strip: totals against the geometry, patterns against each other."""

import numpy as np
import pytest

from timbrel.statics.actions import actions, joints_at, top_of_fill
from timbrel.statics.floor import GRAVITY
from timbrel.words import TimbrelError


def by_key(acts, key):
    return next(p.load for p in acts.patterns if p.load.key == key)


def test_layers_weigh_their_volume(trial_job, trial_vault):
    job = trial_job()
    vault = trial_vault(job)
    acts = actions(job, vault, 0.5)
    layers = acts.permanent[0]
    fine = np.linspace(0, 1, 4001)

    def ring(low: float, high: float) -> float:
        a, b = vault.profile(0.5, fine, low), vault.profile(0.5, fine, high)
        x, z = np.concatenate([a, b[::-1]]).T
        return abs(np.dot(x, np.roll(z, 1)) - np.dot(z, np.roll(x, 1))) / 2

    j = 0.010
    solid = 0.28 * 0.14 / ((0.28 + j) * (0.14 + j))
    tile, joint = 1800.0, 1900.0
    expected = 0.0
    for place, low in zip(vault.layers, (0.0, 0.02, 0.072), strict=True):
        expected += ring(low, place.inner) * joint
        expected += ring(place.inner, place.outer) * (solid * tile + (1 - solid) * joint)
    assert layers.total == pytest.approx(GRAVITY * expected, rel=1e-4)


def test_at_least_four_joints_a_tile(trial_job, trial_vault):
    job = trial_job()
    vault = trial_vault(job)
    assert len(joints_at(job, vault)) - 1 >= 4 * vault.near.length / (0.14 + 0.010)


def test_fill_weighs_the_columns_over_the_extrados(trial_job, trial_vault):
    job = trial_job()
    vault = trial_vault(job)
    acts = actions(job, vault, 0.3)
    top = top_of_fill(job, vault)
    x, z = vault.profile(0.3, np.linspace(0, 1, 4001), vault.thickness).T
    assert top == pytest.approx(z.max() + job.levels.crown_cover, abs=0.02)
    fill = next(p for p in acts.permanent if p.key == "fill")
    assert fill.total == pytest.approx(6e3 * np.trapezoid(top - z, x), rel=1e-4)
    assert np.all(np.diff(fill.at[:, 0]) > 0)


def test_sleeper_walls_are_lighter_than_fill_and_carry_the_floor(trial_job, trial_vault):
    walls = {"kind": "sleeper walls", "sleeper_spacing": 600, "sleeper_thickness": 50}
    job = trial_job(loads={"fill": walls})
    vault = trial_vault(job)
    acts = actions(job, vault, 0.0)
    fill = next(p for p in acts.permanent if p.key == "fill")
    solid = actions(trial_job(loads={"fill": {"kind": "solid"}}), vault, 0.0).permanent[1]
    assert fill.total == pytest.approx(solid.total * 50 / 600 * 1700 * GRAVITY / 16e3, rel=0.15)
    loaded = np.flatnonzero(by_key(acts, "full").force[:, 1])
    assert 7 <= np.sum(np.diff(loaded) > 1) + 1 <= 9
    span = acts.strip.outer[-1, 0] - acts.strip.outer[0, 0]
    assert by_key(acts, "full").total <= 2e3 * span * (1 + 1e-9)


def test_halves_make_the_whole(trial_job, trial_vault):
    job = trial_job()
    acts = actions(job, trial_vault(job), 0.5)
    both = by_key(acts, "half.left").wrench + by_key(acts, "half.right").wrench
    assert both == pytest.approx(by_key(acts, "full").wrench, rel=1e-9, abs=1e-6)


def test_line_load_walks_across(trial_job, trial_vault):
    job = trial_job(loads={"line": 3})
    lines = [p for p in actions(job, trial_vault(job), 0.5).patterns if p.kind == "line"]
    assert len(lines) == 20
    for p in lines:
        assert p.load.total == pytest.approx(3e3)
        where = -p.load.wrench[:, 2].sum() / p.load.total
        assert where == pytest.approx(p.x)
    assert np.all(np.diff([p.x for p in lines]) > 0)


def test_patterns_that_the_job_leaves_out_are_not_there(trial_job, trial_vault):
    job = trial_job(loads={"patterns": ["half"], "imposed": 4})
    acts = actions(job, trial_vault(job), 0.5)
    assert [p.load.key for p in acts.patterns] == ["half.left", "half.right"]
    assert acts.imposed == 4e3
    none = trial_job(loads={"use": "none", "line": 0})
    assert actions(none, trial_vault(none), 0.5).variable.shape == (0, acts.strip.voussoirs, 3)


def test_fill_over_the_floor_is_refused(trial_job, trial_vault):
    job = trial_job(levels={"top": 3150})
    with pytest.raises(TimbrelError) as error:
        actions(job, trial_vault(job), 0.5)
    assert error.value.key == "loads.fill.level"
    said = str(error.value)
    assert said.startswith("levels.top is 3") and "accepted: levels.top from" in said
    job = trial_job(loads={"fill": {"to_crown_cover": False}})
    with pytest.raises(TimbrelError, match=r"loads\.fill\.level"):
        actions(job, trial_vault(job), 0.5)
