"""A tenth more or less on vaults on a plan."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.statics.net_carrying import carry_net
from timbrel.statics.net_reserve import CLOSE, coarse_net, loaded
from timbrel.statics.net_rungs import Rungs
from timbrel.statics.net_sensitivity import governing_of, net_sensitivity
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.sensitivity import Swing


@cache
def swings(name: str, ties: bool = False) -> dict[str, Swing]:
    job = changed_job(name, ties=ties)
    vault = vault_of(job)
    rung = Rungs(job, solid_of(vault))[0]
    carried = carry_net(job, vault, rung.net, rung.acts)
    found = net_sensitivity(job, vault, carried, workers=1)
    return {swing.key: swing for swing in found}


@pytest.mark.parametrize("name", ["market-groin", "chapel-cloister"])
def test_every_input_goes_its_own_way(name: str) -> None:
    found = swings(name)
    assert set(found) == {"thickness", "rise", "density", "imposed"}
    less, stated, more = found["thickness"].reserve
    assert less < stated < more
    assert more / less == pytest.approx(1.1 / 0.9, rel=0.12)  # thickness over least
    assert found["imposed"].reserve[0] >= found["imposed"].reserve[2] * (1 - CLOSE)
    assert found["rise"].thrust[0] > found["rise"].thrust[1] > found["rise"].thrust[2]
    assert found["rise"].walls[0] < found["rise"].walls[2]
    middles = {(s.reserve[1], s.thrust[1], s.walls[1]) for s in found.values()}
    assert len(middles) == 1


def test_all_loads_a_tenth_up_push_a_tenth_more() -> None:
    """Least thrust grows with all loads: what densities and imposed load do adds up to a tenth."""
    found = swings("market-groin")
    stated = found["density"].thrust[1]
    grown = sum(found[key].thrust[2] - stated for key in ("density", "imposed"))
    assert grown == pytest.approx(0.1 * stated, rel=0.02)


def test_the_stated_reserve_is_that_of_the_governing_load_scanned_by_hand() -> None:
    job = changed_job("market-groin")
    vault = vault_of(job)
    net = coarse_net(job, vault)
    rung = Rungs(job, solid_of(vault))[0]
    governs = governing_of(carry_net(job, vault, rung.net, rung.acts), net)
    assert governs is not None and governs.vault is not None
    load = loaded(net.acts, net.pattern(governs.vault))
    from timbrel.statics.net import NetQuestion

    shares = np.linspace(0.55, 0.75, 41)
    stands = [NetQuestion(net.drawn(s), load).share_of_dead() > 1 - 1e-6 for s in shares]
    least = float(shares[int(np.argmax(stands))])
    assert 1 / swings("market-groin")["rise"].reserve[1] == pytest.approx(least, abs=0.006)


def test_a_ring_leaves_the_drum_no_push_to_bear() -> None:
    assert all(np.isinf(v) for s in swings("well-dome", ties=True).values() for v in s.walls)
