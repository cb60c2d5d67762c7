"""A vault on a plan follows supports that give way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of
from tests.statics.test_net import barrel_net, groin_net, half_loaded

from timbrel.statics.net import NetQuestion, outward_of
from timbrel.statics.net_follow import Followed, UnfollowedError, follow
from timbrel.statics.net_motions import motion_check, support_motions
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_vaults import solid_of
from timbrel.verdict import Verdict


def apart(net, size):
    moved = np.zeros((net.grid.size, 3))
    moved[:, :2] = outward_of(net.grid) * size / 2
    return moved


def stood(net, load, moved) -> Followed:
    found = follow(net, load, moved)
    assert found is not None
    return found


def motions_of(name, **loads):
    job = changed_job(name, loads=loads)
    vault = vault_of(job)
    rung = Rungs(job, solid_of(vault))[0]
    found = support_motions(job, vault, ((rung.net, rung.acts),))
    return job, vault, {(m.key, m.load): m for m in found}


def test_no_strut_shortens_and_those_under_force_stay_closed():
    net = groin_net(8)
    dead, _ = half_loaded(net)
    found = stood(net, dead, apart(net, 0.001))
    struts = found.net.struts
    before, after = (
        np.linalg.norm(np.subtract(*struts.ends(grid)), axis=1)
        for grid in (net.grid, found.net.grid)
    )
    used = found.force > 1e-3 * found.force.max()
    assert np.abs(after - before)[used].max() <= found.gap + 1e-12
    assert found.gap < 1e-5
    assert (after - before).min() > -1e-5
    assert (after - before).max() > 1e-4


def test_it_is_in_balance_where_it_comes_to():
    net = groin_net(8)
    dead, _ = half_loaded(net)
    found = stood(net, dead, apart(net, 0.001))
    assert found.reaction[:, 2].sum() == pytest.approx(dead.weight.sum(), rel=1e-6)
    assert np.abs(found.reaction[:, :2].sum(axis=0)).max() < 1e-6 * dead.weight.sum()


def test_both_springings_half_way_are_one_springing_all_the_way():
    net = barrel_net(24)
    dead, _ = half_loaded(net)
    one = np.zeros((net.grid.size, 3))
    one[:, :2] = outward_of(net.grid, net.grid.supports[0]) * 0.005
    a, b = stood(net, dead, apart(net, 0.005)), stood(net, dead, one)
    assert b.drop == pytest.approx(a.drop, rel=2e-3)
    thrusts = [-np.einsum("na,na->", f.reaction[:, :2], outward_of(net.grid)) for f in (a, b)]
    assert thrusts[0] == pytest.approx(thrusts[1], rel=1e-4)


def test_small_motions_are_the_duals_of_the_least_thrust():
    """W(u) of a small motion is the least thrust times the spread (virtual work)."""
    net = groin_net(8)
    dead, _ = half_loaded(net)
    size = 1e-5
    found = stood(net, dead, apart(net, size))
    least = NetQuestion(net, dead).thrust(least=True)
    assert least is not None
    thrust = -np.einsum("na,na->", least.reaction[:, :2], outward_of(net.grid)) / 2
    assert -dead.weight @ found.shift[:, 2] == pytest.approx(thrust * size, rel=1e-3)


def test_a_support_that_sinks_alone_takes_its_vault_down_by_no_more_than_it_sinks_on_piers():
    _, _, found = motions_of("market-groin", spread=5, settlement=4)
    (sunk,) = (m for (key, _), m in found.items() if key.startswith("settlement."))
    assert sunk.borne == 1
    assert sunk.drop == pytest.approx(0.004, rel=1e-6)


def test_supports_that_are_alike_are_followed_once():
    _, _, found = motions_of("market-groin", spread=5)
    assert [key for key, load in found if load == "dead"] == ["spread", "spread.A"]
    assert ("spread", "full") in found


def test_a_dome_is_judged_and_comes_down_the_more_the_more_it_spreads():
    drops = []
    for spread in (2, 4, 8):
        job, vault, found = motions_of("well-dome", spread=spread)
        (check,) = motion_check(job, vault, tuple(found.values()))
        assert check.verdict is Verdict.HOLDS
        drops.append(found["spread", "dead"].drop)
        assert found["spread", "dead"].thrust > 1
    assert drops == pytest.approx([drops[0], 2 * drops[0], 4 * drops[0]], rel=0.03)


def test_too_much_fails_or_is_not_judged_and_never_holds():
    job, vault, found = motions_of("market-groin", spread=60)
    (check,) = motion_check(job, vault, tuple(found.values()))
    assert check.verdict is Verdict.FAILS
    assert check.value is not None and check.value < 1


def test_a_thin_arch_falls():
    net = barrel_net(24, thickness=0.05)
    dead, _ = half_loaded(net)
    found = [follow(net, dead, apart(net, size)) for size in (0.001, 0.2)]
    assert found[0] is not None
    assert found[1] is None


def test_nothing_is_asked_where_the_job_states_nothing():
    job, vault, found = motions_of("market-groin")
    assert not found
    assert motion_check(job, vault, ()) == ()


def test_a_net_that_does_not_stand_is_not_followed():
    net = barrel_net(24, thickness=0.01)
    dead, _ = half_loaded(net)
    with pytest.raises(UnfollowedError):
        follow(net, dead, apart(net, 0.001))


def test_open_edges_of_a_sail_on_its_corners_are_not_judged_to_fail():
    job, vault, found = motions_of("market-sail", spread=5)
    few = tuple(replace(m, borne=0.5) for m in found.values())
    (check,) = motion_check(job, vault, few)
    assert check.verdict is Verdict.NOT_JUDGED
