"""The foot of every wall and pier under every combination for strength: normal force and how far the
resultant lies from the middle, beside what the bed bears.

A bed of thickness T and width b bears N at a distance e while a block of stress of the design
strength f finds room about the resultant: e <= T/2 - N/(2 f b) (EN 1996-1-1 6.1.1; Heyman 1982);
without a stated strength, while the resultant is inside: e <= T/2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Wall
from timbrel.statics.cracked_pier import descend_pier
from timbrel.statics.descent import descend
from timbrel.statics.pier_shape import PierShape
from timbrel.statics.pier_work import PierPush
from timbrel.statics.piers import pier_loads
from timbrel.statics.pushes import Pushes
from timbrel.statics.strip import Array
from timbrel.statics.supports import Profile


@dataclass(frozen=True)
class FootState:
    """A foot under one combination. normal: N a metre (N on a pier). away: of the resultant from the
    middle, m (outward on a wall, along the worse side of a pier); None where the support has fallen."""

    combination: str
    bound: str
    normal: float
    away: float | None


@dataclass(frozen=True)
class SupportFoot:
    """The foot of a support. thickness: of the bed, m; width: that the normal force stands on, m.
    strength: design, N/m2, None where it is not stated."""

    support: str
    thickness: float
    width: float
    strength: float | None
    states: tuple[FootState, ...]

    def limit(self, normal: Array) -> Array:
        """Greatest distance of the resultant from the middle at normal forces, m."""
        edge = np.full_like(np.asarray(normal, float), self.thickness / 2)
        if self.strength is None:
            return edge
        return edge - np.asarray(normal) / (2 * self.strength * self.width)


def wall_foot(
    support: str, profile: Profile, pushes: Pushes, strength: float | None
) -> SupportFoot:
    """The foot of a wall, a metre of it; with buttresses their depth is in its thickness."""
    places = pushes.of("STR", "accidental")
    state = descend(profile, pushes.picked(places))
    thickness = float(state.thickness[-1])
    normal = state.normal[-1] / profile.tributary
    away = state.at[-1] - thickness / 2
    rows = tuple(
        FootState(
            pushes.keys[i], pushes.bounds[i], float(normal[k]),
            None if state.fallen[k] else float(away[k]),
        )
        for k, i in enumerate(places)
    )  # fmt: skip
    return SupportFoot(support, thickness, 1.0, strength, rows)


def pier_foot(
    wall: Wall, corner: str, shape: PierShape, pushes: tuple[PierPush, ...], strength: float | None
) -> SupportFoot:
    """The foot of a pier: how far the resultant lies from its middle along its worse side."""
    bed = shape.beds[-1]
    rows, worse = [], 0
    for p in pushes:
        if p.situation not in ("STR", "accidental"):
            continue
        down = descend_pier(shape, pier_loads(wall, corner, p.force, p.couple, p.dead, p.sway))
        away = None
        if not down.fallen:
            apart = np.abs(down.at[-1] - bed.middle)
            worse = int(np.argmax(apart / bed.sizes))
            away = float(apart[worse])
        rows.append(FootState(p.key, p.bound, float(down.normal[-1]), away))
    sides = bed.sizes[[worse, 1 - worse]]
    return SupportFoot(corner, float(sides[0]), float(sides[1]), strength, tuple(rows))
