"""Haunches and fill: what lies between the shell's outer face and the floor above it.

Depth at a plan point is the level of the top less the true outer face of the shell there, inside
the walls; volumes are its integral over the plan (:mod:`timbrel.site.bed`).
Rule of the trade, from memory: to the crown a segment takes span x rise / 3 a metre, as a parabola
does exactly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.shape.barrel import Barrel
from timbrel.shape.surface import Surface
from timbrel.site.backing import plan_backing
from timbrel.site.bed import Bed, bed_of
from timbrel.site.lifts import Lift, even_lifts
from timbrel.statics.actions import top_of_fill
from timbrel.statics.floor import GRAVITY, UNIT_WEIGHT
from timbrel.verdict import Check, judge
from timbrel.words import TimbrelError, say

Floats = NDArray[np.float64]
ROUNDING = 1e-6
"""What arithmetic may cost a fill that is brought up to the crown cover exactly (m)."""


@dataclass(frozen=True)
class FillPlan:
    """Fill or dwarf walls over the shell, up to a level.

    kind: as the job states it. top: level of its upper face. floor: level of the finished floor.
    space: volume between shell (or its backing) and top, m3; volume: of what fills it (the dwarf
    walls themselves when there are such). weight: N. lifts: from the haunches up; the dwarf walls
    have none.
    by_rule: span x rise / 3 a metre to the crown, over the axis, at mid length (m3); to_crown: our
    volume to the crown of the shell, for comparison; None where it is no barrel.
    wall_faces: (k,) area of each dwarf wall on one face, m2, from the left; they run along the
    axis, set out from the crown.
    least_cover: depth over the highest point of the shell.
    """

    kind: str
    top: float
    floor: float
    space: float
    volume: float
    weight: float
    lifts: tuple[Lift, ...]
    by_rule: float | None
    to_crown: float
    wall_faces: Floats
    least_cover: float


def plan_fill(job: Job, vault: Surface) -> FillPlan | None:
    """What lies over the shell; None when the job has none.

    Raises TimbrelError when the level given lies below the whole shell.
    """
    fill = job.loads.fill
    if fill.kind == "none":
        return None
    bed = bed_of(vault)
    crown, low = bed.crown, bed.low
    top = _top(job, vault, crown)
    if top <= low:
        raise TimbrelError(
            say(
                "loads.fill.level: a top at {top:metres} was given, and the shell is nowhere "
                "lower than {low:metres}; give a higher level, or no fill.",
                top=top,
                low=low,
            ),
            key="loads.fill.level",
        )
    backing = plan_backing(job, vault)
    if backing is not None and backing.top >= top:
        raise TimbrelError(
            say(
                "loads.fill.backing stands up to {backing:metres} and the fill only to "
                "{top:metres}; accepted: a backing under the top of the fill, or no fill.",
                backing=backing.top,
                top=top,
            ),
            key="loads.fill.backing.level",
        )
    solid = 0.0 if backing is None else backing.volume
    low = low if backing is None else backing.top
    space = bed.volume(top) - solid
    volume, faces = space, np.zeros(0)
    if fill.kind == "sleeper walls":
        faces = bed.wall_faces(top, fill.sleeper_spacing)
        if backing is not None:
            faces = faces - bed.wall_faces(backing.top, fill.sleeper_spacing)
        volume = float(faces.sum()) * fill.sleeper_thickness
        weight = volume * fill.sleeper_density * GRAVITY
    else:
        weight = _weight(job, vault, bed, top, low)
    lifts = () if fill.kind == "sleeper walls" else even_lifts(bed, low, top, job.building.lift)
    return FillPlan(
        kind=fill.kind,
        top=top,
        floor=top + job.levels.finish,
        space=space,
        volume=volume,
        weight=weight,
        lifts=lifts,
        by_rule=_by_rule(vault),
        to_crown=bed.volume(crown),
        wall_faces=faces,
        least_cover=top - crown,
    )


def _top(job: Job, vault: Surface, crown: float) -> float:
    """The level that the statics load the vault up to."""
    if isinstance(vault, Barrel):
        top = top_of_fill(job, vault)
        assert top is not None
        return top
    fill = job.loads.fill
    springing = float(np.mean(np.asarray(vault.room.corners)[:, 2]))
    if fill.lifts:
        return springing + fill.lifts[-1].top
    if fill.level is not None:
        return springing + fill.level
    return crown + job.levels.crown_cover


def _weight(job: Job, vault: Surface, bed: Bed, top: float, low: float) -> float:
    """Weight of the fill, N: of one kind, or of lifts of several materials from the bottom up; low:
    level from which it stands."""
    fill = job.loads.fill
    below, weight = bed.volume(low), 0.0
    if not fill.lifts:
        return (bed.volume(top) - below) * (fill.unit_weight or UNIT_WEIGHT[fill.kind])
    springing = float(np.mean(np.asarray(vault.room.corners)[:, 2]))
    for lift in fill.lifts:
        upto = max(bed.volume(springing + lift.top), below)
        weight += (upto - below) * lift.unit_weight
        below = upto
    return weight


def _by_rule(vault: Surface) -> float | None:
    """Span x rise / 3 a metre of axis, m3; the rule is for barrels."""
    if not isinstance(vault, Barrel):
        return None
    middle = vault.section(0.5)
    rise = float(middle[:, 1].max() - (middle[0, 1] + middle[-1, 1]) / 2)
    return float(middle[-1, 0]) * rise / 3 * vault.axis_length


def fill_checks(job: Job, fill: FillPlan | None) -> tuple[Check, ...]:
    """Is the crown covered? (A floor over `levels.top` is refused before, with the actions.)"""
    if fill is None:
        return ()
    return (
        judge(
            "site.fill.cover",
            say("Cover over the crown"),
            fill.least_cover,
            job.levels.crown_cover - ROUNDING,
            kind="length",
            reason=say(
                "The top lies {cover:length} over the highest point of the shell.",
                cover=fill.least_cover,
            ),
            source="levels.crown_cover",
        ),
    )
