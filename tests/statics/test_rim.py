"""What stands on the rim of an oculus: as a load on the net and as a ring by hand."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import read_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.blocks_loads import pieces_of
from timbrel.statics.blocks_mesh import Mirror
from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.net_actions import net_actions
from timbrel.statics.net_factors import FOLLOWED
from timbrel.statics.net_proof import quick_net
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.rim import rim_checks, rim_thrust, rim_weight
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

WELL = (Path(__file__).parents[2] / "examples" / "well-dome" / "job.toml").read_text("utf-8")


def dome(load: float) -> Job:
    return read_job(WELL.replace("oculus = 1100", f"oculus = 1100\noculus_load = {load}")).job


def test_ring_by_hand() -> None:
    """2 kN/m on a rim of 0.55 m radius where the shell leans 30 degrees: q r cot a = 1.905 kN; and
    by equilibrium of half of the rim: level push q cot a over its diameter, shared by two cuts."""
    thrust = rim_thrust(2e3, 0.55, math.radians(30))
    assert thrust == pytest.approx(2e3 * 0.55 * math.sqrt(3))
    turn = (np.arange(2000) + 0.5) / 2000 * math.pi
    level = 2e3 / math.tan(math.radians(30))
    assert thrust == pytest.approx(
        (level * np.sin(turn) * 0.55 * math.pi / 2000).sum() / 2, rel=1e-5
    )


def test_the_load_comes_to_the_net_whole_and_in_the_middle() -> None:
    job = dome(1.5)
    vault = shape_vault(job, solve_room(job.room))
    net, _ = quick_net(job, vault)
    acts = net_actions(job, solid_of(vault), net.grid)
    rim = next(load for load in acts.permanent if load.key == "rim")
    assert rim.total == pytest.approx(1.5e3 * math.pi * 1.1)
    assert rim.weight.sum() == pytest.approx(rim.total)
    assert rim.first / rim.total == pytest.approx(vault.centre[:2], abs=1e-6)


def test_a_heavy_rim_leaves_less_for_other_loads() -> None:
    factors = []
    for load in (5.1, 5.2):
        job = dome(load)
        _, answer = quick_net(job, shape_vault(job, solve_room(job.room)))
        assert answer is not None
        factors.append(answer.factor)
    assert factors[1] < factors[0] < FOLLOWED * job.loads.factors.load_factor_least


def test_the_blocks_of_the_upper_bound_carry_it_too() -> None:
    heavy, bare = dome(1.5), dome(0.0)
    vault = shape_vault(heavy, solve_room(heavy.room))
    solid = BlockSolid(vault)
    for mirror, share in ((Mirror(), 1.0), (Mirror(near=True), 0.5), (Mirror(True, True), 0.25)):
        more = pieces_of(heavy, solid, "full", mirror).total[0]
        less = pieces_of(bare, solid, "full", mirror).total[0]
        assert more - less == pytest.approx(rim_weight(heavy) * share)


def test_the_rim_is_judged_and_only_where_there_is_one() -> None:
    job = dome(2.0)
    vault = shape_vault(job, solve_room(job.room))
    (check,) = rim_checks(job, vault)
    assert check.verdict is Verdict.HOLDS
    assert rim_checks(dome(0.0), vault) == ()
    too_much = dome(20.0)
    assert rim_checks(too_much, vault)[0].verdict is Verdict.FAILS
    with pytest.raises(TimbrelError, match=r"curve\.oculus_load is .* there is no oculus"):
        read_job(WELL.replace("oculus = 1100", "oculus_load = 2"))
