"""Quantities and price: hand-computed lines, and nothing priced that has no price."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.site.given_jobs import job_of, vault_of

from timbrel.bond.lay import lay_bond
from timbrel.job.model import Binder, Job
from timbrel.site.mortar import CEMENT, recipe
from timbrel.site.plan import SitePlan, plan_site
from timbrel.takeoff import Change, Takeoff, changes, job_changes, take_off
from timbrel.takeoff.quantities import ordered_volume
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError


def taken(**tables: Any) -> tuple[Job, SitePlan, Takeoff]:
    job = job_of(**tables)
    vault = vault_of(job)
    bond = lay_bond(job, vault)
    site = plan_site(job, vault, bond)
    return job, site, take_off(job, vault, bond, site)


def test_tiles_with_breakage_and_their_weight() -> None:
    _, site, takeoff = taken()
    line = takeoff.line("tiles.thin")
    assert line.order == line.need + math.ceil(line.need * 0.05)
    assert line.need <= site.volumes[0].count  # halves come two from a tile
    assert line.mass == pytest.approx(line.order * 0.26 * 0.13 * 0.016 * 1800)
    assert line.cost == pytest.approx(line.order * 0.5)
    assert line.pallets == math.ceil(line.order / 500)


def test_fast_binder_is_ordered_double_and_by_whole_bags() -> None:
    _, site, takeoff = taken()
    line = takeoff.line("binders.quick")
    assert line.need == pytest.approx(site.volumes[0].joints * 1e3 * 1.2)
    assert line.order == pytest.approx(2 * line.need)
    assert line.packs == math.ceil(line.order / 25)
    assert line.cost == pytest.approx(14 * line.packs)
    grams = takeoff.line("binders.quick.retarder")
    assert grams.order == pytest.approx(
        line.order / 1000 * 7
    )  # 7 g for one litre dry, 1 kg a litre


def test_what_is_bought_is_never_less_than_what_is_mixed() -> None:
    thrifty = Binder(kind="mortar", order_allowance=0.0, waste=0.2)
    assert ordered_volume(thrifty, 0.8) == pytest.approx(1.0)
    assert ordered_volume(Binder(kind="mortar"), 1.0) == pytest.approx(1.25)
    assert ordered_volume(Binder(kind="gypsum"), 1.0) == pytest.approx(2.0)


def test_mortar_by_volume_by_hand() -> None:
    # 100 l of 1:1 with 1.33 loose to fresh: 66.5 l of each; 86.45 kg of cement.
    mix = recipe("m", Binder(kind="mortar", water_per_kg=0.5), 0.1)
    assert mix.sand == pytest.approx(0.0665)
    assert mix.cement == pytest.approx(0.0665 * CEMENT)
    assert mix.water == pytest.approx(0.0665 * CEMENT * 0.5e-3)
    with pytest.raises(TimbrelError) as raised:
        recipe("m", Binder(kind="mortar", cement_parts=0, lime_parts=0), 0.1)
    assert raised.value.key == "binders.m.cement_parts"


def test_lime_mortar_buys_lime_and_no_cement() -> None:
    lime = {"kind": "mortar", "cement_parts": 0, "lime_parts": 1, "sand_parts": 3}
    given = {"quick": {"kind": "gypsum", "set": {"degrees_c": [10, 30], "minutes": [9, 7]}},
             "bedding": lime}  # fmt: skip
    _, _, takeoff = taken(binders=given)
    keys = [line.key for line in takeoff.lines]
    assert "lime" in keys and "cement" not in keys


def test_what_has_no_price_is_left_out_and_said() -> None:
    _, _, takeoff = taken()
    said = [str(m) for m in takeoff.quote.left_out]
    assert "Timber for the centring" in said and "Fill of the haunches" in said
    priced = sum(line.cost for line in takeoff.lines if line.cost is not None)
    assert takeoff.quote.likely.material == pytest.approx(priced)
    _, _, unpaid = taken(prices={"mason_hour": None})
    assert any("Masons" in str(m) for m in unpaid.quote.left_out)


def test_the_quote_by_hand() -> None:
    _, site, takeoff = taken()
    hours = site.programme.work / 3600
    likely = takeoff.quote.likely
    assert likely.labour == pytest.approx(hours * (32 + 22))
    assert likely.overhead == pytest.approx(0.10 * (likely.labour + likely.material))
    cost = likely.labour + likely.material + likely.overhead
    assert likely.total == pytest.approx(cost * 1.12)
    low, high = takeoff.quote.low, takeoff.quote.high
    assert low.labour == pytest.approx(likely.labour / 1.2)
    assert high.days == pytest.approx(likely.days / 0.8)
    assert low.total < likely.total < high.total


def test_tax_is_on_top() -> None:
    _, _, free = taken()
    _, _, taxed = taken(prices={"tax": 0.21})
    assert taxed.quote.likely.total == pytest.approx(free.quote.likely.total * 1.21)


def test_weights_add_up() -> None:
    _, _, takeoff = taken()
    assert takeoff.mass == pytest.approx(sum(line.mass for line in takeoff.lines))
    fill = takeoff.line("fill")
    # Light fill of 6 kN/m3, bought with a tenth over.
    assert fill.mass == pytest.approx(fill.order * 6e3 / 9.81)


def test_dwarf_walls_in_tiles_of_their_own() -> None:
    fill = {"kind": "sleeper walls", "sleeper_tile": "stout", "sleeper_thickness": 30}
    _, site, takeoff = taken(loads={"fill": fill})
    line = takeoff.line("fill")
    assert site.fill is not None
    assert line.need == math.ceil(site.fill.wall_faces.sum() / (0.29 * 0.15))


def test_deliveries_hold_the_whole_order_once() -> None:
    _, _, takeoff = taken()
    delivered = [key for d in takeoff.logistics.deliveries for key in d.keys]
    assert sorted(delivered) == sorted(line.key for line in takeoff.lines if line.mass)
    assert sum(d.mass for d in takeoff.logistics.deliveries) == pytest.approx(takeoff.mass)
    stages = {key: d.stage for d in takeoff.logistics.deliveries for key in d.keys}
    assert stages["timber"] == "centring"
    assert stages["binders.quick"] == "layer-1"
    assert stages["cement"] == stages["tiles.stout"] == "layer-2"
    for delivery in takeoff.logistics.deliveries:
        assert delivery.lifts == math.ceil(delivery.mass / 150)


def test_a_weak_floor_fails_under_the_heaviest_pallet() -> None:
    _, _, takeoff = taken(ordering={"floor_most": 0.5})
    floor = next(c for c in takeoff.checks if c.name == "takeoff.floor")
    heaviest = max(line.mass / line.pallets for line in takeoff.lines if line.pallets)
    assert floor.value == pytest.approx(heaviest * 9.81 / 0.96)
    assert floor.verdict is Verdict.FAILS
    stout = 0.28 * 0.14 * 0.03 * 1800
    assert takeoff.logistics.floor.tiles_a_m2 == math.floor(500 / 9.81 / stout)


def test_a_floor_on_the_ground_is_not_asked_about() -> None:
    _, _, takeoff = taken()
    assert "takeoff.floor" not in {c.name for c in takeoff.checks}


def test_the_scaffold_carries_a_mason_his_box_and_an_hour_of_tiles() -> None:
    _, _, takeoff = taken()
    scaffold = takeoff.logistics.scaffold
    assert scaffold.pressure == pytest.approx((25 * 0.28 * 0.14 * 0.03 * 1800 + 110) * 9.81)


def test_old_bags_fail() -> None:
    stale = {"kind": "gypsum", "shelf_life_days": 1,
             "set": {"degrees_c": [10, 30], "minutes": [9, 7]}}  # fmt: skip
    bedding = {"kind": "mortar"}
    _, _, takeoff = taken(binders={"quick": stale, "bedding": bedding})
    shelf = {c.name: c.verdict for c in takeoff.checks if c.name.startswith("takeoff.shelf")}
    assert shelf["takeoff.shelf.quick"] is Verdict.FAILS  # the first layer takes three days
    assert shelf["takeoff.shelf.bedding"] is Verdict.HOLDS


def test_waste_is_what_is_bought_and_not_laid() -> None:
    job, site, takeoff = taken()
    bought = sum(line.mass for line in takeoff.lines if line.key.startswith("tiles."))
    laid = sum(v.tiles for v in site.volumes) * 1800
    waste = [mass for _, mass in takeoff.logistics.waste]
    assert waste[0] == pytest.approx(bought - laid)
    lost = sum((v.joints + v.bed) * 0.15 / 0.85 * 1900 for v in site.volumes)
    assert waste[1] == pytest.approx(lost)
    debris = sum(seat.debris for seat in site.seats) / 1.5 * job.walls.left.density
    assert waste[2] == pytest.approx(debris)


def test_water_for_mixing_soaking_and_washing() -> None:
    _, site, takeoff = taken()
    water = [volume for _, volume in takeoff.logistics.water]
    assert water[0] == pytest.approx(takeoff.line("water").order)
    tiles = sum(line.mass for line in takeoff.lines if line.key.startswith("tiles."))
    assert water[1] == pytest.approx(tiles * 0.12 / 1000)
    assert water[2] == pytest.approx(0.05 * math.ceil(site.programme.days))


def test_a_quote_names_what_it_leaves_out_and_until_when_it_holds() -> None:
    _, _, takeoff = taken(
        job={"title": "Store", "day": "2026-11-25", "revision": "B"},
        prices={"exclusions": ["Rain"], "terms": "A third on the first day"},
    )
    quote = takeoff.quote
    assert str(quote.exclusions[-1]) == "Rain"
    assert quote.valid_until == date(2026, 12, 25)
    assert (quote.revision, quote.terms) == ("B", "A third on the first day")


def test_what_changed_since_the_last_revision() -> None:
    before = job_of()
    after = job_of(curve={"rise": 650}, job={"title": "Store behind the bakery", "revision": "B"})
    assert [(c.key, c.before, c.after) for c in job_changes(before, after)] == [
        ("curve.rise", pytest.approx(0.6), pytest.approx(0.65))
    ]
    assert job_changes(before, before) == ()


@given(
    st.dictionaries(
        st.text("ab", min_size=1, max_size=2),
        st.one_of(st.integers(), st.lists(st.integers(), max_size=3)),
        max_size=4,
    )
)
def test_changes_are_those_that_were_made(tree: dict[str, Any]) -> None:
    assert changes(tree, tree) == ()
    assert changes({}, tree) == tuple(Change(k, None, v) for k, v in tree.items())
    assert {c.key for c in changes(tree, {**tree, "new": 1})} == {"new"}
