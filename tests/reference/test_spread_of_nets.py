"""A vault that follows its supports by a net, against exact geometry of rigid parts and against the
strip.

*Three hinges.* A barrel whose springings come apart opens at three hinges; two rigid halves keep
their chords, and the crown comes down as a circle over each foot says (geometry, exact). The strip
of the same barrel finds the hinges by its own program, moves its joints and asks for the least
thrust of what it has become (statics/spread.py, which is tested by itself). Hinges at the joints of
the strip and at the lines of the net lie a little apart. After Heyman 1995, "The stone skeleton"
(from memory): an arch that spreads comes to its least thrust, on three hinges.
"""

from __future__ import annotations

import numpy as np
import pytest
from tests.statics.test_net import UNIT, barrel_net, half_loaded

from timbrel.statics.net import outward_of
from timbrel.statics.net_follow import follow
from timbrel.statics.spread import after_movement
from timbrel.statics.strip import Strip, StripLoad
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.words import say

RADIUS, ANGLE, THICK, JOINTS = 3.0, 0.9, 0.09, 320


def the_strip() -> tuple[Strip, StripLoad]:
    joints = np.linspace(-ANGLE, ANGLE, JOINTS + 1)
    faces = [
        np.stack([r * np.sin(joints), r * np.cos(joints)], axis=1)
        for r in (RADIUS - THICK / 2, RADIUS + THICK / 2)
    ]
    middle, step = (joints[1:] + joints[:-1]) / 2, joints[1] - joints[0]
    at = RADIUS * np.stack([np.sin(middle), np.cos(middle)], axis=1) * np.sinc(step / 2 / np.pi)
    weight = np.stack([0 * middle, np.full(JOINTS, -UNIT * THICK * RADIUS * step)], axis=1)
    return Strip(*faces), StripLoad("dead", say("Dead load"), weight, at)


@pytest.mark.parametrize("spread", [0.002, 0.005])
def test_a_barrel_by_the_net_and_by_the_strip(spread, evidence):
    strip, load = the_strip()
    program = ThrustProgram(strip, load.wrench, np.zeros((0, JOINTS, 3)))
    least = program.least_thrust()
    assert least is not None
    moved = after_movement(strip, (load,), least.line, spread)
    assert moved is not None and moved.least is not None
    net = barrel_net(60)
    dead, _ = half_loaded(net)
    apart = np.zeros((net.grid.size, 3))
    apart[:, :2] = outward_of(net.grid) * spread / 2
    found = follow(net, dead, apart)
    assert found is not None
    grown = [
        -float(np.einsum("na,na->", r[:, :2], outward_of(net.grid)))
        for r in (found.reaction, found.still)
    ]
    ours, theirs = grown[0] / grown[1] - 1, moved.least / least.line.thrust - 1
    evidence("drop of a barrel that spreads, m", moved.drop, found.drop, "strip on three hinges")
    evidence("growth of its least thrust", theirs, ours, "strip on three hinges")
    assert found.drop == pytest.approx(moved.drop, rel=0.02)
    assert ours == pytest.approx(theirs, rel=0.08)


def test_an_arch_that_sinks_at_one_foot_comes_down_in_proportion(evidence):
    """Level motion of nothing: the hinges stay as far apart as they were, every part turns, and the
    crown sinks by half of what one foot does (geometry, to the first order)."""
    net = barrel_net(60)
    dead, _ = half_loaded(net)
    down = np.zeros((net.grid.size, 3))
    down[net.grid.supports[0].nodes, 2] = -0.004
    found = follow(net, dead, down)
    assert found is not None
    crown = np.argmin(np.abs(net.grid.middle[:, 0]))
    evidence("crown over a foot that sinks 4 mm, m", 0.002, -found.shift[crown, 2], "geometry")
    assert -found.shift[crown, 2] == pytest.approx(0.002, rel=0.25)
