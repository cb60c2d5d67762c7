"""Several vaults of one house: one order, one programme, one quote, and refusals."""

from __future__ import annotations

import json
import math
import shutil
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from timbrel.house import HousePlan, plan_house
from timbrel.house.orders import combined
from timbrel.house.programme import one_crew
from timbrel.job.house import load_house, read_house
from timbrel.sheets.house_sheet import house_json, house_pdf, write_house
from timbrel.site.programme import Operation, Programme
from timbrel.site.workdays import DAY, Workdays
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError, Voice, say

ROOT = Path(__file__).parents[2]
FERRY = ROOT / "examples" / "ferry-house"


@pytest.fixture(scope="module")
def ferry() -> HousePlan:
    loaded = load_house(FERRY)
    return plan_house(loaded.file, dict(zip(loaded.names, loaded.jobs, strict=True)))


def test_the_ferry_house_holds(ferry: HousePlan) -> None:
    assert [v.name for v in ferry.vaults] == ["cellar", "stair", "kitchen"]
    assert [v.family for v in ferry.vaults] == ["barrel", "flight", "sail"]
    assert ferry.verdict is Verdict.HOLDS


def test_needs_are_added_before_they_are_rounded(ferry: HousePlan) -> None:
    lines = {found.line.key: found for found in ferry.lines}
    thin = lines["tiles.thin"]
    assert thin.line.order == sum(order for _, order in thin.shares)
    assert thin.line.pallets == math.ceil(thin.line.order / 720)
    cement = lines["cement"]
    assert cement.line.bags == math.ceil(cement.line.order / 25 - 1e-9)
    assert cement.line.bags < cement.bags_apart
    assert cement.line.cost == pytest.approx(6.20 * cement.line.bags)
    for found in ferry.lines:
        assert found.line.bags <= found.bags_apart
        assert found.line.pallets <= found.pallets_apart
        assert found.line.order == pytest.approx(sum(order for _, order in found.shares))


def test_one_job_alone_is_its_own_order(ferry: HousePlan) -> None:
    loaded = load_house(FERRY)
    from timbrel.plan import make_plan

    plan = make_plan(loaded.jobs[0])
    for found, line in zip(
        combined({"cellar": plan.takeoff.lines}, plan.job), plan.takeoff.lines, strict=True
    ):
        assert found.line.mass == pytest.approx(line.mass)
        assert (found.line.bags, found.line.pallets) == (line.bags, line.pallets)
        assert found.line.cost == pytest.approx(line.cost)


def test_the_crew_is_in_one_place_at_a_time_and_every_wait_is_kept(ferry: HousePlan) -> None:
    operations = ferry.programme.operations
    for a, b in pairwise(operations):
        assert b.operation.start >= a.operation.finish - 1e-6
    for name in ("cellar", "stair", "kitchen"):
        own = [o.operation for o in operations if o.job == name]
        for a, b in pairwise(own):
            assert b.start >= a.finish + a.wait - 1e-6
    # The kitchen comes after the cellar's last wait.
    cellar = [o.operation for o in operations if o.job == "cellar"][-1]
    kitchen = next(o.operation for o in operations if o.job == "kitchen")
    assert kitchen.start >= cellar.finish + cellar.wait - 1e-6
    assert ferry.programme.calendar < ferry.programme.one_by_one
    assert ferry.programme.work == pytest.approx(sum(o.operation.hours for o in operations))


def operation(key: str, hours: float, wait: float) -> Operation:
    return Operation(key, say("Work"), 1.0, "count", hours * 3600, wait * 3600, 0.0, 0.0)


def test_the_crew_works_at_one_vault_while_the_other_waits() -> None:
    """Two vaults of 4 h, a wait of 20 h, 4 h, by hand: a 0-4 h, b 4-8 h, a 24-28 h, b 28-32 h;
    one after the other b would be begun at 28 h and end at 56 h, on the third day."""
    one = Programme((operation("1", 4, 20), operation("2", 4, 0)), 8 * 3600, 1.0, 2)
    found = one_crew({"a": one, "b": one}, {"a": (), "b": ()}, Workdays(8 * 3600.0))
    hours = [(o.job, o.operation.start / 3600, o.operation.finish / 3600) for o in found.operations]
    assert hours == [("a", 0, 4), ("b", 4, 8), ("a", 24, 28), ("b", 28, 32)]
    assert (found.calendar, found.one_by_one, found.days) == (2, 3, 2.0)


