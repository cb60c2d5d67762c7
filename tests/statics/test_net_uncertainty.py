"""Samples of uncertain vaults on a plan: foretold from nets, and what they lean on."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.job.model import Job
from timbrel.job.supports import Ties
from timbrel.statics import net_uncertainty
from timbrel.statics.net_foretold import foretell
from timbrel.statics.net_level import LevelLoad
from timbrel.statics.net_sample import sample_stands, waves, work_sample
from timbrel.statics.net_sampled_loads import standings
from timbrel.statics.net_support_factor import WallBears, bears_of
from timbrel.statics.net_uncertainty import FOLLOWS, NAMES, uncertain_net
from timbrel.statics.sampled import Uncertain, failing_share
from timbrel.statics.sampling import normal_samples
from timbrel.words import Progress, TimbrelError, silent

NOTHING = dict.fromkeys(("thickness", "shape", "density", "imposed", "strength", "spread"), 0)
FEW = 16


@pytest.fixture(autouse=True)
def few_nets(monkeypatch: pytest.MonkeyPatch) -> None:
    """A third of the nets, so that the tests take less time; the error they tell is theirs."""
    monkeypatch.setattr(net_uncertainty, "CHECKED", 8)
    monkeypatch.setattr(net_uncertainty, "NETS", FEW)
    monkeypatch.setattr(net_uncertainty, "LEAST_NETS", FEW // 2)


def drawn(
    job: Job, samples: int = 300, workers: int = 1, progress: Progress = silent
) -> tuple[Any, Uncertain]:
    vault = vault_of(job)
    return vault, uncertain_net(job, vault, progress, samples=samples, workers=workers)


@cache
def cloister() -> tuple[Job, Any, Uncertain]:
    job = changed_job("chapel-cloister", uncertainty={"thickness": 0.1, "seed": 4})
    return job, *drawn(job)


def test_the_same_seed_gives_the_same_answer_in_one_process_and_in_two() -> None:
    job, vault, found = cloister()
    told: list[float] = []
    again = uncertain_net(
        job, vault, lambda _what, share: told.append(share), samples=300, workers=2
    )
    assert np.array_equal(found.reserve, again.reserve)
    assert np.array_equal(found.walls, again.walls)
    assert again.failing == found.failing
    assert told == sorted(told) and told[-1] == 1.0 and len(told) > FEW


def test_what_is_foretold_is_what_nets_of_their_own_say() -> None:
    """Five samples that no net was fitted to, each asked of a net of its own."""
    job, vault, found = cloister()
    trial, _ = net_uncertainty._trial(job, vault)
    rows = normal_samples(300, len(NAMES), 4)
    assert found.fitted is not None
    for i in (0, 60, 120, 180, 240):
        own = work_sample(trial, rows[i, :FOLLOWS])
        assert own is not None
        miss = abs(np.log(own.reserve / found.reserve[i]))
        assert miss < max(4 * found.fitted.reserve_error, 0.008)  # one step of the halving
        assert sample_stands(trial, rows[i, :FOLLOWS], None) == (own.reserve >= 1)


def test_thickness_rules_the_vault_and_a_share_of_it_fails_as_told() -> None:
    _, _, found = cloister()
    assert found.influences[0].name == "thickness" and found.influences[0].correlation > 0.9
    fails = (found.reserve < 1) | (found.walls < 1)
    assert found.failing == pytest.approx(fails.mean())
    # Reserve over least is in proportion to the thickness: 10 % of it is 10 % of the reserve.
    assert found.reserve.std() / found.reserve.mean() == pytest.approx(0.10, abs=0.015)


def test_a_certain_vault_is_always_the_same() -> None:
    _, found = drawn(changed_job("chapel-cloister", uncertainty=NOTHING), samples=20)
    assert np.ptp(found.reserve) == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(found.walls) == pytest.approx(0.0, abs=1e-9)
    assert all(i.correlation == 0 for i in found.influences)


def test_a_thicker_wall_is_never_worse_in_any_sample() -> None:
    job = changed_job("chapel-cloister")
    trial, _ = net_uncertainty._trial(job, vault_of(job))
    own = work_sample(trial, np.zeros(FOLLOWS))
    assert own is not None
    told = foretell(trial, np.zeros((2, FOLLOWS)), [own, own])
    rows = normal_samples(40, FOLLOWS, 2)
    factors = []
    for thickness in (200, 300, 450):
        walls = {"thickness": thickness, "above": 300, "load_above": 0}
        thick = changed_job("chapel-cloister", walls=walls, uncertainty={"density": 0.2})
        bears = tuple(bears_of(thick, name, "wall", 3.2) for name in ("near", "right"))
        both = replace(trial, bears=bears, stated=thick.uncertainty)
        factors.append(told.supports(both, rows))
    assert (np.diff(factors, axis=0) > 0).all()
    assert np.ptp(factors[0]) > 0


def test_samples_near_the_limit_are_asked_of_nets_of_their_own() -> None:
    """A thin shell of which some samples fall: those in doubt are solved, and turn as they do."""
    job = changed_job("chapel-cloister", uncertainty={"thickness": 0.1})
    thin = {n: t.model_copy(update={"thickness": t.thickness * 0.4}) for n, t in job.tiles.items()}
    job = job.model_copy(update={"tiles": thin})
    _, found = drawn(job, samples=60)
    assert found.fitted is not None
    assert 0.1 < found.failing < 0.95
    assert found.fitted.checked > 0
    share, error = failing_share(np.array([True, False, False, False]))
    assert (share, error) == (0.25, pytest.approx(np.sqrt(0.25 * 0.75 / 4)))


def test_piers_are_sampled_with_their_cracks() -> None:
    job = changed_job("market-groin", ties=False, uncertainty=NOTHING)
    trial, _ = net_uncertainty._trial(job, vault_of(job))
    own = work_sample(trial, np.zeros(FOLLOWS))
    assert own is not None and own.cracks < 1
    told = foretell(trial, np.zeros((2, FOLLOWS)), [own, own])
    ones = np.ones(1)
    blocks = min(
        float(bears.blocks(push[None], ones)[0])
        for bears, pushes in zip(trial.bears, own.pushes, strict=True)
        for push in pushes
    )
    found = told.supports(trial, np.zeros((1, FOLLOWS)))
    assert found[0] == pytest.approx(own.cracks * blocks, rel=1e-6)


def test_piers_are_asked_at_the_greatest_thrust_too() -> None:
    job = changed_job("market-groin", ties=False, uncertainty=NOTHING)
    trial, _ = net_uncertainty._trial(job, vault_of(job))
    own = work_sample(trial, np.zeros(FOLLOWS))
    assert own is not None
    # Dead, governing and full load at the least, the full one at the greatest thrust of all piers.
    least, most = own.thrust[:, -2], own.thrust[:, -1]
    assert own.thrust.shape == (4, 4) and (most > 1.3 * least).all()
    assert (own.thrust[:, 0] < least).all()


def test_ties_that_stay_take_their_part_and_are_asked_themselves() -> None:
    """By hand: in a square plan all piers push alike along both sides, ties take all of that, and the
    thread of a bar (EN 1993-1-8 table 3.4) bears what one corner pushes along one side."""
    ties = {"diameter": 24, "anchor": {"side": 200, "thickness": 20}}
    alone = changed_job("market-groin", ties=False, uncertainty=NOTHING)
    stated = Ties.model_validate(ties)
    job = alone.model_copy(update={"walls": alone.walls.model_copy(update={"ties": stated})})
    trial, _ = net_uncertainty._trial(job, vault_of(job))
    own = work_sample(trial, np.zeros(FOLLOWS))
    bare_trial, _ = net_uncertainty._trial(alone, vault_of(alone))
    bare = work_sample(bare_trial, np.zeros(FOLLOWS))
    assert own is not None and bare is not None
    assert own.reserve == bare.reserve and np.isinf(bare.ties)
    assert own.thrust == pytest.approx(bare.thrust)
    alike = [0, 2, 3]  # dead and full load push alike at all corners, a quarter does not
    left = np.hypot(own.pushes[:, alike, 0], own.pushes[:, alike, 1])
    assert (left < 0.02 * own.thrust[:, alike]).all()
    along = np.abs(bare.pushes[..., :2]).max()
    thread = 0.9 * 360e6 * 0.78 * np.pi * 0.024**2 / 4 / 1.25
    assert own.ties == pytest.approx(thread / along, rel=0.02)
    told = foretell(trial, np.zeros((2, FOLLOWS)), [own, own])
    held = told.supports(trial, np.zeros((1, FOLLOWS)))[0]
    untied = foretell(bare_trial, np.zeros((2, FOLLOWS)), [bare, bare])
    assert held > untied.supports(bare_trial, np.zeros((1, FOLLOWS)))[0]
    assert held <= own.ties * (1 + 1e-9)


def test_thin_ties_fail_in_samples_whose_piers_would_do() -> None:
    job = changed_job("market-groin", uncertainty=NOTHING)
    stated = Ties.model_validate({"diameter": 6, "anchor": {"side": 200, "thickness": 20}})
    job = job.model_copy(update={"walls": job.walls.model_copy(update={"ties": stated})})
    trial, _ = net_uncertainty._trial(job, vault_of(job))
    own = work_sample(trial, np.zeros(FOLLOWS))
    assert own is not None and own.ties < 1
    told = foretell(trial, np.zeros((2, FOLLOWS)), [own, own])
    assert told.supports(trial, np.zeros((1, FOLLOWS)))[0] == pytest.approx(own.ties)


def test_walls_under_ties_across_keep_the_couple_alone() -> None:
    stated = Ties.model_validate(
        {"layout": "across", "spacing": 1000, "diameter": 20,
         "anchor": {"side": 200, "thickness": 25}}
    )  # fmt: skip
    job = changed_job("chapel-cloister", uncertainty=NOTHING)
    job = job.model_copy(update={"walls": job.walls.model_copy(update={"ties": stated})})
    trial, _ = net_uncertainty._trial(job, vault_of(job))
    assert all(isinstance(b, WallBears) and b.ties is stated for b in trial.bears)
    own = work_sample(trial, np.zeros(FOLLOWS))
    assert own is not None
    thread = 0.9 * 360e6 * 0.78 * np.pi * 0.020**2 / 4 / 1.25
    assert own.ties == pytest.approx(thread / own.pushes[..., 0].max(), rel=1e-6)


WEATHER = {"snow": 1.0, "wind_left": 0.6, "wind_right": -0.4}


def test_snow_and_wind_stand_beside_and_lead_by_hand() -> None:
    """EN 1990 6.14b, table A1.1 (from memory): psi0 0.7 imposed, 0.5 snow, 0.6 wind."""
    job = changed_job("chapel-cloister", loads=WEATHER)
    acts = net_uncertainty.coarse_net(job, vault_of(job)).acts
    told = [
        {load.key: f for load, f in (*s.imposed, *s.weather)} for s in standings(acts, job.loads)
    ]
    assert {"full": 1.0, "snow": 0.5, "wind": 0.6} in told
    assert {"half.left": 1.0, "snow": 0.5, "wind": 0.6} in told
    assert {"snow": 1.0, "wind": 0.6} in told
    assert {"full": pytest.approx(0.7), "snow": 1.0, "wind": 0.6} in told
    assert {"full": pytest.approx(0.7), "drift.near": 1.0, "wind": 0.6} in told
    assert {"full": pytest.approx(0.7), "wind": 1.0, "snow": 0.5} in told
    bare = standings(acts, job.loads.model_copy(update={"use": "none"}))
    assert len(bare) == len(told)


def test_samples_bear_less_under_snow_and_wind() -> None:
    calm = changed_job("market-groin", ties=False, uncertainty=NOTHING)
    rough = changed_job("market-groin", ties=False, uncertainty=NOTHING, loads=WEATHER)
    found = []
    for job in (calm, rough):
        trial, _ = net_uncertainty._trial(job, vault_of(job))
        own = work_sample(trial, np.zeros(FOLLOWS))
        assert own is not None
        assert sample_stands(trial, np.zeros(FOLLOWS), None) == (own.reserve >= 1)
        found.append((trial, own))
    (_, one), (trial, other) = found
    assert other.reserve < one.reserve and other.strength < one.strength
    assert any(load.key == "wind" for load, _ in trial.governing.weather)
    # Level forces in balance: what all piers take is what the wind puts on, in its own direction.
    wind = next(o.load for o in trial.net.acts.others if o.kind == "wind")
    assert isinstance(wind, LevelLoad)
    factor = {load.key: f for load, f in trial.governing.weather}["wind"]
    assert other.pushes[:, 1, :2].sum(axis=0) == pytest.approx(
        factor * wind.level.sum(axis=0), abs=0.5
    )
    assert any("snow" in str(what) for what in net_uncertainty._left_out(trial))


def test_a_vault_that_cannot_stand_is_refused() -> None:
    job = changed_job("market-groin")
    thin = {n: t.model_copy(update={"thickness": 0.003}) for n, t in job.tiles.items()}
    job = job.model_copy(update={"tiles": thin, "layers": job.layers[:1]})
    with pytest.raises(TimbrelError, match="No samples are drawn") as error:
        drawn(job, samples=20)
    assert error.value.key == "uncertainty"


@pytest.mark.parametrize("family", ["groin", "cloister", "sail", "dome"])
def test_waves_leave_the_vault_where_it_stands(family: str) -> None:
    line = np.linspace(0, 1, 21)
    plan = np.array([(x * 4, y * 6) for x in line for y in line])
    half, whole = waves(family, plan, plan)
    assert half.max() == pytest.approx(1.0, abs=0.02)
    assert np.abs(whole).max() <= 1.0
    assert whole.sum() == pytest.approx(0.0, abs=1e-9)  # as much out as in
    corners = np.array([(0.0, 0.0), (4.0, 0.0), (4.0, 6.0), (0.0, 6.0)])
    assert waves(family, plan, corners)[0] == pytest.approx(0.0, abs=1e-12)
    on_a_wall = waves(family, plan, np.array([[2.0, 0.0]]))[0][0]
    assert on_a_wall == pytest.approx(1.0 if family in ("groin", "sail") else 0.0, abs=1e-12)
