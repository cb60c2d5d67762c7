"""The whole site of a barrel: volumes that balance, moves, hours, days, order of work."""

from __future__ import annotations

import numpy as np
import pytest
from tests.site.given_jobs import job_of, out_of_square, vault_of

from timbrel.bond.lay import lay_bond
from timbrel.job.model import Job
from timbrel.site.batches import Batch
from timbrel.site.plan import SitePlan, plan_site
from timbrel.site.programme import with_bond_waits
from timbrel.site.volumes import binder_needs, layer_volumes
from timbrel.site.workdays import DAY
from timbrel.verdict import Verdict


def planned(job: Job, corners: np.ndarray | None = None) -> SitePlan:
    vault = vault_of(job, corners)
    return plan_site(job, vault, lay_bond(job, vault))


@pytest.mark.parametrize("corners", [None, out_of_square()], ids=["rectangle", "out of square"])
def test_binder_balances_the_open_area_of_the_bond(corners: np.ndarray | None) -> None:
    """(outline - tiles) x thickness on the unrolled bond, plus what the backs open on the curve."""
    job = job_of()
    vault = vault_of(job, corners)
    bond = lay_bond(job, vault)
    for place, layer, volumes in zip(
        vault.layers, bond.layers, layer_volumes(job, vault, bond), strict=True
    ):
        outline = vault.develop(place.inner).outline.area
        face = (outline - layer.area.sum()) * place.thickness
        # Middle surface over inner face: the shell grows by its curvature on half the thickness.
        backs = (vault.area(place.middle) - vault.area(place.inner)) * place.thickness
        assert volumes.joints == pytest.approx(face + backs, rel=2e-3)
        assert volumes.joints > face > 0
    first, second = layer_volumes(job, vault, bond)
    assert first.bed == 0.0 and first.bed_binder is None
    assert second.bed == pytest.approx(vault.area(0.021) * 0.010)


def test_the_shell_is_tiles_joints_and_beds_and_nothing_else() -> None:
    job = job_of()
    vault = vault_of(job, out_of_square())
    volumes = layer_volumes(job, vault, lay_bond(job, vault))
    assert sum(v.tiles + v.joints + v.bed for v in volumes) == pytest.approx(vault.volume, rel=1e-6)
    needs = binder_needs(volumes)
    assert needs["quick"] == pytest.approx(volumes[0].joints)
    assert needs["bedding"] == pytest.approx(volumes[1].joints + volumes[1].bed)


def test_the_centring_stands_once_for_each_arch() -> None:
    job = job_of()
    vault = vault_of(job)
    bond = lay_bond(job, vault)
    centring = plan_site(job, vault, bond).centring
    assert centring.settings == len(np.unique(bond.layers[0].arch))
    assert centring.moves == centring.settings - 1
    assert centring.step == pytest.approx(0.260 + bond.layers[0].perpend_joint)
    assert centring.settings == pytest.approx(4.0 / centring.step, abs=1.0)
    assert centring.camber == pytest.approx(0.006)  # 3 m / 500 is over 5 mm
    assert centring.taper.worst == pytest.approx(0.0, abs=1e-9)


def test_an_out_of_square_room_changes_the_rib_from_move_to_move() -> None:
    centring = planned(job_of(), out_of_square()).centring
    corners = out_of_square()
    near, far = (np.linalg.norm(corners[p] - corners[q]) for p, q in ((1, 0), (2, 3)))
    assert centring.taper.span == pytest.approx(far - near)
    assert centring.taper.worst >= (far - near) / 2
    assert centring.taper.a_move * centring.moves == pytest.approx(centring.taper.worst)


def test_the_seat_leaves_room_for_rib_and_closed_wedges() -> None:
    job = job_of()
    site = planned(job)
    foot = site.centring.near.top[0, 1] + 2.1
    expected = foot - job.site.rib_depth - site.centring.wedges.set_height
    assert site.centring.seat_levels[0] == pytest.approx(expected)


