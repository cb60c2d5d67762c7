"""The pencil beside the net: closed forms, agreement over the families, loud when they part."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.plan import SurfacePlan, follow_net, make_plan
from timbrel.shape.plan import QuadPlan
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.site.hand_laws import STEEPEST_MEMBRANE, membrane_most
from timbrel.site.hand_moments import about_nearer, about_ring, about_walls, even_share
from timbrel.site.hand_plan import (
    EXPLAINED_ON_PLAN,
    PlanHandCheck,
    hand_check_on_plan,
    plan_hand_checks,
)
from timbrel.statics.net_actions import net_actions
from timbrel.statics.net_proof import quick_net
from timbrel.statics.net_supports import net_supports
from timbrel.statics.net_vaults import solid_of
from timbrel.verdict import Verdict

EXAMPLES = Path(__file__).parents[2] / "examples"
SQUARE = {"AB": 3.4, "BC": 3.4, "CD": 3.4, "DA": 3.4, "AC": 4.8083, "BD": 4.8083}
SKEWED = {"AB": 3.4, "BC": 3.2, "CD": 3.3, "DA": 3.5, "AC": 4.72, "BD": 4.75}


def by_hand(name: str, room: dict[str, float] | None = None, **curve: float) -> PlanHandCheck:
    job = load_job(EXAMPLES / name).job
    job = job.model_copy(update={"curve": job.curve.model_copy(update=curve)})
    if room is not None:
        job = job.model_copy(update={"room": job.room.model_copy(update=room)})
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    net, _ = quick_net(job, vault)
    acts = net_actions(job, solid_of(vault), net.grid)
    found = hand_check_on_plan(job, vault, net, acts, net_supports(job, vault, net, acts).pushes)
    assert found is not None
    return found


def test_moments_of_an_even_load_by_their_closed_forms() -> None:
    """Geometry: about the nearer of two sides an even load on a rectangle a x b has the arm a/4; over
    the triangle of a side, whose height is q, the arm q/3."""
    plan = QuadPlan(np.array([[0, 0, 0], [4.0, 0, 0], [4.0, 3.0, 0], [0, 3.0, 0]]))
    n = 200
    x, y = np.meshgrid((np.arange(4 * n) + 0.5) / n, (np.arange(3 * n) + 0.5) / n)
    at, weight = np.column_stack([x.ravel(), y.ravel()]), np.full(12 * n * n, 5.0 / n**2)
    assert about_nearer(plan, at, weight, (3, 1)) == pytest.approx(60.0 * 1.0, rel=1e-4)
    assert even_share(plan, (3, 1)) == pytest.approx(1.0)
    moments, weights = about_walls(plan, at, weight)
    assert weights == pytest.approx([15.0] * 4, rel=2e-3)
    assert moments == pytest.approx([7.5, 10.0, 7.5, 10.0], rel=3e-3)


def test_what_stands_on_a_crease_is_shared() -> None:
    plan = QuadPlan(np.array([[0, 0, 0], [2.0, 0, 0], [2.0, 2.0, 0], [0, 2.0, 0]]))
    moments, weights = about_walls(plan, np.array([[0.5, 0.5], [1.0, 1.0]]), np.array([8.0, 4.0]))
    assert weights == pytest.approx([5.0, 1.0, 1.0, 5.0])
    assert moments == pytest.approx([3.0, 1.0, 1.0, 3.0])


def test_lunes_of_an_even_load() -> None:
    """Quadrature: the moment of w on a full circle about its ring is w pi R^3/3."""
    n = 1200
    x, y = np.meshgrid(*[(np.arange(2 * n) + 0.5) / n * 2.0 - 2.0] * 2)
    at = np.column_stack([x.ravel(), y.ravel()])
    at = at[np.hypot(*at.T) < 2.0]
    weight = np.full(len(at), 3.0 * (2.0 / n) ** 2)
    assert about_ring(np.zeros(3), at, weight, 2.0) == pytest.approx(math.pi * 8.0, rel=2e-3)


def test_the_membrane_of_a_sphere_and_where_it_stops_growing() -> None:
    """Any text on shells: N = w R/(1 + cos a) under own weight, H = N cos a, greatest at 51.83."""
    radius, w = 2.5, 1000.0

    def load(a: float) -> float:
        return 2 * math.pi * radius**2 * w * (1 - math.cos(a))

    within = load(STEEPEST_MEMBRANE)
    for a in (0.3, 0.6, 0.9):
        thrust = membrane_most(load(a), a, within)
        meridian = w * radius / (1 + math.cos(a))
        assert thrust == pytest.approx(meridian * math.cos(a) * 2 * math.pi * radius * math.sin(a))
    steepest = max(load(a) / math.tan(a) for a in np.linspace(0.1, 1.57, 4000))
    for a in (1.0, 1.3, math.pi / 2):
        assert membrane_most(load(a), a, within) == pytest.approx(steepest, rel=1e-5)


CASES = [
    ("market-groin", 0.5), ("market-groin", 0.7), ("market-groin", 1.0),
    ("chapel-cloister", 0.5), ("chapel-cloister", 0.9), ("chapel-cloister", 1.3),
    ("study-sail", 0.3), ("study-sail", 0.45), ("study-sail", 0.7),
    ("well-dome", 0.6), ("well-dome", 0.85), ("well-dome", 1.5),
]  # fmt: skip


@pytest.mark.parametrize(("name", "rise"), CASES)
def test_net_and_pencil_agree(name: str, rise: float) -> None:
    found = by_hand(name, rise=rise)
    assert {case.load for case in found.cases} == {"dead", "full"}
    assert max(case.apart for case in found.cases) <= EXPLAINED_ON_PLAN
    for case in found.cases:
        assert 0 < case.low < case.way
    assert [c.verdict for c in plan_hand_checks(found)] == [Verdict.HOLDS] * 2


@pytest.mark.parametrize("name", ["market-groin", "chapel-cloister", "study-sail"])
def test_out_of_square_they_agree_too(name: str) -> None:
    found = by_hand(name, room=SKEWED)
    assert max(case.apart for case in found.cases) <= EXPLAINED_ON_PLAN


def test_of_a_groin_both_ends_are_met_within_a_twentieth() -> None:
    """A flat groin's line may rise from f - t' to f + t: the net's range fills the hand's."""
    for case in by_hand("market-groin", rise=0.5).cases:
        assert case.least == pytest.approx(case.low, rel=0.02)
        assert case.high is not None and case.greatest == pytest.approx(case.high, rel=0.05)


@pytest.mark.parametrize("name", ["market-groin", "chapel-cloister", "study-sail", "well-dome"])
def test_a_net_that_were_wrong_would_be_shown_up(name: str) -> None:
    found = by_hand(name)
    worst = found.cases[0]
    broken = [
        dataclasses.replace(worst, least=0.95 * worst.low),
        dataclasses.replace(worst, least=1.05 * worst.way),
    ]
    if worst.high is not None:
        broken.append(dataclasses.replace(worst, greatest=1.05 * worst.high))
    for case in broken:
        assert case.apart > EXPLAINED_ON_PLAN
        thrust, _ = plan_hand_checks(dataclasses.replace(found, cases=(case,)))
        assert thrust.verdict is Verdict.FAILS
        assert "more than the approximation" in str(thrust.reason)
    heavy = tuple(dataclasses.replace(w, program=1.1 * w.program) for w in found.weights)
    _, weight = plan_hand_checks(dataclasses.replace(found, weights=heavy))
    assert weight.verdict is Verdict.FAILS


def test_a_job_whose_load_is_lost_on_the_way_disagrees() -> None:
    """The net carries the tiles alone, the pencil all: broken on purpose, it is said."""
    job = load_job(EXAMPLES / "market-groin").job
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    bare = job.model_copy(update={"loads": job.loads.model_copy(update={"finish": 0.0})})
    net, _ = quick_net(job, vault)
    light = net_actions(bare, solid_of(vault), net.grid)
    acts = net_actions(job, solid_of(vault), net.grid)
    pushes = net_supports(bare, vault, net, light).pushes
    found = hand_check_on_plan(job, vault, net, acts, pushes)
    assert found is not None
    assert plan_hand_checks(found)[0].verdict is Verdict.FAILS


def test_a_sail_with_free_sides_is_not_judged() -> None:
    job = load_job(EXAMPLES / "study-sail").job
    room = job.room.model_copy(update={"near_end": "free", "far_end": "free"})
    plan = make_plan(job.model_copy(update={"room": room}))
    assert isinstance(plan, SurfacePlan) and plan.site.hand_check is None
    told = {c.name: c.verdict for c in plan.checks if c.name.startswith("site.hand-check")}
    assert set(told.values()) == {Verdict.NOT_JUDGED}


def test_the_whole_proof_takes_the_place_of_the_coarse_net() -> None:
    plan = make_plan(load_job(EXAMPLES / "well-dome"))
    assert isinstance(plan, SurfacePlan) and plan.site.hand_check is not None
    proved = follow_net(plan)
    assert proved.site.hand_check is not None and proved.statics.supports is not None
    push = proved.statics.supports.pushes[0]
    case = proved.site.hand_check.cases[0]
    assert push.force is not None
    assert case.least == pytest.approx(push.force.level * case.parts[0].length)
    assert case.least != plan.site.hand_check.cases[0].least
    names = [c.name for c in proved.checks]
    assert names.count("site.hand-check") == names.count("site.hand-check.weight") == 1
