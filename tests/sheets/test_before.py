"""Sheets of what is decided before the first tile: every figure on them is the plan's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from timbrel.job.choice import Choice, Considered
from timbrel.job.load import load_job
from timbrel.job.model import Delivery
from timbrel.plan import Plan, SurfacePlan, changed_since, follow_building, make_plan
from timbrel.sheets.before_book import TOGETHER, before_leaves, before_pictures, before_sheets
from timbrel.sheets.card import work_blocks
from timbrel.sheets.fill_sheet import profile
from timbrel.sheets.paper import typeset
from timbrel.sheets.rows import all_tables
from timbrel.sheets.sheet import all_titles, title_head, words_sheet
from timbrel.site.practice import PracticeArch
from timbrel.site.real_tiles import WANTED_TILES
from timbrel.site.seat import plan_seat
from timbrel.statics.building.lifts import Lifts
from timbrel.verdict import Verdict
from timbrel.words import LengthUnit, Voice

EXAMPLES = Path(__file__).parents[2] / "examples"
SURFACES = ("market-groin", "chapel-cloister", "study-sail", "well-dome")
Leaves = dict[str, list[dict[str, Any]]]


def leaves(plan: Plan, voice: Voice) -> Leaves:
    pictures = {p.name: p for p in before_pictures(plan, voice)}
    return {leaf.name: leaf.blocks for leaf in before_leaves(plan, voice, pictures)}


def walk(blocks: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    for block in blocks:
        yield block
        for inner in ("blocks", "first", "second"):
            yield from walk(block.get(inner, []))


def tables(blocks: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [b for b in walk(blocks) if b["kind"] == "table"]


def cells(blocks: list[dict[str, Any]]) -> set[str]:
    return {cell for table in tables(blocks) for row in table["rows"] for cell in row}


def said(blocks: list[dict[str, Any]]) -> str:
    lines = [str(b.get("words", "")) for b in walk(blocks)]
    return " ".join(lines + [line for b in walk(blocks) for line in b.get("lines", [])])


@pytest.fixture(scope="module")
def found(plan: Plan) -> Leaves:
    return leaves(plan, Voice())


def test_all_subjects_in_the_order_in_which_they_are_decided(found: Leaves) -> None:
    assert list(found) == ["choice", "seat", "tiles", "fill", "logistics", "practice", "tonight",
                           "load-test", "hand-check", "changes"]  # fmt: skip


def test_the_seat_says_what_is_cut_and_when(plan: Plan, found: Leaves, voice: Voice) -> None:
    seat = plan.site.seats[0]
    told = cells(found["seat"])
    for value in (voice.length(seat.depth), voice.quantity(seat.angle, "angle"),
                  voice.quantity(seat.debris, "litres"), f"{seat.bays}",
                  ", ".join(map(str, seat.turns[1]))):  # fmt: skip
        assert value in told
    drawn = [b["alt"] for b in walk(found["seat"]) if b["kind"] == "picture"]
    assert len(drawn) == 3


@pytest.mark.parametrize("kind", ["chase", "corbel", "ledger"])
def test_every_kind_of_seat_is_drawn(plan: Plan, voice: Voice, kind: str) -> None:
    job = plan.job.model_copy(update={"seat": plan.job.seat.model_copy(update={"kind": kind})})
    seats = (plan_seat(job, plan.vault, "left"), plan_seat(job, plan.vault, "right"))
    other = replace(plan, job=job, site=replace(plan.site, seats=seats))
    names = [p.name for p in before_pictures(other, voice)]
    assert {"seat-left", "seat-right"} <= set(names)
    assert ("seat-bays" in names) == (kind == "chase")


def test_turns_on_paper_never_open_two_bays_that_touch(found: Leaves) -> None:
    """Geometry: of one turn no two numbers follow each other; together they are all bays."""
    turns = next(t for t in tables(found["seat"]) if t["head"][0] == "Turn")
    cut = [sorted(map(int, row[1].split(", "))) for row in turns["rows"]]
    for numbers in cut:
        assert all(b - a > 1 for a, b in pairwise(numbers))
    together = sorted(n for numbers in cut for n in numbers)
    assert together == list(range(1, len(together) + 1))


def test_lifts_on_paper_add_up_to_the_fill(plan: Plan, found: Leaves, voice: Voice) -> None:
    fill = plan.site.fill
    assert fill is not None
    lifts = next(t for t in tables(found["fill"]) if t["head"][0] == "Lift")
    both = [float(row[5].split()[0]) for row in lifts["rows"]]
    assert sum(both) == pytest.approx(fill.volume, abs=0.002 * len(both))
    assert voice.quantity(fill.weight, "force") in cells(found["fill"])


def test_half_filled_is_told_once_the_building_was_followed(plan: Plan, voice: Voice) -> None:
    before = said(leaves(plan, voice)["fill"])
    after = said(leaves(follow_building(plan), voice)["fill"])
    assert "Until then keep both sides alike" in before
    assert "as judged" in after and "Until then" not in after


def test_half_filled_is_told_of_a_vault_on_a_plan_too(voice: Voice) -> None:
    plan = make_plan(load_job(EXAMPLES / "study-sail"))
    assert isinstance(plan, SurfacePlan)
    assert "Until then keep both sides alike" in said(leaves(plan, voice)["fill"])
    lifts = Lifts(np.array([0.2, 0.4]), np.ones((3, 3), bool), 0.2)
    stages = SimpleNamespace(lifts=lifts, worst=())
    told = said(leaves(replace(plan, stages=stages), voice)["fill"])  # type: ignore[arg-type]
    assert f"may be {voice.length(0.2)} apart at most, as judged" in told


def test_the_profile_is_the_shell(plan: Plan) -> None:
    inner, outer = profile(plan)
    assert inner[:, 1].max() < outer[:, 1].max()
    assert outer[:, 1].max() - inner[:, 1].max() == pytest.approx(plan.vault.thickness, abs=1e-3)


def test_the_practice_sheet_has_gates_to_tick_and_arches_to_time(
    plan: Plan, found: Leaves, voice: Voice
) -> None:
    arch = plan.site.practice
    assert isinstance(arch, PracticeArch)
    gates = next(t for t in tables(found["practice"]) if "Passed" in t["head"])
    assert len(gates["rows"]) == len(arch.gates) and gates["to_fill"]
    hours = next(t for t in tables(found["practice"]) if "Tiles an hour" in t["head"])
    assert len(hours["rows"]) == arch.arches and hours["to_fill"]
    assert f"{arch.across}, {arch.arches}, {arch.tiles}" in cells(found["practice"])


def test_the_load_test_can_be_filled_in(plan: Plan, found: Leaves) -> None:
    test = plan.site.load_test
    assert test is not None
    steps = next(t for t in tables(found["load-test"]) if "Bags on it" in t["head"])
    assert [int(row[2]) for row in steps["rows"]] == [s.bags for s in test.steps]
    readings = tables(found["load-test"])[-1]
    assert len(readings["rows"]) == len(test.steps) + 1, "a reading before the first bag"
    assert all(set(row[1:]) == {""} for row in readings["rows"])
    stops = [r for t in tables(found["load-test"]) for r in t["rows"] if r[0].startswith("■")]
    assert len(stops) == sum(c.stop for c in test.criteria)


def test_the_pencil_finds_what_the_page_says(plan: Plan, found: Leaves) -> None:
    """The sums on the page, done again from the figures that are printed in them."""
    for table in tables(found["hand-check"])[1:]:
        rows = {row[1]: row[2] for row in table["rows"]}
        w, wh = (float(v) for v in rows["w, w_h"].removesuffix(" kN/m²").split(", "))
        span = float(rows["M = w L²/8 + w_h L²/48"].split("·")[1].split("²")[0])
        moment = float(rows["M = w L²/8 + w_h L²/48"].split("= ")[1].split()[0])
        assert w * span**2 / 8 + wh * span**2 / 48 == pytest.approx(moment, rel=5e-3)
        rise = float(rows["H = M/f"].split("/")[1].split(" ")[0])
        thrust = float(rows["H = M/f"].split("= ")[1].split()[0])
        assert moment / rise == pytest.approx(thrust, rel=5e-3)
        low = float(rows["(w L_i²/8 + w_h L_i²/48)/(f + t)"].split("= ")[1].split()[0])
        high = float(rows["(w L_e²/8 + w_h L_e²/48)/(f - t)"].split("= ")[1].split()[0])
        assert low < thrust < high


def test_logistics_by_stage(plan: Plan, found: Leaves) -> None:
    logistics = plan.takeoff.logistics
    stages = tables(found["logistics"])[0]["rows"]
    assert len(stages) == len(logistics.deliveries)
    assert [int(row[4]) for row in stages] == [d.pallets for d in logistics.deliveries]
    assert [int(row[5]) for row in stages] == [d.bags for d in logistics.deliveries]
    assert sum(d.bags for d in logistics.deliveries) == sum(ln.bags for ln in plan.takeoff.lines)
    assert sum(d.mass for d in logistics.deliveries) == pytest.approx(plan.takeoff.mass)


def test_twenty_lines_for_each_tile(plan: Plan, found: Leaves) -> None:
    sheets = [t for t in tables(found["tiles"]) if t["to_fill"]]
    assert len(sheets) == len({layer.tile for layer in plan.job.layers})
    for sheet in sheets:
        numbers = [int(row[k]) for row in sheet["rows"] for k in (0, 5)]
        assert sorted(numbers) == list(range(1, WANTED_TILES + 1))


def test_a_measured_delivery_is_told_with_its_bins(plan: Plan, voice: Voice) -> None:
    tile = plan.job.layers[0].tile
    stated = plan.job.tiles[tile]
    rng = np.random.default_rng(3)
    rows = [
        (stated.length * 1e3, stated.width * 1e3 + float(d), stated.thickness * 1e3, 1.0)
        for d in rng.uniform(-8.0, 8.0, 20)
    ]
    delivery = Delivery.model_validate({"tile": tile, "measured": rows})
    job = plan.job.model_copy(update={"deliveries": (delivery,)})
    blocks = leaves(make_plan(job), voice)["tiles"]
    bins = next(t for t in tables(blocks) if t["head"][0] == "Bin")
    assert len(bins["rows"]) > 1
    sample = [int(n) for row in bins["rows"] for n in row[5].split(", ")]
    assert sorted(sample) == list(range(1, 21))


def test_the_stop_line_stands_on_the_site_card_too(plan: Plan, found: Leaves, voice: Voice) -> None:
    line = plan.site.stop_line
    evenings = next(t for t in tables(found["tonight"]) if t["to_fill"])
    assert [int(row[1]) for row in evenings["rows"]] == list(line.close_by[: len(evenings["rows"])])
    assert "Stop line" in said(work_blocks(plan, voice))


def test_the_stop_line_tells_what_the_first_layer_bears(plan: Plan, voice: Voice) -> None:
    unfollowed = leaves(replace(plan, building=None), voice)["tonight"]
    assert "Nothing is set down on a single layer" in said(unfollowed)
    built = plan if plan.building is not None else follow_building(plan)
    assert built.building is not None
    told = said(leaves(built, voice)["tonight"])
    set_down = [a for a in built.building.worst if a.state.key.startswith("layers.1.")]
    assert len(set_down) == 4
    for answer in set_down:
        what = {"hand": "a hand", "kneeling": "a person who kneels", "stack": "a stack of tiles",
                "bucket": "a full bucket"}[answer.state.key.split(".")[2]]  # fmt: skip
        line = next(part for part in told.split("By mishap, on the first layer: ") if what in part)
        assert ("would break it" in line) is (answer.verdict is Verdict.FAILS)
        assert ("would be borne" in line) is (answer.verdict is Verdict.HOLDS)
    assert "Nothing is set down on a single layer" in told


def test_what_changed_is_told_key_by_key(plan: Plan, voice: Voice) -> None:
    earlier = plan.job.model_copy(
        update={
            "job": plan.job.job.model_copy(update={"revision": "0"}),
            "curve": plan.job.curve.model_copy(update={"rise": 0.5}),
        }
    )
    table = tables(leaves(changed_since(plan, earlier), voice)["changes"])[0]
    # What it was chosen over is no change of what is built.
    compared = plan.job.model_copy(update={"choice": Choice(why="It is light.")})
    assert "Nothing" in said(leaves(changed_since(plan, compared), voice)["changes"])
    assert [row[1:] for row in table["rows"]] == [
        ["curve.rise", voice.length(0.5), voice.length(plan.job.curve.rise or 0.0)]
    ]
    unlike = earlier.model_copy(update={"job": plan.job.job})
    assert "give it a new letter" in said(leaves(changed_since(plan, unlike), voice)["changes"])
    assert "Nothing" in said(leaves(changed_since(plan, plan.job), voice)["changes"])


def test_the_revision_stands_on_every_sheet(plan: Plan, voice: Voice) -> None:
    assert title_head(voice, plan.job.job)["revision"] == plan.job.job.revision


@pytest.mark.parametrize("name", SURFACES)
def test_vaults_on_a_plan_say_what_is_left_out(name: str) -> None:
    plan = make_plan(load_job(EXAMPLES / name))
    assert isinstance(plan, SurfacePlan)
    found = leaves(plan, Voice())
    check = plan.site.hand_check
    assert check is not None and "Do they agree?" in said(found["hand-check"])
    for value in (check.cases[0].least, check.cases[0].low):
        assert f"{value * 1e-3:.2f} kN" in " ".join(cells(found["hand-check"]))
    lesson = plan.site.practice.lesson
    assert lesson is not None and Voice()(lesson.exercise) in said(found["practice"])
    corners = name == "market-groin"
    assert bool(plan.site.corners) == corners != bool(plan.site.seats)
    assert ("One corner at a time" in said(found["seat"])) == corners
    # Where the springing rises, each bay of each wall is told by itself.
    bays = [
        row for table in tables(found["seat"]) if "Bay" in table["head"] for row in table["rows"]
    ]
    assert len(bays) == (sum(seat.bays for seat in plan.site.seats) if name == "study-sail" else 0)
    assert tables(found["logistics"]) and tables(found["tonight"]) and tables(found["tiles"])


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", ["granary", "stair-flight", "market-groin", "well-dome", "study-sail"]
)
@pytest.mark.parametrize("size", ["A3", "A4"])
@pytest.mark.parametrize(("language", "unit"), [("en", "mm"), ("fr", "ft")])
def test_every_sheet_can_be_typeset(name: str, size: str, language: str, unit: LengthUnit) -> None:
    job = load_job(EXAMPLES / name).job
    job = job.model_copy(update={"site": job.site.model_copy(update={"sheet": size})})
    plan, voice = make_plan(job), Voice(language, unit)
    pictures = {p.name: p for p in before_pictures(plan, voice)}
    sheets = [
        words_sheet(voice, leaf.title, leaf.kind, leaf.blocks,
                    columns=1 if leaf.one_page or leaf.wide or size == "A4" else 2,
                    one_page=leaf.one_page)
        for leaf in before_leaves(plan, voice, pictures)
    ]  # fmt: skip
    data = {"paper": size, "head": title_head(voice, job.job), "sheets": sheets}
    assert typeset("pack.typ", data).startswith(b"%PDF")


def test_tables_hold_the_same_figures(plan: Plan, voice: Voice) -> None:
    found = {table.name: table for table in all_tables(plan, voice)}
    stages = found["logistics"].rows
    assert [row[4] for row in stages] == [d.pallets for d in plan.takeoff.logistics.deliveries]
    seats = found["seats"].rows
    assert [row[3] for row in seats] == [
        pytest.approx(seat.depth * 1e3, abs=0.06) for seat in plan.site.seats
    ]
    lifts = found["lifts"].rows
    assert plan.site.fill is not None
    assert sum(float(r[3] or 0) + float(r[4] or 0) for r in lifts) == pytest.approx(
        plan.site.fill.volume, abs=1e-3
    )
    by_hand = found["hand-check"].rows
    assert [row[3] for row in by_hand] == [
        pytest.approx(case.thrust * 1e-3, abs=1e-3) for case in plan.site.hand_check.cases
    ]
    for table in found.values():
        assert all(len(row) == len(table.head) for row in table.rows), table.name


@pytest.mark.parametrize("name", ["market-groin", "granary"])
def test_what_is_left_out_shares_one_sheet(name: str, voice: Voice) -> None:
    plan = make_plan(load_job(EXAMPLES / name))
    pictures = {p.name: p for p in before_pictures(plan, voice)}
    sheets = list(before_sheets(plan, voice, pictures, 2))
    titles = [sheet["title"] for sheet in sheets]
    assert len(set(titles)) == len(titles) and titles[-1] == "Left out, and why"
    told = said(sheets[-1]["blocks"])
    assert "No earlier revision" in told
    single = [title for whole in titles for title in whole.split("; ")]
    for leaf in before_leaves(plan, voice, pictures):
        assert single.count(voice(leaf.title)) == (not leaf.only_a_reason)


def test_short_subjects_of_one_reader_share_a_sheet(plan: Plan, voice: Voice) -> None:
    """Nothing of them is lost, and a break of columns counts only where there are two."""
    pictures = {p.name: p for p in before_pictures(plan, voice)}
    found = {leaf.name: leaf for leaf in before_leaves(plan, voice, pictures)}
    for columns in (1, 2):
        sheets = {s["title"]: s["blocks"] for s in before_sheets(plan, voice, pictures, columns)}
        for names in TOGETHER:
            whole = voice(all_titles([found[name].title for name in names]))
            assert sheets[whole] == [block for name in names for block in found[name].blocks]
        kinds = [block["kind"] for block in sheets["Load test"]]
        assert kinds.count("break") == columns - 1


def test_what_was_compared_stands_in_the_pack(plan: Plan) -> None:
    """The option taken is marked, figures are those written down, the reason is told."""
    voice = Voice()
    assert "No options were compared" in said(leaves(plan, voice)["choice"])
    one = Considered(title="As stated", taken=False, verdict="holds", headroom=2.024, rise=0.6,
                     thickness=0.08, layers=2, tiles=875, cuts=110, days=3.87, calendar=43,
                     price=5879.0, wall_least=2.5)  # fmt: skip
    other = one.model_copy(update={"title": "Higher", "taken": True, "verdict": "fails"})
    choice = Choice(day=date(2026, 11, 25), care="headroom", why="Barrels roll.",
                    options=(one, other))  # fmt: skip
    told = leaves(replace(plan, job=plan.job.model_copy(update={"choice": choice})), voice)
    rows = {row[0]: list(row[1:]) for row in tables(told["choice"])[0]["rows"]}
    assert rows["Choice"] == ["–", "taken"] and rows["Verdict"] == ["holds", "fails"]
    assert rows["Thrust on a metre of wall, least"] == ["2.50 kN/m"] * 2
    assert rows["Tiles to order, pieces to cut"] == ["875, 110"] * 2
    assert "Barrels roll." in said(told["choice"]) and "2026-11-25" in said(told["choice"])
