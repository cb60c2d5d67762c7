"""Choosing: options that are really planned, sorted as asked, and stopped when told."""

from __future__ import annotations

import multiprocessing
from dataclasses import replace
from pathlib import Path

import pytest

from tests.site.given_jobs import job_of
from timbrel.job.load import load_job
from timbrel.job.model import Job
from timbrel.job.openings import VaultOpening
from timbrel.options import (
    CARES,
    MOST_OPTIONS,
    VARIES,
    Candidate,
    Option,
    candidates,
    compare,
    plan_option,
    sorted_options,
)
from timbrel.options.candidates import marked, unbacked
from timbrel.plan import SurfacePlan, make_plan
from timbrel.sheets.options_sheet import measured_rows
from timbrel.statics.net_actions import net_actions
from timbrel.statics.net_vaults import solid_of
from timbrel.web.choosing import with_option
from timbrel.words import Message, Voice

EXAMPLES = Path(__file__).parents[1] / "examples"
WALL = {"thickness": 600, "height": 2100, "above": 1500}
LEVELS = {"headroom_springing": 1800, "headroom_crown": 2300, "top": 3150}


def job() -> Job:
    return job_of(walls={"left": WALL, "right": WALL}, levels=LEVELS)


@pytest.fixture(scope="module")
def options() -> tuple[Option, ...]:
    return compare(job(), workers=1, vary="rise")


@pytest.mark.parametrize(
    ("rise", "least", "greatest", "wanted"),
    [
        (0.6437, 0.30, 0.90, 0.640),  # down to 5 mm
        (0.6437, 0.642, 0.90, 0.645),  # down does not fit, up does
        (0.6437, 0.6412, 0.6445, 0.643),  # no 5 mm fits: to 1 mm, down first
        (0.6437, 0.6435, 0.6445, 0.644),  # and up where down does not fit
        (0.6437, 0.6434, 0.6439, 0.6437),  # nothing to mark fits: as it is
        (0.20, 0.30, 0.90, 0.300),  # into the range, on its edge
        (1.20, 0.30, 0.90, 0.900),
        (0.645, 0.30, 0.90, 0.645),  # a mark already stays
    ],
)
def test_a_rise_is_rounded_down_to_a_mark_then_up(
    rise: float, least: float, greatest: float, wanted: float
) -> None:
    assert marked(rise, least, greatest) == pytest.approx(wanted, abs=1e-9)


def room_job(name: str) -> Job:
    return load_job(EXAMPLES / name).job


@pytest.mark.parametrize(
    ("name", "families"),
    [
        ("granary", {"barrel", "groin", "cloister", "sail"}),
        ("chapel-cloister", {"barrel", "groin", "cloister", "sail", "dome"}),
        ("well-dome", {"dome"}),  # a drum is round
        ("stair-flight", {"flight"}),  # a stair has its landings
    ],
)
def test_families_are_those_that_the_plan_admits(name: str, families: set[str]) -> None:
    found = candidates(room_job(name), "family")
    assert {c.job.curve.family for c in found} == families
    for one in found[1:]:
        assert one.edits["curve.family"] == one.job.curve.family
        assert one.layers == found[0].layers


def test_a_free_end_leaves_no_cloister_and_no_sail() -> None:
    """Geometry of the support: both spring from four walls."""
    stated = room_job("chapel-cloister")
    free = stated.model_copy(
        update={
            "curve": stated.curve.model_copy(update={"family": "barrel", "rise": 0.5}),
            "room": stated.room.model_copy(update={"far_end": "free"}),
        }
    )
    assert {c.job.curve.family for c in candidates(free, "family")} == {"barrel", "groin"}


def test_what_a_family_cannot_have_keeps_it_out() -> None:
    """Openings are for barrels, and somebody needs them: no other family is offered then."""
    stated = room_job("bakehouse-loft")
    assert stated.openings
    assert {c.job.curve.family for c in candidates(stated, "family")} == {"barrel"}


