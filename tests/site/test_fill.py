"""Fill over the shell: volumes against closed forms and quadrature, lifts that add up."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import dblquad, quad
from tests.site.given_jobs import job_of, out_of_square, segment_radius, vault_of

from timbrel.site.bed import shell_bed
from timbrel.site.fill import fill_checks, plan_fill
from timbrel.verdict import Verdict
from timbrel.words import TimbrelError


def spandrel(span: float, rise: float, thickness: float, over_crown: float) -> float:
    """Area between a segment's extrados and a level over its crown, between the walls, by quad."""
    radius = segment_radius(span, rise) + thickness
    centre = rise - segment_radius(span, rise)
    top = rise + thickness + over_crown

    def depth(x: float) -> float:
        return top - centre - math.sqrt(radius**2 - (x - span / 2) ** 2)

    return float(quad(depth, 0, span)[0])


def test_a_level_room_against_quadrature() -> None:
    job = job_of(levels={"crown_cover": 40})
    vault = vault_of(job)
    fill = plan_fill(job, vault)
    assert fill is not None
    expected = spandrel(3.0, 0.6, vault.thickness, 0.040) * 4.0
    assert fill.space == pytest.approx(expected, rel=2e-5)
    assert fill.least_cover == pytest.approx(0.040, abs=1e-6)
    assert fill.top == pytest.approx(2.1 + 0.6 + vault.thickness + 0.040, abs=1e-6)
    assert fill.weight == pytest.approx(fill.space * 6e3)


def test_an_out_of_square_room_against_a_double_integral() -> None:
    """Depth over plan coordinates, integrated by another method over the walls' quadrilateral."""
    job = job_of()
    vault = vault_of(job, out_of_square())
    bed = shell_bed(vault)
    top = float(bed.level.max()) + 0.1
    corners = out_of_square()
    sections = [vault.section(v, vault.thickness, n=801) for v in np.linspace(0, 1, 41)]
    spans = [
        float(np.hypot(*((1 - v) * (corners[1] - corners[0]) + v * (corners[2] - corners[3]))[:2]))
        for v in np.linspace(0, 1, 41)
    ]

    def depth(share: float, v: float) -> float:
        i = min(39, int(v * 40))
        w = v * 40 - i
        z = [np.interp(share * spans[k], *sections[k].T) for k in (i, i + 1)]
        across = (1 - v) * (corners[1] - corners[0]) + v * (corners[2] - corners[3])
        along = (1 - share) * (corners[3] - corners[0]) + share * (corners[2] - corners[1])
        plan = abs(across[0] * along[1] - across[1] * along[0])
        return float((top - (1 - w) * z[0] - w * z[1]) * plan)

    expected, _ = dblquad(depth, 0, 1, 0, 1, epsabs=1e-4, epsrel=1e-4)
    assert bed.volume(top) == pytest.approx(expected, rel=3e-4)
    plan_area = float(bed.weight.sum())
    x, y = corners[:, 0], corners[:, 1]
    assert plan_area == pytest.approx(
        abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2, rel=1e-12
    )


def test_lifts_add_up_and_rise_evenly() -> None:
    job = job_of(building={"lift": 150})
    fill = plan_fill(job, vault_of(job, out_of_square()))
    assert fill is not None
    assert sum(lift.volume for lift in fill.lifts) == pytest.approx(fill.space, rel=1e-12)
    assert all(lift.top - lift.bottom <= 0.150 + 1e-9 for lift in fill.lifts)
    assert fill.lifts[-1].top == pytest.approx(fill.top)


def test_a_symmetric_vault_takes_the_same_on_both_sides() -> None:
    fill = plan_fill(job_of(), vault_of(job_of()))
    assert fill is not None
    for lift in fill.lifts:
        # The middle point counts to the right: half a trapezoid of 400.
        assert lift.left == pytest.approx(lift.right, abs=fill.space / 400)


def test_dwarf_walls_run_along_the_axis_from_the_crown() -> None:
    job = job_of(
        loads={"fill": {"kind": "sleeper walls", "sleeper_spacing": 600, "sleeper_thickness": 45}}
    )
    vault = vault_of(job)
    fill = plan_fill(job, vault)
    assert fill is not None
    # Half the span is 1.5: walls at 0, 0.6 and 1.2 either side of the crown.
    assert len(fill.wall_faces) == 5
    radius = segment_radius(3.0, 0.6) + vault.thickness
    for face, x in zip(fill.wall_faces, (-1.2, -0.6, 0.0, 0.6, 1.2), strict=True):
        height = job.levels.crown_cover + radius - math.sqrt(radius**2 - x**2)
        assert face == pytest.approx(4.0 * height, rel=1e-4)
    assert fill.volume == pytest.approx(fill.wall_faces.sum() * 0.045)
    assert fill.lifts == ()


def test_a_level_under_the_shell_is_refused_by_name() -> None:
    job = job_of(loads={"fill": {"kind": "solid", "to_crown_cover": False, "level": -300}})
    with pytest.raises(TimbrelError) as raised:
        plan_fill(job, vault_of(job))
    assert raised.value.key == "loads.fill.level"


def test_a_haunch_only_fill_does_not_cover_the_crown_and_says_so() -> None:
    job = job_of(loads={"fill": {"kind": "solid", "to_crown_cover": False, "level": 300}})
    fill = plan_fill(job, vault_of(job))
    assert fill is not None and fill.least_cover < 0
    assert fill_checks(job, fill)[0].verdict is Verdict.FAILS


def test_a_floor_over_its_level_is_refused() -> None:
    job = job_of(levels={"top": 2700})
    with pytest.raises(TimbrelError):
        plan_fill(job, vault_of(job))


def test_no_fill_no_plan() -> None:
    job = job_of(loads={"fill": {"kind": "none"}})
    assert plan_fill(job, vault_of(job)) is None
    assert fill_checks(job, None) == ()


def test_fill_brought_exactly_to_the_cover_holds_and_a_hair_less_does_not() -> None:
    job = job_of(loads={"fill": {"kind": "light"}})
    fill = plan_fill(job, vault_of(job))
    assert fill is not None
    (held,) = fill_checks(job, fill)
    assert held.verdict is Verdict.HOLDS
    (short,) = fill_checks(job, replace(fill, least_cover=job.levels.crown_cover - 1e-5))
    assert short.verdict is Verdict.FAILS
