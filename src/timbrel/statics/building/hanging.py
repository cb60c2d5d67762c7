"""One tile on two glued edges, and a row of tiles that hangs before it closes.

The tile is rigid; the joint along each glued edge is a strip of binder as deep as the tile and as
wide as the joint, which gives in bending about its own line and in shear out of the tile's plane.
Three equations (one shift, two turns) share the weight between the edges; the greatest principal
tension in the joints is what the bond must carry (derived). Set binder is brittle, so the elastic
share counts even where one edge alone, fully used, would carry the tile.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

GRAVITY = 9.81
SHEAR_SHARE = 1 / 2.4
"""Shear modulus over Young's modulus of the binder, Poisson's ratio 0.2."""
POINTS = 24
"""Gauss points along a glued edge; the stresses are linear in it."""


@dataclass(frozen=True)
class Hanging:
    """Demand on the fresh joints of hanging tiles.

    tension: greatest principal tension (Pa). by_hand: the hand rule of the better edge carrying
    alone in bending, moment over t^2/6 (Pa), to compare.
    """

    tension: float
    by_hand: float


def hanging_tile(
    length: float,
    width: float,
    thickness: float,
    joint: float,
    density: float,
    slope: float,
    *,
    neighbour: bool = True,
) -> Hanging:
    """A tile glued along one long edge (its bed) and one short edge (its neighbour).

    Lengths in m, density in kg/m3; slope: angle of the tile from level (rad), 0 at the crown.
    neighbour: False for a tile that has only its bed to hang on.
    """
    pressure = density * GRAVITY * thickness * math.cos(slope)
    weight = pressure * length * width
    nodes, weights = np.polynomial.legendre.leggauss(POINTS)
    share = (nodes + 1) / 2
    along = np.column_stack([share * length, np.zeros(POINTS)])
    across = np.column_stack([np.zeros(POINTS), share * width])
    points = np.vstack([along, across])
    lengths = np.concatenate([weights * length / 2, weights * width / 2])
    on_long = np.repeat([True, False], POINTS)
    if not neighbour:
        points, lengths, on_long = points[:POINTS], lengths[:POINTS], on_long[:POINTS]

    # Per length of joint: shear out of plane G t / j, bending about its own line E t^3 / (12 j).
    shear = SHEAR_SHARE * thickness / joint
    bend = thickness**3 / (12 * joint)
    shift = np.column_stack([np.ones(len(points)), points[:, 1], -points[:, 0]])
    turn = np.column_stack([np.zeros(len(points)), on_long * 1.0, ~on_long * 1.0])
    stiffness = (shift * (lengths * shear)[:, None]).T @ shift
    stiffness += (turn * (lengths * bend)[:, None]).T @ turn
    moved = np.linalg.solve(stiffness, weight * np.array([1.0, width / 2, -length / 2]))
    slide = np.abs(shift @ moved) * shear / thickness
    pull = np.abs(turn @ moved) * bend * 6 / thickness**2
    principal = pull / 2 + np.sqrt((pull / 2) ** 2 + slide**2)
    alone = weight * 6 / thickness**2 * min(width / 2 / length, length / 2 / width)
    return Hanging(float(principal.max()), alone)


def hanging_row(
    arc: NDArray[np.float64], weight: NDArray[np.float64], thickness: float
) -> NDArray[np.float64]:
    """Tension at the springing joint when 1, 2, ... tiles of the first arch hang from it (Pa).

    arc: (n, 2) middles of the tiles from the springing up, springing at the origin (m); weight:
    (n,) weight of each tile a metre of axis (N/m). The row leans out like a bracket: moment over
    section, less the thrust along the springing joint, which is nothing while it hangs free.
    """
    moment = np.cumsum(weight * np.abs(arc[:, 0]))
    tension: NDArray[np.float64] = 6 * moment / thickness**2
    return tension
