"""Closed forms of strips (derived in the shared references, forms 1 to 4, and the cable).

1. Parabola, vertical joints, live load on half the span: p = k w / (1 - k/2), k = (3 + 2 sqrt 2)
   t/f, inner hinges at (sqrt 2 - 1) L/2 from the middle.
2. Circle, radial joints, symmetric load: least and greatest thrust from moments about the joint
   ends, the crown's hinge at the extrados and at the intrados. The greatest thrust of a whole
   semicircle is left out: there the line from the crown's intrados would dip out of the ring.
3. Parabola with limited strength: H (f + t - H/f_c) = w L^2/8 at least thrust, H (f - t + H/f_c)
   at greatest.
4. The same parabola needs least strength, H / t = w L^2 / (8 f t), with the line in its axis (as
   long as t < f: a flatter line gains less thrust than it loses depth).
Cable: a thrust line of rise f under a uniform load pushes w L^2/(8 f).
"""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

from timbrel.statics.crushing import needed_strength
from timbrel.statics.kinematic import bound_factor, bound_thrust
from timbrel.statics.strip import Strip
from timbrel.statics.thrust_program import ThrustProgram

L, F, T, W = 4.0, 1.0, 0.08, 3e3
JOINTS = 401
SOURCE = "derived"


def parabola(t: float = T, **limits: float) -> tuple[Strip, np.ndarray, np.ndarray]:
    """Strip with vertical joints, its dead load w, and the same load on the right half."""
    x = np.linspace(-L / 2, L / 2, JOINTS)
    axis = F * (1 - (2 * x / L) ** 2)
    strip = Strip(np.column_stack([x, axis - t / 2]), np.column_stack([x, axis + t / 2]), **limits)
    middle = (x[1:] + x[:-1]) / 2
    weight = W * np.diff(x)
    dead = np.column_stack([0 * middle, -weight, -middle * weight])
    return strip, dead, dead * (middle > 0)[:, None]


def test_form_1_half_load_on_a_parabola(evidence):
    strip, dead, half = parabola()
    found = ThrustProgram(strip, dead, half[None]).load_factor(0)
    k = (3 + 2 * np.sqrt(2)) * T / F
    expected = k / (1 - k / 2)
    ours = float(found.factors[0])
    evidence("half load a parabola bears, over its dead load", expected, ours, SOURCE)
    assert ours == pytest.approx(expected, rel=2e-4)
    inner = [h.x for h in found.line.hinges() if 0 < h.joint < JOINTS - 1]
    assert np.abs(inner) == pytest.approx((np.sqrt(2) - 1) * L / 2, abs=L / JOINTS)
    mechanism = bound_factor(strip, dead, half, found.line)
    assert mechanism.bound == pytest.approx(ours, rel=1e-6)


def moment(angle: float, r: float, ri: float, ro: float) -> float:
    """Moment of a ring of unit weight between crown and angle about its point at radius r."""

    def arm(b: float) -> float:
        return (r * np.sin(angle)) * (ro**2 - ri**2) / 2 - np.sin(b) * (ro**3 - ri**3) / 3

    return quad(arm, 0, angle)[0]


@pytest.mark.parametrize("half_angle", [0.7, 1.2, np.pi / 2])
def test_form_2_thrusts_of_a_ring(half_angle, evidence):
    ri, ro = 1.9, 2.15
    a = np.linspace(-half_angle, half_angle, JOINTS)
    way = np.column_stack([np.sin(a), np.cos(a)])
    step = (a[1] - a[0]) / 2
    reach = 2 / 3 * (ro**3 - ri**3) / (ro**2 - ri**2) * np.sin(step) / step
    x = reach * np.sin((a[1:] + a[:-1]) / 2)
    weight = step * (ro**2 - ri**2) * np.ones(len(x))
    strip = Strip(ri * way, ro * way)
    dead = np.column_stack([0 * x, -weight, -x * weight])
    program = ThrustProgram(strip, dead, np.zeros((0, len(x), 3)))

    def least_at(b: float) -> float:
        return moment(b, ri, ri, ro) / (ro - ri * np.cos(b))

    def greatest_at(b: float) -> float:
        gap = ri - ro * np.cos(b)
        return moment(b, ro, ri, ro) / gap if gap > 1e-9 else np.inf

    angles = np.linspace(0.02, half_angle, 4001)
    least = max(least_at(b) for b in angles)
    greatest = min(greatest_at(b) for b in angles)
    lines = program.least_thrust().line, program.greatest_thrust().line
    rows = [("least", least, lines[0], True), ("greatest", greatest, lines[1], False)]
    for what, expected, line, is_least in rows[: 1 if half_angle > 1.5 else 2]:
        label = f"{what} thrust of a ring, half angle {half_angle:.2f}"
        evidence(label, expected, line.thrust, SOURCE)
        assert line.thrust == pytest.approx(expected, rel=2e-4)
        mechanism = bound_thrust(strip, dead, line, least=is_least)
        assert mechanism.bound == pytest.approx(line.thrust, rel=1e-6)


def test_form_3_stress_block_on_a_parabola(evidence):
    strength = 0.4e6
    strip, dead, _ = parabola(crushing=strength)
    program = ThrustProgram(strip, dead, np.zeros((0, JOINTS - 1, 3)))
    moment_ = W * L**2 / 8
    least = brentq(lambda H: H * (F + T - H / strength) - moment_, 1e3, 1e4)
    greatest = brentq(lambda H: H * (F - T + H / strength) - moment_, 1e3, 1e4)
    for what, expected, found in (
        ("least", least, program.least_thrust()),
        ("greatest", greatest, program.greatest_thrust()),
    ):
        evidence(f"{what} thrust with a stress block", expected, found.line.thrust, SOURCE)
        assert found.line.thrust == pytest.approx(expected, rel=1e-4)


def test_chords_of_the_stress_block_are_safe():
    strip, dead, half = parabola(crushing=0.4e6)
    program = ThrustProgram(strip, dead, half[None])
    for found in (program.least_thrust(), program.greatest_thrust(), program.load_factor(0)):
        line = found.line
        edge = np.minimum(line.position, line.thickness - line.position)
        assert np.all(line.normal <= 0.4e6 * 2 * edge * (1 + 1e-6))


def test_form_4_strength_that_a_parabola_needs(evidence):
    strip, dead, _ = parabola(crushing=5e6)
    expected = W * L**2 / (8 * F * T)
    ours = needed_strength(strip, dead)
    evidence("strength that a parabola needs", expected, ours, SOURCE)
    assert ours == pytest.approx(expected, rel=2e-4)
    assert ours >= expected * (1 - 1e-9)


def test_cable(evidence):
    strip, dead, _ = parabola(t=1e-4)
    thrust = ThrustProgram(strip, dead, np.zeros((0, JOINTS - 1, 3))).least_thrust().line.thrust
    evidence("thrust of a thin parabola under uniform load", W * L**2 / (8 * F), thrust, "statics")
    assert thrust == pytest.approx(W * L**2 / (8 * (F + 1e-4)), rel=1e-6)


def test_form_2_is_governed_inside_the_span():
    """The hinge of least thrust need not be at the springing (so the search must look inside)."""
    ri, ro = 1.9, 2.15
    best = minimize_scalar(
        lambda b: -moment(b, ri, ri, ro) / (ro - ri * np.cos(b)),
        bounds=(0.1, 1.57),
        method="bounded",
    )
    assert best.x < 1.4
