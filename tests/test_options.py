"""Choosing: options that are really planned, sorted as asked, and stopped when told."""

from __future__ import annotations

import multiprocessing
from dataclasses import replace

import pytest

from tests.site.given_jobs import job_of
from timbrel.job.model import Job
from timbrel.options import (
    MOST_OPTIONS,
    Candidate,
    Option,
    candidates,
    compare,
    plan_option,
    sorted_options,
)
from timbrel.plan import make_plan
from timbrel.words import Message

WALL = {"thickness": 600, "height": 2100, "above": 1500}
LEVELS = {"headroom_springing": 1800, "headroom_crown": 2300, "top": 3150}


def job() -> Job:
    return job_of(walls={"left": WALL, "right": WALL}, levels=LEVELS)


@pytest.fixture(scope="module")
def options() -> tuple[Option, ...]:
    return compare(job(), workers=1)


def test_three_to_five_and_all_different() -> None:
    found = candidates(job())
    assert 3 <= len(found) <= MOST_OPTIONS
    assert found[0].key == "stated" and found[0].job == job()
    shapes = {(c.job.curve.directrix, c.job.curve.rise, c.layers) for c in found}
    assert len(shapes) == len(found)


def test_rises_fit_the_level_budget(options: tuple[Option, ...]) -> None:
    for option in options:
        if option.candidate.key in ("shallow", "high", "lowest"):
            assert option.figures is not None and option.figures.spare >= -1e-9


def test_edits_are_what_makes_the_job(options: tuple[Option, ...]) -> None:
    stated = job()
    for option in options:
        one = option.candidate
        curve = stated.curve.model_copy(
            update={k.removeprefix("curve."): v for k, v in one.edits.items()}
        )
        layers = tuple(stated.layers[n - 1] for n in one.layers)
        assert (one.job.curve, one.job.layers) == (curve, layers)


def test_each_option_is_really_planned(options: tuple[Option, ...]) -> None:
    higher = next(o for o in options if o.candidate.key == "high")
    plan = make_plan(higher.candidate.job)
    assert higher.figures is not None
    assert higher.figures.price == pytest.approx(plan.takeoff.quote.likely.total)
    assert higher.figures.tiles == sum(n.bought for n in plan.bond.cuts.nests)
    assert higher.figures.greatest_thrust == pytest.approx(
        max(r.greatest for r in plan.statics.thrusts if r.greatest is not None)
    )
    assert higher.figures.verdict is plan.verdict


def test_a_lower_rise_thrusts_more(options: tuple[Option, ...]) -> None:
    thrust = {
        o.candidate.key: (o.figures.rise, o.figures.greatest_thrust)
        for o in options
        if o.figures and o.figures.greatest_thrust and o.candidate.key != "more-layers"
        and o.candidate.job.curve.directrix == "segment"
    }  # fmt: skip
    by_rise = [t for _, t in sorted(thrust.values())]
    assert len(by_rise) >= 2
    assert by_rise == sorted(by_rise, reverse=True)


@pytest.mark.parametrize(
    ("care", "measure"),
    [
        ("price", lambda f: f.price),
        ("days", lambda f: f.days),
        ("headroom", lambda f: -f.headroom),
        ("tiles", lambda f: f.tiles),
        ("cuts", lambda f: f.cuts),
        ("thrust", lambda f: f.greatest_thrust or float("inf")),
    ],
)
def test_sorted_by_what_the_user_cares_for(options, care, measure) -> None:  # type: ignore[no-untyped-def]
    ordered = sorted_options(reversed(options), care)
    failing = [o.figures.fails > 0 for o in ordered if o.figures]
    assert failing == sorted(failing)  # what fails stands behind what does not
    for group in (False, True):
        values = [
            measure(o.figures) for o in ordered if o.figures and (o.figures.fails > 0) == group
        ]
        assert values == sorted(values)


def test_a_cheap_option_that_fails_stands_behind_a_dear_one_that_holds(
    options: tuple[Option, ...],
) -> None:
    one = options[0]
    assert one.figures is not None
    cheap = replace(one, figures=replace(one.figures, fails=1, price=1.0))
    dear = replace(one, figures=replace(one.figures, fails=0, price=2.0))
    assert sorted_options([cheap, dear], "price") == (dear, cheap)


def test_order_does_not_depend_on_who_finished_first(options: tuple[Option, ...]) -> None:
    assert sorted_options(options, "price") == sorted_options(reversed(options), "price")


def test_what_cannot_be_planned_stays_in_the_list_with_its_reason() -> None:
    impossible = job_of(walls={"left": {"thickness": 60}, "right": WALL})
    option = plan_option(Candidate("x", Message("x"), impossible, {}, (1, 2)))
    assert option.figures is None and option.refused is not None
    good = plan_option(Candidate("a", Message("a"), job(), {}, (1, 2)))
    assert sorted_options([option, good], "price")[-1] is option


def test_when_no_rise_fits_the_options_show_by_how_much() -> None:
    low = job_of(levels={"headroom_crown": 2900, "top": 2950})
    assert len(candidates(low)) >= 3


def test_stopping_in_this_process() -> None:
    def stop(_what: Message, share: float) -> None:
        if share > 0:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        compare(job(), progress=stop, workers=1)


@pytest.mark.slow
def test_in_processes_the_same_comes_out_and_it_can_be_stopped(options: tuple[Option, ...]) -> None:
    told: list[float] = []
    parallel = compare(job(), progress=lambda _what, share: told.append(share), workers=2)
    assert told == sorted(told) and told[-1] == 1.0
    assert [o.candidate.key for o in parallel] == [o.candidate.key for o in options]
    for here, there in zip(options, parallel, strict=True):
        assert here.figures is not None and there.figures is not None
        plain = [replace(f, governs=None, walls=None) for f in (here.figures, there.figures)]
        assert plain[0] == plain[1]

    def stop(_what: Message, share: float) -> None:
        if share > 0:
            raise RuntimeError("stopped by the user")

    with pytest.raises(RuntimeError, match="stopped by the user"):
        compare(job(), progress=stop, workers=2)
    for worker in multiprocessing.active_children():
        worker.join(10)
    assert not multiprocessing.active_children()
