"""Quantities and price: hand-computed lines, and nothing priced that has no price."""

from __future__ import annotations

import math
from typing import Any

import pytest
from tests.site.given_jobs import job_of, vault_of

from timbrel.bond.lay import lay_bond
from timbrel.job.model import Binder, Job
from timbrel.site.mortar import CEMENT, recipe
from timbrel.site.plan import SitePlan, plan_site
from timbrel.takeoff import Takeoff, take_off
from timbrel.takeoff.quantities import ordered_volume
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
    with pytest.raises(TimbrelError) as raised:
        taken(loads={"fill": fill | {"sleeper_tile": "slate"}})
    assert raised.value.key == "loads.fill.sleeper_tile"
