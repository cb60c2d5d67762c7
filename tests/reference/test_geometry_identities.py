"""Curves against closed forms of geometry, and lengths against scipy's quadrature.

Sources: radius of a circular segment s*s/(8 f) + f/2 (geometry, derivable; references.md of the
project); catenary s = a sinh(x/a), y^2 = a^2 + s^2 measured from the directrix line, area under the
arc a*s (any text on the calculus of plane curves, derivable); parabola, area of a segment 2/3 of
the enclosing rectangle (Archimedes, Quadrature of the Parabola), arc length in closed form; two
centres and three centres, common constructions of the trade (no source), checked by geometry.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from timbrel.shape import directrix

Evidence = Callable[[str, float, float, str], None]
CALCULUS = "calculus of plane curves, derived"


@pytest.mark.parametrize(("span", "rise"), [(4.2, 0.6), (3.0, 1.5), (9.0, 0.75)])
def test_segment_radius(evidence: Evidence, span: float, rise: float) -> None:
    radius = span * span / (8 * rise) + rise / 2
    ours = 1 / float(directrix("segment", span, rise).curvature(0.3))
    evidence(f"radius of a segment {span} m, rise {rise} m", radius, ours, "s*s/(8f)+f/2, geometry")
    assert ours == pytest.approx(radius, rel=1e-12)


def test_segment_through_three_points(evidence: Evidence) -> None:
    """A 3-4-5 triangle: span 8, rise 2 has radius 5 and an arc of 10 asin(4/5)."""
    arc = directrix("segment", 8.0, 2.0)
    evidence("radius, span 8 rise 2", 5.0, 1 / float(arc.curvature(1.0)), "3-4-5 triangle")
    evidence("arc, span 8 rise 2", 10 * np.arcsin(0.8), arc.length, "3-4-5 triangle")
    assert 1 / float(arc.curvature(1.0)) == pytest.approx(5.0, rel=1e-12)
    assert arc.length == pytest.approx(10 * np.arcsin(0.8), rel=1e-12)


@pytest.mark.parametrize(("span", "rise"), [(4.0, 0.5), (4.0, 2.0), (2.0, 5.0)])
def test_catenary_identities(evidence: Evidence, span: float, rise: float) -> None:
    curve = directrix("catenary", span, rise)
    a = 1 / float(curve.curvature(curve.length / 2))
    assert a * (np.cosh(span / (2 * a)) - 1) == pytest.approx(rise, rel=1e-12)
    evidence(
        f"catenary length {span}/{rise}", 2 * a * np.sinh(span / 2 / a), curve.length, CALCULUS
    )
    assert curve.length == pytest.approx(2 * a * np.sinh(span / 2 / a), rel=1e-12)
    s = np.linspace(0, curve.length, 31)
    depth = a + rise - curve.at(s)[:, 1]
    assert np.allclose(depth**2, a**2 + (s - curve.length / 2) ** 2, rtol=1e-11)
    assert np.allclose(np.tan(curve.angle(s)), (curve.length / 2 - s) / a, rtol=1e-11, atol=1e-12)


def test_catenary_of_gateway_proportion(evidence: Evidence) -> None:
    """Area under the chord's axis: rise + a times span less a times arc (integral of cosh)."""
    curve = directrix("catenary", 3.0, 3.0)
    a = 1 / float(curve.curvature(curve.length / 2))
    area, _ = quad(lambda x: float(curve.height(x)), 0, 3.0, epsabs=1e-10)
    evidence("area under a catenary 3/3", (3 + a) * 3 - a * curve.length, area, CALCULUS)
    assert area == pytest.approx((3 + a) * 3 - a * curve.length, rel=1e-8)


def test_parabola_area_of_archimedes(evidence: Evidence) -> None:
    curve = directrix("parabola", 4.0, 1.1)
    area, _ = quad(lambda x: float(curve.height(x)), 0, 4.0, epsabs=1e-10)
    evidence("area under a parabola 4/1.1", 2 / 3 * 4 * 1.1, area, "Archimedes, 2/3 of rectangle")
    assert area == pytest.approx(2 / 3 * 4 * 1.1, rel=1e-9)


@pytest.mark.parametrize("rise", [0.4, 1.0, 3.0])
def test_parabola_length(evidence: Evidence, rise: float) -> None:
    curve = directrix("parabola", 4.0, rise)
    length, _ = quad(lambda x: np.hypot(1, 4 * rise * (4 - 2 * x) / 16), 0, 4, epsabs=1e-12)
    evidence(f"length of a parabola 4/{rise}", length, curve.length, "scipy quadrature")
    assert curve.length == pytest.approx(length, rel=1e-10)


@pytest.mark.parametrize(
    ("kind", "rise"), [("three-centre", 1.2), ("three-centre", 1.9), ("pointed", 3.0)]
)
def test_chained_arcs_length(evidence: Evidence, kind: str, rise: float) -> None:
    """Chord by chord, extrapolated: independent of how the arcs are stored."""
    curve = directrix(kind, 4.0, rise)

    def walked(n: int) -> float:
        s = np.unique(np.concatenate([np.linspace(a, b, n) for a, b in pairwise(curve.breaks)]))
        return float(np.hypot(*np.diff(curve.at(s), axis=0).T).sum())

    length = walked(2001) + (walked(2001) - walked(1001)) / 3
    evidence(f"length of a {kind} curve 4/{rise}", length, curve.length, "chords, extrapolated")
    assert curve.length == pytest.approx(length, rel=1e-10)


def test_three_centre_of_sixty_degrees(evidence: Evidence) -> None:
    """Common construction: three arcs of 60 degrees. With half span 1 and haunch radius r the crown
    radius is 2 - r and the rise is r (sqrt 3 - 1) + 2 - sqrt 3 (derived)."""
    r = 0.5
    curve = directrix("three-centre", 2.0, r * (np.sqrt(3) - 1) + 2 - np.sqrt(3))
    arcs = curve.trammel
    assert arcs is not None
    radii = [arc.radius for arc in arcs.arcs]
    evidence("three-centre, haunch radius", r, radii[0], "60 degree construction, derived")
    evidence("three-centre, crown radius", 2 - r, radii[1], "60 degree construction, derived")
    assert radii == pytest.approx([r, 2 - r, r], rel=1e-12)


def test_equilateral_pointed_arch(evidence: Evidence) -> None:
    """Struck from the two springings with the span as radius: rise = span sqrt(3)/2."""
    curve = directrix("pointed", 4.0, 4.0 * np.sqrt(3) / 2)
    arcs = curve.trammel
    assert arcs is not None
    evidence("equilateral pointed arch, radius", 4.0, arcs.arcs[0].radius, "geometry")
    evidence("its length", 4.0 * 2 * np.pi / 3, curve.length, "geometry")
    assert arcs.arcs[0].radius == pytest.approx(4.0)
    assert arcs.arcs[0].centre == pytest.approx((4.0, 0.0))
    assert curve.length == pytest.approx(4.0 * 2 * np.pi / 3)
