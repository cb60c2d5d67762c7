"""A rectangular bed without tension, pressed off both middle lines: closed forms.

Kern of a rectangle: ex/b + ey/h = 1/6 (strength of materials, any text). Pressed corner (derived):
where the edge of the pressed part cuts off a corner the stress is a pyramid, whose middle stands a
quarter of the legs in: legs 4 ax and 4 ay, area 8 ax ay, stress at the corner 3 N/(8 ax ay), with
ax, ay the distances of the resultant from the two faces, both under a quarter of the side. Block of
stress (EN 1996-1-1 6.1.1, Meyerhof 1953 B - 2e; both from memory): (b - 2 ex)(h - 2 ey).
"""

import numpy as np
import pytest

from timbrel.statics.cracked_pier import CELLS, PierLoads, descend_pier
from timbrel.statics.pier_shape import Bed, PierShape


@pytest.mark.parametrize(("share", "angle"), [(0.5, 0.0), (0.3, 0.4), (0.8, 0.785), (1.0, 1.2)])
def test_kern_of_a_rectangle(share, angle, evidence):
    bed = Bed(((-0.6, -0.4, 0.6, 0.4),))
    direction = np.array([np.cos(angle), np.sin(angle)])
    edge = 1 / 6 / (abs(direction[0]) / 1.2 + abs(direction[1]) / 0.8)
    ours = float(bed.kern_use(share * edge * direction))
    evidence(f"kern of a rectangle used at {share}", share, ours, "ex/b + ey/h = 1/6")
    assert ours == pytest.approx(share)


@pytest.mark.parametrize(("ax", "ay"), [(0.2, 0.2), (0.24, 0.15), (0.12, 0.22)])
def test_pressed_corner(ax, ay, evidence):
    """A bed of 1 m square without weight, the resultant ax and ay from two of its faces."""
    away = np.array([0.5 - ax, 0.5 - ay])
    down = descend_pier(PierShape(1.0, 1.0, 0.0), PierLoads(1e4, away * 1e4))
    assert not down.fallen
    evidence("area of a pressed corner (m2)", 8 * ax * ay, down.pressed[-1], "pyramid, derived")
    assert down.pressed[-1] == pytest.approx(8 * ax * ay, rel=5 / CELLS)
    assert down.stress[-1] == pytest.approx(3e4 / (8 * ax * ay), rel=8 / CELLS)
    assert down.at[-1] == pytest.approx(away)


def test_block_both_ways(evidence):
    bed = Bed(((-0.6, -0.4, 0.6, 0.4),))
    ours = float(bed.block(np.array([0.25, -0.1])))
    evidence("block of a 1.2 by 0.8 m bed (m2)", 0.42, ours, "(b - 2 ex)(h - 2 ey)")
    assert ours == pytest.approx(0.7 * 0.6)
    assert float(bed.block(np.array([0.61, 0.0]))) == 0.0


def test_block_by_counting_squares():
    """The part of an L that lies point for point about the resultant, counted on a fine grid."""
    bed = Bed(((-0.4, -0.4, 0.4, 0.4), (0.4, -0.2, 1.0, 0.2), (-0.2, 0.4, 0.2, 0.9)))
    step = 0.005
    x, y = np.meshgrid(np.arange(-2, 3, step) + step / 2, np.arange(-2, 3, step) + step / 2)

    def within(px, py):
        return np.any([(px > a) & (px < c) & (py > b) & (py < d) for a, b, c, d in bed.boxes], 0)

    for at in (np.array([0.1, 0.05]), np.array([0.5, 0.1]), np.array([-0.1, 0.5])):
        counted = (within(x, y) & within(2 * at[0] - x, 2 * at[1] - y)).sum() * step**2
        assert float(bed.block(at)) == pytest.approx(counted, rel=0.02)
