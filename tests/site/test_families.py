"""Vaults that are laid between guides, and flights: the same site, with lines of their own."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from tests.site.given_jobs import job_of

from timbrel.bond.lay import lay_bond
from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.site.bed import bed_of
from timbrel.site.fill import plan_fill
from timbrel.site.guides import guides_of
from timbrel.site.load_test import plan_area
from timbrel.site.plan import plan_site, plan_surface_site
from timbrel.takeoff import take_off
from timbrel.verdict import Verdict

ROOM = {"AB": 3000, "BC": 3200, "CD": 3000, "DA": 3200, "AC": 4386, "BD": 4386}
# Corners (0, 0), (3, 0), (3.18, 3.3), (-0.05, 3.2).
SKEW = {"AB": 3000, "BC": 3305, "CD": 3232, "DA": 3200, "AC": 4583, "BD": 4421}
THIN = [{"tile": "thin", "binder": "quick", "joint": {"least": 4, "best": 9, "most": 20}}]
FAMILIES: dict[str, dict[str, Any]] = {
    "groin": {"directrix": "segment", "rise": 900},
    "cloister": {"directrix": "segment", "rise": 900},
    "sail": {"directrix": "segment", "rise": 500},
    "dome": {"directrix": "segment", "rise": 800},
}


def vault_of(family: str, room: dict[str, Any] | None = None, **tables: Any) -> tuple[Job, Any]:
    curve = {"family": family} | FAMILIES[family]
    layers = tables.pop("layers", THIN)
    job = job_of(room=room or ROOM, curve=curve, layers=layers, **tables)
    return job, shape_vault(job, solve_room(job.room, "mm"))


@lru_cache
def laid(family: str) -> tuple[Job, Any, Bond]:
    job, vault = vault_of(family)
    return job, vault, lay_bond(job, vault)


@pytest.mark.parametrize("room", [ROOM, SKEW], ids=["square", "skew"])
@pytest.mark.parametrize("family", FAMILIES)
def test_every_template_is_the_lagging_off_the_true_surface(
    family: str, room: dict[str, Any]
) -> None:
    """Measured afresh, by the foot of the normal from points of the template in space."""
    job, vault = vault_of(family, room)
    guides = guides_of(vault, job.site)
    kinds = {g.kind for g in guides}
    assert kinds >= {"groin": {"groin", "wall arch"}, "cloister": {"valley"},
                     "sail": {"wall arch", "diagonal"}, "dome": {"meridian"}}[family]  # fmt: skip
    for guide in guides:
        start, end = np.array(guide.start), np.array(guide.end)
        along = (end - start) / np.linalg.norm(end - start)
        inner = guide.template[4:-4:8]
        plan = start + inner[:, :1] * along
        depth = vault.depth(np.column_stack([plan, inner[:, 1]]))
        assert depth == pytest.approx(-job.site.lagging, abs=1e-6)


def test_at_a_groin_the_template_lies_lower_than_the_line_moved_square() -> None:
    job, vault = vault_of("groin")
    groin = next(g for g in guides_of(vault, job.site) if g.kind == "groin")
    i = len(groin.line) // 2
    drop = groin.line[i, 1] - np.interp(groin.line[i, 0], *groin.template.T)
    slope = math.atan(np.gradient(groin.line[:, 1], groin.line[:, 0])[i])
    assert drop > job.site.lagging / math.cos(slope) * 1.01


@pytest.mark.parametrize("family", FAMILIES)
def test_a_whole_site_of_every_family(family: str) -> None:
    job, vault, bond = laid(family)
    site = plan_surface_site(job, vault, bond)
    takeoff = take_off(job, vault, bond, site)
    assert site.volumes[0].joints > 0
    assert site.volumes[0].tiles + site.volumes[0].joints == pytest.approx(vault.volume, rel=1e-3)
    assert takeoff.line("timber").need == pytest.approx(sum(g.timber for g in site.guides))
    assert takeoff.quote.likely.total > 0
    assert {d.stage for d in takeoff.logistics.deliveries} >= {"centring", "layer-1"}
    assert [s.key for s in site.order][:5] == ["survey", "props", "springings", "ribs", "pat"]
    assert not any(c.verdict is Verdict.FAILS for c in site.checks if "binder" in c.name)


def test_double_curvature_is_slower_than_a_groin() -> None:
    hours = {}
    for family in ("groin", "sail"):
        site = plan_surface_site(*laid(family))
        laying = next(o for o in site.programme.operations if o.key == "layer-1")
        hours[family] = laying.hours / site.volumes[0].count
    assert hours["sail"] == pytest.approx(hours["groin"] / 0.55)


@pytest.mark.parametrize("family", FAMILIES)
def test_volume_over_the_plan_against_points_thrown_on_it(family: str) -> None:
    """Fill up to the crown against plain sampling of the vault's own heights."""
    vault = vault_of(family, SKEW)[1]
    bed = bed_of(vault)
    assert float(bed.weight.sum()) == pytest.approx(plan_area(vault), rel=1e-3)
    crown = bed.crown
    low, high = (f(np.asarray(vault.room.corners)[:, :2], axis=0) for f in (np.min, np.max))
    n = 100
    gx, gy = np.meshgrid(*(low[k] + (np.arange(n) + 0.5) / n * (high[k] - low[k]) for k in (0, 1)))
    x, y = gx.ravel(), gy.ravel()
    inside = _inside(vault, x, y)
    depth = crown - vault.height(x[inside], y[inside], vault.thickness)
    cell = float(np.prod(high - low)) / n**2
    expected = float(np.maximum(depth[np.isfinite(depth)], 0.0).sum()) * cell
    assert bed.volume(crown) == pytest.approx(expected, rel=6e-3)


