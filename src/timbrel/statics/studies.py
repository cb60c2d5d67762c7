"""What is asked beside the load path: what would help, what a tenth does, how sure one may be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from timbrel.job.model import Job
from timbrel.statics.alternative import Alternative
from timbrel.statics.alternatives import alternatives
from timbrel.statics.carrying import Carrying
from timbrel.statics.sampled import Uncertain
from timbrel.statics.sensitivity import Swing, sensitivity

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel


@dataclass(frozen=True)
class Studies:
    """alternatives: as stated, then every way of helping; none where a wall's data are missing.
    swings: what a tenth more or less does. uncertain: None until samples are drawn."""

    alternatives: tuple[Alternative, ...]
    swings: tuple[Swing, ...]
    uncertain: Uncertain | None = None


def study(job: Job, vault: Barrel, carrying: Carrying) -> Studies:
    """All but the samples, which take long and are drawn when asked for."""
    return Studies(alternatives(job, vault, carrying), sensitivity(job, vault, carrying))
