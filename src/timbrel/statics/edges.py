"""What interrupts a barrel or hangs from it: openings, hooks, the two ends."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from timbrel.job.model import Job
from timbrel.statics.actions import fill_levels
from timbrel.statics.end_edges import EndEdge, end_edges
from timbrel.statics.hooks import HookProof, prove_hooks
from timbrel.statics.opening_proof import OpeningProof, prove_openings
from timbrel.statics.placed_proof import placed_checks
from timbrel.verdict import Check, judge
from timbrel.words import say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel
    from timbrel.statics.proof import Statics


@dataclass(frozen=True)
class Edges:
    """Openings, hooks and ends, each with its checks; ends: near and far. walls: the push of what
    stands round each opening against the one that the walls are proved for. placed: loads on one
    place, each on its own strip."""

    openings: tuple[OpeningProof, ...]
    hooks: tuple[HookProof, ...]
    ends: tuple[EndEdge, EndEdge]
    walls: tuple[Check, ...]
    placed: tuple[Check, ...]

    @property
    def checks(self) -> tuple[Check, ...]:
        """All their verdicts."""
        found = [check for opening in self.openings for check in opening.checks]
        found += [check for hook in self.hooks for check in hook.checks]
        found += [check for end in self.ends for check in end.checks]
        return (*found, *self.walls, *self.placed)


def prove_edges(job: Job, vault: Barrel, statics: Statics) -> Edges:
    """Openings, hooks and ends of a barrel or a flight whose strips are proved.

    Raises TimbrelError for an opening or a hook that cannot be where the job puts it.
    """
    top = fill_levels(job, vault)
    openings = prove_openings(job, vault, top)
    return Edges(
        openings,
        prove_hooks(job, vault, top),
        end_edges(job, vault, statics.stations),
        tuple(_wall_check(opening, statics) for opening in openings),
        placed_checks(job, vault, top),
    )


def _wall_check(opening: OpeningProof, statics: Statics) -> Check:
    """Are the walls pushed harder beside an opening than by the strips that they are proved for."""
    known = [t.greatest for t in statics.thrusts if t.greatest is not None]
    return judge(
        f"openings.{opening.number}.wall",
        say("Push on the walls beside {name}", name=opening.name),
        opening.wall_thrust,
        min(known) if known else None,
        kind="line_load",
        at_least=False,
        reason=say(
            "Strip and cut arches together, mean over their width; the walls are proved for the "
            "greatest thrust of the whole strips."
        ),
        source="equilibrium; safe theorem, Heyman 1966",
    )
