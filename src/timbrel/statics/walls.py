"""The springing walls under the least and the greatest thrust, bed by bed.

Everything is a metre of wall. The thrust of the strip is turned on to the wall when the section is
not square to it. A wall cannot pull: it opens where the resultant leaves the middle third, and the
factor against overturning is that of the cracked wall (:mod:`timbrel.statics.cracked_wall`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.statics.cracked_wall import (
    HeadLoads,
    Stem,
    opening_depth,
    overturning_factor,
    resultant,
    rigid_factor,
)
from timbrel.statics.floor import GRAVITY
from timbrel.statics.strip import Array, ThrustLine
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

ALIKE = 1e-6  # of a push: what plumb loads leave over between two springings is rounding
Side = Literal["left", "right"]
AnySide = Literal["left", "right", "near", "far", "ring"]
"""Springing walls of a barrel; all walls of a vault on a plan; the drum of a dome."""
Bound = Literal["least", "greatest"]


@dataclass(frozen=True)
class LoadCase:
    """Loads under which a vault pushes. load: their key. title: for the reader. bound: least or
    greatest thrust under them."""

    load: str
    title: Message
    bound: Bound


@dataclass(frozen=True)
class ThrustCase(LoadCase):
    """The same with the line of the strip whose thrust it is."""

    line: ThrustLine


@dataclass(frozen=True)
class SpringingForce:
    """What the vault puts on a metre of wall at its springing.

    level: outward, square to the wall, N/m. along: along the wall. down: N/m. into: distance of the
    line of action into the wall from its inner face, m. over: height over the springing level, m.
    """

    level: float
    along: float
    down: float
    into: float
    over: float


@dataclass(frozen=True)
class SpringingCase:
    """A case of thrust on one wall."""

    side: AnySide
    case: LoadCase
    force: SpringingForce


@dataclass(frozen=True)
class WallState:
    """A wall under one thrust, at every bed from the springing down to the base.

    depth, normal, arm, pressed: (k,) depth under the springing, normal force (N/m), distance of the
    resultant from the outer face, width pressed. across: (k,) thickness at each bed, buttress and
    all; thickness: the greatest of them. kern: (k,) share of the kern that is used. opens: depth at
    which the inner face opens, None when it stays shut. overturning: factor of the cracked wall;
    rigid: of a block, to compare. sliding: least factor over the beds.
    """

    on: SpringingCase
    depth: Array
    normal: Array
    arm: Array
    pressed: Array
    across: Array
    kern: Array
    thickness: float
    opens: float | None
    overturning: float
    rigid: float
    sliding: float

    @property
    def side(self) -> AnySide:
        return self.on.side

    @property
    def case(self) -> LoadCase:
        return self.on.case

    @property
    def force(self) -> SpringingForce:
        return self.on.force

    @property
    def eccentricity(self) -> Array:
        """(k,) distance of the resultant from the middle of each bed, outward positive, m."""
        return self.across / 2 - self.arm

    @property
    def middle_third(self) -> float:
        """Greatest eccentricity over the kern (a sixth of a plain wall): over 1 the wall opens."""
        return float(np.max(self.kern))

    @property
    def edge(self) -> float:
        """Greatest eccentricity over half the thickness: 1 when the resultant is at a face."""
        return float(np.max(2 * np.abs(self.eccentricity) / self.across))


@dataclass(frozen=True)
class WallFrame:
    """How a wall stands to the section at a station.

    square: cosine of the angle between the wall and the square of the section; face: x of its inner
    face; level: of the springing there. outward: (2,) square to the wall, in the section's own
    directions: to the right in it, and square to it.
    """

    side: Side
    square: float
    face: float
    level: float
    outward: Array

    def force(self, line: ThrustLine) -> SpringingForce:
        """The force of a thrust line on a metre of wall, in the wall's own directions."""
        left = self.side == "left"
        push = line.springing_left if left else line.springing_right
        outward = float(-push[0] if left else push[0])
        x, z = line.points[0 if left else -1]
        lean = float(np.sqrt(max(1 - self.square**2, 0.0)))
        return SpringingForce(
            outward * self.square**2,
            abs(outward) * self.square * lean,
            -float(push[1]) * self.square,
            float(self.face - x if left else x - self.face) * self.square,
            float(z - self.level),
        )

    def unlike(self, line: ThrustLine) -> float:
        """Share (0 to 1) of the outward push here that the other springing does not push against."""
        pushes = float(-line.springing_left[0]), float(line.springing_right[0])
        own, other = pushes if self.side == "left" else pushes[::-1]
        if own <= 0:
            return 1.0
        share = (own - max(other, 0.0)) / own
        return min(share, 1.0) if share > ALIKE else 0.0


