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
import scipy.linalg
from numpy.typing import NDArray

from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.blocks_bound import block_bound
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_bound import upper_bound
from timbrel.statics.mechanism_cones import matrix_times
from timbrel.statics.mechanism_dome import dome_bound, masonry_of
from timbrel.statics.mechanism_dome_check import _moved, check_dome
from timbrel.statics.mechanism_dome_field import DomeField, even_field, meridian_of, stretch_of
from timbrel.statics.mechanism_dome_loads import AXES, DomeLoads, work_of
from timbrel.statics.mechanism_fading import cheapest
from timbrel.statics.mechanism_figures import mechanism_figures
from timbrel.statics.mechanism_masonry import Fibres, Masonry
from timbrel.statics.mechanism_splines import (
    cell_of,
    every,
    local,
    mirror,
    mirrored_knots,
    open_knots,
)
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_rungs import draw_rung
from timbrel.statics.net_vaults import solid_of

Array = NDArray[np.float64]
EXAMPLE = Path(__file__).parents[2] / "examples" / "well-dome" / "job.toml"
STRENGTH = 3.5e6
COARSE = (5, 8)


@pytest.fixture(scope="module")
def dome() -> tuple[Job, Any]:
    job = load_job(EXAMPLE).job
    return job, shape_vault(job, solve_room(job.room, job.job.length_unit))


def test_splines_sum_to_one_and_their_slopes_are_slopes() -> None:
    """Between uneven places, on which they stand as well as on even ones."""
    places, step = np.array([0.0, 0.2, 0.9, 1.1, 2.0, np.pi]), 1e-6
    at = np.linspace(0.03, 0.97, 41) * np.pi
    for knots in (open_knots(places), mirrored_knots(places)):
        found, ahead, behind = (every(knots, x) for x in (at, at + step, at - step))
        assert found[0].sum(axis=1) == pytest.approx(1.0)
        for d in (1, 2):
            slope = (ahead[d - 1] - behind[d - 1]) / (2 * step)
            assert found[d] == pytest.approx(slope, abs=1e-4)
        cell = cell_of(places, at)
        reach = cell[:, None] + np.arange(4)
        assert local(knots, at, cell)[0] == pytest.approx(
            np.take_along_axis(found[0], reach, axis=1)
        )
        assert local(knots, at, cell)[0].sum(axis=1) == pytest.approx(1.0)


def test_on_the_mirror_even_parts_run_level_and_odd_ones_are_nil_and_straight() -> None:
    places = np.array([0.0, 0.2, 0.9, 1.1, 2.0, np.pi])
    number, odd = mirror(len(places) - 1)
    own = np.random.default_rng(2).normal(size=int(number.max()) + 1)
    value, slope, bend = every(mirrored_knots(places), places[[0, -1]])
    even_part, odd_part = own[number], own[number] * odd
    assert slope @ even_part == pytest.approx(0.0, abs=1e-12)
    assert value @ odd_part == pytest.approx(0.0, abs=1e-12)
    assert bend @ odd_part == pytest.approx(0.0, abs=1e-10)
    assert np.abs(value @ even_part).min() > 1e-3 < np.abs(slope @ odd_part).min()


def test_a_dome_that_sinks_as_one_does_not_stretch(dome: tuple[Job, Any]) -> None:
    """Clear of the springing, which is held."""
    field = even_field(dome[1], COARSE)
    motion = np.zeros((field.around + 1, field.rows, 3))
    motion[..., 2] = 1.0
    s, turn = np.array([0.5, 0.8, 0.95]) * field.length, np.array([0.1, 1.5, 3.0])
    stretch = stretch_of(field, meridian_of(dome[1], s), s, turn)
    own = motion.ravel()[field.numbers(s, turn)]
    assert np.einsum("nku,nu->nk", stretch.run, own) == pytest.approx(0.0, abs=1e-12)


def random_motion(field: DomeField, seed: int = 5) -> Array:
    return np.asarray(np.random.default_rng(seed).normal(size=field.size) * field.free)


