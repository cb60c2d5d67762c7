"""A dome that cracks all over: how it stretches, what that costs, and the load that it bounds.

Outside checks: a body that moves as one does not stretch; what the formulas tell is what small steps in
space tell; the membrane of a dome with an eye under an even load (Flügge 1973, "Stresses in Shells",
from memory; derived here by the balance of a cap) bears less than any mechanism takes.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.blocks_bound import block_bound
from timbrel.statics.mechanism_bound import upper_bound
from timbrel.statics.mechanism_dome import AXES, _work, dome_bound, masonry_of
from timbrel.statics.mechanism_dome_check import _moved, check_dome
from timbrel.statics.mechanism_dome_field import DomeField, length_of, meridian_of, stretch_of
from timbrel.statics.mechanism_fading import _cost, cheapest, principal
from timbrel.statics.mechanism_figures import mechanism_figures
from timbrel.statics.mechanism_splines import open_splines, round_splines

Array = NDArray[np.float64]
EXAMPLE = Path(__file__).parents[2] / "examples" / "well-dome" / "job.toml"
STRENGTH = 3.5e6
COARSE = (5, 8)


@pytest.fixture(scope="module")
def dome() -> tuple[Job, Any]:
    job = load_job(EXAMPLE).job
    return job, shape_vault(job, solve_room(job.room, job.job.length_unit))


def field_of(vault: Any, cells: tuple[int, int] = COARSE) -> DomeField:
    return DomeField(*cells, length_of(vault), float(vault.rings(np.zeros(1)).lean[0]))


@pytest.mark.parametrize("which", ["open", "round"])
def test_splines_sum_to_one_and_their_slopes_are_slopes(which: str) -> None:
    at, step = np.linspace(0.03, 0.97, 41) * np.pi, 1e-6

    def values(x: Array) -> Array:
        return open_splines(6, np.pi, x)[1] if which == "open" else round_splines(6, x)[2]

    found, ahead, behind = values(at), values(at + step), values(at - step)
    assert found[0].sum(axis=1) == pytest.approx(1.0)
    inside = np.abs(at * 6 / np.pi - np.round(at * 6 / np.pi)) > 1e-4
    for d in (1, 2):
        slope = (ahead[d - 1] - behind[d - 1]) / (2 * step)
        assert found[d][inside] == pytest.approx(slope[inside], abs=1e-6)


def test_a_dome_that_sinks_as_one_does_not_stretch(dome: tuple[Job, Any]) -> None:
    """Clear of the springing, which is held."""
    field = field_of(dome[1])
    motion = np.zeros((field.around, field.along + 2, 3))
    motion[..., 2] = 1.0
    s, turn = np.array([0.5, 0.8, 0.95]) * field.length, np.array([0.1, 1.5, 3.0])
    stretch = stretch_of(field, meridian_of(dome[1], s), s, turn)
    own = motion.ravel()[field.numbers(s, turn)]
    for depth in (-0.03, 0.0, 0.03):
        assert np.einsum("ncu,nu->nc", stretch.at(depth), own) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("depth", [-0.03, 0.0, 0.03])
def test_stretch_is_what_small_steps_in_space_tell(dome: tuple[Job, Any], depth: float) -> None:
    """For any motion, however wild, and to rounding: so every term of the formulas is right."""
    field, step = field_of(dome[1]), 1e-6
    motion = np.random.default_rng(5).normal(size=field.size) * field.free
    s, turn = np.array([0.13, 0.5, 0.72]) * field.length, np.array([0.2, 1.1, 2.9])
    stretch = stretch_of(field, meridian_of(dome[1], s), s, turn).at(depth)
    told = np.einsum("ncu,nu->nc", stretch, motion[field.numbers(s, turn)])
    runs, speeds = [], []
    for ds, dt in ((step, 0.0), (0.0, step)):
        ends = [_moved(dome[1], field, motion, s + k * ds, turn + k * dt) for k in (-1, 1)]
        runs.append((ends[1].place(depth) - ends[0].place(depth)) / (2 * step))
        speeds.append((ends[1].speed(depth) - ends[0].speed(depth)) / (2 * step))
    long = [np.linalg.norm(run, axis=1) for run in runs]

    def rate(a: int, b: int) -> Array:
        found = np.einsum("nk,nk->n", speeds[a], runs[b])
        return np.asarray(found / long[a] / long[b])

    found = np.stack([rate(0, 0), rate(1, 1), rate(0, 1) + rate(1, 0)], axis=1)
    assert told == pytest.approx(found, rel=1e-6, abs=1e-6)


def test_the_price_of_the_check_is_that_of_the_program(dome: tuple[Job, Any]) -> None:
    """But for the points over which they sum."""
    field = field_of(dome[1])
    motion = np.random.default_rng(5).normal(size=field.size) * field.free
    report = check_dome(dome[1], field, motion, STRENGTH, (0.0, 1.0))
    assert report.price == pytest.approx(
        masonry_of(dome[1], field, STRENGTH).price(motion), rel=0.02
    )
    assert report.slides < 1e-6


def test_slopes_of_the_price_are_slopes(dome: tuple[Job, Any]) -> None:
    field = field_of(dome[1], (3, 4))
    masonry = masonry_of(dome[1], field, STRENGTH)
    draw = np.random.default_rng(7)
    motion, way = (draw.normal(size=field.size) * field.free for _ in range(2))
    barrier, step = STRENGTH * 2.0, 1e-5
    gradient, band = masonry.slopes(motion, barrier)
    hessian = np.zeros((field.size, field.size))
    for apart, row in enumerate(band):
        for k, value in enumerate(row[: field.size - apart]):
            hessian[k + apart, k] = hessian[k, k + apart] = value
    ahead, behind = (masonry.smoothed(motion + k * step * way, barrier) for k in (1, -1))
    assert gradient @ way == pytest.approx((ahead - behind) / (2 * step), rel=1e-6)
    ahead, behind = (masonry.slopes(motion + k * step * way, barrier)[0] @ way for k in (1, -1))
    assert way @ hessian @ way == pytest.approx((ahead - behind) / (2 * step), rel=1e-5)


@pytest.mark.parametrize("rate", [-3.0, -1e-4, 0.0, 1e-4, 3.0])
def test_the_smooth_price_comes_to_the_true_one(rate: float) -> None:
    value, pressed, _ = _cost(np.array([rate]), 1e-6 * STRENGTH, STRENGTH)
    assert value[0] == pytest.approx(STRENGTH * max(-rate, 0.0), abs=1e-4 * STRENGTH)
    assert -STRENGTH <= pressed[0] <= 0


def test_principal_rates_are_eigenvalues() -> None:
    draw = np.random.default_rng(3).normal(size=(20, 3))
    first, second, *_ = principal(draw)
    for own, one, two in zip(draw, first, second, strict=True):
        tensor = np.array([[own[0], own[2] / 2], [own[2] / 2, own[1]]])
        assert sorted([one, two]) == pytest.approx(np.linalg.eigvalsh(tensor))


def test_work_of_the_loads_is_their_weight_when_all_sinks(dome: tuple[Job, Any]) -> None:
    """The foot is held, so it is laid aside: all loads but those over the first cells."""
    job, vault = dome
    field = field_of(vault, (40, 8))
    dead, live = _work(job, vault, field, "full", 800.0)
    down = np.zeros((field.around, field.along + 2, 3))
    down[..., 2] = -1.0
    down[:, 0] = 0.0
    outer, eye = vault.base.span / 2, vault.oculus / 2
    assert live @ down.ravel() == pytest.approx(800 * np.pi * (outer**2 - eye**2), rel=0.05)
    half = _work(job, vault, field, "half.left", 800.0)[1]
    assert half @ down.ravel() == pytest.approx(live @ down.ravel() / 2, rel=1e-6)
    assert dead @ down.ravel() > live @ down.ravel()


def test_it_bounds_less_than_blocks_and_finer_cells_bound_no_more(dome: tuple[Job, Any]) -> None:
    job, vault = dome
    coarse, fine = (dome_bound(job, vault, "quarter", cells) for cells in (COARSE, (8, 12)))
    assert coarse is not None and fine is not None
    blocks = block_bound(job, vault, "quarter", (4, 8)).mechanism
    assert blocks is not None
    assert fine.factor <= coarse.factor * 1.01 < blocks.factor
    assert np.abs(fine.sinks).max() == pytest.approx(1.0)
    under = (fine.places < vault.centre[:2]).all(axis=1)
    assert fine.sinks[under].mean() > 0 > fine.sinks[~under].min()


def test_a_membrane_bears_less(dome: tuple[Job, Any]) -> None:
    """Under an even load q the rim of an eye is a ring that the meridians leave free: by the balance
    of a cap its hoop is q R cos^2 of its lean, with the radius R, nowhere more than that."""
    job, vault = dome
    found = dome_bound(job, vault, "full", COARSE)
    assert found is not None
    radius = 1 / float(meridian_of(vault, np.array([0.5])).curve[0])
    dead = 2.0 * job.loads.imposed
    membrane = STRENGTH * vault.thickness / radius - dead
    assert found.factor * job.loads.imposed > membrane
    assert found.factor * job.loads.imposed < 2 * membrane


def test_mirror_images_bound_alike_and_every_half_is_known(dome: tuple[Job, Any]) -> None:
    job, vault = dome
    halves = [dome_bound(job, vault, key, COARSE) for key in AXES if key.startswith("half")]
    factors = [half.factor for half in halves if half is not None]
    assert len(factors) == 4 and factors == pytest.approx([factors[0]] * 4)


def test_without_strength_or_eye_or_known_load_there_is_none(dome: tuple[Job, Any]) -> None:
    job, vault = dome
    soft = job.model_copy(update={"masonry": job.masonry.model_copy(update={"crushing": None})})
    assert dome_bound(soft, vault, "full", COARSE) is None
    assert dome_bound(job, vault, "loads.1", COARSE) is None
    shut = job.model_copy(update={"curve": job.curve.model_copy(update={"oculus": 0.0})})
    whole = shape_vault(shut, solve_room(job.room, job.job.length_unit))
    assert dome_bound(shut, whole, "full", COARSE) is None


def test_a_motion_that_lifts_the_load_or_slides_at_the_foot_proves_nothing(
    dome: tuple[Job, Any],
) -> None:
    job, vault = dome
    field = field_of(vault)
    dead, live = _work(job, vault, field, "quarter", 800.0)
    motion = cheapest(masonry_of(vault, field, STRENGTH), dead, live)

    def report(moved: Array, held: DomeField = field) -> bool:
        work = float(dead @ moved), float(live @ moved)
        return check_dome(vault, held, moved, STRENGTH, work).sound

    assert report(motion)
    assert not report(-motion)
    wrong = DomeField(field.along, field.around, field.length, field.foot + 0.5)
    assert not report(motion, wrong)


def test_it_is_told_in_figures(dome: tuple[Job, Any]) -> None:
    bound = upper_bound(*dome, "quarter", thorough=False)
    figures = mechanism_figures(bound.mechanism)
    assert figures is not None and figures.kind == "cracks all over" and bound.crushes
    assert figures.factor == bound.factor
    assert len(figures.places) == len(figures.sinks) > 0
