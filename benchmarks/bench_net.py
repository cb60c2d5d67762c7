"""Speed of the strut net: a coarse answer, a default net with its certificate, whole proofs, an
envelope of loads with the model used again, and a big groin by symmetry and band against the full
program and against HiGHS, in one run. CPU seconds, so that a busy machine does not count."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from time import perf_counter, process_time
from typing import Any

import numpy as np

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.certificate import certify
from timbrel.statics.certificate_check import check_certificate
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_carrying import carry_net
from timbrel.statics.net_fineness import LADDER
from timbrel.statics.net_proof import prove_net, quick_net
from timbrel.statics.net_rungs import draw_rung
from timbrel.statics.net_sensitivity import net_sensitivity
from timbrel.statics.net_uncertainty import uncertain_net
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.processes import Aside, spare_processors

EXAMPLES = Path(__file__).parent.parent / "examples"
DEMOS = ("market-groin", "chapel-cloister", "study-sail", "well-dome")
BIG = 40  # steps: 41 x 41 nodes


OUT_OF_SQUARE = {"BC": 1.018, "CD": 0.994, "DA": 1.009, "AC": 1.0087}
ENVELOPE = 16  # steps of the net that the envelope is solved on
DEADS = (1.0, 1.15, 1.35)  # factors on the dead load in the envelope


def rows() -> Iterator[tuple[str, float, str, str]]:
    for demo in DEMOS:
        job = _job(demo)
        vault = shape_vault(job, solve_room(job.room))
        start = process_time()
        quick_net(job, vault)
        yield f"{demo}: coarse answer", process_time() - start, "s", "under 1"
        start = process_time()
        proof = prove_net(job, vault)
        yield f"{demo}: whole proof, both bounds", process_time() - start, "s", "under 15"
        worst = proof.governing
        if worst is not None:
            yield from _default(demo, job, vault, worst.pattern, proof.steps)
            if worst.gap is not None:
                yield f"{demo}: gap of the bounds", 100 * worst.gap, "%", "under 3"
    for demo in DEMOS:
        yield from _out_of_square(demo)
    yield from _studies()
    yield from _envelope()
    yield from _big_groin()


def _job(demo: str, stretched: dict[str, float] | None = None) -> Job:
    job = load_job(EXAMPLES / demo / "job.toml").job
    if stretched is None:
        return job
    sides = {key: getattr(job.room, key) * by for key, by in stretched.items()}
    return job.model_copy(update={"room": job.room.model_copy(update=sides)})


def _default(
    demo: str, job: Job, vault: Any, pattern: str, steps: int
) -> Iterator[tuple[str, float, str, str]]:
    """The net that the proof chose: drawn, loaded, solved, certified and re-read."""
    start = process_time()
    rung = draw_rung(job, solid_of(vault), steps)
    load = rung.pattern(pattern)
    answer = rung.question(load).load_factor(20 * job.loads.factors.load_factor_least)
    assert answer is not None
    certificate = certify(pattern, rung.net, answer, rung.acts.dead, load)
    assert check_certificate(certificate, rung.net.solid.offset).sound
    yield f"{demo}: default net, certificate", process_time() - start, "s", "under 5"


def _studies() -> Iterator[tuple[str, float, str, str]]:
    """What a tenth does, and samples, in one process; two share the samples' nets."""
    for demo in DEMOS:
        job = _job(demo)
        vault = shape_vault(job, solve_room(job.room))
        rung = draw_rung(job, solid_of(vault), LADDER[vault.family][0])
        carried = carry_net(job, vault, rung.net, rung.acts)
        start = process_time()
        net_sensitivity(job, vault, carried, workers=1)
        yield f"{demo}: what a tenth does", process_time() - start, "s", ""
        start = process_time()
        found = uncertain_net(job, vault, samples=2000, workers=1)
        spent = process_time() - start
        yield f"{demo}: 2,000 samples, over two", spent / 2, "s", "under 60"
        assert found.fitted is not None
        yield f"{demo}: reserve missed", 100 * found.fitted.reserve_error, "%", "under 5"


