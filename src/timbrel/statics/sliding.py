"""How much friction a strip leans on, told apart because no theorem covers it.

The safe theorem rests on joints that open square to themselves. A joint that slides does not open:
friction is not associated, and a line within its limits is no proof against sliding (Drucker 1954,
"Coulomb friction, plasticity, and limit loads"). So the least friction with which the strip still
has a line is looked for, and the friction stated must exceed it by a reserve.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.actions import StripActions
from timbrel.statics.combinations import Combination, variable_loads
from timbrel.statics.strip import Strip
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.verdict import Check, judge
from timbrel.words import say

HALVINGS = 9  # the friction is found to a five-hundredth of what is stated


def friction_needed(acts: StripActions, combination: Combination) -> float | None:
    """Least friction (tangent) with which the strip has a line under a combination; None when what
    is stated does not do."""
    stated = acts.strip.friction
    if stated is None:
        return None
    variable = variable_loads(acts)
    dead = combination.dead * acts.dead + np.tensordot(combination.factors, variable, axes=1)
    if not _stands(acts.strip, dead, stated):
        return None
    low, high = 0.0, stated
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (low, middle) if _stands(acts.strip, dead, middle) else (middle, high)
    return high


def _stands(strip: Strip, dead: np.ndarray, friction: float) -> bool:
    held = replace(strip, friction=friction)
    nothing = np.zeros((0, strip.voussoirs, 3))
    return ThrustProgram(held, dead, nothing).least_thrust() is not None


def sliding_check(job: Job, needed: float | None, combination: str) -> Check:
    """The reserve of friction; fails too when the stated friction does not hold."""
    stated = job.masonry.friction
    if needed is None:
        reason = say("With the friction stated there is no thrust line under {combination}.",
                     combination=combination)  # fmt: skip
    else:
        reason = say(
            "A line exists from a friction of {needed:ratio} under {combination}. A joint that "
            "slides does not open: the safe theorem does not cover friction, so a reserve is kept.",
            needed=needed,
            combination=combination,
        )
    return judge(
        "supports.friction",
        say("Friction of the joints over the least that leaves a line"),
        0.0 if needed is None else stated / max(needed, 1e-6),
        job.loads.factors.sliding_least,
        kind="ratio",
        reason=reason,
        source="not associated, Drucker 1954 (from memory); limit loads.factors.sliding_least",
    )
