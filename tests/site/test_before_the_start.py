"""Load test, stop line, practice arch, real tiles, stairs: hand-worked cases."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.site.given_jobs import job_of, out_of_square, vault_of

from timbrel.bond.lay import lay_bond
from timbrel.job.load import load_job
from timbrel.job.model import Binder, JointRange, Tile
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.site.batches import Batch
from timbrel.site.load_test import (
    load_test_checks,
    net_test_checks,
    plan_area,
    plan_load_test,
    recovered,
)
from timbrel.site.mortar import mortar_mix
from timbrel.site.practice import closes, practice_arch
from timbrel.site.real_tiles import (
    as_delivered,
    measure_delivery,
    sort_into_bins,
    with_real_tiles,
)
from timbrel.site.stair import comfort_check, steps_between
from timbrel.site.stop_line import stop_line, stop_line_checks
from timbrel.statics.proof import prove
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

# Load test


def test_bags_of_a_test_by_hand() -> None:
    # 12 m2 at 2.0 kN/m2: 24 kN, 2446.5 kg, 98 bags of 25 kg.
    job = job_of()
    test = plan_load_test(job, vault_of(job))
    assert test is not None
    assert test.area == pytest.approx(12.0)
    assert test.bags == math.ceil(24000 / 9.81 / 25) == 98
    whole = [s for s in test.steps if s.number <= 4]
    assert [s.bags for s in whole] == [25, 49, 74, 98]
    assert whole[-1].wait == 24 * 3600
    assert whole[-1].pressure >= test.load
    assert test.steps[-1].bags == 0
    assert any(c.stop for c in test.criteria)


@pytest.mark.parametrize(
    ("name", "stands_on"),
    [("market-groin", "Piers"), ("chapel-cloister", "Walls on all"), ("well-dome", "Drum")],
)
def test_a_vault_on_a_plan_is_loaded_and_read_on_all_sides(name: str, stands_on: str) -> None:
    job = load_job(Path(__file__).parents[2] / "examples" / name).job
    test = plan_load_test(job, shape_vault(job, solve_room(job.room, "mm")))
    assert test is not None
    assert "all sides" in str(test.steps[0].what) and "wall DA" in str(test.steps[-2].what)
    assert any(str(reading).startswith(stands_on) for reading in test.readings)
    spanning = plan_load_test(job_of(), vault_of(job_of()))
    assert spanning is not None
    assert "both springings" in str(spanning.steps[0].what)
    assert any("Left wall" in str(reading) for reading in spanning.readings)


def test_area_of_an_out_of_square_room() -> None:
    corners = out_of_square()
    x, y = corners[:, 0], corners[:, 1]
    area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2
    assert plan_area(vault_of(job_of(), corners)) == pytest.approx(area)


def test_nothing_to_test_where_nothing_is_carried() -> None:
    job = job_of(loads={"use": "none"})
    assert plan_load_test(job, vault_of(job)) is None


def test_no_test_is_allowed_beyond_the_load_factor() -> None:
    job, hard = job_of(), job_of(load_test={"share": 2.0})
    statics = prove(job, vault_of(job))
    tests = [plan_load_test(j, vault_of(j)) for j in (job, hard)]
    mild, doubled = (
        load_test_checks(j, t, statics)[0] for j, t in zip((job, hard), tests, strict=True)
    )
    assert mild.value is not None and doubled.value is not None
    assert doubled.value == pytest.approx(mild.value / 2)
    assert mild.verdict is (Verdict.HOLDS if mild.value >= 1.5 else Verdict.FAILS)


@pytest.mark.parametrize(
    ("loaded", "left", "share"), [(2.0, 0.5, 0.75), (2.0, 0.0, 1.0), (0, 0, 1)]
)
def test_recovery(loaded: float, left: float, share: float) -> None:
    assert recovered(loaded, left) == pytest.approx(share)


# Stop line


def test_whole_arches_a_day_by_hand() -> None:
    job = job_of()
    first = lay_bond(job, vault_of(job)).layers[0]
    line = stop_line(job, first, 21)
    largest = int(np.bincount(first.arch).max())
    lay = largest / 25 * 3600
    assert line.tiles == largest
    assert line.arch_time == pytest.approx(lay + 900)
    # After the last arch of the day the frame need not move.
    assert line.a_day == math.floor((8 * 3600 + 900) / (lay + 900))
    assert line.a_day * lay + (line.a_day - 1) * 900 <= 8 * 3600
    assert line.last_start == pytest.approx(8 * 3600 - lay)
    assert line.close_by[-1] == len(np.unique(first.arch))
    assert list(line.close_by) == sorted(line.close_by)


def test_the_last_arch_of_a_day_needs_no_move_after_it() -> None:
    """Two arches of 4 h less half a move each fill 8 h only if the frame stays where it is."""
    job = job_of(crew={"move_minutes": 60})
    first = lay_bond(job, vault_of(job)).layers[0]
    largest = int(np.bincount(first.arch).max())
    fast = job_of(crew={"move_minutes": 60, "first_layer_tiles_hour": largest / 3.5})
    assert stop_line(fast, first, None).a_day == 2  # 3.5 h, 1 h, 3.5 h


def test_an_arch_that_waits_for_its_bond_keeps_its_centring() -> None:
    job = job_of()
    first = lay_bond(job, vault_of(job)).layers[0]
    free, held = stop_line(job, first, 21), stop_line(job, first, 21, 1800.0)
    assert held.arch_time == pytest.approx(free.arch_time + 1800)
    assert held.last_start == free.last_start  # it is closed all the same
    assert stop_line(job, first, 21, math.inf) == free  # its own check tells it
    dome = load_job(Path(__file__).parents[2] / "examples/well-dome").job
    units = np.arange(len(first.arch)) // 40 + 1
    free, held = (stop_line(dome, first, 21, wait, units) for wait in (None, 1800.0))
    assert held.tiles == free.tiles == 40  # what is closed together, not an arch of the bond
    assert held.last_start == free.last_start  # a closed ring waits, overnight too
    assert held.arch_time == pytest.approx(free.arch_time + 1800)


def test_an_arch_that_takes_more_than_a_day_fails() -> None:
    job = job_of(crew={"first_layer_tiles_hour": 2})
    line = stop_line(job, lay_bond(job, vault_of(job)).layers[0], None)
    assert line.a_day == 0 and line.days == 0
    assert stop_line_checks(line)[0].verdict is Verdict.FAILS


# Practice arch


@pytest.mark.parametrize(
    "curve",
    [
        {"directrix": "segment", "rise": 600},
        {"directrix": "semicircle", "rise": None},
        {"directrix": "parabola", "rise": 700},
        {"directrix": "catenary", "rise": 800},
        {"directrix": "pointed", "rise": 1800},
        {"directrix": "three-centre", "rise": 900, "haunch_radius": 600},
    ],
    ids=lambda c: c["directrix"],
)
def test_a_practice_arch_closes_with_whole_tiles(curve: dict[str, object]) -> None:
    job = job_of(curve=curve)
    vault = vault_of(job)
    arch = practice_arch(job, vault.near, lay_bond(job, vault).layers[0])
    assert arch.kind == vault.near.kind
    assert arch.rise / arch.span == pytest.approx(vault.near.rise / vault.near.span)
    assert 0.85 < arch.span < 1.15
    # Whole tiles with the joint aimed at, the springing joints included.
    assert arch.across * 0.130 + (arch.across + 1) * 0.010 == pytest.approx(arch.arc)
    assert closes(arch.arc, 0.130, arch.across) == pytest.approx(0.010)
    assert arch.joint == pytest.approx(0.010)
    assert isinstance(arch.batch, Batch)
    assert arch.tiles == 3 * arch.across
    assert arch.thrust == pytest.approx(arch.weight * arch.span / 8 / arch.rise)
    assert [g.number for g in arch.gates] == list(range(1, len(arch.gates) + 1))
    assert arch.pace == pytest.approx((10.0, 25.0))


# Real tiles

THIN = Tile.model_validate({"length": 260, "width": 130, "thickness": 16})
JOINT = JointRange.model_validate({"least": 6, "best": 10, "most": 15})


def delivery_of(widths: list[float], bows: list[float] | None = None, **more: float):  # type: ignore[no-untyped-def]
    sizes = [(more.get("length", 0.260), w, more.get("thickness", 0.016)) for w in widths]
    return measure_delivery("thin", THIN, JOINT, sizes, bows or [0.0] * len(widths))


def test_tiles_a_little_large_take_it_out_of_the_joint() -> None:
    found = delivery_of([0.131, 0.133] * 10)
    assert found.width.mean == pytest.approx(0.132)
    assert found.width.range == pytest.approx(0.002)
    assert found.joint == pytest.approx(0.008)  # 130 + 10 is kept
    assert found.module == pytest.approx(0.140)
    assert (found.tightest, found.widest) == pytest.approx((0.007, 0.009))
    assert len(found.bins) == 1 and found.replan


def test_tiles_as_stated_need_no_new_plan() -> None:
    found = delivery_of([0.1295, 0.1305] * 10)
    assert not found.replan and found.joint == pytest.approx(0.010)


def test_a_wild_delivery_is_sorted() -> None:
    found = delivery_of([0.122 + 0.001 * i for i in range(20)])  # 19 mm apart, joints give 9
    assert len(found.bins) == 3
    assert sorted(n for b in found.bins for n in b.tiles) == list(range(1, 21))


@given(
    widths=st.lists(st.floats(0.115, 0.145), min_size=10, max_size=30),
    best=st.floats(0.006, 0.015),
)
@settings(max_examples=80, deadline=None)
def test_sorted_tiles_keep_every_joint_in_the_range(widths: list[float], best: float) -> None:
    array = np.array(widths)
    bins = sort_into_bins(array, range(1, len(widths) + 1), float(array.mean()) + best, JOINT)
    seen = []
    for one in bins:
        for number in one.tiles:
            joint = one.module - widths[number - 1]
            assert JOINT.least - 1e-9 <= joint <= JOINT.most + 1e-9
            seen.append(number)
    assert sorted(seen) == list(range(1, len(widths) + 1))


def test_bowed_tiles_are_put_aside_and_too_many_refuse_the_delivery() -> None:
    two = delivery_of([0.130] * 20, bows=[0.004] * 2 + [0.0] * 18)
    assert two.bowed == (1, 2)
    assert two.checks[0].verdict is Verdict.HOLDS  # one in ten is the limit
    three = delivery_of([0.130] * 20, bows=[0.004] * 3 + [0.0] * 17)
    assert three.checks[0].verdict is Verdict.FAILS
    assert "1, 2, 3" in str(three.checks[0].reason)


def test_too_few_or_another_tile_is_refused() -> None:
    with pytest.raises(TimbrelError, match="measure 20"):
        delivery_of([0.130] * 9)
    with pytest.raises(TimbrelError, match="unit"):
        delivery_of([0.130] * 19 + [13.0])
    assert delivery_of([0.130] * 12).checks[1].verdict is Verdict.FAILS


def test_a_delivery_that_differs_replans() -> None:
    job = job_of()
    found = delivery_of([0.133] * 20, thickness=0.018)
    real = with_real_tiles(job, found)
    assert real.tiles["thin"].width == pytest.approx(0.133)
    assert job.tiles["thin"].width == pytest.approx(0.130)
    before, after = (lay_bond(j, vault_of(j)) for j in (job, real))
    assert after.layers[0].bed_joint != pytest.approx(before.layers[0].bed_joint)
    assert vault_of(real).thickness == pytest.approx(vault_of(job).thickness + 0.002)


def test_a_delivery_all_bowed_is_still_measured() -> None:
    found = delivery_of([0.130] * 20, bows=[0.004] * 20)
    assert len(found.bowed) == 20 and found.width.mean == pytest.approx(0.130)
    assert found.checks[0].verdict is Verdict.FAILS


def measured(width: float, **more: object) -> dict[str, object]:
    return {"tile": "thin", "measured": [[260, width, 16, 0.5]] * 20} | more


def test_the_plan_follows_the_tiles_that_came() -> None:
    real, found = as_delivered(job_of(deliveries=[measured(133)]))
    assert real.tiles["thin"].width == pytest.approx(0.133)
    assert found[0].width.stated == pytest.approx(0.130)
    # 3 mm wider with a joint 3 mm narrower: courses gauged as planned, so that layers keep their laps.
    for row, stated in zip(real.layers, job_of().layers, strict=True):
        taken = 0.003 if row.tile == "thin" else 0.0
        assert row.joint.best == pytest.approx(
            max(stated.joint.best - taken, stated.joint.least), abs=1e-9
        )
    kept, found = as_delivered(job_of(deliveries=[measured(133, use=False)]))
    assert kept.tiles["thin"].width == pytest.approx(0.130) and found[0].replan
    alike, _ = as_delivered(job_of(deliveries=[measured(130.5)]))
    assert alike == job_of(deliveries=[measured(130.5)])


@pytest.mark.parametrize("name", ["slate", "spare"])
def test_a_delivery_of_another_tile_is_refused_by_name(name: str) -> None:
    tiles = {"spare": {"length": 200, "width": 100, "thickness": 20}}
    job = job_of(tiles=tiles, deliveries=[measured(130) | {"tile": name}])
    with pytest.raises(TimbrelError) as raised:
        as_delivered(job)
    assert raised.value.key == "deliveries.0.tile"


# A box of mortar


def test_a_box_of_mortar_by_hand() -> None:
    # 85 l net, 15 % lost: 100 l mixed; boxes of at most 30 l: four of 25 l.
    binder = Binder.model_validate({"kind": "mortar", "batch_most": 30})
    mix = mortar_mix("bedding", binder, 0.085)
    assert mix.boxes == 4
    assert mix.recipe.volume == pytest.approx(0.025)
    assert mix.recipe.sand == pytest.approx(0.025 * 1.33 / 2)
    assert mix.recipe.cement == pytest.approx(0.025 * 1.33 / 2 * 1300)


# Stairs


@pytest.mark.parametrize(
    ("rise", "going", "verdict"),
    [
        (0.175, 0.280, Verdict.HOLDS),
        (0.170, 0.240, Verdict.FAILS),
        (0.200, 0.250, Verdict.FAILS),
        (0.170, 0.300, Verdict.HOLDS),
    ],
)
def test_pace_of_a_stair(rise: float, going: float, verdict: Verdict) -> None:
    assert comfort_check(rise, going).verdict is verdict


@given(height=st.floats(0.6, 4.0), slope=st.floats(0.4, 0.75))
def test_steps_make_the_height_and_the_run(height: float, slope: float) -> None:
    """Equal risers, a going less than risers; no other count walks better."""
    run = height / slope
    stair = steps_between(height, run)
    assert stair.risers * stair.rise == pytest.approx(height)
    assert (stair.risers - 1) * stair.going == pytest.approx(run)
    for other in (stair.risers - 1, stair.risers + 1):
        if other >= 2:
            walked = 2 * height / other + run / (other - 1)
            assert abs(stair.pace - 0.62) <= abs(walked - 0.62) + 1e-12


def test_a_stair_by_hand() -> None:
    """1400 mm over 2400 mm: nine risers of 155.6 and eight goings of 300 make a pace of 611 mm."""
    stair = steps_between(1.4, 2.4)
    assert (stair.risers, stair.going) == (9, pytest.approx(0.3))
    assert stair.pace == pytest.approx(0.6111, abs=1e-4)


@pytest.mark.parametrize(
    ("factors", "share", "verdict"),
    [
        ([2.4, 3.0, 1.9], 1.0, Verdict.HOLDS),  # 1.9, 1.5 wanted
        ([2.4, 3.0, 1.9], 1.5, Verdict.FAILS),  # 1.9/1.5 = 1.27
        ([], 1.0, Verdict.NOT_JUDGED),
    ],
)
def test_a_vault_proved_by_a_net_is_tested_under_its_least_factor(
    factors: list[float], share: float, verdict: Verdict
) -> None:
    job = job_of(load_test={"share": share})
    proof = SimpleNamespace(factors=[SimpleNamespace(static=f) for f in factors])
    test = plan_load_test(job, vault_of(job))
    (check,) = net_test_checks(job, test, proof)  # type: ignore[arg-type]
    assert check.verdict is verdict
    assert check.value is None if not factors else check.value == pytest.approx(1.9 / share)
    assert net_test_checks(job, None, proof) == ()  # type: ignore[arg-type]
    assert net_test_checks(job, test, None) == ()
