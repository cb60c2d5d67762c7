"""The level acceleration that a strip bears, as a share of its weight, in four directions.

Across the vault the strip turns into a mechanism of four hinges; the share is a load factor of a
level push on every voussoir, with both bounds. Along the vault the strips slide on their springings:
what friction has left over beside the shear of the dead load carries the push (the end walls, which
also help, are left out).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.actions import StripActions
from timbrel.statics.kinematic import bound_factor
from timbrel.statics.others import level_push
from timbrel.statics.strip import StripLoad, ThrustLine
from timbrel.statics.strip_answer import Bounded
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.words import say


@dataclass(frozen=True)
class LevelShares:
    """Shares of weight borne to the right, to the left, and along the axis either way.

    right, left: None when the strip does not stand. along: None without friction.
    """

    right: Bounded | None
    left: Bounded | None
    along: float | None

    @property
    def least(self) -> float | None:
        """The least of the four directions that are known."""
        across = [b.static for b in (self.right, self.left) if b is not None]
        if len(across) < 2:
            return None
        return min(across) if self.along is None else min(*across, self.along)


def level_shares(acts: StripActions) -> LevelShares:
    """The share of weight, put level on every voussoir, at which the strip becomes a mechanism."""
    right, left = (_share(acts, way) for way in (1.0, -1.0))
    return LevelShares(right, left, _along(acts))


def _share(acts: StripActions, way: float) -> Bounded | None:
    push = StripLoad("level", say("Level acceleration"), *level_push(acts.permanent, way)).wrench
    found = ThrustProgram(acts.strip, acts.dead, push[None]).load_factor(0)
    if found is None:
        return None
    static = float(found.factors[0])
    bound = bound_factor(acts.strip, acts.dead, push, found.line, static)
    return Bounded(static, bound.bound if bound else None, found.line, bound)


def _along(acts: StripActions) -> float | None:
    """Friction left at both springings over the weight, for the better of two lines."""
    friction = acts.strip.friction
    if friction is None:
        return None
    program = ThrustProgram(acts.strip, acts.dead, np.zeros((0, acts.strip.voussoirs, 3)))
    lines = [f.line for f in (program.least_thrust(), program.greatest_thrust()) if f is not None]
    weight = sum(load.total for load in acts.permanent)
    return max((_spare(line, friction) / weight for line in lines), default=0.0)


def _spare(line: ThrustLine, friction: float) -> float:
    """Push along the axis that both springings hold by friction beside their shear, N/m."""
    total = 0.0
    for joint in (0, -1):
        held = (friction * line.normal[joint]) ** 2 - line.shear[joint] ** 2
        total += float(np.sqrt(max(held, 0.0)))
    return total
