"""The thrusts of every combination, gathered as pushes on the left and right support."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.job.supports import Ties
from timbrel.statics.combinations import Situation
from timbrel.statics.descent import Push
from timbrel.statics.envelope import Envelope
from timbrel.statics.strip import Array
from timbrel.statics.walls import WallFrame


@dataclass(frozen=True)
class Pushes:
    """Least and greatest thrust of every combination on one support, k in all.

    push: as found. rest: what is left for the support beside the ties. keys, situations, bounds:
    of each. tie: (k,) force that a tie for good takes, N a metre (0 without).
    """

    push: Push
    rest: Push
    keys: tuple[str, ...]
    situations: tuple[Situation, ...]
    bounds: tuple[str, ...]
    tie: Array

    def of(self, *situations: Situation) -> NDArray[np.intp]:
        """Places of the combinations of some situations."""
        return np.array([i for i, s in enumerate(self.situations) if s in situations], dtype=int)

    def picked(self, places: NDArray[np.intp]) -> Push:
        """What is left for the support in some of the combinations."""
        r = self.rest
        return Push(*(a[places] for a in (r.level, r.along, r.down, r.into, r.over, r.dead)))


def gather(envelope: Envelope, frame: WallFrame, ties: Ties | None) -> Pushes:
    """Every thrust line of an envelope as a push on one wall."""
    rows = [(r, bound) for r in envelope.rows if r.lines for bound in (0, 1)]
    forces = [frame.force(r.lines[bound]) for r, bound in rows if r.lines]
    push = Push(
        np.array([f.level for f in forces]),
        np.array([f.along for f in forces]),
        np.array([f.down for f in forces]),
        np.array([f.into for f in forces]),
        np.array([f.over for f in forces]),
        np.array([r.combination.dead for r, _ in rows]),
    )
    rest = beside_ties(push, ties)
    return Pushes(
        push,
        rest,
        tuple(r.combination.key for r, _ in rows),
        tuple(r.combination.situation for r, _ in rows),
        tuple(("least", "greatest")[b] for _, b in rows),
        push.level - rest.level,
    )


def beside_ties(push: Push, ties: Ties | None) -> Push:
    """What is left for the support: ties for good take all the level thrust.

    The height of the ties over the line of action leaves a couple.
    """
    if ties is None or ties.stay != "for good":
        return push
    couple = push.level * (push.over - ties.over_springing)
    into = push.into + couple / np.maximum(push.down, 1e-9)
    nothing = np.zeros_like(push.level)
    return replace(push, level=nothing, along=nothing, into=into)
