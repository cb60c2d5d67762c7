"""The least steel that holds a vault on a plan together: bars along its four sides, or a ring.

Of a groin they run from pier to pier, of a cloister and a sail along the four walls, which bear their
push to the corners; round a dome a flat is closed in the springing. Each size is tried with the rules
that judge the ties of a job (:mod:`timbrel.statics.net_ties`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from timbrel.job.model import Job
from timbrel.job.supports import AnchorPlate, Ties
from timbrel.statics.bar_choice import DIAMETERS, PLATE_STEP, PLATES, SLIM
from timbrel.statics.net_carrying import push_rows
from timbrel.statics.net_tie_checks import net_tie_checks
from timbrel.statics.net_ties import net_ties
from timbrel.statics.tied_plan import NetTies
from timbrel.statics.wall_changes import with_walls
from timbrel.verdict import Verdict

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_states import CombinedPush

FLATS = (
    (0.040, 0.005), (0.050, 0.005), (0.050, 0.006), (0.060, 0.006), (0.060, 0.008), (0.080, 0.008),
    (0.080, 0.010), (0.100, 0.010), (0.100, 0.012), (0.120, 0.012), (0.150, 0.012), (0.150, 0.015),
)  # fmt: skip
"""Width and thickness of flats that are rolled, m (common practice, no source)."""


@dataclass(frozen=True)
class TieChoice:
    """Ties as a job states them. size: diameter of the bars or width of the flat, m. mass: of all of
    them with their plates, kg."""

    ties: Ties
    size: float
    mass: float


def least_ties(
    job: Job, vault: Any, net: Net, pushed: tuple[CombinedPush, ...]
) -> TieChoice | None:
    """The lightest ties of which no verdict fails; None where there are none.

    pushed: what every combination puts on the supports, nothing taken off.
    """
    rows = push_rows(pushed)
    ringed = vault.family == "dome"
    for ties in _flats() if ringed else _bars():
        tied = net_ties(with_walls(job, ties=ties), vault, net, rows)
        if tied is None or not tied.helps:
            continue
        made = ties if ringed else _with_stout_plates(ties, tied)
        changed = with_walls(job, ties=made)
        if made is not ties:
            tied = net_ties(changed, vault, net, rows)
        if any(c.verdict is Verdict.FAILS for c in net_tie_checks(changed, tied)):
            continue
        assert tied is not None
        return TieChoice(made, _size(made), _mass(tied))
    return None


def _bars() -> Iterator[Ties]:
    """Bars with plates, the thinnest first, each with the least plate first."""
    for diameter in DIAMETERS:
        for side in PLATES:
            if side >= SLIM * diameter:
                plate = AnchorPlate.model_construct(side=side, thickness=PLATE_STEP)
                yield Ties.model_construct(kind="bar", diameter=diameter, anchor=plate)


def _flats() -> Iterator[Ties]:
    for width, thickness in sorted(FLATS, key=lambda flat: flat[0] * flat[1]):
        yield Ties.model_construct(kind="flat", width=width, thickness=thickness)


def _with_stout_plates(ties: Ties, tied: NetTies) -> Ties:
    """The same with plates of a rolled thickness that do not bend."""
    needed = max(tie.answer.plate_needed for tie in tied.ties)
    steps = max(math.ceil(needed / PLATE_STEP - 1e-9), 2)
    assert ties.anchor is not None
    plate = ties.anchor.model_copy(update={"thickness": steps * PLATE_STEP})
    return ties.model_copy(update={"anchor": plate})


def _size(ties: Ties) -> float:
    return float((ties.diameter if ties.kind == "bar" else ties.width) or 0.0)


def _mass(tied: NetTies) -> float:
    if tied.ring is not None:
        return tied.ring.mass
    return sum(tie.answer.mass for tie in tied.ties)