@pytest.mark.parametrize("depth", [-0.03, 0.0, 0.03])
def test_stretch_is_what_small_steps_in_space_tell(dome: tuple[Job, Any], depth: float) -> None:
    """For any motion, however wild, and to rounding: so every term of the formulas is right."""
    field, step = even_field(dome[1], COARSE), 1e-6
    motion = random_motion(field)
    for s, turn in zip(np.array([0.13, 0.5, 0.72]) * field.length, (0.2, 1.1, 2.9), strict=True):
        at, on = np.array([s]), np.array([turn])
        stretch = stretch_of(field, meridian_of(dome[1], at), at, on)
        run = (stretch.run @ motion[field.numbers(at, on)][0])[0]
        one, two, three, four = run[:4] + depth * run[4:]
        along, across = (share[0, 0] for share in stretch.shares(np.array([depth])))
        told = one * along, two * across, three * across + four * along
        runs, speeds = [], []
        for ds, dt in ((step, 0.0), (0.0, step)):
            ends = [_moved(dome[1], field, motion, at + k * ds, on + k * dt) for k in (-1, 1)]
            runs.append((ends[1].place(depth) - ends[0].place(depth))[0] / (2 * step))
            speeds.append((ends[1].speed(depth) - ends[0].speed(depth))[0] / (2 * step))
        long = [float(np.linalg.norm(run)) for run in runs]
        rate = [[speeds[a] @ runs[b] / long[a] / long[b] for b in range(2)] for a in range(2)]
        found = rate[0][0], rate[1][1], rate[0][1] + rate[1][0]
        assert told == pytest.approx(found, rel=1e-6, abs=1e-6)


def test_what_is_told_of_points_is_told_of_rows_of_them(dome: tuple[Job, Any]) -> None:
    field = even_field(dome[1], COARSE)
    motion = random_motion(field)
    s, turn = np.array([0.01, 0.5, 0.99]) * field.length, np.array([0.01, 1.5, 3.13])
    at, on = (a.ravel() for a in np.meshgrid(s, turn, indexing="ij"))
    own = motion[field.numbers(at, on)]
    rows = field.moved(motion, s, turn)
    for key, move in field.motions(at, on).items():
        if key in rows:
            found = np.einsum("npu,nu->np", move, own)
            assert found == pytest.approx(rows[key].reshape(-1, 3), abs=1e-9)


def test_the_price_of_the_check_is_that_of_the_program(dome: tuple[Job, Any]) -> None:
    """But for the points over which they sum: a motion of few waves, the springing sliding too."""
    job, vault = dome
    field = even_field(vault, (8, 12))
    j, i, part = np.meshgrid(np.arange(13), np.arange(11), np.arange(3), indexing="ij")
    motion = (np.sin(0.4 * i + part) * np.cos(0.5 * j + part)).ravel() * field.free
    report = check_dome(DomeLoads(job, vault, "full"), field, motion, STRENGTH)
    masonry = masonry_of(vault, field, STRENGTH)
    assert report.price == pytest.approx(masonry.price(motion), rel=0.01)
    assert masonry.parts[1].stretch(motion)[2].any()
    assert report.slides < 1e-6


def test_a_joint_takes_what_a_thin_band_would(dome: tuple[Job, Any]) -> None:
    """Opened by d and slid by c over a band of no length, the principal rates are (d +- |(d, c)|)/2."""
    _, vault = dome
    field = even_field(vault, COARSE)
    joint = masonry_of(vault, field, STRENGTH).parts[1]
    motion = random_motion(field)
    middle, aside, shear = joint.stretch(motion)
    assert middle == pytest.approx(aside)
    opens, slides = middle / joint.along.ravel(), shear / joint.along.ravel()
    shut = np.hypot(opens, slides) - opens
    only = Masonry((joint,), STRENGTH, field.size)
    assert only.price(motion) == pytest.approx(
        STRENGTH * float(joint.along.ravel() @ shut) / 2, rel=1e-9
    )
    top = 2 * np.pi * float(meridian_of(vault, np.zeros(1)).radius[0]) * vault.thickness
    assert joint.along.sum() == pytest.approx(top, rel=1e-3)


def test_pressures_push_what_stretches_move_and_stiffness_is_their_square(
    dome: tuple[Job, Any],
) -> None:
    field = even_field(dome[1], (4, 4))
    masonry = masonry_of(dome[1], field, STRENGTH)
    draw = np.random.default_rng(7)
    one, two = (draw.normal(size=field.size) * field.free for _ in range(2))
    stretch = masonry.stretch(one)
    pressure = draw.normal(size=stretch.shape)
    assert masonry.pushed(pressure) @ one == pytest.approx((pressure * stretch).sum())
    weight = draw.normal(size=(6, stretch.shape[1]))
    band = masonry.stiffness(weight)
    full = np.zeros((field.size, field.size))
    for apart, row in enumerate(band):
        for k, value in enumerate(row[: field.size - apart]):
            full[k + apart, k] = full[k, k + apart] = value
    told = (matrix_times(weight, stretch) * masonry.stretch(two)).sum()
    assert two @ full @ one == pytest.approx(told)


