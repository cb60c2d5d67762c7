"""Directrix curves: lengths, offsets, kinks, setting out, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from timbrel.shape import Directrix, directrix
from timbrel.shape.curves import rise_range
from timbrel.shape.directrix import Offsets, Trammel
from timbrel.words import TimbrelError

CURVES = [
    ("segment", 4.0, 0.8),
    ("segment", 4.0, 2.0),
    ("semicircle", 4.0, None),
    ("catenary", 4.0, 0.4),
    ("catenary", 4.0, 9.0),
    ("parabola", 4.0, 1.0),
    ("three-centre", 4.0, 1.2),
    ("pointed", 4.0, 2.6),
]


@pytest.fixture(params=CURVES, ids=lambda c: f"{c[0]}-{c[2]}")
def curve(request: pytest.FixtureRequest) -> Directrix:
    return directrix(*request.param)


def test_stands_on_its_chord_and_rises(curve: Directrix) -> None:
    ends = curve.at([0.0, curve.length])
    assert np.allclose(ends, [[0, 0], [curve.span, 0]], atol=1e-12)
    assert curve.at(curve.length / 2) == pytest.approx([curve.span / 2, curve.rise], abs=1e-12)


def test_arc_length_is_the_distance_walked(curve: Directrix) -> None:
    """The speed along the curve is 1: central differences at points away from breaks."""
    s = np.linspace(0.011, 0.987, 57) * curve.length
    h = 1e-5
    walked = (curve.at(s + h) - curve.at(s - h)) / (2 * h)
    assert np.allclose(np.hypot(*walked.T), 1, atol=1e-8)
    tangent = np.stack([np.cos(curve.angle(s)), np.sin(curve.angle(s))], axis=-1)
    assert np.allclose(walked, tangent, atol=1e-8)
    bent = (curve.angle(s - h) - curve.angle(s + h)) / (2 * h)
    assert np.allclose(bent, curve.curvature(s), rtol=1e-5)


def test_normal_points_away_from_the_room(curve: Directrix) -> None:
    s = np.linspace(0, curve.length, 41)
    inside = np.array([curve.span / 2, 0.0])
    assert np.all(np.einsum("ij,ij->i", curve.normal(s), curve.at(s) - inside) > 0)
    assert np.allclose(np.linalg.norm(curve.normal(s), axis=1), 1)


@pytest.mark.parametrize("d", [0.12, 0.03, -0.04])
def test_offset_length_is_true(curve: Directrix, d: float) -> None:
    s = np.linspace(0, curve.length, 20001)
    steps = np.hypot(*np.diff(curve.offset_at(s, d), axis=0).T)
    walked = np.concatenate([[0], np.cumsum(steps)])
    assert np.allclose(curve.offset_length(s, d), walked, atol=2e-6)
    assert curve.offset_length(curve.length, d) == pytest.approx(curve.parallel(d).length)


@pytest.mark.parametrize("d", [0.12, -0.04])
def test_parallel_is_the_offset_curve(curve: Directrix, d: float) -> None:
    other = curve.parallel(d)
    s = np.linspace(0, curve.length, 301)
    along = curve.offset_length(s, d)
    assert np.allclose(other.at(along) + other.seat, curve.offset_at(s, d), atol=1e-9)
    twice = other.parallel(-d)
    assert np.allclose(twice.at(s) + twice.seat, curve.at(s), atol=1e-9)
    assert (twice.span, twice.rise) == pytest.approx((curve.span, curve.rise))


@pytest.mark.parametrize("d", [0.12, -0.04])
def test_area_between_parallels_is_steiners(curve: Directrix, d: float) -> None:
    """d (length + d turning/2) for a smooth curve; a mitre adds its two kites."""
    if curve.kinks:
        pytest.skip("the kink has its own test")
    s = np.linspace(0, curve.length, 8001)
    ring = np.concatenate([curve.at(s), curve.offset_at(s, d)[::-1]])
    x, y = ring.T
    area = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
    turning = float(curve.angle(0.0) - curve.angle(curve.length))
    assert area == pytest.approx(abs(d * (curve.length + d * turning / 2)), rel=1e-6)


def test_pointed_layers_meet_above_the_crown() -> None:
    curve = directrix("pointed", 4.0, 2.6)
    assert curve.kinks == pytest.approx((curve.length / 2,))
    radius = (16 / 4 + 2.6**2) / 4
    for d in (0.1, -0.05):
        crown = curve.offset_at(curve.length / 2, d)
        # Arcs struck from the same two centres meet over the middle of the span.
        assert crown == pytest.approx([2.0, np.sqrt((radius + d) ** 2 - (radius - 2) ** 2)])
        beside = curve.offset_at(curve.length / 2 + np.array([-1e-7, 1e-7]), d)
        assert np.allclose(beside, crown, atol=1e-6)
    assert curve.normal(curve.length / 2) == pytest.approx([0, 1])


def test_trammel_draws_the_curve(curve: Directrix) -> None:
    drawn = curve.setting_out
    if isinstance(drawn, Offsets):
        assert curve.kind in ("catenary", "parabola")
        assert np.allclose(curve.height(drawn.x), drawn.y)
        return
    assert isinstance(drawn, Trammel)
    assert drawn.arcs[0].start == pytest.approx((0, 0), abs=1e-12)
    assert drawn.arcs[-1].end == pytest.approx((curve.span, 0), abs=1e-12)
    for arc in drawn.arcs:
        for point in (arc.start, arc.end):
            assert np.hypot(*np.subtract(point, arc.centre)) == pytest.approx(arc.radius)


def test_offsets_table(curve: Directrix) -> None:
    table = curve.offsets(0.3)
    assert {0.0, 0.3, 2.0, 4.0} <= set(np.round(table.x, 9))
    assert table.y[0] == pytest.approx(0, abs=1e-7)
    assert table.y.max() == pytest.approx(curve.rise)


@pytest.mark.parametrize(
    ("kind", "rise", "accepted"),
    [
        ("segment", 2.1, "100 mm to 2\u202f000 mm"),
        ("segment", 0.07, "100 mm to 2\u202f000 mm"),
        ("three-centre", 2.5, "100 mm to 2\u202f000 mm"),
        ("pointed", 1.9, "2\u202f000 mm to 12\u202f000 mm"),
        ("parabola", 13.0, "100 mm to 12\u202f000 mm"),
    ],
)
def test_refuses_a_rise_with_the_range(kind: str, rise: float, accepted: str) -> None:
    with pytest.raises(TimbrelError) as refusal:
        directrix(kind, 4.0, rise)
    assert refusal.value.key == "curve.rise"
    assert accepted in str(refusal.value.message)


def test_a_tenth_of_the_rise_is_seen_as_a_slip() -> None:
    with pytest.raises(TimbrelError) as refusal:
        directrix("segment", 4.0, 0.08)
    assert "800 mm" in str(refusal.value.more[0])


def test_other_refusals() -> None:
    with pytest.raises(TimbrelError, match="is missing"):
        directrix("segment", 4.0, None)
    with pytest.raises(TimbrelError, match="leave the rise out"):
        directrix("semicircle", 4.0, 1.5)
    with pytest.raises(TimbrelError) as refusal:
        directrix("three-centre", 4.0, 1.2, haunch_radius=1.3)
    assert refusal.value.key == "curve.haunch_radius"


@settings(max_examples=40, deadline=None)
@given(
    kind=st.sampled_from(["segment", "catenary", "parabola", "pointed", "three-centre"]),
    span=st.floats(1.0, 12.0),
    share=st.floats(0.02, 0.98),
)
def test_any_allowed_rise_gives_a_true_curve(kind: str, span: float, share: float) -> None:
    least, most = rise_range(kind, span)
    rise = least + share * (most - least)
    if kind == "three-centre":
        rise = span * (0.2 + 0.29 * share)
    curve = directrix(kind, span, rise)
    assert curve.at(curve.length) == pytest.approx([span, 0], abs=1e-9 * curve.length)
    assert float(curve.at(curve.length / 2)[1]) == pytest.approx(rise)
    pieces = zip(curve.breaks[:-1], curve.breaks[1:], strict=True)
    turned = sum(quad(curve.curvature, a, b)[0] for a, b in pieces)
    turned += sum(float(curve.angle(k) - curve.angle(k + 1e-12)) for k in curve.kinks)
    assert turned == pytest.approx(float(curve.angle(0.0) - curve.angle(curve.length)), rel=1e-6)
