"""Speed of the strut net: a coarse answer, a default net with its certificate, and a big groin by
symmetry and band against the full program and against HiGHS, in one run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from time import perf_counter

import numpy as np

from timbrel.job.load import load_job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.certificate import certify
from timbrel.statics.certificate_check import check_certificate
from timbrel.statics.net import NetQuestion, draw_net
from timbrel.statics.net_actions import net_actions
from timbrel.statics.net_fineness import LADDER, grid_of
from timbrel.statics.net_proof import quick_net
from timbrel.statics.net_vaults import solid_of

EXAMPLES = Path(__file__).parent.parent / "examples"
DEMOS = ("market-groin", "chapel-cloister", "study-sail", "well-dome")
BIG = 40  # steps: 41 x 41 nodes


def rows() -> Iterator[tuple[str, float, str, str]]:
    for demo in DEMOS:
        file = EXAMPLES / demo / "job.toml"
        if not file.exists():
            continue
        job = load_job(file).job
        vault = shape_vault(job, solve_room(job.room))
        start = perf_counter()
        quick_net(job, vault)
        yield f"{demo}: coarse answer", perf_counter() - start, "s", "under 1"
        start = perf_counter()
        solid = solid_of(vault)
        net = draw_net(solid, grid_of(solid, LADDER[vault.family][-1]))
        acts = net_actions(job, solid, net.grid)
        load = acts.patterns[1]
        answer = NetQuestion(net, acts.dead, load).load_factor()
        if answer is not None:
            check_certificate(certify(load.key, net, answer, acts.dead, load), solid.offset)
        yield f"{demo}: finest net, certificate", perf_counter() - start, "s", "under 5"
    yield from _big_groin()


def _big_groin() -> Iterator[tuple[str, float, str, str]]:
    from tests.statics import test_net as shells  # the closed-form groin of the tests

    start = perf_counter()
    net = shells.groin_net(BIG)
    loads = shells.half_loaded(net)
    drawn = perf_counter() - start
    start = perf_counter()
    ours = NetQuestion(net, *loads).load_factor()
    quick = perf_counter() - start
    yield "41 x 41 groin, reach 3: drawn", drawn, "s", ""
    yield "41 x 41 groin: half load, by symmetry", quick, "s", "under 8"
    start = perf_counter()
    full = NetQuestion(net, *loads, use_symmetry=False).load_factor()
    yield "the full program over it", (perf_counter() - start) / quick, "x", ""
    assert ours is not None and full is not None
    yield "their difference", abs(ours.factor - full.factor) / full.factor, "", "under 1e-6"
    start = perf_counter()
    other = NetQuestion(net, *loads, solver="highs").load_factor()
    yield "HiGHS on the same, by symmetry, over it", (perf_counter() - start) / quick, "x", ""
    assert other is not None
    yield "its difference", abs(ours.factor - other.factor) / other.factor, "", "under 1e-6"
    assert np.isfinite(ours.factor)
