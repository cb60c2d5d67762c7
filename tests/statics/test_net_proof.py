"""The whole proof by a net: screened loads, fineness, both bounds, strength, beds, each support."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.statics.conftest import JOB as BARREL
from tests.statics.conftest import merged
from tests.statics.test_certificate import JOB as GROIN
from tests.statics.test_net import barrel_net, groin_net, half_loaded

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.certificate_check import check_certificate
from timbrel.statics.net import NetQuestion, crushing_of
from timbrel.statics.net_factors import NetFactor
from timbrel.statics.net_proof import NetProof, bed_certificate, prove_net, within_limits
from timbrel.statics.net_rungs import draw_rung
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.net_verdicts import net_checks
from timbrel.statics.processes import Aside
from timbrel.statics.proof import prove
from timbrel.verdict import Verdict
from timbrel.words import Message

EXAMPLES = Path(__file__).parents[2] / "examples"
STRENGTH = 3.5e6
SQUARE = {"AB": 4200, "BC": 4200, "CD": 4200, "DA": 4200, "AC": 5939.697, "BD": 5939.697}


@pytest.fixture(scope="module")
def groin() -> tuple[Job, NetProof, list[float]]:
    """A groin over a square room, with a strength, and the shares of progress that were told."""
    job = Job.model_validate(merged(GROIN, {"masonry": {"crushing": 3.5}}))
    told: list[float] = []

    def listen(_what: Message, share: float) -> None:
        told.append(share)

    return job, prove_net(job, shape_vault(job, solve_room(job.room)), listen), told


def test_the_least_load_is_followed_and_the_others_are_told_as_coarse(
    groin: tuple[Job, NetProof, list[float]],
) -> None:
    job, proof, told = groin
    worst = proof.governing
    assert worst is not None
    assert {f.pattern for f in proof.factors} == {
        "full", "half.left", "half.right", "half.near", "half.far", "quarter", "patch",
    }  # fmt: skip
    assert worst.steps == proof.steps == max(f.steps for f in proof.factors)
    for factor in proof.factors:
        assert factor.static >= worst.static
        assert factor.report.sound
        assert factor.static <= factor.rigid * (1 + 1e-6)
        if factor.kinematic is not None and np.isfinite(factor.rigid):
            lower = factor.static if factor.upper.crushes else factor.rigid
            assert factor.kinematic >= lower * (1 - 1e-6)
    assert worst.difference is not None and worst.difference < 0.03
    assert told == sorted(told) and told[-1] == 1.0 and len(told) > 5
    verdicts = {check.name: check.verdict for check in net_checks(job, proof)}
    assert verdicts["net.dead"] is Verdict.HOLDS
    assert verdicts["net.fineness"] is Verdict.HOLDS
    assert verdicts["net.certificate"] is Verdict.HOLDS
    assert verdicts["net.crushing"] is Verdict.HOLDS
    assert "net.bed_limit" not in verdicts


def test_another_process_beside_finds_the_same(
    groin: tuple[Job, NetProof, list[float]],
) -> None:
    job, alone, _ = groin
    with Aside(1) as aside:
        helped = prove_net(job, shape_vault(job, solve_room(job.room)), aside=aside)
    assert [f.static for f in helped.factors] == [f.static for f in alone.factors]
    assert [s.load for s in helped.spots] == pytest.approx([s.load for s in alone.spots], rel=1e-6)
    for one, other in zip(helped.thrusts, alone.thrusts, strict=True):
        assert one.support == other.support
        assert (one.least, one.greatest) == pytest.approx((other.least, other.greatest), rel=1e-6)
    assert helped.thickness == alone.thickness and helped.thickness is not None


@pytest.mark.slow
def test_a_dome_that_carries_far_more_than_wanted_has_a_pair_still() -> None:
    """The load that came to the most that is followed on the finest net governs, and a mechanism bounds
    it; the difference of finenesses says nothing there."""
    job = load_job(EXAMPLES / "well-dome" / "job.toml").job
    proof = prove_net(job, shape_vault(job, solve_room(job.room, job.job.length_unit)))
    worst = proof.governing
    assert worst is not None and worst.pattern == "quarter"
    assert worst.more and worst.steps == max(f.steps for f in proof.factors)
    assert worst.coarser is not None and worst.coarser < worst.static
    assert worst.kinematic is not None and worst.static < worst.kinematic < 1.6 * worst.static
    assert worst.gap == pytest.approx(worst.kinematic / worst.static - 1)
    assert worst.report.lacking is not None and worst.report.lacking < 2e-4
    checks = {check.name: check for check in net_checks(job, proof)}
    assert checks["net.fineness"].verdict is Verdict.HOLDS
    # Should the net pass a mechanism, nothing but failing can be judged.
    for share, verdict in ((0.99, Verdict.HOLDS), (0.9, Verdict.NOT_JUDGED), (0.01, Verdict.FAILS)):
        under = replace(worst, upper=replace(worst.upper, mechanism=_factor_of(worst, share)))
        others = tuple(under if f is worst else f for f in proof.factors)
        told = {check.name: check for check in net_checks(job, replace(proof, factors=others))}
        assert told["net.load_factor"].verdict is verdict


def _factor_of(worst: NetFactor, share: float) -> Any:
    """The mechanism, as if it bounded less than the net carries."""
    return replace(worst.upper.mechanism, factor=share * worst.static)  # type: ignore[type-var]


def test_each_support_ranges_further_alone_than_all_do_together(
    groin: tuple[Job, NetProof, list[float]],
) -> None:
    _, proof, _ = groin
    net, dead = proof.beds_rung.net, proof.beds_rung.acts.dead
    for least in (True, False):
        both = NetQuestion(net, dead).thrust(least=least)
        assert both is not None
        for thrust, support in zip(proof.thrusts, net.grid.supports, strict=True):
            on = -both.reaction[support.nodes].sum(axis=0)[:2] @ support.outward[0]
            assert thrust.greatest is not None
            assert thrust.least * (1 - 1e-6) <= on <= thrust.greatest * (1 + 1e-6)
    # Alike by symmetry, and turned with it.
    assert np.ptp([t.least for t in proof.thrusts]) < 1e-6 * proof.thrusts[0].least
    level = np.stack([t.resultant_least[:2] for t in proof.thrusts])
    outward = np.stack([s.outward[0] for s in net.grid.supports])
    assert np.einsum("ka,ka->k", level, outward) == pytest.approx([t.least for t in proof.thrusts])


def test_the_beds_state_is_certified(groin: tuple[Job, NetProof, list[float]]) -> None:
    job, proof, _ = groin
    certificate = bed_certificate(proof)
    assert certificate is not None and proof.beds is not None
    assert check_certificate(certificate, proof.beds_rung.net.solid.offset).faults == ()
    # This groin carries less than the wanted factor: the state is that of what it carries.
    worst = proof.governing
    assert worst is not None and worst.static < job.loads.factors.load_factor_least
    assert 0.8 * worst.static < proof.beds.factor < worst.static


def test_a_job_may_limit_what_the_beds_carry(groin: tuple[Job, NetProof, list[float]]) -> None:
    """Beds that carry nothing: less load than beds with a limit, and a verdict of its own."""
    _, proof, _ = groin
    found = []
    for most in (0.0, 5.0):
        limits = {"masonry": {"bed_tension": most, "bed_shear": most}}
        job = Job.model_validate(merged(GROIN, limits))
        rung = draw_rung(job, solid_of(shape_vault(job, solve_room(job.room))), 8)
        least = within_limits(job, rung)
        assert least is not None
        checks = net_checks(job, replace(proof, limited=least))
        check = next(c for c in checks if c.name == "net.bed_limit")
        assert check.value == least
        found.append(least)
    assert found[0] < found[1]


def test_a_barrel_by_its_default_net_meets_the_strip(evidence: Any) -> None:
    """The strip's exact line against the net that `prove_net` chooses, then the same net with a
    strength; sliding left out of both. Independent programs, common practice, no source."""
    changes = {
        "room": SQUARE,
        "loads": {"fill": {"kind": "none"}},
        "masonry": {"friction": 2.0},
    }
    strips = []
    for crushing in (None, 3.5):
        job = Job.model_validate(
            merged(BARREL, merged(changes, {"masonry": {"crushing": crushing}}))
        )
        vault = shape_vault(job, solve_room(job.room))
        answer = prove(job, vault).worst.answer
        strips.append(next(p.static for p in answer.patterns if p.pattern == "half.left"))
    rung = draw_rung(job, solid_of(vault), 180)
    strong = rung.question(rung.pattern("half.left")).load_factor()
    assert strong is not None
    evidence("barrel, load factor, strength 3.5 MPa", strips[1], strong.factor, "the strip")
    # The net asks the strength on its lines too and comes from below: it needs more steps for it.
    assert 0.99 * strips[1] <= strong.factor <= 1.001 * strips[1]
    job = Job.model_validate(merged(BARREL, changes))
    vault = shape_vault(job, solve_room(job.room))
    proof = prove_net(job, vault)
    net = next(f for f in proof.factors if f.pattern == "half.left")
    evidence("barrel, load factor", strips[0], net.static, "the strip")
    assert net.steps == 120
    assert 0.99 * strips[0] < net.static < strips[0] * (1 + 1e-6)
    assert answer.least_thrust is not None
    assert proof.thrusts[0].least == pytest.approx(answer.least_thrust.static, rel=0.01)


def test_faces_carry_the_thrust_of_a_barrel() -> None:
    """The forces on all faces over the crown add up to the horizontal thrust (equilibrium)."""
    net = barrel_net(40)
    dead, _ = half_loaded(net)
    state = NetQuestion(net, dead).thrust(least=True)
    assert state is not None
    crushing = crushing_of(net, STRENGTH)
    force, moment = crushing.forces.state(state.force)
    faces = crushing.faces
    thrust = np.abs(state.reaction[net.grid.supports[0].nodes, 0]).sum()
    beside = (np.abs(faces.place[:, 1] - 20) == 0.5) & (np.abs(faces.square[:, 0]) > 0.9)
    for side in (-0.5, 0.5):
        row = beside & (faces.place[:, 1] == 20 + side)
        # a face half a step from the crown leans by its own slope
        assert (force[row] * np.abs(faces.square[row, 0])).sum() == pytest.approx(thrust, rel=2e-3)
        assert faces.width[row].sum() == pytest.approx(2.0)
    assert (np.abs(moment) <= force * net.solid.thickness / 2 * (1 + 1e-6) + 1e-9).all()


def test_strength_by_symmetry_in_full_and_by_another_solver() -> None:
    net = groin_net(8)
    loads = half_loaded(net)
    crushing = crushing_of(net, 1.2e6)
    values = []
    for how in ({}, {"use_symmetry": False}, {"solver": "highs"}):
        answer = NetQuestion(net, *loads, crushing=crushing, **how).load_factor()
        assert answer is not None
        assert answer.factor < 0.99 * answer.rigid
        assert crushing.overshoot(answer.force) < 1e-4
        values.append(answer.factor)
    # Which chords were put to the program differs a little; none of them is broken.
    assert values == pytest.approx([values[0]] * 3, rel=2e-3)
    # The same state in weaker masonry has no room.
    answer = NetQuestion(net, *loads, crushing=crushing).load_factor()
    assert answer is not None
    assert crushing_of(net, 0.6e6).overshoot(answer.force) > 1e-3


def test_less_strength_never_carries_more() -> None:
    net = groin_net(8)
    loads = half_loaded(net)
    factors = []
    for strength in (0.8e6, 1.6e6, 3.2e6, 6.4e6):
        answer = NetQuestion(net, *loads, crushing=crushing_of(net, strength)).load_factor()
        assert answer is not None
        factors.append(answer.factor)
    assert factors == sorted(factors)


def test_no_candidate_left_out_would_better_the_answer() -> None:
    """Reduced costs of all candidates, also of those that were taken out beforehand."""
    net = groin_net(10)
    question = NetQuestion(net, *half_loaded(net))
    program = question.program
    found = program.load_factor()
    assert found is not None
    assert program.linear.band.matrix.shape[1] < 0.95 * question.rows.matrix.shape[1]
    priced = question.rows.matrix.T @ found.dual
    assert priced.max() < 1e-6 * np.abs(found.dual).max()


def test_an_edge_arch_of_a_groin_stands_alone(groin: tuple[Job, NetProof, list[float]]) -> None:
    """No strut from inside the web bears on a free edge, and no line leaves the plan at a corner."""
    worst = groin[1].governing
    assert worst is not None
    certificate = worst.certificate
    rim = np.abs(worst.net.grid.rim()).max(axis=1) > 0
    inside = rim[certificate.i] ^ rim[certificate.j]
    corner = certificate.held[certificate.i] | certificate.held[certificate.j]
    total = certificate.total
    assert certificate.force[inside & ~corner].max(initial=0.0) < 1e-6 * total
    ends = (
        certificate.middle[:, None] + np.array([-1, 1])[None, :, None] * certificate.half[:, None]
    )
    low, high = certificate.middle[:, :2].min(axis=0), certificate.middle[:, :2].max(axis=0)
    assert (ends[certificate.held][..., :2] > low - 1e-9).all()
    assert (ends[certificate.held][..., :2] < high + 1e-9).all()
