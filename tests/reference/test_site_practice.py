"""Rules of the trade about centring, fill and mortar. Each test names where its rule comes from."""

from __future__ import annotations

import math

import numpy as np
import pytest
from tests.conftest import Evidence
from tests.site.given_jobs import job_of, vault_of

from timbrel.bond.lay import lay_bond
from timbrel.job.model import Binder
from timbrel.shape import directrix
from timbrel.site.fill import plan_fill
from timbrel.site.mortar import CEMENT, SAND, recipe
from timbrel.site.rib import template_curve
from timbrel.site.volumes import layer_volumes
from timbrel.site.wedges import clearance, drop_of


def test_a_wedge_of_one_in_eight_drops_an_eighth_of_its_slide(evidence: Evidence) -> None:
    """Geometry."""
    ours = drop_of(0.080, 8.0)
    evidence("drop of a folding wedge 1 in 8 over 80 mm, mm", 10.0, ours * 1e3, "geometry")
    assert ours == pytest.approx(0.010)


def test_a_lowering_clears_d_cos_a(evidence: Evidence) -> None:
    """Geometry, met independently: move a circle down and measure the gap along the normal."""
    radius, drop, slope = 2.0, 0.010, math.radians(50)
    normal = np.array([math.sin(slope), math.cos(slope)])
    # Distance along the normal from the lowered circle to the point on the standing one.
    to_centre = radius * normal + [0.0, drop]
    along = float(to_centre @ normal)
    gap = along - math.sqrt(along**2 - (to_centre @ to_centre - radius**2))
    ours = float(clearance(np.array([slope]), drop)[0])
    evidence("gap at 50 degrees when lowered 10 mm, mm", gap * 1e3, ours * 1e3, "geometry")
    assert ours == pytest.approx(drop * math.cos(slope))
    # The curve's own bend adds a second-order term, on the safe side.
    bend = (drop * math.sin(slope)) ** 2 / (2 * radius)
    assert gap == pytest.approx(ours + bend, rel=1e-5)


@pytest.mark.parametrize("span", [2.5, 3.0, 4.0])
def test_fill_to_the_crown_is_about_span_times_rise_over_three(
    span: float, evidence: Evidence
) -> None:
    """Common practice, from memory: span x rise / 3 a metre; exact for a parabola's intrados.

    Our fill lies on the outer face, inside the walls, so a thin shell comes close to it.
    """
    job = job_of(
        room={"AB": span * 1e3},
        curve={"directrix": "parabola", "rise": 500},
        layers=[{"tile": "thin", "binder": "quick"}],
    )
    corners = np.array([(0, 0, 2), (span, 0, 2), (span, 4, 2), (0, 4, 2)], float)
    fill = plan_fill(job, vault_of(job, corners))
    assert fill is not None
    rule = span * 0.5 / 3 * 4.0
    evidence(f"fill to the crown, span {span} m, m3", rule, fill.to_crown,
             "common practice, from memory")  # fmt: skip
    assert fill.by_rule == pytest.approx(rule, rel=1e-9)
    assert fill.to_crown == pytest.approx(rule, rel=0.04)


def test_second_layer_mortar_one_to_one_by_volume(evidence: Evidence) -> None:
    """Common practice, no source: as many buckets of sand as of cement."""
    mix = recipe("m", Binder(kind="mortar", cement_parts=1, sand_parts=1), 0.1)
    ours = (mix.cement / CEMENT) / mix.sand
    evidence("cement to sand by volume", 1.0, ours, "common practice")
    assert ours == pytest.approx(1.0)
    assert mix.sand_mass == pytest.approx(mix.sand * SAND)


def test_a_bag_of_cement_in_one_to_three_mortar(evidence: Evidence) -> None:
    """From memory, any site handbook: 1:3 mortar takes 430 to 510 kg of cement a m3."""
    mix = recipe("m", Binder(kind="mortar", cement_parts=1, sand_parts=3), 1.0)
    evidence("cement in a cubic metre of 1:3 mortar, kg", 470.0, mix.cement, "from memory")
    assert 430 <= mix.cement <= 510


def test_paste_a_square_metre_of_thin_tiles(evidence: Evidence) -> None:
    """From memory: some 1.5 litres of paste a square metre net for thin tiles (1 to 2 accepted)."""
    job = job_of()
    vault = vault_of(job)
    first = layer_volumes(job, vault, lay_bond(job, vault))[0]
    ours = first.joints * 1e3 / first.shell
    evidence("paste a m2 for thin tiles, litres", 1.5, ours, "from memory")
    assert 1.0 <= ours <= 2.0


def test_template_radius_is_the_intrados_radius_less_the_lagging(evidence: Evidence) -> None:
    """Geometry: parallel circles share their centre."""
    curve = directrix("segment", 3.6, 0.5, None)
    ours = template_curve(curve, 0.020)
    assert ours.trammel is not None and curve.trammel is not None
    radius = 3.6**2 / (8 * 0.5) + 0.25 - 0.020
    evidence("template radius, m", radius, ours.trammel.arcs[0].radius, "geometry")
    assert ours.trammel.arcs[0].radius == pytest.approx(radius)