def test_a_single_vault_keeps_its_own_programme() -> None:
    one = Programme((operation("1", 12, 20), operation("2", 4, 48)), 16 * 3600, 2.0, 4)
    found = one_crew({"a": one}, {"a": ()}, Workdays(8 * 3600.0)).operations
    assert found[0].operation.finish == DAY + 4 * 3600
    assert found[1].operation.start >= found[0].operation.finish + 20 * 3600


def test_one_quote_is_labour_and_material_of_all(ferry: HousePlan) -> None:
    quote = ferry.quote.likely
    assert quote.material == pytest.approx(sum(found.line.cost for found in ferry.lines))
    hours = ferry.programme.work / 3600
    assert quote.labour == pytest.approx(hours * (2 * 34 + 24))
    assert quote.total < ferry.apart
    assert ferry.quote.valid_until.isoformat() == "2026-12-25"


def test_papers_and_figures_are_written_whole(ferry: HousePlan, tmp_path: Path) -> None:
    voice = Voice()
    write_house(ferry, tmp_path / "papers", voice)
    assert sorted(p.name for p in (tmp_path / "papers").iterdir()) == [
        "house.json", "house.pdf", "order.csv",
    ]  # fmt: skip
    figures = json.loads(house_json(ferry, voice))
    assert figures["programme"]["calendar"] == ferry.programme.calendar
    assert house_pdf(ferry, voice)[:5] == b"%PDF-"
    taken = tmp_path / "taken"
    taken.write_text("x", encoding="utf-8")
    with pytest.raises(TimbrelError, match="cannot be written"):
        write_house(ferry, taken, voice)


HEAD = 'format = 1\n[house]\ntitle = "x"\n'


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("= 3", "is no TOML"),
        ("format = 1\n", "does not state house"),
        (HEAD, "does not state vaults"),
        (HEAD + "vaults = []\n", "accepted"),
        (HEAD + '[[vaults]]\njob = "a"\nchoosen = "b"\n', "no key vaults.1.choosen.*chosen"),
        (HEAD + '[[vaults]]\njob = "a"\n[[vaults]]\njob = "a"\n', "stands there twice"),
        (HEAD + '[[vaults]]\njob = "a"\nafter = ["a"]\n', "stand before it"),
        (HEAD + '[[vaults]]\njob = "a"\nafter = ["b"]\n[[vaults]]\njob = "b"\n', "before it"),
    ],
)
def test_a_house_that_cannot_be_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(TimbrelError, match=sentence):
        read_house(text)


@pytest.mark.parametrize("name", ["nowhere", "../granary", ".hidden", "a/b"])
def test_a_job_that_is_not_there_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "house.toml").write_text(HEAD + f'[[vaults]]\njob = "{name}"\n', encoding="utf-8")
    with pytest.raises(TimbrelError, match="folder beside the house file"):
        load_house(tmp_path)


def test_a_folder_without_a_house_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TimbrelError, match="no house file"):
        load_house(tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ("masons = 2", "masons = 1", "crew.masons"),
        ("mason_hour = 34", "mason_hour = 35", "prices.mason_hour"),
        ("price = 0.42", "price = 0.43", "tiles.thin.price"),
        ("price_bag = 14.50", "price_bag = 15", "binders.quick.price_bag"),
    ],
)
def test_unlike_jobs_are_refused(tmp_path: Path, old: str, new: str, key: str) -> None:
    house = tmp_path / "house"
    shutil.copytree(FERRY, house)
    stair = house / "stair" / "job.toml"
    text = stair.read_text(encoding="utf-8")
    assert old in text
    stair.write_text(text.replace(old, new), encoding="utf-8")
    loaded = load_house(house)
    with pytest.raises(TimbrelError) as error:
        plan_house(loaded.file, dict(zip(loaded.names, loaded.jobs, strict=True)))
    assert error.value.key == key
    assert "cellar" in str(error.value) and "stair" in str(error.value)


def test_a_failing_vault_fails_the_house(ferry: HousePlan) -> None:
    first = replace(ferry.vaults[0], verdict=Verdict.FAILS)
    assert replace(ferry, vaults=(first, *ferry.vaults[1:])).verdict is Verdict.FAILS
    unknown = replace(ferry.vaults[0], verdict=Verdict.NOT_JUDGED)
    assert replace(ferry, vaults=(unknown, *ferry.vaults[1:])).verdict is Verdict.NOT_JUDGED
