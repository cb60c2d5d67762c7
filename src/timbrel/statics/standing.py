"""Do both walls stand: the quick question that a search asks many times over."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.actions import actions_under, fill_levels, joints_at
from timbrel.statics.block import block_area
from timbrel.statics.carried_length import wall_length
from timbrel.statics.combinations import combinations, variable_loads
from timbrel.statics.descent import Descent, descend
from timbrel.statics.envelope import Envelope, EnvelopeRow
from timbrel.statics.floor import GRAVITY
from timbrel.statics.proof import SIDES
from timbrel.statics.pushes import gather
from timbrel.statics.supports import Profile, wall_profile
from timbrel.statics.thrust_program import Question, ThrustProgram
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.statics.walls import Side, wall_frame

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

COARSE = 4  # beds that the march goes down at a time


def walls_stand(job: Job, vault: Barrel, v: float, every: Envelope) -> bool:
    """Do both walls stand under every EQU and accidental combination, within their strength where
    it is known."""
    if every.fallen:
        return False
    for side in SIDES:
        wall = getattr(job.walls, side)
        profile = wall_profile(wall, side, wall_length(vault, side)).coarser(COARSE)
        pushes = gather(every, wall_frame(vault, v, side), job.walls.ties, job.loads.horizontal)
        if bool(descend(profile, pushes.picked(pushes.of("EQU", "accidental"))).fallen.any()):
            return False
        strength = wall_strength(wall.masonry, job.loads.national)
        if strength is not None:
            under = descend(profile, pushes.picked(pushes.of("STR")))
            if under.fallen.any() or _block_use(profile, under, strength.design) > 1:
                return False
    return True


def _block_use(profile: Profile, under: Descent, design: float) -> float:
    """Greatest share of the block of stress that any thrust uses at any bed."""
    block = np.maximum(block_area(profile, under.at), 1e-9)
    return float(np.max(under.normal / (block * design)))


def equilibrium_rows(job: Job, vault: Barrel, v: float) -> Envelope:
    """An envelope without the search for what governs the vault, line loads left out."""
    u = np.linspace(0.0, 1.0, min(49, len(joints_at(job, vault))))
    acts = actions_under(job, vault, v, fill_levels(job, vault), u)
    walked = [i for i, p in enumerate(acts.patterns) if p.kind == "line"]
    program = ThrustProgram(acts.strip, acts.dead, variable_loads(acts))
    asked = [c for c in combinations(acts, job.loads) if not (walked and c.factors[walked].any())]
    least = program.answers([Question("least thrust", c.dead, c.factors) for c in asked])
    most = program.answers([Question("greatest thrust", c.dead, c.factors) for c in asked])
    rows = [
        EnvelopeRow(c, low.line.thrust, high.line.thrust, (low.line, high.line))
        if low and high
        else EnvelopeRow(c, None, None, None)
        for c, low, high in zip(asked, least, most, strict=True)
    ]
    return Envelope(tuple(rows), None, None)


def greatest_thrust(every: Envelope) -> float | None:
    found = [
        r.greatest
        for r in every.rows
        if r.combination.situation == "characteristic" and r.greatest is not None
    ]
    return max(found, default=None)


def bearing_widths(job: Job, vault: Barrel, v: float) -> dict[Side, float]:
    """Width of the springings on their walls, m: the joint seen from above, or the seat."""
    inner, outer = vault.joints(v, np.array([0.0, 1.0]))
    across = np.abs(outer[:, 0] - inner[:, 0])
    return {side: max(float(w), job.seat.depth) for side, w in zip(SIDES, across, strict=True)}


def weight_of(job: Job, vault: Barrel, v: float, key: str) -> float:
    """Mass of one permanent load over the whole axis, by the strip at a station, kg."""
    acts = actions_under(job, vault, v, fill_levels(job, vault))
    weight = sum(load.total for load in acts.permanent if load.key == key)
    return weight / GRAVITY * vault.axis_length
