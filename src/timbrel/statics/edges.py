"""What interrupts a barrel or hangs from it: openings, hooks, the two ends."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from timbrel.job.model import Job
from timbrel.statics.actions import fill_levels
from timbrel.statics.end_edges import EndEdge, end_edges
from timbrel.statics.hooks import HookProof, prove_hooks
from timbrel.statics.opening_proof import OpeningProof, prove_openings
from timbrel.verdict import Check

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel
    from timbrel.statics.proof import Statics


@dataclass(frozen=True)
class Edges:
    """Openings, hooks and ends, each with its checks; ends: near and far."""

    openings: tuple[OpeningProof, ...]
    hooks: tuple[HookProof, ...]
    ends: tuple[EndEdge, EndEdge]

    @property
    def checks(self) -> tuple[Check, ...]:
        """All their verdicts."""
        return tuple(
            check for one in (*self.openings, *self.hooks, *self.ends) for check in one.checks
        )


def prove_edges(job: Job, vault: Barrel, statics: Statics) -> Edges:
    """Openings, hooks and ends of a barrel or a flight whose strips are proved.

    Raises TimbrelError for an opening or a hook that cannot be where the job puts it.
    """
    top = fill_levels(job, vault)
    return Edges(
        prove_openings(job, vault, top),
        prove_hooks(job, vault, top),
        end_edges(job, vault, statics.stations),
    )
