"""How much strength the vault needs: the least strength at which a block of stress finds room.

With strength f, a block of depth d at a face carries f d about a lever of d / 2; so a joint with
the normal force N and the moment M about that face has room when, for every depth d,

    M >= N d - f d^2 / 2,        which is N^2 <= 2 f M at the depth N / f.

Each depth is one linear row over the springing and f. They are taken up where the last answer
breaks them, at the depth that it asks for, so that f comes up from below (Kelley 1960, "The
cutting-plane method for solving convex programs"), until the line that is found needs no more than
a ten-thousandth over it. What is told is what that line needs: the safe side.

Stress block: EN 1996-1-1:2005 6.1.1.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.joint_rows import JointRows
from timbrel.statics.row_exchange import Broken, State, exchange
from timbrel.statics.strip import Array, Strip
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.statics.thrust_rows import StripRows

CLOSE = 1e-4  # share by which the line that is told may need more than the bound
FREE = 1e7  # bound on the scaled unknowns at the springing
STRONGEST = 1e5  # bound on the scaled strength; beyond it no strength would do
WEAK, STRONG = 1.0, 1e12  # N/m2, between which strengths are looked for by halving
NEARLY = 1e-3  # scaled amount by which rows may be broken for the blocks to be looked at


def needed_strength(strip: Strip, loads: Array) -> float:
    """Least crushing strength (N/m2) at which a strip carries loads ((n, 3) wrenches).

    Met within a ten-thousandth, on the safe side. Infinite when no strength would do. The strip's
    own strength counts for nothing.
    """
    return needed_strengths([(strip, loads)])[0]


def needed_strengths(asked: Sequence[tuple[Strip, Array]]) -> list[float]:
    """As :func:`needed_strength`, of several strips (all of as many joints) and loads together."""
    joints = [JointRows(strip, w, np.zeros((0, strip.voussoirs, 3))) for strip, w in asked]
    scale = np.array([2 * (j.length / j.strip.thickness.max()) ** 2 for j in joints])
    rows = _BlockRows([StripRows(j) for j in joints], joints, scale)
    goal = np.tile([0.0, 0.0, 0.0, 1.0], (len(asked), 1))
    low = np.tile([-FREE, -FREE, -FREE, 0.0], (len(asked), 1))
    high = np.tile([FREE, FREE, FREE, STRONGEST], (len(asked), 1))
    done = exchange(rows, goal, low, high)
    found: list[float] = []
    for i, state in enumerate(done.state):
        if state == State.SOLVED:
            found.append(_needed(joints[i], done.x[i]))
        else:
            found.append(math.inf if state == State.REFUSED else _halved(*asked[i]))
    return found


def _halved(strip: Strip, loads: Array) -> float:
    """The same by halving between strengths that do not do and that do, on the logarithm."""

    def stands(strength: float) -> bool:
        trial = Strip(strip.inner, strip.outer, strip.friction, strength)
        program = ThrustProgram(trial, loads, np.zeros((0, strip.voussoirs, 3)))
        return program.least_thrust() is not None

    low, high = WEAK, STRONG
    if not stands(high):
        return math.inf
    while high / low > 1 + CLOSE:
        middle = math.sqrt(low * high)
        low, high = (low, middle) if stands(middle) else (middle, high)
    return high


def _needed(joints: JointRows, x: Array) -> float:
    """What the line of an answer needs."""
    line = joints.line(x[:3], 1.0, np.zeros(0))
    lever = np.minimum(line.position, line.thickness - line.position)
    return float(np.max(line.normal / (2 * np.maximum(lever, 1e-12))))


class _BlockRows:
    """Rows of P strips over the springing and the scaled strength."""

    def __init__(
        self, strips: Sequence[StripRows], joints: Sequence[JointRows], scale: Array
    ) -> None:
        self._joints, self._kept = strips[0].joints, strips[0].kept
        self._row = np.stack([s.rows.T for s in strips])
        self._thickness = np.stack([j.strip.thickness / j.length for j in joints])
        self._scale = scale

    def keep(self, which: NDArray[np.intp]) -> None:
        """Go on with some of the strips only."""
        self._row, self._thickness = self._row[which], self._thickness[which]
        self._scale = self._scale[which]

    def worst(self, x: Array) -> Broken:
        """The row that each strip breaks most at x (P, 4)."""
        values = np.einsum("pk,pkm->pm", x[:, :3], self._row[:, :3])
        values += self._row[:, 3]
        name = np.argmin(values[:, : self._kept], axis=1)
        every = np.arange(len(x))
        row = self._row[every, :, name]
        level = row[:, 3].copy()
        row[:, 3] = 0.0
        broken = Broken(values[every, name], row, level, name)
        near = np.flatnonzero(broken.gap >= -NEARLY)
        if len(near):
            self._pressed(broken, near, values[near], self._scale[near] * x[near, 3])
        return broken

    def _pressed(
        self, broken: Broken, some: NDArray[np.intp], values: Array, strength: Array
    ) -> None:
        """Put a block in place of the row, for those strips whose line needs more than it may."""
        n, every = self._joints, np.arange(len(some))
        normal = values[:, self._kept :]
        lever = np.minimum(values[:, :n], values[:, n : 2 * n])
        strong = np.maximum(strength, 1e-300)[:, None]
        depth = np.clip(normal / strong, 0.0, self._thickness[some])
        room = lever - normal * depth + strong * depth**2 / 2
        room[normal**2 <= 2 * strong * (1 + CLOSE) * lever] = np.inf
        joint = np.argmin(room, axis=1)
        gap = room[every, joint]
        worse = np.flatnonzero(gap < broken.gap[some])
        p, joint, depth = some[worse], joint[worse], depth[worse, joint[worse]]
        outer = values[worse, n + joint] < values[worse, joint]
        face, force = joint + n * outer, joint + self._kept
        row = self._row[p, :, face] - depth[:, None] * self._row[p, :, force]
        broken.gap[p] = gap[worse]
        broken.level[p] = row[:, 3]
        broken.row[p, :3] = row[:, :3]
        broken.row[p, 3] = self._scale[p] * depth**2 / 2
