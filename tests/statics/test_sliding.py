"""Friction that a strip leans on, and its verdict."""

from dataclasses import replace

import numpy as np
import pytest

from timbrel.statics.actions import actions_under, fill_levels
from timbrel.statics.carrying import carry
from timbrel.statics.combinations import combinations
from timbrel.statics.proof import prove
from timbrel.statics.sliding import friction_needed, sliding_check
from timbrel.verdict import Verdict


def test_friction_needed_leaves_a_line_and_less_does_not(trial_job, trial_vault):
    job = trial_job(loads={"patterns": ["half"]})
    vault = trial_vault(job)
    acts = actions_under(job, vault, 0.5, fill_levels(job, vault), np.linspace(0, 1, 41))
    half = next(c for c in combinations(acts, job.loads) if c.key == "STR.inf.half.left")
    needed = friction_needed(acts, half)
    assert 0 < needed < job.masonry.friction
    for friction, found in ((needed * 1.02, True), (needed * 0.9, False)):
        again = replace(acts, strip=replace(acts.strip, friction=friction))
        assert (friction_needed(again, half) is not None) is found


def test_little_reserve_fails(trial_job):
    job = trial_job()
    assert sliding_check(job, 0.1, "x").verdict is Verdict.HOLDS
    assert sliding_check(job, 0.5, "x").verdict is Verdict.FAILS
    assert sliding_check(job, None, "x").verdict is Verdict.FAILS


def test_the_load_path_tells_it(trial_job, trial_vault):
    job = trial_job(loads={"patterns": ["full", "half"]})
    vault = trial_vault(job)
    found = carry(job, vault, prove(job, vault))
    check = next(c for c in found.checks if c.name == "supports.friction")
    assert check.verdict is Verdict.HOLDS
    assert check.value == pytest.approx(job.masonry.friction / found.friction)
    assert "does not cover" in str(check.reason)