def test_other_families_are_offered_without_the_backing_and_say_so() -> None:
    """Backing is a means of the semicircle, not a wish of the client: other families do without."""
    stated = room_job("ferry-house/cellar")
    assert stated.loads.fill.backing is not None
    for vary in ("family", "all"):
        found = candidates(stated, vary)  # type: ignore[arg-type]
        assert len(found) >= 3
        for one in found:
            family = one.job.curve.family
            assert (one.job.loads.fill.backing is None) == (family != "barrel")
            assert (one.edits.get("loads.fill.backing", "kept") is None) == (family != "barrel")
            assert (one.note is not None and "backs the haunches" in str(one.note)) == (
                family != "barrel"
            )
    assert {c.job.curve.family for c in candidates(stated, "family")} > {"barrel"}


def test_centring_kept_under_cut_arches_is_left_to_barrels() -> None:
    """Over walls all round a sail takes the openings, on their boxes; taken, the job says so."""
    stated = room_job("bakehouse-loft")
    walled = stated.room.model_copy(update={"near_end": "wall", "far_end": "wall"})
    stated = stated.model_copy(update={"room": walled, "hooks": ()})
    assert all(opening.trimmer.until_cured == "centring" for opening in stated.openings)
    barrel, sail = candidates(stated, "family")
    assert barrel.job.openings == stated.openings and not barrel.edits
    assert {opening.trimmer.until_cured for opening in sail.job.openings} == {"box"}
    text = (EXAMPLES / "bakehouse-loft" / "job.toml").read_text(encoding="utf-8")
    assert "until_cured" in text and "until_cured" not in with_option(text, sail)


def test_what_a_reader_would_refuse_is_refused_and_takes_nothing_with_it() -> None:
    stated = unbacked(room_job("bakehouse-loft"))
    changed = {"family": "groin", "oculus_load": 500.0}
    curve = stated.curve.model_copy(update=changed)
    groin = Candidate("x", Message("x"), stated.model_copy(update={"curve": curve}), {}, (1,))
    option = plan_option(groin)
    assert option.figures is None and "there is no oculus" in str(option.refused)


def test_a_fault_of_the_program_is_told_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_job: Job, *, remedies: bool) -> None:
        assert not remedies
        raise ZeroDivisionError

    monkeypatch.setattr("timbrel.options.sweep.make_plan", broken)
    option = plan_option(candidates(job(), "layers")[0])
    assert option.figures is None and "ZeroDivisionError" in str(option.refused)


def test_a_dome_says_what_it_leaves() -> None:
    """Geometry: a square of side 3.2 m less its circle, (1 - pi/4) 3.2^2 = 2.20 m2."""
    dome = next(c for c in candidates(room_job("chapel-cloister"), "family") if c.key == "dome")
    assert dome.note is not None and "2.20 m²" in str(dome.note)


def test_options_of_another_family_are_a_coarse_net_and_say_so() -> None:
    cloister = next(c for c in candidates(room_job("chapel-cloister"), "family")
                    if c.key == "sail")  # fmt: skip
    figures = plan_option(cloister).figures
    assert figures is not None and figures.coarse and figures.family == "sail"
    plan = make_plan(cloister.job)
    assert isinstance(plan, SurfacePlan)
    net = plan.statics.net
    acts = net_actions(cloister.job, solid_of(plan.vault), net.grid)
    # More would lean on one metre of wall than the whole vault weighs: no unit was mixed up.
    assert figures.push.wall_least is not None and 0 < figures.push.wall_least < acts.dead.total
    assert figures.push.corner_least is None
    assert figures.walls is not None and figures.walls.name.startswith("walls.")


def test_a_factor_that_was_followed_no_further_says_at_least() -> None:
    """A load factor at the end of the search is no answer but a bound from below."""
    sail = plan_option(candidates(room_job("study-sail"), "layers")[0]).figures
    assert sail is not None and sail.more and sail.load_factor is not None
    row = next(r for r in measured_rows([Option(candidates(room_job("study-sail"))[0], sail)],
                                        "EUR", Voice()) if str(r.label) == "Load factor")  # fmt: skip
    assert row.cells == (f"≥ {sail.load_factor:.2f}",)