def test_pushed_loads_work_as_points_sink(dome: tuple[Job, Any]) -> None:
    """The program's work, by splines, against the check's, by velocities in space."""
    job, vault = dome
    field = even_field(vault, (8, 12))
    heavy = job.model_copy(update={"curve": job.curve.model_copy(update={"oculus_load": 900.0})})
    for pattern in ("quarter", "half.near", "patch"):
        loads, motion = DomeLoads(heavy, vault, pattern), random_motion(field)
        dead, live = work_of(loads, field)
        report = check_dome(loads, field, motion, STRENGTH)
        assert dead @ motion == pytest.approx(report.dead, rel=5e-3)
        assert live @ motion == pytest.approx(report.live, rel=0.06)


def test_work_of_the_loads_is_their_weight_when_all_sinks(dome: tuple[Job, Any]) -> None:
    """The foot is held, so it is laid aside: all loads but those over the first cells."""
    job, vault = dome
    field = even_field(vault, (40, 8))
    dead, live = work_of(DomeLoads(job, vault, "full"), field)
    down = np.zeros((field.around + 1, field.rows, 3))
    down[..., 2] = -1.0
    down[:, 0] = 0.0
    outer, eye = vault.base.span / 2, vault.oculus / 2
    floor = imposed_load(job.loads)[0] * np.pi * (outer**2 - eye**2)
    assert live @ down.ravel() == pytest.approx(floor, rel=0.05)
    half = work_of(DomeLoads(job, vault, "half.left"), field)[1]
    assert half @ down.ravel() == pytest.approx(live @ down.ravel() / 2, rel=1e-6)
    quarter = work_of(DomeLoads(job, vault, "quarter"), field)[1]
    assert quarter @ down.ravel() == pytest.approx(live @ down.ravel() / 4, rel=1e-6)
    assert dead @ down.ravel() > live @ down.ravel()


def test_it_bounds_less_than_blocks_and_finer_cells_bound_no_more(dome: tuple[Job, Any]) -> None:
    """Cells cut in two hold every motion of the coarser ones, but for 0.5 % of the price where it
    stops and what sums tell differently."""
    job, vault = dome
    coarse, fine = (dome_bound(job, vault, "quarter", cells) for cells in (COARSE, (10, 16)))
    assert coarse is not None and fine is not None
    blocks = block_bound(job, vault, "quarter", (4, 8)).mechanism
    assert blocks is not None
    assert fine.factor <= coarse.factor * 1.005 and coarse.factor < blocks.factor
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
    imposed = imposed_load(job.loads)[0]
    dead = 2.0 * imposed
    membrane = STRENGTH * vault.thickness / radius - dead
    assert found.factor * imposed > membrane
    assert found.factor * imposed < 2 * membrane


def test_mirror_images_bound_alike_and_every_half_is_known(dome: tuple[Job, Any]) -> None:
    job, vault = dome
    halves = [dome_bound(job, vault, key, COARSE) for key in AXES if key.startswith("half")]
    factors = [half.factor for half in halves if half is not None]
    assert len(factors) == 4 and factors == pytest.approx([factors[0]] * 4)


@pytest.mark.parametrize(
    "directrix, rise, stands",
    [
        ("catenary", 0.85, True),
        ("parabola", 0.85, True),
        ("catenary", 2.2, True),
        ("three-centre", 1.2, False),
        ("semicircle", 2.2, False),
        ("pointed", 2.6, False),
    ],
)
def test_any_meridian_with_an_eye_is_bounded_where_its_net_ends(
    dome: tuple[Job, Any], directrix: str, rise: float, stands: bool
) -> None:
    """Over what a coarse net carries; under nil where the net does not stand by itself. (A hemisphere
    must be 0.042 of its radius thick: Heyman 1967; this one is 0.027.)"""
    curve = dome[0].curve.model_copy(update={"directrix": directrix, "rise": rise})
    job = dome[0].model_copy(update={"curve": curve})
    vault = shape_vault(job, solve_room(job.room, job.job.length_unit))
    found = dome_bound(job, vault, "quarter", (14, 16))
    assert found is not None
    rung = draw_rung(job, solid_of(vault), 8)
    question = NetQuestion(rung.net, rung.acts.dead, rung.pattern("quarter"))
    assert (question.share_of_dead() > 1 - 1e-6) == stands
    if stands:
        answer = question.load_factor(200.0)
        assert answer is not None and found.factor > answer.factor > 0
    else:
        assert found.factor < 0


