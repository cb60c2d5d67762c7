"""What the masonry bears alone when its ties are lost, in a fire.

Every wall, drum and pier takes the whole push again, under dead and imposed load without factors
(harder than the accidental combination of EN 1990 6.4.3.3 asks) and at the least thrust: the
springings have moved apart.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.built_walls import COARSE
from timbrel.statics.corner_ties import rest_of_piers
from timbrel.statics.cracked_pier import pier_factor, rigid_factor
from timbrel.statics.descent import Push, overturning_factor
from timbrel.statics.net_supports import side_beside, side_of, wall_at
from timbrel.statics.pier_shape import pier_shape
from timbrel.statics.piers import pier_loads
from timbrel.statics.supports import wall_profile
from timbrel.statics.tied_plan import PushRow
from timbrel.statics.walls import missing_data, wall_of

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_solid import Support


def untied_reserve(job: Job, vault: Any, net: Net, rows: tuple[PushRow, ...]) -> float | None:
    """Least multiple of its push that a support bears without ties; None where the data of one are
    missing, or there is no state."""
    asked = [r for r in rows if r.situation == "characteristic" and r.bound == "least"]
    found: list[float] = []
    for support in net.grid.supports:
        if support.kind == "pier":
            reserve = _of_pier(job, vault, support.name, asked, min(found, default=np.inf))
        else:
            reserve = _of_wall(job, support, asked)
        if reserve is None:
            return None
        found.append(reserve)
    return min(found, default=None)


def _of_pier(job: Job, vault: Any, corner: str, rows: list[PushRow], least: float) -> float | None:
    """least: of the supports so far, past which it need not be told any nearer."""
    wall, _ = wall_at(job, corner)
    if wall.pier is None or wall.height is None or not rows:
        return None
    shape = pier_shape(wall, corner, wall_of(job, side_beside(corner)))
    rests = [rest_of_piers(vault, None, row.pushes)[corner] for row in rows]
    loaded = [pier_loads(wall, corner, rest.force, rest.couple) for rest in rests]
    # The one that a block would bear least of comes first: the rest need not be told any nearer.
    for loads in sorted(loaded, key=lambda one: rigid_factor(shape, one)):
        least = min(least, pier_factor(shape, loads, least))
    return least


def _of_wall(job: Job, support: Support, rows: list[PushRow]) -> float | None:
    side = side_of(support.name)
    wall = wall_of(job, side)
    forces = [f for f in (row.of(support.name).force for row in rows) if f is not None]
    if missing_data(wall, side) is not None or not forces:
        return None
    profile = wall_profile(wall, side, float(support.length.sum())).coarser(COARSE)

    def of(part: str) -> np.ndarray:
        return np.array([getattr(f, part) for f in forces])

    ones = np.ones(len(forces))
    push = Push(of("level"), of("along"), of("down"), of("into"), of("over"), ones)
    return min(overturning_factor(profile, push, i) for i in range(len(forces)))
