"""Crushing in the net against closed forms: a flat and a low arch, and a force along a diagonal.

An arch of rise f and depth t under an even load w a metre of span L: the thrust line rises by
w L^2/(8 H), for which blocks of stress of depth H/f_c leave f + t - H/f_c between the crown and
the springings (Heyman 1982, "The Masonry Arch", ch. 2, the rectangular block of stress), so that
w = 8 H (f + t - H/f_c)/L^2, greatest at H = f_c (f + t)/2. A flat arch bears 2 f_c t^2/L^2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from timbrel.statics.net import NetQuestion, crushing_of, draw_net
from timbrel.statics.net_faces import FaceForces
from timbrel.statics.net_grid import sheet_grid
from timbrel.statics.net_loads import lump, own_weight, pieces
from timbrel.statics.net_struts import Struts
from timbrel.words import say

Array = NDArray[np.float64]
TITLE = say("Load")
SPAN, BREADTH, DEPTH, STRENGTH = 2.0, 0.5, 0.1, 1e6


@dataclass(frozen=True)
class LowArch:
    """A parabolic arch along x whose lines stand plumb, one thickness plumb."""

    rise: float
    thickness: float = DEPTH
    beds: tuple[float, ...] = ()

    def _level(self, x: Array) -> Array:
        return self.rise * (1 - (2 * x / SPAN - 1) ** 2)

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        x = u * SPAN
        middle = np.stack([x, v * BREADTH, self._level(x)], axis=-1)
        return middle, np.zeros_like(middle) + np.array([0.0, 0.0, self.thickness / 2])

    def offset(self, points: Array, guess: Array) -> Array:
        return np.asarray(points[..., 2] - self._level(points[..., 0]))


def borne(rise: float, steps: int) -> float:
    """The even load (N/m2 of plan) that the net of a low arch bears."""
    solid = LowArch(rise)
    u, v = np.linspace(0, 1, steps + 1), np.linspace(0, 1, 3)
    grid = sheet_grid(solid, u, v, edges=("free", "wall", "free", "wall"))
    net = draw_net(solid, grid, 2)
    parts = pieces(solid, grid)
    dead = lump(grid, parts, "dead", TITLE, own_weight(solid, parts, 1e6), ())
    share = NetQuestion(net, dead, crushing=crushing_of(net, STRENGTH)).share_of_dead()
    return share * dead.total / (SPAN * BREADTH)


@pytest.mark.parametrize("rise", [0.0, 0.02, 0.06])
def test_low_arch(rise: float, evidence) -> None:
    """From below at every fineness: the moment is greatest on the line at the crown."""
    thrust = STRENGTH * (rise + DEPTH) / 2
    wanted = 8 * thrust * (rise + DEPTH - thrust / STRENGTH) / SPAN**2
    found = [borne(rise, steps) for steps in (4, 8, 16)]
    evidence(f"even load on an arch of rise {rise} m, N/m2", wanted, found[-1], "Heyman 1982")
    assert max(found) <= wanted * (1 + 1e-6)
    assert found[-1] == pytest.approx(wanted, rel=0.015)


def test_a_force_along_the_diagonal() -> None:
    """Equal forces F from every line to the next over the diagonal of square cells of side h press
    by the square root of two F/h a metre; square to it there is nothing. Derived by hand."""
    solid, steps = LowArch(0.0), 6
    even = np.linspace(0, 1, steps + 1)
    grid = sheet_grid(solid, even, even * SPAN / BREADTH, edges=("wall",) * 4)
    number = {(int(r), int(c)): k for k, (r, c) in enumerate(grid.place)}
    pairs = [(number[r, c], number[r + 1, c + 1]) for r in range(steps) for c in range(steps)]
    i, j = np.array(pairs).T
    struts = Struts(i, j, np.zeros(len(i)), np.zeros(len(i)))
    forces = FaceForces(solid, grid, struts)
    square, _ = forces.state(np.ones(len(i)))
    faces, side = forces.faces, SPAN / steps
    run = grid.middle[j[0]] - grid.middle[i[0]]
    along = np.abs(faces.square @ run) / np.linalg.norm(run)
    inner = faces.on_line & ((faces.place > 0) & (faces.place < steps)).all(axis=1)
    across = inner & (along > 0.99)
    assert across.sum() == 2 * (steps - 1) ** 2
    assert square[across] / faces.width[across] == pytest.approx(np.sqrt(2) / side, rel=1e-6)
    assert square[inner & (along < 0.01)] == pytest.approx(0.0, abs=1e-12)
    straight = inner & (along > 0.7) & (along < 0.72)
    assert square[straight] / faces.width[straight] == pytest.approx(
        1 / np.sqrt(2) / side, rel=1e-3
    )
