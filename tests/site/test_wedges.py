"""Folding wedges and what a lowering clears: geometry."""

from __future__ import annotations

import numpy as np
import pytest

from timbrel.site.wedges import clearance, drop_of, steepest_slope, wedge_pair


def test_a_wedge_of_one_in_eight_drops_an_eighth_of_its_slide() -> None:
    assert drop_of(0.080, 8) == pytest.approx(0.010)
    pair = wedge_pair(8, 0.300, 0.010)
    assert pair.slide == pytest.approx(0.080)
    assert pair.thick - pair.thin == pytest.approx(0.300 / 8)
    assert pair.travel == pytest.approx(0.150)
    assert pair.steps == 2


@pytest.mark.parametrize("taper", [4.0, 8.0, 15.0])
def test_two_drawn_wedges_lower_their_upper_face_as_computed(taper: float) -> None:
    """Draw both wedges as straight lines and slide the upper one: where do the faces meet?"""
    pair = wedge_pair(taper, 0.3, 0.01)

    # Lower wedge rises to the right; the upper one lies on it, its top level.
    def top(slide: float) -> float:
        x = np.linspace(slide, 0.3, 50)
        lower = pair.thin + x / taper
        upper = pair.thick - (x - slide) / taper
        faces = lower + upper
        assert np.ptp(faces) < 1e-12  # the outer faces stay parallel
        return float(faces[0])

    assert top(0.0) == pytest.approx(pair.set_height)
    # Driven the other way the pair rises; pulled by `slide` it drops.
    assert top(pair.slide) - top(0.0) == pytest.approx(pair.drop)


def test_lowering_clears_nothing_at_a_vertical_springing() -> None:
    slope = np.radians([0.0, 60.0, 90.0])
    assert clearance(slope, 0.010) == pytest.approx([0.010, 0.005, 0.0], abs=1e-15)
    stop = steepest_slope(0.010, 0.003)
    assert clearance(np.array([stop]), 0.010)[0] == pytest.approx(0.003)
