"""What would help the supports of vaults on a plan: it helps, it is the least of its kind."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from tests.statics.plan_examples import changed_job, vault_of

from timbrel.job.model import Job
from timbrel.statics.alternative import STEP, Alternative
from timbrel.statics.net_alternatives import net_alternatives
from timbrel.statics.net_carrying import NetCarrying, carry_net
from timbrel.statics.net_rungs import Rung, Rungs
from timbrel.statics.net_standing import Supported, supports_reserve, supports_stand
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.plan_tie_choice import least_ties
from timbrel.statics.wall_changes import every_wall, thickened, with_pier
from timbrel.verdict import Verdict

PRICED = {"masonry_m3": 300, "steel_kg": 6}
SLIGHT: dict[str, dict[str, Any]] = {
    "market-groin": {"pier": 700, "thickness": 700, "above": 500},
    "study-sail": {"thickness": 350, "above": 500},
    "well-dome": {"thickness": 300},
}


@cache
def asked(name: str, slight: bool) -> tuple[Job, Any, Rung, NetCarrying, dict[str, Alternative]]:
    walls = SLIGHT[name] if slight else {}
    job = changed_job(name, ties=False, prices=PRICED, walls=walls)
    vault = vault_of(job)
    rung = Rungs(job, solid_of(vault))[0]
    carried = carry_net(job, vault, rung.net, rung.acts)
    found = net_alternatives(job, vault, rung.net, carried)
    return job, vault, rung, carried, {one.key: one for one in found}


def with_thickness(job: Job, size: float) -> Job:
    return every_wall(job, lambda wall: thickened(wall, size))


def test_every_family_is_offered_what_it_has() -> None:
    assert list(asked("market-groin", True)[4]) == ["stated", "pier", "tie", "rise", "fill"]
    for name in ("study-sail", "well-dome"):
        ways = list(asked(name, True)[4])
        assert ways == ["stated", "thicker", "buttress", "tie", "rise", "fill"]


@pytest.mark.parametrize("name", ["study-sail", "well-dome"])
def test_the_wall_offered_is_the_least_that_does(name: str) -> None:
    job, vault, rung, carried, ways = asked(name, True)
    assert ways["stated"].reserve is None
    assert any(c.verdict is Verdict.FAILS for c in carried.checks)
    size = ways["thicker"].size
    assert size is not None
    does = Supported(with_thickness(job, size), vault, rung.net, carried.pushed)
    short = Supported(with_thickness(job, size - STEP), vault, rung.net, carried.pushed)
    assert supports_reserve(does) == ways["thicker"].reserve
    assert supports_reserve(short) is None
    assert ways["thicker"].cost == pytest.approx(300 * ways["thicker"].masonry)


def test_a_thicker_wall_is_never_worse() -> None:
    job, vault, rung, carried, _ = asked("study-sail", True)
    sizes = np.arange(0.75, 1.3, 0.1)
    found = [
        supports_reserve(Supported(with_thickness(job, t), vault, rung.net, carried.pushed))
        for t in sizes
    ]
    known = [value for value in found if value is not None]
    assert len(known) == len(sizes)
    assert known == sorted(known)


def test_masonry_of_thicker_walls_by_hand() -> None:
    job, _, rung, _, ways = asked("study-sail", True)
    length = sum(float(s.length.sum()) for s in rung.net.grid.supports)
    wall = job.walls.left
    by_hand = (ways["thicker"].size - wall.thickness) * (wall.height + wall.above) * length
    assert ways["thicker"].masonry == pytest.approx(by_hand)


def test_stouter_piers_hold_and_the_block_is_only_a_first_question() -> None:
    job, vault, rung, carried, ways = asked("market-groin", True)
    size = ways["pier"].size
    assert size is not None and ways["pier"].reserve >= 1
    grown = Supported(
        every_wall(job, lambda w: with_pier(w, size)), vault, rung.net, carried.pushed
    )
    assert supports_stand(grown)
    less = Supported(
        every_wall(job, lambda w: with_pier(w, size - STEP)), vault, rung.net, carried.pushed
    )
    assert supports_reserve(less) is None
    whole = carry_net(grown.job, vault, rung.net, rung.acts)
    assert not any(
        c.verdict is Verdict.FAILS for c in whole.checks if c.name.startswith("supports.pier")
    )
    # Of all piers and combinations the one that was asked bears least.
    least = min(pier.overturning.value for pier in whole.piers)
    assert ways["pier"].reserve == pytest.approx(least, rel=2e-3)


def test_more_rise_pushes_less_and_is_paid_in_tiles() -> None:
    job, _, _, _, ways = asked("study-sail", False)
    rise = ways["rise"]
    assert rise.size > job.curve.rise
    assert rise.thrust < ways["stated"].thrust
    assert rise.cost > 0 and rise.reserve >= 1


def test_lighter_fill_only_where_a_heavier_one_lies() -> None:
    assert not asked("study-sail", True)[4]["fill"].serves
    job = changed_job("study-sail", loads={"fill": {"kind": "solid"}}, prices=PRICED)
    vault = vault_of(job)
    rung = Rungs(job, solid_of(vault))[0]
    carried = carry_net(job, vault, rung.net, rung.acts)
    ways = {w.key: w for w in net_alternatives(job, vault, rung.net, carried)}
    assert ways["fill"].serves
    assert ways["fill"].thrust < ways["stated"].thrust


def test_a_ring_takes_the_thrust_by_its_own_equilibrium() -> None:
    """T = h r (any text on statics); the lightest flat that resists it, and the drum is left alone."""
    job, vault, rung, carried, ways = asked("well-dome", True)
    radius = float(vault.rings(0.0).radius)
    made = least_ties(job, vault, rung.net, carried.pushed)
    assert made is not None
    level = max(
        p.force.level
        for c in carried.pushed
        if c.combination.situation == "STR"
        for p in c.pushes
        if p.force is not None
    )
    area = made.ties.width * made.ties.thickness
    assert 235e6 * area >= level * radius
    assert made.mass == pytest.approx(7850 * area * 2 * np.pi * radius)
    assert ways["tie"].size == made.size
    assert ways["tie"].cost == pytest.approx(6 * made.mass)
    assert np.isinf(ways["tie"].reserve)


def test_bars_from_pier_to_pier_hold_what_a_right_corner_pushes_along_each_side() -> None:
    """By hand: in a square plan a push along the diagonal is two of its parts along the sides."""
    job, vault, rung, carried, ways = asked("market-groin", True)
    made = least_ties(job, vault, rung.net, carried.pushed)
    assert made is not None and ways["tie"].size == made.size
    push = max(
        float(np.abs(p.total[:2]).max())
        for c in carried.pushed
        if c.combination.situation == "STR"
        for p in c.pushes
    )
    area = np.pi * made.size**2 / 4
    assert 0.9 * 360e6 * 0.78 * area / 1.25 >= push  # thread, EN 1993-1-8 table 3.4
    assert ways["tie"].reserve > carried.piers[0].overturning.value


def test_where_all_does_each_way_is_one_plain_step_more() -> None:
    job, _, _, carried, ways = asked("study-sail", False)
    least = min(wall.overturning.value for wall in carried.walls)
    assert ways["stated"].reserve == least and ways["stated"].cost == 0
    assert ways["thicker"].size == pytest.approx(job.walls.left.thickness + 0.1)
    assert ways["thicker"].reserve > least


def test_walls_that_are_not_known_are_told_nothing_of() -> None:
    job, vault, rung, carried, _ = asked("study-sail", False)
    bare = job.walls.left.model_copy(update={"thickness": None})
    job = job.model_copy(update={"walls": job.walls.model_copy(update={"left": bare})})
    assert net_alternatives(job, vault, rung.net, carried) == ()
