"""Partitions, posts and patches proved on the strip that they stand on, wherever that is.

The strips at the ends and at the worst station need not be near a load that stands on one place; so
each is followed at its own station as well, with all that stands there.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.job.supports import LineAction, PointAction
from timbrel.statics.actions import actions_under
from timbrel.statics.floor import FillLevels
from timbrel.statics.placed import Placed, placed_loads
from timbrel.statics.strip import Array
from timbrel.statics.strip_answer import STANDS, strip_program
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

WALK = 3


def placed_checks(job: Job, vault: Barrel, top: FillLevels) -> tuple[Check, ...]:
    """The least load factor of the strip under each placed load, one check a load."""
    return tuple(_check(job, vault, top, key, load) for key, load in placed_loads(job.loads))


def stations_of(vault: Barrel, load: Placed) -> tuple[float, ...]:
    """Stations at which a load is followed: its middle, and the ends of a line."""
    plan = _spots(load)
    x, y = plan.T
    v = vault.surface.over(x, y)[1]
    return tuple(float(s) for s in np.clip(np.nan_to_num(v), 0.0, 1.0))


def _spots(load: Placed) -> Array:
    if isinstance(load, PointAction):
        return np.array([[load.x, load.y]])
    if isinstance(load, LineAction):
        ends = np.array([[load.x, load.y], [load.x_end, load.y_end]])
        return np.vstack([ends, ends.mean(axis=0)])
    return np.array([[load.x + load.width / 2, load.y + load.length / 2]])


def _check(job: Job, vault: Barrel, top: FillLevels, key: str, load: Placed) -> Check:
    found = [_least(job, vault, top, v) for v in sorted(set(stations_of(vault, load)))]
    factor, v, title = min(found, key=lambda f: f[0])
    return judge(
        f"{key}.load_factor",
        say("Load factor where {name} stands", name=load.name),
        factor,
        job.loads.factors.load_factor_least,
        kind="ratio",
        reason=say(
            "Strip at {share:percent} from the near end, all that stands there counted; governed "
            "by: {load}.",
            share=v,
            load=title,
        ),
        source="safe theorem, Heyman 1966; limit loads.factors.load_factor_least",
    )


def _least(job: Job, vault: Barrel, top: FillLevels, v: float) -> tuple[float, float, Message]:
    """Least load factor of a station's patterns; infinite where nothing moves and it stands."""
    acts = actions_under(job, vault, v, top)
    program = strip_program(acts)
    if program.share_of_dead() < STANDS:
        return 0.0, v, say("Dead load alone")
    asked = [i for i, p in enumerate(acts.patterns) if p.kind != "line"]
    asked += [i for i, p in enumerate(acts.patterns) if p.kind == "line"][::WALK]
    worst = float("inf"), v, say("Dead load alone")
    for i in asked:
        found = program.load_factor(i, job.loads.factors.permanent_favourable)
        factor = 0.0 if found is None else float(found.factors[i])
        if factor < worst[0]:
            worst = factor, v, acts.patterns[i].load.title
    return worst
