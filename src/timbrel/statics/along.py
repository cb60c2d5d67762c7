"""Thrust at any point of the springings: strips at even stations from the near end to the far one.

Unfactored: the least thrust under the dead load, and the greatest under the dead load alone or with
any spread arrangement of the imposed load. Between two stations it may be read straight.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.actions import StripActions, actions_under, fill_levels, joints_at
from timbrel.statics.carried_length import wall_length
from timbrel.statics.proof import SIDES
from timbrel.statics.thrust_program import Goal, Question, ThrustProgram, answers
from timbrel.statics.walls import Side, SpringingForce, wall_frame

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

STATIONS = 9
JOINTS = 49  # of the strips, which are many


@dataclass(frozen=True)
class SpringingThrust:
    """One point of a springing. v: station. along: distance along the wall from the near end, m.
    least, greatest: what the vault puts on a metre of wall there; None when it has no line."""

    side: Side
    v: float
    along: float
    least: SpringingForce | None
    greatest: SpringingForce | None


def springing_thrusts(
    job: Job, vault: Barrel, stations: int = STATIONS
) -> tuple[SpringingThrust, ...]:
    """Both springings at even stations, the left one first."""
    u = np.linspace(0.0, 1.0, min(JOINTS, len(joints_at(job, vault))))
    fill = fill_levels(job, vault)
    places = np.linspace(0.0, 1.0, stations)
    acts = [actions_under(job, vault, float(v), fill, u) for v in places]
    asked = [_questions(a) for a in acts]
    told = iter(answers([pair for pairs in asked for pair in pairs]))
    found: dict[Side, list[SpringingThrust]] = {side: [] for side in SIDES}
    for v, pairs in zip(places, asked, strict=True):
        own = [next(told) for _ in pairs]
        least, rest = own[0], [f for f in own[1:] if f is not None]
        for side in SIDES:
            frame = wall_frame(vault, float(v), side)
            forces = [frame.force(f.line) for f in rest]
            found[side].append(
                SpringingThrust(
                    side,
                    float(v),
                    float(v) * wall_length(vault, side),
                    None if least is None else frame.force(least.line),
                    max(forces, key=lambda force: force.level, default=None),
                )
            )
    return tuple(t for side in SIDES for t in found[side])


def _questions(acts: StripActions) -> list[tuple[ThrustProgram, Question]]:
    """Least thrust under the dead load; greatest alone and with each spread arrangement."""
    program = ThrustProgram(acts.strip, acts.dead, acts.variable)
    alone = np.zeros(len(acts.patterns))
    spread = [row for row, p in zip(np.eye(len(alone)), acts.patterns, strict=True) if p.x is None]
    goal: Goal = "greatest thrust"
    return [
        (program, Question("least thrust", 1.0, alone)),
        *((program, Question(goal, 1.0, factors)) for factors in (alone, *spread)),
    ]
