"""The rib: template along the normal, boards, feet, and what an out-of-square room asks."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.site.given_jobs import job_of, out_of_square, segment_radius, vault_of

from timbrel.job.model import Site
from timbrel.shape import directrix
from timbrel.site.curves import distance_to_line
from timbrel.site.ends import ends_of
from timbrel.site.rib import board_reach, make_rib
from timbrel.words import TimbrelError

CURVES = [
    ("segment", 0.6, None),
    ("semicircle", None, None),
    ("catenary", 0.8, None),
    ("parabola", 0.7, None),
    ("three-centre", 0.9, 0.6),
    ("pointed", 1.8, None),
]


@pytest.mark.parametrize(("kind", "rise", "haunch"), CURVES, ids=[c[0] for c in CURVES])
def test_the_template_is_the_lagging_away_from_the_intrados_everywhere(
    kind: str, rise: float | None, haunch: float | None
) -> None:
    """Measured afresh: the least distance of each template point from a finely drawn intrados."""
    curve = directrix(kind, 3.0, rise, haunch)
    rib = make_rib(curve, 0.0, 0.0, Site(lagging=25, easing=20))
    fine = curve.at(np.linspace(0, curve.length, 6001))
    apart = distance_to_line(rib.top, fine)
    assert apart == pytest.approx(0.025, abs=2e-7)


def test_moving_the_curve_down_would_not_do() -> None:
    """Segment 3.0 x 0.6, lagging 25 mm: shifted down, the gap at the springing is 25 cos a."""
    curve = directrix("segment", 3.0, 0.6, None)
    slope = math.asin(1.5 / segment_radius(3.0, 0.6))
    shifted = curve.at(np.array([curve.length * 0.02])) - [0.0, 0.025]
    fine = curve.at(np.linspace(0, curve.length, 6001))
    assert distance_to_line(shifted, fine)[0] < 0.025 * math.cos(slope * 0.9)


def test_template_offsets_of_a_segment_by_hand() -> None:
    # R = 9/(8 x 0.6) + 0.3 = 2.175; template radius 2.150 about the same centre, 1.575 below.
    rib = make_rib(directrix("segment", 3.0, 0.6, None), 0, 0, Site(lagging=25, offsets_step=500))
    assert rib.trammel is not None
    assert rib.trammel.arcs[0].radius == pytest.approx(2.150)
    assert rib.trammel.arcs[0].centre == pytest.approx((1.5, -1.575))
    row = int(np.flatnonzero(np.isclose(rib.offsets.x, 0.5))[0])
    assert rib.offsets.y[row] == pytest.approx(math.sqrt(2.150**2 - 1.0) - 1.575)
    middle = int(np.flatnonzero(np.isclose(rib.offsets.x, 1.5))[0])
    assert rib.offsets.y[middle] == pytest.approx(0.575)


def test_a_shallow_rib_runs_to_the_springing_and_a_semicircle_stops_short() -> None:
    shallow = make_rib(directrix("segment", 3.0, 0.4, None), 0, 0, Site(easing=10, clear_least=3))
    assert shallow.stop_left == shallow.stop_right == 0.0
    round_ = make_rib(
        directrix("semicircle", 3.0, None, None), 0, 0, Site(easing=10, clear_least=3)
    )
    # Free where cos a >= 0.3: that is asin(0.3) up the template's own circle, R = 1.48.
    assert round_.stop_left == pytest.approx(1.48 * math.asin(0.3), abs=0.003)
    assert round_.gap[0] == pytest.approx(0.0, abs=1e-12)
    assert round_.gap.max() == pytest.approx(0.010, abs=1e-6)


def test_a_tilted_chord_stops_short_on_its_steep_side_only() -> None:
    curve = directrix("segment", 3.0, 1.2, None)
    level = make_rib(curve, 0, 0.0, Site(easing=5, clear_least=3))
    tilted = make_rib(curve, 0, 0.35, Site(easing=5, clear_least=3))
    assert tilted.stop_left > level.stop_left == pytest.approx(level.stop_right)
    assert tilted.stop_right < level.stop_right


@given(radius=st.floats(0.5, 8), width=st.floats(0.08, 0.3), share=st.floats(0.2, 0.95))
@settings(max_examples=60, deadline=None)
def test_a_board_of_that_reach_holds_the_band(radius: float, width: float, share: float) -> None:
    """Draw the band over its board: all of it lies inside, and a little more would not."""
    depth = width * share
    reach = board_reach(radius, width, depth)
    assert reach is not None

    def needed(length: float) -> float:
        half = math.asin(min(1.0, length / 2 / radius))
        angles = np.linspace(-half, half, 201)
        inner = (radius - depth) * np.cos(angles)
        return float(radius - inner.min())

    assert needed(reach) <= width + 1e-9
    if reach < 1.9 * radius:
        assert needed(reach * 1.01) > width


def test_boards_narrower_than_the_rib_are_refused_by_name() -> None:
    with pytest.raises(TimbrelError) as raised:
        make_rib(directrix("segment", 3.0, 0.6, None), 0, 0, Site(board_width=100, rib_depth=120))
    assert raised.value.key == "site.board_width"


def test_a_curve_given_on_the_extrados_still_yields_ribs_on_the_intrados() -> None:
    """The rib is made in the axes of the intrados springing, wherever the measured point lies."""
    on_intrados = vault_of(job_of())
    on_extrados = vault_of(job_of(curve={"line": "extrados"}))
    for vault in (on_intrados, on_extrados):
        near, _ = ends_of(vault)
        rib = make_rib(near.curve, 0.0, near.tilt, Site())
        in_room = near.plumb(rib.top)
        intrados = vault.section(0.0, n=4001)
        shifted = np.stack([in_room[:, 0], in_room[:, 1]], axis=-1)
        assert distance_to_line(shifted, intrados) == pytest.approx(0.020, abs=2e-6)


def test_levels_of_an_end_follow_its_chord() -> None:
    """A leaning room: what `plumb` says of the intrados is what the vault says of it."""
    vault = vault_of(job_of(), out_of_square())
    for v, end in zip((0.0, 1.0), ends_of(vault), strict=True):
        plumb = end.plumb(end.curve.at(np.linspace(0, end.curve.length, 65)))
        assert plumb == pytest.approx(vault.section(v, n=65), abs=1e-9)