def test_hours_by_hand() -> None:
    """Layer 1: tiles at 25 an hour and 15 minutes a move; layer 2: 50 an hour; one mason."""
    job = job_of()
    site = planned(job)
    operations = {o.key: o for o in site.programme.operations}
    tiles = [v.count for v in site.volumes]
    moves = site.centring.moves
    assert operations["layer-1"].hours == pytest.approx(tiles[0] / 25 * 3600 + moves * 900)
    assert operations["layer-2"].hours == pytest.approx(tiles[1] / 50 * 3600)
    assert site.fill is not None
    assert operations["fill"].hours == pytest.approx(site.fill.volume / (0.5 * 2) * 3600)
    wait = operations["fill"].start - operations["layer-2"].finish
    assert wait >= job.site.wait_fill
    assert site.programme.calendar * DAY >= operations["layer-2"].finish + job.site.wait_load


def test_an_apprentice_counts_for_two_fifths() -> None:
    alone, taught = (
        planned(job_of(crew={"masons": 1, "helpers": 1, "apprentices": n})) for n in (0, 1)
    )

    def laying(site: SitePlan) -> float:
        return site.programme.operations[3].hours

    assert laying(taught) == pytest.approx(laying(alone) / 1.4)


def test_a_slow_binder_slows_the_programme() -> None:
    """A mason alone who mixes for each tile cannot keep his own rate."""
    crew = {"masons": 1, "helpers": 0, "first_layer_tiles_hour": 60}
    job = job_of(crew=crew, site={"mixing": 120, "lay_tile": 80})
    batch = planned(job).batches[0]
    assert isinstance(batch, Batch)
    assert batch.tiles_hour == pytest.approx(3600 / (80 + 120 / batch.tiles))


def test_a_binder_that_allows_no_batch_fails_and_the_rest_is_planned() -> None:
    site = planned(job_of(site={"temperature_c": 30, "mixing": 590, "lay_tile": 60}))
    verdicts = {c.name: c.verdict for c in site.checks}
    assert verdicts["site.batches.layer-1"] is Verdict.FAILS
    assert site.programme.operations


def test_holds_stand_before_the_first_tile_and_before_the_load() -> None:
    order = planned(job_of()).order
    assert [s.number for s in order] == list(range(1, len(order) + 1))
    assert order[0].hold and order[-1].hold
    said = [str(s.what) for s in order]
    closed = next(i for i, text in enumerate(said) if text.startswith("Layer 1 closed"))
    assert order[closed].hold and order[closed].wait == 12 * 3600
    assert any("lifts of 200 mm" in text for text in said)


def test_a_narrow_way_in_fails() -> None:
    checks = planned(job_of(site={"way_in": 500})).checks
    assert [c.verdict for c in checks if c.name == "site.centring.way-in"] == [Verdict.FAILS]


def test_wedges_that_would_slide_apart_fail() -> None:
    checks = planned(job_of(site={"easing": 25})).checks  # 1 in 8: 200 mm on wedges of 300
    assert [c.verdict for c in checks if c.name == "site.centring.wedges"] == [Verdict.FAILS]


def test_waits_for_the_bond_move_all_that_follows_the_first_layer() -> None:
    """Four whole days more behind layer 1 of seven worked days: all later starts move by four."""
    job = job_of(site={"days_per_week": 7})
    before = planned(job).programme
    after = with_bond_waits(before, (3 * DAY, None, float("inf"), 1 * DAY), job)
    k = next(i for i, o in enumerate(before.operations) if o.key == "layer-1")
    for i, (a, b) in enumerate(zip(before.operations, after.operations, strict=True)):
        assert b.start == pytest.approx(a.start + (4 * DAY if i > k else 0.0))
    assert after.calendar == before.calendar + 4
    assert after.work == before.work
    assert with_bond_waits(before, (None, 0.0), job) is before
