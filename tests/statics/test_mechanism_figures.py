"""Mechanisms in figures: where they open, as they are drawn and written."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from timbrel.job.load import load_job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.blocks_bound import block_bound
from timbrel.statics.mechanism_bound import upper_bound
from timbrel.statics.mechanism_figures import mechanism_figures
from timbrel.statics.mechanism_surface import SurfaceMechanism

EXAMPLES = Path(__file__).parents[2] / "examples"


def test_a_rib_lies_on_its_edge() -> None:
    job = load_job(EXAMPLES / "market-groin" / "job.toml").job
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    bound = upper_bound(job, vault, "half.left")
    found = mechanism_figures(bound.mechanism)
    assert found is not None and found.kind == "edge rib" and found.factor == bound.factor
    assert [line.turns_about for line in found.lines] == ["foot", "top", "foot", "top"]
    for line in found.lines:
        assert line.start == pytest.approx(line.end)
        on_side = np.abs(line.start - vault.plan.corners[:, :2]).min(axis=0)
        assert on_side.min() < 1e-6


def test_blocks_are_written_out_over_the_whole_plan() -> None:
    job = load_job(EXAMPLES / "market-groin" / "job.toml").job
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    found = mechanism_figures(block_bound(job, vault, "patch", (6, 6)).mechanism)
    assert found is not None and found.kind == "rigid blocks"
    assert len(found.places) == len(found.sinks) == 6 * 6 * 4
    assert np.abs(found.sinks).max() == pytest.approx(1.0)
    middle = vault.plan.middle
    for flip in (np.array([-1.0, 1.0]), np.array([1.0, -1.0])):
        image = middle + (found.places - middle) * flip
        nearest = np.abs(image[:, None] - found.places[None]).sum(axis=2).argmin(axis=1)
        assert found.sinks[nearest] == pytest.approx(found.sinks)
    under = np.abs(found.places - middle).max(axis=1) < 0.4
    assert found.sinks[under].max() > 0
    assert max(line.opening for line in found.lines) == pytest.approx(1.0)
    assert found.slides is not None and found.slides < 1e-9


def test_lunes_turn_on_rings_and_nothing_is_nothing() -> None:
    lunes = SurfaceMechanism(
        "lunes", 3.0, (0.5, 1.0, 2.0), (True, False, True), np.ones(2), np.eye(2)[0], (0.0, 0.0)
    )
    found = mechanism_figures(lunes)
    assert found is not None
    radii = {round(float(np.hypot(*(line.start - 1.0))), 6) for line in found.lines}
    assert radii == {0.5, 1.0, 2.0}
    assert mechanism_figures(None) is None
