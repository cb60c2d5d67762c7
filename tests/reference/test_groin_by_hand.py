"""A groin's thrust by hand: strips that land on diagonals, and half the vault about its springing.

Two equal parabolic barrels of rise f over a square of side a, even load w in plan. A strip of a web
at a distance y from its wall spans a - 2 y between the diagonals and rises f (a - 2 y)^2/a^2, so
every strip pushes alike: H = w L^2/(8 f_L) = w a^2/(8 f) a metre. At u from the middle (in plan along
either side) a diagonal has gathered H u from the webs on both sides and carries w u^2; its slope
dz/du = w u/H = 8 f u/a^2 is that of the groin. So the middle surface itself bears the load, and each
pier gets w a^2/4 down and w a^3/(16 f) along either side.

Bounds: half the vault about its springing, M = w a^2/2 * a/4 = T (z_crown - z_springing), T the
thrust of two piers. In a shell of plumb depth t the lever arm is at most f + t and at least f - t;
surfaces of that rise lie wholly in the shell, so both bounds are reached:

    least w a^3/(16 (f + t)), greatest w a^3/(16 (f - t)) a pier, along either side.

Source: derived from statics; slicing a groin into strips that land on its diagonals is common
practice (Heyman 1995, "The Stone Skeleton", from memory). References, form 3, without crushing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad

from timbrel.job.model import Job
from timbrel.shape.room import solve_room
from timbrel.shape.vault import shape_vault
from timbrel.statics.net import Net, NetAnswer, NetQuestion, draw_net
from timbrel.statics.net_fineness import grid_of
from timbrel.statics.net_grid import sheet_grid
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_lumping import area_load
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.plan_outlines import outline_of
from timbrel.words import say

Array = NDArray[np.float64]
TITLE = say("Load")
SOURCE = "statics: strips on diagonals, half the vault about its springing"
SIDE, RISE, DEEP, LOAD = 4.0, 1.0, 0.12, 2e3


@dataclass(frozen=True)
class ParabolicGroin:
    """Crossed parabolas over a square about the origin, of one plumb depth."""

    side: float
    rise: float
    thickness: float
    beds: tuple[float, ...] = ()

    def lines(self, u: Array, v: Array) -> tuple[Array, Array]:
        x, y = (self.side * (np.asarray(t) - 0.5) for t in np.broadcast_arrays(u, v))
        up = np.zeros((*x.shape, 3))
        up[..., 2] = self.thickness / 2
        return np.stack([x, y, self._level(x, y)], axis=-1), up

    def offset(self, points: Array, guess: Array) -> Array:
        x, y, z = np.moveaxis(points, -1, 0)
        return np.asarray(z - self._level(x, y))

    def _level(self, x: Array, y: Array) -> Array:
        # The higher of the two barrels stands: the one on whose crown line the point lies nearer.
        return np.asarray(self.rise * (1 - (2 * np.minimum(np.abs(x), np.abs(y)) / self.side) ** 2))


def parabolic(steps: int) -> tuple[Net, NetLoad]:
    from shapely import box

    solid = ParabolicGroin(SIDE, RISE, DEEP)
    even = np.linspace(0, 1, steps + 1)
    grid = sheet_grid(solid, even, even, piers=(0, 0, 0, 0), creased=True)
    whole = box(-SIDE / 2, -SIDE / 2, SIDE / 2, SIDE / 2)
    return draw_net(solid, grid), area_load(grid, "w", TITLE, whole, LOAD, 0)


def at_pier(net: Net, answer: NetAnswer, pier: int = 0) -> Array:
    """Outward thrust along both sides and the load (3,) that a pier gets."""
    nodes = net.grid.supports[pier].nodes
    got = -answer.reaction[nodes].sum(axis=0)
    return np.array([abs(got[0]), abs(got[1]), -got[2]])


def test_the_thrust_of_a_parabolic_groin(evidence: Any) -> None:
    membrane = LOAD * SIDE**3 / (16 * RISE)
    least = LOAD * SIDE**3 / (16 * (RISE + DEEP))
    greatest = LOAD * SIDE**3 / (16 * (RISE - DEEP))
    found: dict[int, list[float]] = {}
    for steps in (8, 16):
        net, load = parabolic(steps)
        found[steps] = []
        for way in (True, False):
            answer = NetQuestion(net, load).thrust(least=way)
            assert answer is not None
            thrusts = [at_pier(net, answer, k) for k in range(4)]
            for one in thrusts:
                assert one == pytest.approx(thrusts[0], rel=1e-6)
                # Vertical equilibrium of a quarter, and thrust along its diagonal.
                assert one[2] == pytest.approx(LOAD * SIDE**2 / 4, rel=1e-6)
                assert one[0] == pytest.approx(one[1], rel=1e-6)
            found[steps].append(float(thrusts[0][0]))
    for low, high in found.values():
        # What a net finds lies between the bounds of statics, on both sides of the membrane.
        assert least * (1 - 1e-6) <= low < membrane < high <= greatest * (1 + 1e-6)
    assert found[16][0] < found[8][0] and found[16][1] > found[8][1]
    assert found[16][0] == pytest.approx(least, rel=0.01)
    assert found[16][1] == pytest.approx(greatest, rel=0.01)
    evidence("parabolic groin, least thrust of a pier (N)", least, found[16][0], SOURCE)
    evidence("parabolic groin, greatest thrust of a pier (N)", greatest, found[16][1], SOURCE)


def test_the_strips_alone_are_the_membrane() -> None:
    """The derivation in figures: strips summed by quadrature, the diagonal followed step by step."""

    def strip(y: float) -> float:
        long = SIDE - 2 * y
        return LOAD * long**2 / (8 * RISE * long**2 / SIDE**2)

    gathered = quad(strip, 0.0, SIDE / 2)[0]
    assert gathered == pytest.approx(LOAD * SIDE**3 / (16 * RISE))
    u = np.linspace(0, SIDE / 2, 4001)
    middles = (u[1:] + u[:-1]) / 2
    slope = LOAD * middles**2 / (strip(0.0) * middles)
    level = RISE - np.concatenate([[0.0], np.cumsum(slope * np.diff(u))])
    assert level == pytest.approx(RISE * (1 - (2 * u / SIDE) ** 2), abs=1e-9)


@pytest.mark.parametrize("directrix", ["segment", "parabola"])
def test_a_groin_of_tiles_against_half_of_it(directrix: str, evidence: Any) -> None:
    """A job's own groin, thickness square to the faces: two piers together push M/arm, the arm at most
    from the lowest masonry on the corners to the highest at the crown, at least the other way
    round. The thrust through the middle of both, M/f, lies between what the net finds least and
    greatest, whatever the curve."""
    side, rise, load = 4.0, 1.0, 2e3
    job = Job.model_validate(
        {
            "format": 1,
            "job": {"title": "Trial"},
            "room": {
                **{"AB": 4000, "BC": 4000, "CD": 4000, "DA": 4000, "AC": 5656.854, "BD": 5656.854},
                "levels": {"A": 0, "B": 0, "C": 0, "D": 0},
            },
            "curve": {"family": "groin", "directrix": directrix, "rise": 1000, "line": "axis"},
            "tiles": {"thick": {"length": 280, "width": 140, "thickness": 50}},
            "binders": {"mortar": {"kind": "mortar"}},
            "layers": [{"tile": "thick", "binder": "mortar"}] * 2,
        }
    )
    vault = shape_vault(job, solve_room(job.room))
    solid = solid_of(vault)
    net = draw_net(solid, grid_of(solid, 16))
    weight = area_load(net.grid, "w", TITLE, outline_of(vault), load, len(solid.beds))
    pair = []
    for way in (True, False):
        answer = NetQuestion(net, weight).thrust(least=way)
        assert answer is not None
        pair.append(at_pier(net, answer))
    half = load * side**2 / 2 * side / 4
    crown = net.grid.middle[:, 2].argmax()
    corner = net.grid.supports[0].nodes[0]
    top, foot = (
        [float(face[k, 2]) for face in (net.grid.inner, net.grid.outer)] for k in (crown, corner)
    )
    least, greatest = half / (top[1] - foot[0]) / 2, half / (top[0] - foot[1]) / 2
    assert least * (1 - 1e-4) < pair[0][0] < pair[1][0] < greatest * (1 + 1e-4)

    hand = half / rise / 2
    assert pair[0][0] < hand < pair[1][0]
    evidence(f"groin ({directrix}), thrust by half of it (N)", hand, float(pair[0][0]), SOURCE)
