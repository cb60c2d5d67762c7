"""The thrusts of every combination, gathered as pushes on the left and right support.

A tie pulls alike at both ends: where wind or a level acceleration makes the two sides of a vault push
unlike, what one side pushes more than the other stays on its wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.job.supports import Ties
from timbrel.statics.combinations import Situation
from timbrel.statics.descent import Push
from timbrel.statics.envelope import Envelope
from timbrel.statics.strip import Array
from timbrel.statics.sway import way_of
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
        return self.rest.picked(places)


def gather(envelope: Envelope, frame: WallFrame, ties: Ties | None, share: float) -> Pushes:
    """Every thrust line of an envelope as a push on one wall. share: of a level acceleration, under
    which the wall's own weight pushes too."""
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
    push = swayed(push, [r.combination.key for r, _ in rows], frame.outward, share)
    unlike = np.array([frame.unlike(r.lines[bound]) for r, bound in rows if r.lines])
    rest = beside_ties(push, ties, unlike)
    return Pushes(
        push,
        rest,
        tuple(r.combination.key for r, _ in rows),
        tuple(r.combination.situation for r, _ in rows),
        tuple(("least", "greatest")[b] for _, b in rows),
        push.level - rest.level,
    )


def swayed(push: Push, keys: Sequence[str], outward: Array, share: float) -> Push:
    """Pushes with the level push of the support's own weight under the combinations that a level
    acceleration leads. outward: (2,) square to the support in plan."""
    ways = np.array([way_of(key) for key in keys]).reshape(-1, 2) * share
    if not ways.any():
        return push
    along = np.array([-outward[1], outward[0]])
    return replace(push, sway=ways @ outward, sway_along=ways @ along)


def beside_ties(push: Push, ties: Ties | None, unlike: Array | float = 0.0) -> Push:
    """What is left for the support: ties for good take all the level thrust but its share `unlike`,
    which nothing pushes against at their other end.

    The height of the ties over the line of action leaves a couple.
    """
    if ties is None or ties.stay != "for good":
        return push
    taken = push.level * (1 - np.asarray(unlike))
    couple = taken * (push.over - ties.over_springing)
    into = push.into + couple / np.maximum(push.down, 1e-9)
    return replace(push, level=push.level - taken, along=push.along * unlike, into=into)
