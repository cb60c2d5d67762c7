"""Piers under a vault's corners, under every combination: what each comes to, and its verdicts.

The vault's force enters a pier at the corner of the room, beside its middle, and pushes along any
direction. Each pier is
followed down bed by bed (:mod:`timbrel.statics.pier_work`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.statics.pier_en1996 import (
    PierReduction,
    pier_slenderness,
    springer_bearing,
)
from timbrel.statics.pier_shape import pier_shape
from timbrel.statics.pier_sway import PierSway, pier_sway
from timbrel.statics.pier_twins import Turning, turning
from timbrel.statics.pier_verdicts import PierValues, pier_verdicts
from timbrel.statics.pier_work import PierBed, PierGround, PierPush, PierWork
from timbrel.statics.piers import middle_of_pier
from timbrel.statics.support_verdicts import Governed
from timbrel.statics.supports import refuse_contradictions
from timbrel.statics.wall_en1996 import Strength, wall_strength
from timbrel.verdict import Check
from timbrel.words import TimbrelError, say


@dataclass(frozen=True)
class PierSpringer:
    """The bed under a springer. side: of it, m. load: N. beta: enhancement. resistance: N."""

    side: float
    load: float
    beta: float
    resistance: float


@dataclass(frozen=True)
class CarriedPier:
    """A pier under every combination.

    side, height: of its shaft, m; out: how far its middle stands out of the room, along both sides,
    m; leaning: buttresses against it. overturning: multiple of the push that the cracked pier bears
    under EQU; inward: of what the vault puts down, its least push kept. opens: depth under the
    springing where a bed opens under the characteristic loads, None where none does. crushing,
    vertical, shear, springer, bearing: share of the resistance used (None: not stated). slenderness:
    h_ef over its side. sliding: friction over push on the ground. at_crushing, at_shear: the beds that
    govern. reduction: of the level that governs the vertical resistance. bed: of the springer. ground,
    slide: the footing where bearing and sliding govern. tied: least and greatest level push that ties
    take of it, N. sway: under the level acceleration that it bears least of, None where the job
    asks for none.
    """

    corner: str
    side: float
    height: float
    out: float
    leaning: int
    strength: Strength | None
    overturning: Governed
    inward: Governed
    opens: float | None
    crushing: Governed | None
    vertical: Governed | None
    shear: Governed | None
    springer: Governed | None
    bearing: Governed | None
    slenderness: float
    sliding: Governed
    at_crushing: PierBed | None
    at_shear: PierBed | None
    reduction: PierReduction | None
    bed: PierSpringer | None
    ground: PierGround
    slide: PierGround
    tied: tuple[float, float]
    sway: PierSway | None
    checks: tuple[Check, ...]


def carried_pier(
    job: Job,
    wall: Wall,
    corner: str,
    side: str,
    pushes: tuple[PierPush, ...],
    beside: Wall | None = None,
    *,
    springer: float,
    known: list[Turning] | None = None,
) -> CarriedPier | None:
    """A pier whose side and height are known; None without them or without pushes.

    side: of the wall that states it. beside: the near or far wall at the same corner, whose buttress
    leans on the pier too. springer: side of the square bed that the vault's corner has on it, m.
    known: piers of the same vault so far, one of which may be alike; this one is added.
    Raises TimbrelError when the data of the walls contradict each other.
    """
    if wall.pier is None or wall.height is None or not pushes:
        return None
    refuse_leaning(wall, side)
    if beside is not None:
        refuse_leaning(beside, "near" if corner in "AB" else "far", wall.pier)
    shape = pier_shape(wall, corner, beside)
    work = PierWork(job, wall, corner, shape, pushes)
    strength = wall_strength(wall.masonry, job.loads.national)
    turns = turning(work, [] if known is None else known)
    over, inward = (Governed(n, by.key, by.bound) for n, by in (turns.outward, turns.inward))
    crushed = sheared = reduction = bed = vertical = under = None
    if strength is not None:
        crushed, sheared = work.crushing(strength), work.shear(strength)
        reduction, push = work.vertical(strength)
        vertical = Governed(reduction.use, push.key, push.bound)
        load, push = work.springer()
        beta, bears = springer_bearing(shape, springer, strength)
        bed = PierSpringer(min(springer, wall.pier), load, beta, bears)
        under = Governed(load / bears, push.key, push.bound)
    footings = work.ground()
    bears_most = max(footings, key=lambda g: g.pressure)
    slides = min(footings, key=lambda g: g.sliding)
    bearing = None
    if wall.ground.bearing is not None:
        bearing = _of(bears_most, bears_most.pressure / wall.ground.bearing)
    sliding = _of(slides, slides.sliding)
    sway = pier_sway(work, pushes)
    opens, slender = work.opens(), pier_slenderness(shape, wall.masonry.head)
    values = PierValues(
        over,
        inward,
        _of(crushed, crushed.use) if crushed else None,
        vertical,
        _of(sheared, sheared.use) if sheared else None,
        under,
        bearing,
        sliding,
        slender,
        None if sway is None else sway.by,
    )
    tied = [p.tied for p in pushes]
    return CarriedPier(
        corner,
        wall.pier,
        wall.height,
        abs(float(middle_of_pier(wall, corner)[0])),
        len(shape.leanings),
        strength,
        over,
        inward,
        opens,
        values.crushing,
        vertical,
        values.shear,
        under,
        bearing,
        slender,
        sliding,
        crushed,
        sheared,
        reduction,
        bed,
        bears_most,
        slides,
        (min(tied), max(tied)),
        sway,
        pier_verdicts(job, wall, corner, side, values),
    )


def refuse_leaning(wall: Wall, side: str, pier: float | None = None) -> None:
    """Refuse a buttress that cannot lean on the pier at its wall's end. pier: its side, that of the
    wall if left out."""
    refuse_contradictions(wall, side, math.inf)
    pier = pier or wall.pier
    if wall.buttress is not None and pier is not None and wall.buttress.width > pier:
        raise TimbrelError(
            say(
                "walls.{side}.buttress.width is {width:length} and the pier that it leans on "
                "{pier:length} wide; accepted: a width up to the pier's.",
                side=side,
                width=wall.buttress.width,
                pier=pier,
            ),
            key=f"walls.{side}.buttress.width",
        )


def _of(found: PierBed | PierGround, value: float) -> Governed:
    return Governed(float(value) if not np.isnan(value) else np.inf, found.push, found.bound)