def test_a_plan_far_from_square_counts_its_own_area() -> None:
    """Corners (0, 0), (3, 0.6), (3.9, 3.6), (0.3, 3.0): shoelace beside the grid's Jacobian."""
    lean = {"AB": 3059, "BC": 3132, "CD": 3650, "DA": 3015, "AC": 5307, "BD": 3612}
    vault = vault_of("cloister", lean)[1]
    x, y = np.asarray(vault.room.corners)[:, :2].T
    area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
    assert float(bed_of(vault).weight.sum()) == pytest.approx(area, rel=1e-9)


def _inside(vault: Any, x: np.ndarray, y: np.ndarray) -> np.ndarray:
    if vault.family == "dome":
        radius = vault.rings([0.0]).radius[0]
        return np.hypot(x - vault.centre[0], y - vault.centre[1]) <= radius
    corners = np.asarray(vault.room.corners)[:, :2]
    good = np.ones(len(x), bool)
    for p, q in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        good &= (q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0]) >= 0
    return good


def test_a_flight_is_planned_between_its_landings() -> None:
    room = {"AB": 3000, "BC": 1200, "CD": 3000, "DA": 1200, "AC": 3231, "BD": 3231,
            "levels": {"A": 1000, "B": 2600, "C": 2600, "D": 1000}}  # fmt: skip
    job = job_of(room=room, curve={"family": "flight", "directrix": "parabola", "rise": 350},
                 loads={"use": "stairs", "fill": {"kind": "none"}})  # fmt: skip
    vault = shape_vault(job, solve_room(job.room, "mm"))
    bond = lay_bond(job, vault)
    site = plan_site(job, vault, bond)
    lower, upper = site.seats
    # The lower end springs steeply, the upper one comes up to its landing nearly level.
    assert lower.slope > 0.5 > abs(upper.slope)
    assert site.setting_out.walls[0].level[0] == pytest.approx(1.0, abs=2e-3)
    assert site.setting_out.walls[0].level[-1] == pytest.approx(2.6, abs=2e-3)
    assert take_off(job, vault, bond, site).quote.likely.total > 0


def test_fill_of_several_materials_is_weighed_by_its_lifts() -> None:
    lifts = [{"top": 300, "unit_weight": 18}, {"top": 900, "unit_weight": 8}]
    job, vault = vault_of("cloister", loads={"fill": {"kind": "light", "lifts": lifts}})
    fill = plan_fill(job, vault)
    assert fill is not None
    bed = bed_of(vault)
    springing = float(np.mean(np.asarray(vault.room.corners)[:, 2]))
    first, both = bed.volume(springing + 0.3), bed.volume(springing + 0.9)
    assert fill.weight == pytest.approx(first * 18e3 + (both - first) * 8e3)
