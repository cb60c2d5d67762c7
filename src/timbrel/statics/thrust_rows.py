"""The rows of thrust programs, for many programs that are solved together.

Every row of a strip's program is a sum of what a joint feels: the moments about its two ends, the
normal force and the shear. All joints of all programs are looked at in one sweep, and of each
program the row that is broken most is handed out. The chords of the stress block are looked at
where the other rows are kept; they are never written out, but made where they are needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.row_exchange import Broken
from timbrel.statics.strip import Array

if TYPE_CHECKING:
    from timbrel.statics.joint_rows import JointRows

CHORD_RATIO = 1.1  # ratio of neighbouring normal forces between which the parabola is a chord
CHORD_COUNT = 80
NEARLY = 1e-3  # scaled amount by which rows may be broken for the chords to be looked at


class StripRows:
    """Rows of one strip: (m, columns) of :class:`JointRows`, joints within each block in order.

    rows: moments about the intrados ends, moments about the extrados ends turned round, friction
    either way (unless it is left out), normal forces. kept: how many of them must not be negative.
    strength, full: of the stress block, scaled; None without crushing.
    """

    def __init__(self, joints: JointRows) -> None:
        strip = joints.strip
        normal = joints.along(strip.across)
        parts = [joints.about(strip.inner), -joints.about(strip.outer)]
        if strip.friction is not None:
            shear = joints.along(strip.along)
            parts += [strip.grip * normal - shear, strip.grip * normal + shear]
        self.joints = len(normal)
        self.kept = len(normal) * len(parts)
        self.rows = np.vstack([*parts, normal])
        self.strength: float | None = None
        self.full: Array | None = None
        if strip.crushing is not None:
            self.strength = strip.crushing * joints.length / joints.force
            self.full = self.strength * strip.thickness / joints.length

    @property
    def kind(self) -> tuple[int, int, bool]:
        """What two strips must share for their programs to be solved together."""
        return self.joints, self.kept, self.strength is None


def chord(full: Array, normal: Array) -> tuple[Array, Array]:
    """Ends of the chord of the stress block's parabola under or next to each normal force.

    full: the normal force that a joint carries at most. Chords end at full / 1.1^k.
    """
    step = np.log(full / np.maximum(normal, 1e-300)) / np.log(CHORD_RATIO)
    step = np.clip(np.floor(step), 0, CHORD_COUNT)
    upper = full * CHORD_RATIO**-step
    return np.where(step == CHORD_COUNT, 0.0, upper / CHORD_RATIO), upper


class ThrustRows:
    """The rows of P programs over four unknowns: springing (x, z, moment), and what is to grow.

    strips: the strip of each program, all of one kind. held, grown: (P, columns - 3) shares of the
    dead load and the variable ones that are given, and that go with the fourth unknown.
    """

    def __init__(self, strips: Sequence[StripRows], held: Sequence[Array], grown: Sequence[Array]):
        first = strips[0]
        self._joints, self._kept = first.joints, first.kept
        self._row = np.empty((len(strips), 4, len(first.rows)))
        self._level = np.empty((len(strips), len(first.rows)))
        for i, (strip, still, more) in enumerate(zip(strips, held, grown, strict=True)):
            self._row[i, :3] = strip.rows[:, :3].T
            self._row[i, 3] = strip.rows[:, 3:] @ more
            self._level[i] = strip.rows[:, 3:] @ still
        self._strength: Array | None = None
        if first.strength is not None:
            self._strength = np.array([[s.strength] for s in strips], dtype=float)
            self._full = np.stack([s.full for s in strips if s.full is not None])

    def keep(self, which: NDArray[np.intp]) -> None:
        """Go on with some of the programs only."""
        self._row, self._level = self._row[which], self._level[which]
        if self._strength is not None:
            self._strength, self._full = self._strength[which], self._full[which]

    def worst(self, x: Array) -> Broken:
        """The row that each program breaks most at x (P, 4)."""
        values = np.einsum("pk,pkm->pm", x, self._row)
        values += self._level
        row = np.argmin(values[:, : self._kept], axis=1)
        every = np.arange(len(x))
        broken = Broken(values[every, row], self._row[every, :, row], self._level[every, row], row)
        if self._strength is not None:
            near = np.flatnonzero(broken.gap >= -NEARLY)
            if len(near):
                self._crushed(broken, near, values[near])
        return broken

    def _crushed(self, broken: Broken, some: NDArray[np.intp], values: Array) -> None:
        """Put the chord in place of the row, for those programs that break a chord more."""
        assert self._strength is not None
        n, every = self._joints, np.arange(len(some))
        normal = values[:, self._kept :]
        lower, upper = chord(self._full[some], normal)
        slope = (lower + upper) / (2 * self._strength[some])
        still = lower * upper / (2 * self._strength[some])
        room = np.minimum(values[:, :n], values[:, n : 2 * n]) - slope * normal + still
        joint = np.argmin(room, axis=1)
        gap = room[every, joint]
        worse = np.flatnonzero(gap < broken.gap[some])
        p, joint, gap = some[worse], joint[worse], gap[worse]
        slope, still = slope[worse, joint], still[worse, joint]
        outer = values[worse, n + joint] < values[worse, joint]
        face, force = joint + n * outer, joint + self._kept
        broken.gap[p] = gap
        broken.row[p] = self._row[p, :, face] - slope[:, None] * self._row[p, :, force]
        broken.level[p] = self._level[p, face] - slope * self._level[p, force] + still