def _out_of_square(demo: str) -> Iterator[tuple[str, float, str, str]]:
    """No symmetry helps: the whole proof alone, and by the clock with another process beside it."""
    job = _job(demo, OUT_OF_SQUARE)
    vault = shape_vault(job, solve_room(job.room))
    start, clock = process_time(), perf_counter()
    alone = prove_net(job, vault)
    yield f"{demo} out of square: whole proof", process_time() - start, "s", "under 16"
    clock = perf_counter() - clock
    start = perf_counter()
    with Aside(spare_processors()) as aside:
        helped = prove_net(job, vault, aside=aside)
    beside = perf_counter() - start
    yield f"{demo} out of square: with helpers, clock", beside, "s", "under 8 on two quiet cores"
    yield f"{demo} out of square: alone over it", clock / beside, "x", ""
    assert np.allclose(
        [f.static for f in alone.factors], [f.static for f in helped.factors], rtol=1e-6
    )


def _envelope() -> Iterator[tuple[str, float, str, str]]:
    """Least and greatest thrust of every pattern beside dead loads of three sizes, the net drawn
    once and each group of loads laid out once, against drawing and laying out each afresh."""
    job = _job("market-groin", OUT_OF_SQUARE)
    solid = solid_of(shape_vault(job, solve_room(job.room)))
    start = process_time()
    rung = draw_rung(job, solid, ENVELOPE)
    ours = []
    for load in rung.acts.patterns:
        question = NetQuestion(rung.net, rung.acts.dead, load)
        for factor in DEADS:
            for least in (True, False):
                # 1/factor of the load beside the whole dead load is the same state, smaller.
                answer = question.thrust(least=least, factor=1 / factor)
                ours.append(0.0 if answer is None else np.abs(answer.reaction[:, 0]).sum() * factor)
    again = process_time() - start
    yield f"envelope of {len(ours)} states, model used again", again, "s", "under 30"
    start = process_time()
    few = []
    for load in rung.acts.patterns[:2]:
        fresh = draw_rung(job, solid, ENVELOPE)
        question = NetQuestion(fresh.net, fresh.acts.dead, fresh.pattern(load.key))
        answer = question.thrust(least=True, factor=1.0)
        few.append(0.0 if answer is None else np.abs(answer.reaction[:, 0]).sum())
    afresh = (process_time() - start) / len(few) * len(ours)
    assert np.allclose(few, [ours[0], ours[2 * len(DEADS)]], rtol=1e-6)
    yield "each state afresh, over it", afresh / again, "x", "over 3"


def _big_groin() -> Iterator[tuple[str, float, str, str]]:
    from tests.statics import test_net as shells  # the closed-form groin of the tests

    start = process_time()
    net = shells.groin_net(BIG)
    loads = shells.half_loaded(net)
    drawn = process_time() - start
    start = process_time()
    ours = NetQuestion(net, *loads).load_factor()
    quick = process_time() - start
    yield "41 x 41 groin, reach 3: drawn", drawn, "s", ""
    yield "41 x 41 groin: half load, by symmetry", quick, "s", "under 8"
    start = process_time()
    full = NetQuestion(net, *loads, use_symmetry=False).load_factor()
    yield "the full program over it", (process_time() - start) / quick, "x", ""
    assert ours is not None and full is not None
    yield "their difference", abs(ours.factor - full.factor) / full.factor, "", "under 1e-6"
    start = process_time()
    other = NetQuestion(net, *loads, solver="highs").load_factor()
    yield "HiGHS on the same, by symmetry, over it", (process_time() - start) / quick, "x", ""
    assert other is not None
    yield (
        "its difference (its own tolerance)",
        abs(ours.factor - other.factor) / other.factor,
        "",
        "",
    )
    assert np.isfinite(ours.factor)