def wall_frame(vault: Barrel, v: float, side: Side) -> WallFrame:
    """The frame of a springing wall at a station. Behind a corbel or a ledger its face stands back from
    the springing of the intrados."""
    plane = vault.plane(v)
    A, B, C, D = np.asarray(vault.room.corners, float)
    start, end = (A, D) if side == "left" else (B, C)
    run = (end - start)[:2] / np.linalg.norm((end - start)[:2])
    seat = start + v * (end - start)
    square = abs(float(run @ plane.square[:2]))
    face = float((seat - plane.left) @ plane.across)
    behind = vault.behind[0 if side == "left" else 1]
    if behind:
        springing = vault.point(0.0 if side == "left" else 1.0, v)
        inner = float((springing - plane.left) @ plane.across)
        face = inner - behind / square if side == "left" else inner + behind / square
    out = np.array([-run[1], run[0]]) if side == "left" else np.array([run[1], -run[0]])
    outward = np.array([out @ plane.across[:2], out @ plane.square[:2]])
    return WallFrame(side, square, face, float(seat[2]), outward)


def wall_stem(wall: Wall, on: SpringingCase) -> tuple[Stem, HeadLoads, float]:
    """A wall of known thickness and height under one thrust: stem, head, height of the thrust."""
    assert wall.thickness is not None and wall.height is not None
    force = on.force
    T, weight = wall.thickness, wall.density * GRAVITY
    over = weight * T * wall.above
    head = HeadLoads(
        force.level,
        force.down + wall.load_above + over,
        force.down * (T - force.into)
        + wall.load_above * (T / 2 - wall.load_offset)
        + over * T / 2
        - force.level * force.over,
    )
    return Stem(T, wall.height, weight), head, force.over


def wall_state(wall: Wall, on: SpringingCase) -> WallState:
    """A wall whose thickness and height are known, under one thrust."""
    stem, head, _ = wall_stem(wall, on)
    force, T = on.force, stem.thickness
    count = max(int(np.ceil(stem.height / wall.course - 1e-9)), 1)
    depth = np.minimum(np.arange(count + 1) * wall.course, stem.height)
    normal, arm, pressed = resultant(stem, head, depth)
    push = float(np.hypot(force.level, force.along))
    sliding = wall.friction * float(normal.min()) / push if push > 0 else np.inf
    return WallState(
        on,
        depth,
        normal,
        arm,
        pressed,
        np.full(len(depth), T),
        np.abs(T / 2 - arm) * 6 / T,
        T,
        opening_depth(stem, head),
        overturning_factor(stem, head, force.over),
        rigid_factor(stem, head, force.over),
        sliding,
    )


def stated_side(job: Job, side: AnySide) -> Side:
    """The side whose wall is stated in the job: near and far are as left and right where they are
    not stated, a drum is as the left wall."""
    return "right" if side == "right" or (side == "far" and job.walls.far is None) else "left"


def wall_of(job: Job, side: AnySide) -> Wall:
    """The wall on a side, as :func:`stated_side` says where it is not stated itself."""
    own = {"near": job.walls.near, "far": job.walls.far}.get(side)
    return own or (job.walls.right if stated_side(job, side) == "right" else job.walls.left)


def wall_key(job: Job, side: AnySide) -> str:
    """The key under which the wall on a side is stated."""
    own = {"near": job.walls.near, "far": job.walls.far}.get(side)
    return f"walls.{side if own else stated_side(job, side)}"


def missing_data(wall: Wall, side: AnySide) -> Message | None:
    """Why a wall cannot be judged; None when it can."""
    missing = [name for name in ("thickness", "height") if getattr(wall, name) is None]
    if not missing:
        return None
    keys = ", ".join(f"walls.{side}.{name}" for name in missing)
    return say("The job does not state {keys}.", keys=keys)