def test_without_strength_or_eye_or_known_load_there_is_none(dome: tuple[Job, Any]) -> None:
    job, vault = dome
    soft = job.model_copy(update={"masonry": job.masonry.model_copy(update={"crushing": None})})
    assert dome_bound(soft, vault, "full", COARSE) is None
    assert dome_bound(job, vault, "loads.1", COARSE) is None
    shut = job.model_copy(update={"curve": job.curve.model_copy(update={"oculus": 0.0})})
    whole = shape_vault(shut, solve_room(job.room, job.job.length_unit))
    assert dome_bound(shut, whole, "full", COARSE) is None


def cheapest_of(dome: tuple[Job, Any], field: DomeField) -> tuple[DomeLoads, Array]:
    job, vault = dome
    loads = DomeLoads(job, vault, "quarter")
    return loads, cheapest(masonry_of(vault, field, STRENGTH), *work_of(loads, field))


def test_no_other_motion_is_cheaper(dome: tuple[Job, Any]) -> None:
    """Along any way that leaves the work of the live load, the price less that of the dead load
    falls by no more than the gap at which it stopped."""
    field = even_field(dome[1], COARSE)
    loads, motion = cheapest_of(dome, field)
    masonry = masonry_of(dome[1], field, STRENGTH)
    dead, live = work_of(loads, field)
    assert live @ motion == pytest.approx(1.0)

    def cost(x: Array) -> float:
        return masonry.price(x) - float(dead @ x)

    draw = np.random.default_rng(1)
    size = float(np.abs(motion).max())
    for share in (1e-3, 1e-2, 0.1):
        way = draw.normal(size=field.size) * field.free * size * share
        way -= motion * float(live @ way)
        assert cost(motion + way) > cost(motion) * (1 - 0.03)


def test_where_no_digits_are_left_the_motion_so_far_is_proposed(
    dome: tuple[Job, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    field = even_field(dome[1], COARSE)
    loads, best = cheapest_of(dome, field)
    parted, calls = scipy.linalg.cholesky_banded, []

    def fails(*args: Any, **keys: Any) -> Any:
        calls.append(1)
        if len(calls) > 12:
            raise np.linalg.LinAlgError
        return parted(*args, **keys)

    monkeypatch.setattr(scipy.linalg, "cholesky_banded", fails)
    found = cheapest_of(dome, field)[1]
    told = [check_dome(loads, field, motion, STRENGTH).factor for motion in (best, found)]
    assert len(calls) == 13
    assert told[0] < told[1] < np.inf


def test_a_motion_that_lifts_the_load_or_slides_at_the_foot_proves_nothing(
    dome: tuple[Job, Any],
) -> None:
    field = even_field(dome[1], COARSE)
    loads, motion = cheapest_of(dome, field)
    assert check_dome(loads, field, motion, STRENGTH).sound
    assert not check_dome(loads, field, -motion, STRENGTH).sound
    wrong = DomeField(field.slants, field.turns, field.foot + 0.5)
    assert not check_dome(loads, wrong, motion, STRENGTH).sound


def test_the_check_finds_what_the_program_leaves_out(dome: tuple[Job, Any]) -> None:
    """A program blind to the joint, or to one half of the depth, finds motions that it holds for
    cheap; the check prices them in full and comes to more than the sound program."""
    vault = dome[1]
    field = even_field(vault, COARSE)
    loads, motion = cheapest_of(dome, field)
    masonry = masonry_of(vault, field, STRENGTH)
    shell, joint = masonry.parts
    right = check_dome(loads, field, motion, STRENGTH).factor
    over = np.where(shell.depth > 0, 1.0, 1e-3)
    half = Fibres(shell.number, shell.run, shell.along * over, shell.round * over, shell.depth)
    for parts in ((shell,), (half, joint)):
        faulty = Masonry(parts, STRENGTH, field.size)
        dead, live = work_of(loads, field)
        found = cheapest(faulty, dead, live)
        told = faulty.price(found) - float(dead @ found)
        checked = check_dome(loads, field, found, STRENGTH).factor
        assert told < 0.95 * right < 0.97 * checked


def test_it_is_told_in_figures(dome: tuple[Job, Any]) -> None:
    bound = upper_bound(*dome, "quarter", thorough=False)
    figures = mechanism_figures(bound.mechanism)
    assert figures is not None and figures.kind == "cracks all over" and bound.crushes
    assert figures.factor == bound.factor
    assert len(figures.places) == len(figures.sinks) > 0
