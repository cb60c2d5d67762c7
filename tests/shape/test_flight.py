"""The flight: seats at two heights, a long section that keeps its rise, refusals."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from timbrel.words import TimbrelError

Vault = Callable[..., Any]
STAIR = [[0, 0, 0], [3, 0, 1.8], [3.1, 1.2, 1.82], [0, 1.25, 0]]

each_curve = pytest.mark.parametrize("kind", ["segment", "parabola", "catenary"])


@each_curve
def test_springs_from_landing_to_landing(vault: Vault, kind: str) -> None:
    shell = vault(kind, STAIR, family="flight", rise=350)
    assert shell.family == "flight"
    assert np.allclose(shell.point([0, 1, 1, 0], [0, 0, 1, 1]), STAIR, atol=1e-9)
    s = np.linspace(0, shell.near.length, 4001)
    # Square to the chord; the chain's is set off plumb at mid run, 1 mm from that.
    highest = shell.near.at(s)[:, 1].max()
    assert highest == pytest.approx(0.35, abs=1e-3 if kind == "catenary" else 1e-6)
    steps = np.hypot(*np.diff(shell.near.at(s), axis=0).T)
    assert steps.sum() == pytest.approx(shell.near.length, rel=1e-6)


def test_the_chain_hangs_plumb(vault: Vault) -> None:
    """A catenary between unequal heights: tan(angle) grows evenly with the arc, about the plumb."""
    shell = vault("catenary", STAIR, family="flight", rise=350)
    s = np.linspace(0, shell.near.length, 101)
    slope = np.tan(shell.near.angle(s) + shell.slope)
    assert np.ptp(np.diff(slope)) < 1e-12
    points = shell.point(s / shell.near.length, 0.0)
    middle = np.interp(1.5, points[:, 0], points[:, 2])
    assert middle - 0.9 == pytest.approx(0.35 / np.cos(shell.slope), abs=1e-4)


def test_the_parabola_has_an_even_second_difference(vault: Vault) -> None:
    shell = vault("parabola", STAIR, family="flight", rise=350)
    x = np.linspace(0.1, 2.9, 15)
    z = shell.height(x, np.zeros_like(x) + 1e-9)
    assert np.allclose(np.diff(z, 2), np.diff(z, 2)[0], atol=1e-8)


@each_curve
def test_offsets_and_developments(vault: Vault, kind: str) -> None:
    shell = vault(kind, STAIR, family="flight", rise=350, line="axis")
    flat = shell.develop(0.03)
    assert flat.outline.area == pytest.approx(shell.area(0.03), rel=5 * flat.strain + 1e-6)
    inner, outer = shell.joints(0.5, np.linspace(0, 1, 17))
    assert np.allclose(np.linalg.norm(outer - inner, axis=1), shell.thickness, rtol=2e-3)


def test_refusals(vault: Vault) -> None:
    for kind, room, rise, key in (
        ("pointed", STAIR, 2000, "curve.directrix"),
        ("segment", [[0, 0, 0], [3, 0, 0.1], [3, 1, 0.1], [0, 1, 0]], 350, "room.levels"),
        ("segment", STAIR, 1500, "curve.rise"),
    ):
        with pytest.raises(TimbrelError) as refusal:
            vault(kind, room, family="flight", rise=rise)
        assert refusal.value.key == key
