"""Backing of the haunches on site: how much masonry, in which lifts, and when it is laid."""

from __future__ import annotations

from dataclasses import dataclass

from timbrel.job.model import Job
from timbrel.shape.barrel import Barrel
from timbrel.shape.surface import Surface
from timbrel.site.bed import bed_of
from timbrel.site.lifts import Lift, even_lifts
from timbrel.statics.backing import backing_top
from timbrel.statics.floor import GRAVITY
from timbrel.words import Message, say


@dataclass(frozen=True)
class BackingPlan:
    """Solid masonry over the haunches up to a level. top: level, m. volume: m3. weight: N. lifts:
    from the springings up, both sides alike. how: rules of laying it, in sentences."""

    top: float
    volume: float
    weight: float
    lifts: tuple[Lift, ...]
    how: tuple[Message, ...]


def plan_backing(job: Job, vault: Surface) -> BackingPlan | None:
    """What backs the haunches; None when the job states none.

    Raises TimbrelError when there is no vault to back at the level stated.
    """
    stated = job.loads.fill.backing
    if stated is None or not isinstance(vault, Barrel):
        return None
    top = backing_top(job, vault)
    bed = bed_of(vault)
    if top is None or top <= bed.low:
        return None
    volume = bed.volume(top)
    lifts = even_lifts(bed, bed.low, top, job.building.lift)
    return BackingPlan(top, volume, volume * stated.density * GRAVITY, lifts, _how(job))


def _how(job: Job) -> tuple[Message, ...]:
    lift = say(
        "Backing: brick or stone in mortar, bedded full and bonded to the wetted back of the vault, "
        "in lifts of {lift:length}, the two sides never more than one lift apart.",
        lift=job.building.lift,
    )
    when = say(
        "It is laid when the last layer has closed and before any fill, floor or load; the props "
        "of the walls stay, and nothing goes on it for {days:count} days: until then the shell "
        "stands by itself, as its stages say.",
        days=round(job.site.wait_fill / 86400),
    )
    if not job.loads.fill.backing or not job.loads.fill.backing.against_walls:
        return lift, when
    tight = say(
        "Pack it tight against the walls: the thrust goes through it into them. A wall that is "
        "hollow, loose or cut by a flue there does not count; say so in the job."
    )
    return lift, tight, when
