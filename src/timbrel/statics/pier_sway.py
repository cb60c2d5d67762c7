"""A pier under a vault's corner while everything is pushed level: how much of that it bears.

Of the directions that push the pier outward, and of those that push it into the room, the one that a
block would bear least of is followed down, as a pier that cannot pull.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.statics.cracked_pier import level_borne, rigid_factor
from timbrel.statics.pier_shape import OUTWARD
from timbrel.statics.pier_work import PierPush, PierWork
from timbrel.statics.strip import Array
from timbrel.statics.support_verdicts import Governed


@dataclass(frozen=True)
class PierSway:
    """The level acceleration that a pier bears least of. by: multiple of it and the combination.
    share: (2,) of weight, along x and y. weight: that pushes level, N; arm: its height over the
    base, m. force: (2,) N level of the vault; couple: (2,) N m at the head; height: of the pier,
    m."""

    by: Governed
    share: Array
    weight: float
    arm: float
    force: Array
    couple: Array
    height: float


def pier_sway(work: PierWork, pushes: tuple[PierPush, ...]) -> PierSway | None:
    """None where no combination sways."""
    found: list[tuple[float, PierPush]] = []
    out = np.array(OUTWARD[work.corner])
    for outward in (True, False):
        asked = [p for p in pushes if p.sway.any() and bool(p.sway @ out > 0) == outward]
        if asked:
            push = min(asked, key=lambda p: rigid_factor(work.shape, work.loads(p)))
            found.append((level_borne(work.shape, work.loads(push), outward=outward), push))
    if not found:
        return None
    factor, push = min(found, key=lambda one: one[0])
    loads, shape = work.loads(push), work.shape
    weight = float(shape.own[-1, 0]) + loads.swaying
    slices = np.diff(shape.own[:, 0])
    moment = float(slices @ (shape.height - shape.half_way))
    moment += loads.swaying * (shape.height + loads.swaying_over)
    return PierSway(
        Governed(factor, push.key, push.bound),
        push.sway,
        weight,
        moment / weight if weight > 0 else 0.0,
        push.force[:2],
        loads.couple + loads.held,
        shape.height,
    )
