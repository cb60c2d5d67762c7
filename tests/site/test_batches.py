"""Batches of the fast binder: hand-computed cases and the ways in which there is none."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from timbrel.job.model import Binder, Crew, SetTimes, Site
from timbrel.job.set_times import set_start, temperature_for
from timbrel.site.batches import Batch, LayerWork, NoBatch, batch_check, plan_batch
from timbrel.site.binding import place_check, weather_check
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError

PLAIN = SetTimes(degrees_c=(10, 20, 30), minutes=(4, 2, 1))
SLOWED = SetTimes(degrees_c=(10, 20, 30), minutes=(30, 15, 10))


def quick(**more: object) -> Binder:
    given_: dict[str, object] = {
        "kind": "natural quick cement", "set": PLAIN, "set_retarded": SLOWED,
        "retarder_g_per_litre": 7, "batch_most": 4, "waste": 0.2, "powder_per_litre": 1.2,
        "water_per_kg": 0.5, "dry_density": 1000,
    }  # fmt: skip
    return Binder.model_validate(given_ | more)


def test_a_batch_worked_by_hand() -> None:
    # Retarded at 20 degrees: 15 min = 900 s; (900 - 45) / 40 = 21.4, so 21 tiles.
    # 0.1 l of joints a tile, a fifth lost: 0.125 l a tile, 2.625 l of paste.
    # Powder 2.625 x 1.2 = 3.15 kg; water 1.575 l; dry litres 3.15, 7 g each: 22.05 g.
    work = LayerWork(layer=1, tiles=1000, joints=0.1)
    batch = plan_batch(work, "quick", quick(use_retarder=True), Site(), Crew())
    assert isinstance(batch, Batch)
    assert (batch.tiles, batch.limit) == (21, "time")
    assert batch.paste == pytest.approx(2.625e-3)
    assert batch.powder == pytest.approx(3.15)
    assert batch.water == pytest.approx(1.575e-3)
    assert batch.retarder == pytest.approx(0.02205)
    assert batch.a_layer == 48
    assert batch.a_day == math.ceil(25 * 8 / 21)
    assert batch.throw_away == pytest.approx(900)


def test_the_box_limits_what_the_time_does_not() -> None:
    work = LayerWork(layer=1, tiles=1000, joints=0.4)  # 0.5 l a tile, box of 4 l: 8 tiles
    batch = plan_batch(work, "quick", quick(use_retarder=True), Site(), Crew())
    assert isinstance(batch, Batch)
    assert (batch.tiles, batch.limit) == (8, "box")


@pytest.mark.parametrize(("minutes", "tiles"), [(2, 1), (4, 4), (15, 21)])
def test_tiles_a_batch_as_the_trade_counts_them(minutes: float, tiles: int) -> None:
    times = SetTimes(degrees_c=(10, 20, 30), minutes=(minutes, minutes, minutes))
    work = LayerWork(layer=1, tiles=1000, joints=0.01)
    batch = plan_batch(work, "quick", quick(set=times), Site(), Crew())
    assert isinstance(batch, Batch) and batch.tiles == tiles


def test_no_tile_is_a_refusal_with_what_would_help() -> None:
    work = LayerWork(layer=1, tiles=1000, joints=0.1)
    answer = plan_batch(work, "quick", quick(), Site(temperature_c=30), Crew())
    assert isinstance(answer, NoBatch) and answer.judged
    said = " ".join(str(m) for m in answer.help)
    assert "Colder" in said and "Retarder" in said and "quicker hand" in said
    check = batch_check(answer)
    assert check.verdict is Verdict.FAILS
    assert all(str(helps) in str(check.reason) for helps in answer.help)
    assert "at 24 °C or less" in said  # 24.97 °C spoken downward: at 25 °C no tile can be laid
    # 85 s are needed: between 20 degrees (120 s) and 30 degrees (60 s), on the logarithm.
    colder = temperature_for(PLAIN, 85)
    assert colder == pytest.approx(20 + 10 * math.log2(120 / 85))
    better = plan_batch(work, "quick", quick(), Site(temperature_c=colder - 1e-6), Crew())
    assert isinstance(better, Batch) and better.tiles == 1


@pytest.mark.parametrize("degrees", [4, 9.9, 30.1])
def test_outside_the_data_is_not_judged(degrees: float) -> None:
    work = LayerWork(layer=1, tiles=1000, joints=0.1)
    answer = plan_batch(work, "quick", quick(), Site(temperature_c=degrees), Crew())
    assert isinstance(answer, NoBatch)
    assert batch_check(answer).verdict is Verdict.NOT_JUDGED


def test_without_set_times_is_not_judged() -> None:
    work = LayerWork(layer=1, tiles=10, joints=0.1)
    answer = plan_batch(work, "quick", quick(set=None), Site(), Crew())
    assert batch_check(answer).verdict is Verdict.NOT_JUDGED
    assert "binders.quick.set" in str(answer.reason) if isinstance(answer, NoBatch) else False


def test_a_box_too_small_for_one_tile_is_refused() -> None:
    work = LayerWork(layer=1, tiles=10, joints=0.1)  # 12.5 l a tile
    answer = plan_batch(work, "quick", quick(use_retarder=True), Site(), Crew())
    assert isinstance(answer, NoBatch) and answer.judged


def test_a_helper_keeps_the_mason_from_waiting() -> None:
    work = LayerWork(layer=2, tiles=1000, joints=0.01)
    slow = Site(mixing=45, lay_tile=60)
    times = SetTimes(degrees_c=(10, 30), minutes=(2, 2))  # one tile a batch
    with_one = plan_batch(work, "q", quick(set=times), slow, Crew(later_layer_tiles_hour=60))
    alone = plan_batch(work, "q", quick(set=times), slow, Crew(later_layer_tiles_hour=60,
                                                               helpers=0))  # fmt: skip
    assert isinstance(with_one, Batch) and isinstance(alone, Batch)
    assert with_one.tiles_hour == pytest.approx(60)
    assert alone.tiles_hour == pytest.approx(3600 / 105)


@pytest.mark.parametrize(
    "times",
    [
        {"degrees_c": (10, 20, 30), "minutes": (4, 2)},
        {"degrees_c": (20, 10), "minutes": (2, 4)},
        {"degrees_c": (10, 10), "minutes": (2, 4)},
        {"degrees_c": (10, 20), "minutes": (2, 0)},
    ],
)
def test_unreadable_set_times_name_their_key(times: dict[str, tuple[float, ...]]) -> None:
    with pytest.raises(TimbrelError) as raised:
        set_start(SetTimes.model_validate(times), 15, key="binders.quick.set")
    assert raised.value.key == "binders.quick.set"


@settings(max_examples=60, deadline=None)
@given(
    degrees=st.lists(st.integers(-5, 45), min_size=2, max_size=6, unique=True),
    minutes=st.lists(st.floats(0.5, 60), min_size=6, max_size=6),
    shares=st.tuples(st.floats(0, 1), st.floats(0, 1)),
)
def test_set_falls_as_the_day_warms(
    degrees: list[int], minutes: list[float], shares: tuple[float, float]
) -> None:
    warm_up = sorted(degrees)
    falling = sorted(minutes, reverse=True)[: len(warm_up)]
    times = SetTimes(degrees_c=tuple(map(float, warm_up)), minutes=tuple(falling))
    low, high = sorted(warm_up[0] + s * (warm_up[-1] - warm_up[0]) for s in shares)
    cold, warm = set_start(times, low), set_start(times, high)
    assert cold is not None and warm is not None
    assert warm <= cold * (1 + 1e-12)
    assert 60 * falling[-1] * (1 - 1e-9) <= warm
    assert cold <= 60 * falling[0] * (1 + 1e-9)


def test_gypsum_only_indoors_and_dry() -> None:
    gypsum = quick(kind="gypsum")
    assert place_check("g", gypsum, Site()).verdict is Verdict.HOLDS
    assert place_check("g", gypsum, Site(damp=True)).verdict is Verdict.FAILS
    assert place_check("g", gypsum, Site(indoors=False)).verdict is Verdict.FAILS
    assert place_check("q", quick(), Site(indoors=False, damp=True)).verdict is Verdict.HOLDS


def test_stop_in_the_cold_and_shade_in_the_heat() -> None:
    assert weather_check(Site(temperature_c=4.9)).verdict is Verdict.FAILS
    assert "shade" in str(weather_check(Site(temperature_c=31)).reason)
    assert "shade." in str(weather_check(Site(temperature_c=20)).reason)