def test_a_groin_pushes_its_corners() -> None:
    groin = plan_option(candidates(room_job("market-groin"), "family")[0]).figures
    assert groin is not None and groin.push.wall_least is None
    least, most = groin.push.corner_least, groin.push.corner_greatest
    assert least is not None and most is not None and 0 < least < most


def test_every_care_sorts_options_of_several_families() -> None:
    options = [plan_option(c) for c in candidates(room_job("chapel-cloister"), "all")]
    for care in CARES:
        ordered = sorted_options(options, care)
        assert len(ordered) == len(options)
        failing = [o.figures.fails > 0 for o in ordered if o.figures]
        assert failing == sorted(failing)


def test_three_to_five_and_all_different() -> None:
    for vary in VARIES:
        found = candidates(job(), vary)
        assert (2 if vary == "layers" else 3) <= len(found) <= MOST_OPTIONS
        assert found[0].key == "stated" and found[0].job == job()
        shapes = {(c.job.curve, c.layers) for c in found}
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
    assert higher.figures.push.wall_greatest == pytest.approx(
        max(r.greatest for r in plan.statics.thrusts if r.greatest is not None)
    )
    assert higher.figures.verdict is plan.verdict


def test_a_lower_rise_thrusts_more(options: tuple[Option, ...]) -> None:
    thrust = {
        o.candidate.key: (o.figures.rise, o.figures.push.wall_greatest)
        for o in options
        if o.figures and o.figures.push.wall_greatest and o.candidate.key != "more-layers"
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
        ("thrust", lambda f: f.push.wall_greatest or float("inf")),
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
    parallel = compare(
        job(), progress=lambda _what, share: told.append(share), workers=2, vary="rise"
    )
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


@pytest.mark.slow
def test_it_stops_while_an_option_is_being_planned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked in between, not only when one is done: no more than a word is told before the stop."""
    monkeypatch.setattr("timbrel.options.sweep.LOOK_UP", 0.001)
    told: list[str] = []

    def stop(what: Message, _share: float) -> None:
        told.append(str(what))
        if len(told) > 1:
            raise RuntimeError("stopped")

    with pytest.raises(RuntimeError, match="stopped"):
        compare(job(), progress=stop, workers=2)
    assert len(told) == 2
    assert all(not what.startswith("Planned") for what in told)
    for worker in multiprocessing.active_children():
        worker.join(10)
    assert not multiprocessing.active_children()


@pytest.mark.parametrize("room", ["granary", "stair-flight", "study-sail", "well-dome"])
def test_layers_alone_give_three_to_five_options(room: str) -> None:
    found = candidates(room_job(room), "layers")
    assert 3 <= len(found) <= MOST_OPTIONS
    assert len({(c.layers, c.job.curve.rise, c.job.curve.directrix) for c in found}) == len(found)
    assert len({len(c.layers) for c in found}) >= 2


def test_a_room_with_an_opening_is_offered_the_families_that_take_it() -> None:
    stated = room_job("granary")
    skylight = {"name": "X", "along": "3.3 m", "across": "1.1 m", "length": 400, "width": 300}
    opened = stated.model_copy(update={"openings": (VaultOpening.model_validate(skylight),)})
    families = {c.job.curve.family for c in candidates(opened, "family")}
    assert len(families) >= 3
    # At a springing no family takes it.
    edge = VaultOpening.model_validate({**skylight, "across": "0.2 m"})
    beside = stated.model_copy(update={"openings": (edge,)})
    assert {c.job.curve.family for c in candidates(beside, "family")} == {"barrel"}


@pytest.mark.parametrize(
    ("room", "says"),
    [
        ("stair-flight", "landing"),
        ("well-dome", "round"),
        ("bakehouse-loft", "No other family fits"),
    ],
)
def test_why_no_other_family_is_tried_is_told(room: str, says: str) -> None:
    found = candidates(room_job(room), "family")
    assert len({c.job.curve.family for c in found}) == 1
    assert found[0].note is not None and says in found[0].note.msgid
