"""Trimmers, rings and hooks against what a pencil gives.

Flat arch: a parabola under a level load w over L with rise f pushes w L2 / (8 f) (Heyman 1982, "The
Masonry Arch"; any text on statics). Greatest moment of a rectangular stress block of strength fd in a
depth d: fd t d2 / 4 (the block takes half of the depth). Thin ring under p: N = p r (Mariotte).
Cone at 45 degrees from a square plate: the critical girth at half of the depth, as for punching
(common practice, no source). Bars: EN 1992-1-1:2004, 3.2.7 and table 2.1N (from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from timbrel.statics.hooks import cone_resistance, hook_width, rod_resistance
from timbrel.statics.trimmer import bar_needed, bar_resistance, flat_arch, ring_thrust


def test_flat_arch_by_hand() -> None:
    """w = 8 kN/m over 0.8 m; ring 250 mm, shell 75 mm, fd 4 N/mm2.

    Moment 8 x 0.64 / 8 = 0.64 kN m. Block 4e6 x 0.05 = 200 kN/m; M max = 200e3 x 0.0625 / 4
    = 3.125 kN m; use 0.2048. Arm 0.125 (1 + sqrt 0.7952) = 0.2365 m; push 0.64/0.2365 = 2.706 kN.
    """
    arch = flat_arch(8e3, 0.8, 0.25, 0.075, 4e6)
    assert arch.use == pytest.approx(0.2048)
    assert arch.arm == pytest.approx(0.23647, abs=1e-5)
    assert arch.push == pytest.approx(2706.5, abs=1)
    assert arch.reaction == pytest.approx(3200.0)
    # Its block of stress is as deep as the arm leaves of the ring, and carries the push.
    block = 0.25 - arch.arm
    assert block * 4e6 * 0.05 == pytest.approx(arch.push, rel=1e-6)


@given(
    w=st.floats(1e3, 3e4), length=st.floats(0.2, 1.5), d=st.floats(0.12, 0.5),
    t=st.floats(0.04, 0.12),
)  # fmt: skip
def test_the_arm_is_where_push_and_block_agree(w: float, length: float, d: float, t: float) -> None:
    arch = flat_arch(w, length, d, t, 4e6)
    assert arch.use is not None
    if arch.use <= 1:
        assert arch.push * arch.arm == pytest.approx(w * length**2 / 8)
        assert (d - arch.arm) * 4e6 * 2 / 3 * t == pytest.approx(arch.push, rel=1e-6)
        assert d / 2 <= arch.arm <= d


def test_push_of_a_parabola_by_quadrature() -> None:
    """Half of the arch turned about its crown: H f = sum of w dx times its distance."""
    w, length = 5e3, 1.2
    arch = flat_arch(w, length, 0.3, 0.08, None)
    x = (np.arange(2000) + 0.5) / 2000 * length / 2
    moment = w * length / 2 * (length / 2) - float((w * length / 2 / 2000 * x).sum())
    assert arch.push * arch.arm == pytest.approx(moment, rel=1e-6)


def test_ring_by_hand() -> None:
    """6 kN/m on a ring of 0.4 m: 2.4 kN; and by summing the level part over half of the girth."""
    assert ring_thrust(6e3, 0.4) == pytest.approx(2400.0)
    turn = (np.arange(4000) + 0.5) / 4000 * math.pi
    across = float((6e3 * np.sin(turn) * 0.4 * math.pi / 4000).sum())
    assert ring_thrust(6e3, 0.4) == pytest.approx(across / 2, rel=1e-6)


def test_cone_by_hand() -> None:
    """Plate 120 mm through 75 mm, 0.2 / 2.5 = 0.08 N/mm2: 4 x 195 x 75 x 0.08 = 4 680 N.

    The cone's own face by geometry: a frustum of 120 to 270 mm over 75 mm has a mean girth of
    4 x 195 mm.
    """
    assert cone_resistance(0.120, 0.075, 0.08e6) == pytest.approx(4680.0)
    girth = (4 * 0.120 + 4 * 0.270) / 2
    assert girth == pytest.approx(4 * 0.195)
    assert hook_width(0.120, 0.075) == pytest.approx(0.270)
    # 100 mm from a free edge 35 mm of it are not there.
    assert hook_width(0.120, 0.075, 0.100, 3.0) == pytest.approx(0.235)


def test_rod_by_hand() -> None:
    """M10 of grade 4.6 (fu 400, fy 240): As 58.0 mm2 by ISO 898-1; 0.9 x 400 x 58.0 / 1.25 =
    16.7 kN; here by 0.78 of the rod's area, 61.3 mm2: 17.6 kN, within the thread's tolerance."""
    taken = rod_resistance(0.010, 400e6, 240e6, 1.25)
    assert taken == pytest.approx(0.9 * 400 * 0.78 * math.pi * 25 / 1.25, rel=1e-9)
    assert taken == pytest.approx(16.7e3, rel=0.06)


def test_bars_by_hand() -> None:
    """10 mm, 500 N/mm2: 78.5 mm2 x 434.8 = 34.1 kN; and the bar that is needed for it is 10 mm."""
    assert bar_resistance(0.010, 500e6) == pytest.approx(34.15e3, rel=1e-3)
    assert bar_needed(34.15e3, 500e6) == pytest.approx(0.010, rel=1e-3)
