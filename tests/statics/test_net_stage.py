"""A net on what is laid so far: a half-built barrel falls, a closed one stands, a thin part counts."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_fineness import ALONG_BARREL
from timbrel.statics.net_stage import stage_net, stage_weight
from timbrel.words import say

STEPS = 24


def share(job: Job, laid: np.ndarray) -> float:
    vault = shape_vault(job, solve_room(job.room))
    net, there, _ = stage_net(vault, STEPS, laid)
    assert there.sum() == net.grid.size
    dead = stage_weight(net, "laid", say("What is laid"), 1800.0)
    return NetQuestion(net, dead).share_of_dead()


def test_a_closed_arch_stands_and_an_open_one_does_not(trial_job: Callable[..., Job]) -> None:
    job = trial_job(room={"AC": 7417, "BD": 7379}, curve={"rise": 700})
    whole = np.full((ALONG_BARREL, STEPS), 0.1)
    assert share(job, whole) > 1 - 1e-6
    open_arch = whole.copy()
    open_arch[:, STEPS // 2] = 0
    assert share(job, open_arch) < 1e-6
    one_arch = whole.copy()
    one_arch[1] = 0
    assert share(job, one_arch) > 1 - 1e-6


def test_the_thickness_of_each_cell_counts(trial_job: Callable[..., Job]) -> None:
    job = trial_job(room={"AC": 7417, "BD": 7379}, curve={"rise": 900})
    thin = np.full((ALONG_BARREL, STEPS), 0.012)
    assert share(job, thin) < 1e-6
