"""The rib at a free edge: the narrowest strip along a wall arch that nothing holds from outside.

It is parted from the vault by an upright crack, turns on four hinges in the plane of the edge, and
opens that crack as fast as it slides along it, which costs no work as the rib grows narrow. At a
hinge the joint then opens as fast as it slides: the bound holds for a coefficient of friction up to
one, more than masonry has. Where the job states a strength, hinges lie within the section and what
turns past them crushes. Its section is that of the true solid in the plane of the edge.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_loads import bounds_of, middle_of, stands
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_surface import (
    Array,
    Profile,
    SurfaceMechanism,
    arch_factor,
    crushed_factor,
    outside,
)
from timbrel.statics.mechanism_weights import Weights

FINE = 192  # slices along an edge
INSET = 1e-6  # share of the plan by which the section lies inside the room
FRICTION_MOST = 1.0
SIDES = ("near", "right", "far", "left")


def ribs(
    job: Job, vault: Any, pattern: str, free: dict[str, bool], weights: Weights
) -> list[SurfaceMechanism]:
    """The rib of every free side, where it lets the imposed load sink."""
    if job.masonry.friction > FRICTION_MOST:
        return []
    imposed, _ = imposed_load(job.loads)
    solid, found = weights.solid, []
    for k, name in enumerate(SIDES):
        if not free[name]:
            continue
        start, end = solid.room[k, :2], solid.room[(k + 1) % 4, :2]
        long = float(np.hypot(*(end - start)))
        share = np.linspace(0.0, 1.0, FINE + 1)
        profile = _section(solid.centre, start, end, share, weights)
        arch = _loaded(profile, solid, start, end, long, imposed, pattern)
        best = arch_factor(arch)
        if best is None or not np.isfinite(best[0]):
            continue
        factor, at, tops = best
        depths: tuple[float, ...] = ()
        if job.masonry.crushing is not None:
            factor, at, deep = crushed_factor(arch, at, tops, job.masonry.crushing)
            depths = tuple(float(d) for d in deep)
        hinges = tuple(float(x) for x in at)
        along, none = (end - start) / long, (0.0, 0.0)
        found.append(SurfaceMechanism("edge rib", factor, hinges, tops, start, along, none, depths))
    return found


def _section(
    centre: Array, start: Array, end: Array, share: Array, weights: Weights
) -> tuple[Array, Array, Array]:
    """Levels of top and foot (n,) at shares of an edge, and the dead load (n - 1,) between, N a
    metre of edge and of width."""
    inner = np.clip(share, INSET, 1 - INSET)[:, None]
    edge = start + inner * (end - start)
    edge = edge + INSET * (centre - edge)
    middle = (edge[1:] + edge[:-1]) / 2
    foot, top = weights.faces(edge[:, 0], edge[:, 1])
    return outside(top), foot, weights.dead(middle[:, 0], middle[:, 1])


def _loaded(
    section: tuple[Array, Array, Array],
    solid: Any,
    start: Array,
    end: Array,
    long: float,
    imposed: float,
    pattern: str,
) -> Profile:
    top, foot, dead = section
    x = np.linspace(0.0, long, FINE + 1)
    between = ((x[1:] + x[:-1]) / 2 / long)[:, None]
    plan = start + between * (end - start)
    plan = plan + INSET * (solid.centre - plan)
    step = np.diff(x)
    live = imposed * stands(pattern, plan, *bounds_of(solid), middle_of(solid))
    return Profile(x, top, foot, dead * step, live * step)
