"""Support spread with hinges at the springings and the crown (derived, closed form 4).

Rigid halves: c = sqrt(a^2 + r^2) keeps its length, a + spread/2 = c cos(beta - theta).
"""

import math

import numpy as np
import pytest

from timbrel.statics.spread import after_movement, greatest_spread, meeting
from timbrel.statics.strip import Strip, StripLoad
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.words import say

N, L, F, T = 60, 4.0, 0.9, 0.12


def shallow() -> tuple[Strip, StripLoad]:
    """A parabola whose least line touches the intrados at both springings."""
    x = np.linspace(-L / 2, L / 2, N + 1)
    axis = F * (1 - (2 * x / L) ** 2)
    strip = Strip(np.column_stack([x, axis - T / 2]), np.column_stack([x, axis + T / 2]))
    at = np.column_stack([(x[1:] + x[:-1]) / 2, (axis[1:] + axis[:-1]) / 2])
    force = np.column_stack([np.zeros(N), -3e3 * np.diff(x)])
    return strip, StripLoad("layers", say("Layers"), force, at)


@pytest.mark.parametrize("spread", [0.002, 0.02, 0.1])
def test_exact_rotation(spread, evidence):
    strip, load = shallow()
    program = ThrustProgram(strip, load.wrench, np.zeros((0, N, 3)))
    line = program.least_thrust().line
    moved = after_movement(strip, (load,), line, spread)
    a, r = L / 2, F + T  # intrados at the springing to extrados at the crown
    c, beta = math.hypot(a, r), math.atan2(r, a)
    theta = beta - math.acos((a + spread / 2) / c)
    drop = r - c * math.sin(beta - theta)
    evidence(
        f"crown drop at {spread * 1e3:.0f} mm of spread (m)", drop, moved.drop, "closed form 4"
    )
    assert moved.drop == pytest.approx(drop, rel=1e-9)
    assert moved.turns[0] == pytest.approx(-theta, rel=1e-9)
    assert moved.turns[1] == pytest.approx(theta, rel=1e-9)
    # Three hinges make the thrust determinate: half the load about the crown.
    x, z = load.at.T
    left = x < 0
    now = math.cos(theta) * (x[left] + a) + math.sin(theta) * (z[left] + T / 2) - a
    weight = -load.force[left, 1]
    reaction = float(weight.sum())
    crown_x = spread / 2
    thrust = (reaction * (crown_x + a) - float((weight * (crown_x - now)).sum())) / (r - drop)
    evidence(f"thrust at {spread * 1e3:.0f} mm of spread", thrust, moved.least, "three hinges")
    assert moved.least == pytest.approx(thrust, rel=5e-3)


def test_thrust_grows_as_the_springings_part():
    strip, load = shallow()
    line = ThrustProgram(strip, load.wrench, np.zeros((0, N, 3))).least_thrust().line
    values = [after_movement(strip, (load,), line, s).least for s in (0.0, 0.01, 0.05, 0.1)]
    assert values == sorted(values)


def test_there_is_a_greatest_spread():
    strip, load = shallow()
    line = ThrustProgram(strip, load.wrench, np.zeros((0, N, 3))).least_thrust().line
    most = greatest_spread(strip, (load,), line, 2.0)
    assert 0.05 < most < 1.0
    assert after_movement(strip, (load,), line, most).least is not None
    beyond = after_movement(strip, (load,), line, most * 1.01)
    assert beyond is None or beyond.least is None


def test_settlement_turns_both_parts():
    strip, load = shallow()
    line = ThrustProgram(strip, load.wrench, np.zeros((0, N, 3))).least_thrust().line
    moved = after_movement(strip, (load,), line, 0.0, -0.03)
    assert moved.drop > 0
    assert moved.least is not None


def test_parts_out_of_reach_do_not_meet():
    assert meeting(np.zeros(2), np.array([3.0, 0.0]), 1.0, 1.0) is None
    top = meeting(np.zeros(2), np.array([6.0, 0.0]), 5.0, 5.0)
    assert top == pytest.approx([3.0, 4.0])
