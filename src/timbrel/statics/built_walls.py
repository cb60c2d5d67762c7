"""Walls that are more than an even slab (leaves, openings, buttresses, ties) under the thrusts.

The same answers as :func:`timbrel.statics.walls.wall_state`, by the march down the support. The
factor against overturning is worked out for the thrust that leans most, of the least and of the
greatest thrusts; the others lean less and are given no factor (infinite).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.job.supports import Ties
from timbrel.statics.carried_length import wall_length
from timbrel.statics.descent import Descent, Push, descend, kern_use, overturning_factor
from timbrel.statics.pushes import beside_ties
from timbrel.statics.supports import Profile, wall_profile
from timbrel.statics.ties import refuse_unmade
from timbrel.statics.walls import AnySide, Side, SpringingCase, WallState, missing_data, wall_state

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

COARSE = 3  # beds that the march for a factor goes down at a time


def wall_states(
    job: Job, vault: Barrel, cases: tuple[SpringingCase, ...], side: Side
) -> tuple[WallState, ...]:
    """States of one springing wall under every case of thrust; none when its data are missing.

    Raises TimbrelError when the data of the wall or of the ties contradict each other.
    """
    wall: Wall = getattr(job.walls, side)
    ties = job.walls.ties
    if ties is not None:
        refuse_unmade(ties)
    if missing_data(wall, side) is not None:
        return ()
    own = [c for c in cases if c.side == side]
    return states_of(wall, side, wall_length(vault, side), own, ties)


def states_of(
    wall: Wall, side: AnySide, length: float, own: list[SpringingCase], ties: Ties | None
) -> tuple[WallState, ...]:
    """States of a wall of known thickness and height under its cases of thrust.

    length: of the wall, m. ties: that take the thrust. Raises TimbrelError when its data contradict
    each other.
    """
    profile = wall_profile(wall, side, length)
    if not (is_built_up(wall) or _tied(ties)):
        return tuple(wall_state(wall, c) for c in own)
    if not own:
        return ()
    push = beside_ties(_push(own), ties)
    state = descend(profile, push)
    factors = _factors(profile, push, state, own)
    rigid = _rigid(profile, push)
    return tuple(
        _state(wall, profile, state, c, i, float(factors[i]), float(rigid[i]))
        for i, c in enumerate(own)
    )


def takes_all(job: Job, wall: Wall) -> bool:
    """Is a wall one even leaf that takes all of the thrust."""
    return not (is_built_up(wall) or _tied(job.walls.ties))


def is_built_up(wall: Wall) -> bool:
    """Is a wall more than one even leaf."""
    uneven = wall.setoffs or wall.above_thickness is not None
    return bool(wall.leaves or wall.openings or wall.buttress or uneven)


def _tied(ties: Ties | None) -> bool:
    return ties is not None and ties.stay == "for good"


def _push(cases: list[SpringingCase]) -> Push:
    forces = [c.force for c in cases]
    return Push(
        np.array([f.level for f in forces]),
        np.array([f.along for f in forces]),
        np.array([f.down for f in forces]),
        np.array([f.into for f in forces]),
        np.array([f.over for f in forces]),
        np.ones(len(forces)),
    )


def _factors(
    profile: Profile, push: Push, state: Descent, cases: list[SpringingCase]
) -> np.ndarray:
    """(k,) factor against overturning where the thrust of each bound leans most."""
    found = np.full(len(cases), np.inf)
    lean = np.where(state.fallen, 10.0 + push.level / push.level.max(initial=1.0), state.at[-1])
    for bound in ("least", "greatest"):
        places = [i for i, c in enumerate(cases) if c.case.bound == bound]
        if places:
            worst = max(places, key=lambda i: float(lean[i]))
            found[worst] = overturning_factor(profile.coarser(COARSE), push, worst)
    return found


def _rigid(profile: Profile, push: Push) -> np.ndarray:
    """(k,) factor of a block that could not crack, to compare."""
    still = descend(profile, push.without_level())
    base = profile.thickness[-1]
    holds = still.normal[-1] * (base - still.at[-1])
    overturns = push.level * profile.tributary * (profile.depth[-1] + push.over)
    return np.where(overturns > 0, holds / np.maximum(overturns, 1e-9), np.inf)


def _state(
    wall: Wall,
    profile: Profile,
    state: Descent,
    case: SpringingCase,
    i: int,
    factor: float,
    rigid: float,
) -> WallState:
    height = float(profile.depth[-1])
    count = max(int(np.ceil(height / wall.course - 1e-9)), 1)
    wanted = np.minimum(np.arange(count + 1) * wall.course, height)
    beds = np.round(wanted / height * (len(profile.depth) - 1)).astype(int)
    across = profile.thickness[beds]
    shear = float(state.shear[:, i].max())
    least = float(state.normal[:, i].min())
    opens = float(state.opens[i])
    return WallState(
        case,
        profile.depth[beds],
        state.normal[beds, i] / profile.tributary,
        across - state.at[beds, i],
        across - state.edge[beds, i],
        across,
        kern_use(profile, state.at[:, i])[beds],
        float(across.max()),
        None if np.isnan(opens) else opens,
        factor,
        rigid,
        wall.friction * least / shear if shear > 0 else np.inf,
    )
