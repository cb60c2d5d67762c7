"""What is asked beside the load path: what would help, what a tenth does, how sure one may be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from timbrel.job.model import Job
from timbrel.statics.alternative import Alternative
from timbrel.statics.alternatives import alternatives
from timbrel.statics.carrying import Carrying
from timbrel.statics.net_alternatives import net_alternatives
from timbrel.statics.net_sensitivity import net_sensitivity
from timbrel.statics.net_statics import NetStatics
from timbrel.statics.sampled import Uncertain
from timbrel.statics.sensitivity import Swing, sensitivity
from timbrel.words import Message, Progress, silent

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

HELPED = 0.5  # progress of the studies of a vault on a plan at which the alternatives are done


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


def study_net(
    job: Job, vault: Any, statics: NetStatics, progress: Progress = silent, *, workers: int = 1
) -> Studies:
    """The same of a vault on a plan that was proved; nothing of one that has not been.

    workers: processes for the nets that a tenth more or less asks for; 1 works them here.
    """
    proof, carried = statics.proof, statics.carried
    if proof is None or carried is None:
        return Studies((), ())

    def helped(what: Message, share: float) -> None:
        progress(what, HELPED * share)

    def swung(what: Message, share: float) -> None:
        progress(what, HELPED + (1 - HELPED) * share)

    ways = net_alternatives(job, vault, proof.beds_rung.net, carried, helped)
    return Studies(ways, net_sensitivity(job, vault, carried, swung, workers=workers))
