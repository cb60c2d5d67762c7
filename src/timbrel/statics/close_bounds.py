"""How closely it is known what a vault bears: the two bounds of the load that governs it.

A plan closes in on the bounds as far as a plan may take. Where a dome with an oculus cracks all over,
both are sought again, longer: forces and moments all over the shell for the lower one (over a sphere),
finer cells of the motion for the upper one. For other vaults the plan's own are told.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.statics.forces_bound import CELLS, forces_bound
from timbrel.statics.mechanism_dome import DomeMechanism, dome_bound
from timbrel.words import Message, Progress, say

if TYPE_CHECKING:
    from timbrel.job.model import Job
    from timbrel.statics.net_factors import NetFactor
    from timbrel.statics.station import Station

MECHANISM_CELLS = (64, 84)
SHARE = 0.8  # of the work that the lower bound is


@dataclass(frozen=True)
class CloseBounds:
    """load: that governs. least: multiple of it that is borne; more: it was followed no further. most:
    multiple at which a mechanism is found, None without one. least_by, most_by: by what."""

    load: Message
    least: float
    least_by: Message
    most: float | None
    most_by: Message
    more: bool = False

    @property
    def gap(self) -> float | None:
        """Distance of the bounds over the lower one; None where one is not known."""
        if self.most is None or not np.isfinite(self.least) or self.least <= 0:
            return None
        return (self.most - self.least) / self.least


def bounds_of_strip(worst: Station) -> CloseBounds | None:
    """Of the strip where a barrel or a flight carries least; None without an imposed load."""
    found = min(worst.answer.patterns, key=lambda p: p.static, default=None)
    if found is None:
        return None
    return CloseBounds(
        found.title,
        found.static,
        say("A thrust line in the strip that carries least."),
        found.kinematic,
        say("Joints that give way, found by code of its own.")
        if found.kinematic is not None
        else say("No mechanism was found that lets this load sink."),
    )


def bounds_of_net(governs: NetFactor) -> CloseBounds:
    """As the plan has them. The bounds are told with the strength or without, both alike."""
    lower = governs.static if governs.kinematic is None or governs.upper.crushes else governs.rigid
    return CloseBounds(
        governs.title,
        lower,
        say("A strut net in {steps:count} steps.", steps=governs.steps),
        governs.kinematic,
        governs.upper.reason,
        governs.more,
    )


def closer_bounds(
    job: Job, vault: Any, governs: NetFactor, progress: Progress, cells: tuple[int, int] = CELLS
) -> CloseBounds:
    """The bounds of the load that governs, closed in on where that can be done; cells: of the forces
    in a dome."""
    found = bounds_of_net(governs)
    if not isinstance(governs.upper.mechanism, DomeMechanism):
        return found

    def told(what: Message, share: float) -> None:
        progress(what, SHARE * share)

    lower = forces_bound(job, vault, governs.pattern, cells, told)
    if lower is not None and lower.factor > found.least:
        by = say(
            "Forces and moments all over the dome, in {along:count} by {around:count} cells; "
            "nowhere do they ask for more tension than {tension:percent} of the strength.",
            along=lower.cells[0],
            around=lower.cells[1],
            tension=lower.report.tension,
        )
        found = replace(found, least=lower.factor, least_by=by, more=False)
    progress(say("The dome opens and crushes all over"), SHARE)
    upper = dome_bound(job, vault, governs.pattern, MECHANISM_CELLS)
    if upper is not None and (found.most is None or upper.factor < found.most):
        found = replace(found, most=upper.factor)
    return found
