"""Batch cards over the temperatures of a year."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from timbrel.job.load import load_job
from timbrel.plan import make_plan
from timbrel.site.batch_card import TEMPERATURES_C, BatchCard, batch_cards

EXAMPLE = Path(__file__).parents[2] / "examples" / "granary"


@pytest.fixture(scope="module")
def cards() -> tuple[BatchCard, ...]:
    plan = make_plan(load_job(EXAMPLE))
    return batch_cards(plan.job, plan.site.volumes)


def test_a_card_for_each_operation_with_a_binder_that_sets(cards: tuple[BatchCard, ...]) -> None:
    assert cards
    for card in cards:
        temperatures = [row.temperature_c for row in card.rows]
        assert set(TEMPERATURES_C) <= set(temperatures)
        assert temperatures == sorted(temperatures)


def test_warmer_days_make_smaller_batches_and_shorter_times(cards: tuple[BatchCard, ...]) -> None:
    for card in cards:
        made = [row.batch for row in card.rows if row.batch]
        assert len(made) >= 3
        assert all(a.tiles >= b.tiles for a, b in itertools.pairwise(made))
        assert all(a.set_start > b.set_start for a, b in itertools.pairwise(made))


def test_beyond_the_data_nothing_is_guessed(cards: tuple[BatchCard, ...]) -> None:
    for card in cards:
        cold = card.rows[0]
        assert cold.temperature_c == 5
        assert cold.batch is None and cold.why is not None


def test_the_cold_and_the_heat_are_warned_of(cards: tuple[BatchCard, ...]) -> None:
    for card in cards:
        warned = {row.temperature_c for row in card.rows if row.warning}
        assert 35.0 in warned and 20.0 not in warned


def test_the_day_is_marked_and_its_batch_is_the_plans(cards: tuple[BatchCard, ...]) -> None:
    plan = make_plan(load_job(EXAMPLE))
    for batch in plan.site.batches:
        card = next(c for c in cards if c.layer == batch.layer)
        assert card.rows[card.today].batch == batch
