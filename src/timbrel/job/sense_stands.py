"""Does what a vault stands on fit its kind, and the ends of its room?"""

from __future__ import annotations

from collections.abc import Iterator

from timbrel.job.model import Job
from timbrel.job.refusals import Fault, given_text
from timbrel.words import say

FITTING: dict[str, tuple[str, ...]] = {"groin": ("corners",), "sail": ("walls", "corners")}
"""What a vault of a kind may stand on; the others stand on walls."""


def standing_faults(job: Job) -> Iterator[Fault]:
    """Corners under what needs walls, and walls under the open edges of a sail on its corners."""
    stands, family = job.curve.stands, job.curve.family
    fitting = FITTING.get(family, ("walls",))
    if stands is not None and stands not in fitting:
        yield Fault(
            "curve.stands",
            say(
                "curve.stands is {given} for a vault of kind {family}; accepted: {accepted}.",
                given=given_text(stands),
                family=family,
                accepted=", ".join(given_text(one) for one in fitting),
            ),
        )
    elif family == "sail" and stands == "corners":
        yield from _walled_ends(job)


def _walled_ends(job: Job) -> Iterator[Fault]:
    """A wall that is said to stand under an end; where the job is silent the edge is open."""
    for name in ("near_end", "far_end"):
        end = getattr(job.room, name)
        stated = name in job.room.model_fields_set
        if end == "carrying wall" or (stated and end == "wall"):
            yield Fault(
                f"room.{name}",
                say(
                    'room.{name} is {given}, but the edges of a sail with curve.stands "corners" are '
                    'open arches; accepted: "free" or "closing wall", or curve.stands "walls".',
                    name=name,
                    given=given_text(end),
                ),
            )
