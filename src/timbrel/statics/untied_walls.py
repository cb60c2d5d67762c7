"""What the springing walls of a barrel or a flight bear alone when their ties are lost, in a fire.

Each wall takes the whole push again, under dead and imposed load without factors (harder than the
accidental combination of EN 1990 6.4.3.3 asks) and at the least thrust: the springings have moved
apart.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from timbrel.job.model import Job
from timbrel.statics.built_walls import COARSE
from timbrel.statics.carried_length import wall_length
from timbrel.statics.descent import overturning_factor
from timbrel.statics.proof import SIDES
from timbrel.statics.pushes import Pushes
from timbrel.statics.supports import wall_profile
from timbrel.statics.walls import Side, missing_data

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel


def untied_walls(job: Job, vault: Barrel, pushes: dict[Side, Pushes]) -> float | None:
    """Least multiple of its push that a wall bears without ties; None where the data of one are
    missing, or there is no thrust line."""
    found: list[float] = []
    for side in SIDES:
        wall, every = getattr(job.walls, side), pushes[side]
        asked = [i for i in every.of("characteristic") if every.bounds[i] == "least"]
        if missing_data(wall, side) is not None or not asked:
            return None
        profile = wall_profile(wall, side, wall_length(vault, side)).coarser(COARSE)
        found += [overturning_factor(profile, every.push, i) for i in asked]
    return min(found)
