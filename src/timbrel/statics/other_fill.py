"""A job with light fill in the place of a heavier one."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.statics.alternative import LIGHT_FILL
from timbrel.statics.floor import UNIT_WEIGHT
from timbrel.words import Message, say


def fill_title() -> Message:
    return say("Light fill, {weight:unit_weight}", weight=LIGHT_FILL)


def lighter_fill(job: Job) -> Job | None:
    """The job with light fill; None where there is none that is heavier."""
    fill = job.loads.fill
    weight = fill.unit_weight or UNIT_WEIGHT.get(fill.kind, 0.0)
    if fill.kind in ("none", "sleeper walls") or (not fill.lifts and weight <= LIGHT_FILL):
        return None
    light = fill.model_copy(update={"kind": "light", "unit_weight": LIGHT_FILL, "lifts": ()})
    return job.model_copy(update={"loads": job.loads.model_copy(update={"fill": light})})
