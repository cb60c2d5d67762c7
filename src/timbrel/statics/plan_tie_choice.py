"""The least steel that holds a vault on a plan together: bars along its four sides, or a ring.

Of a groin they run from pier to pier, of a cloister and a sail along the four walls, which bear their
push to the corners; round a dome a flat is closed in the springing. Where the job states ties, heavier
ones of the same kind and steel take their place, or ties across come closer together. Each size is
tried with the rules that judge the ties of a job (:mod:`timbrel.statics.net_ties`).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from timbrel.job.model import Job
from timbrel.job.supports import AnchorPlate, Ties
from timbrel.statics.bar_choice import DIAMETERS, PLATE_STEP, PLATES, SLIM
from timbrel.statics.net_carrying import push_rows
from timbrel.statics.net_tie_checks import net_tie_checks
from timbrel.statics.net_ties import net_ties
from timbrel.statics.tie_lines import tie_lines
from timbrel.statics.tied_plan import NetTies, PushRow
from timbrel.statics.ties import gross_area
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
CLOSER, CLOSEST = 0.10, 0.40
"""Step by which ties across are brought together, and the least spacing tried, m."""


@dataclass(frozen=True)
class TieChoice:
    """Ties as a job states them. size: diameter of the bars or width of the flat, m; where they come
    closer, their spacing. mass: of all of them with their plates, kg; where they come closer, of
    those that are added."""

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
    for ties in _flats() if vault.family == "dome" else _bars():
        found = _tried(job, vault, net, rows, ties)
        if found is not None:
            return found
    return None


def ties_across(
    job: Job, vault: Any, net: Net, pushed: tuple[CombinedPush, ...], spacing: float
) -> TieChoice | None:
    """The lightest bars from wall to wall, both ways at one spacing; None where there are none."""
    rows = push_rows(pushed)
    for bars in _bars():
        ties = bars.model_copy(update={"layout": "across", "spacing": spacing})
        found = _tried(job, vault, net, rows, ties)
        if found is not None:
            return found
    return None


def heavier_ties(
    job: Job, vault: Any, net: Net, pushed: tuple[CombinedPush, ...], *, more: bool
) -> TieChoice | None:
    """The least of the stated kind, steel and place that does, heavier than stated; None where none
    does. more: do the stated ones already; if not, their own section is tried with stouter plates too.
    """
    stated = job.walls.ties
    assert stated is not None
    rows, own = push_rows(pushed), gross_area(stated)
    for ties in _of_the_kind(stated):
        area = gross_area(ties)
        if area < own * (1 - 1e-9) or (more and area <= own * (1 + 1e-9)):
            continue
        found = _tried(job, vault, net, rows, ties)
        if found is not None:
            return found
    return None


def closer_ties(
    job: Job, vault: Any, net: Net, pushed: tuple[CombinedPush, ...], *, more: bool
) -> TieChoice | None:
    """The stated ties across at the widest spacing under theirs that does; None where none does.

    more: do the stated ones already; then at least one is added.
    """
    stated = job.walls.ties
    assert stated is not None and stated.spacing is not None
    rows, before = push_rows(pushed), net_ties(job, vault, net, push_rows(pushed), lost=False)
    steps = math.ceil(stated.spacing / CLOSER - 1e-9) - 1
    for step in range(steps, round(CLOSEST / CLOSER) - 1, -1):
        spacing = round(step * CLOSER, 3)
        ties = stated.model_copy(update={"spacing": spacing})
        changed = with_walls(job, ties=ties)
        if more and len(tie_lines(changed, vault)) == len(tie_lines(job, vault)):
            continue
        tied = net_ties(changed, vault, net, rows, lost=False)
        if tied is None or _fails(changed, tied):
            continue
        held = 0.0 if before is None else _mass(job, vault, before)
        return TieChoice(ties, spacing, _mass(changed, vault, tied) - held)
    return None


def _tried(
    job: Job, vault: Any, net: Net, rows: tuple[PushRow, ...], ties: Ties
) -> TieChoice | None:
    """Ties with plates that do not bend; None where they do not help or a verdict on them fails."""
    tied = net_ties(with_walls(job, ties=ties), vault, net, rows, lost=False)
    if tied is None or not tied.helps:
        return None
    made = ties if tied.ring is not None else _with_stout_plates(ties, tied)
    changed = with_walls(job, ties=made)
    if made is not ties:
        tied = net_ties(changed, vault, net, rows, lost=False)
    if tied is None or _fails(changed, tied):
        return None
    return TieChoice(made, _size(made), _mass(changed, vault, tied))


def _fails(job: Job, tied: NetTies) -> bool:
    return any(c.verdict is Verdict.FAILS for c in net_tie_checks(job, tied))


def _of_the_kind(stated: Ties) -> Iterator[Ties]:
    """The sections of a stated kind, the least first, each with the least plate first; plates are no
    smaller than the stated one."""
    sections: list[dict[str, float]] = [{"diameter": d} for d in DIAMETERS]
    if stated.kind == "flat":
        made = sorted(FLATS, key=lambda flat: flat[0] * flat[1])
        sections = [{"width": w, "thickness": t} for w, t in made]
    own = stated.model_dump(include=set(sections[0]))
    sections = [own, *(s for s in sections if s != own)]
    sections.sort(key=lambda s: gross_area(stated.model_copy(update=s)))
    for section in sections:
        if stated.anchor is None:
            yield stated.model_copy(update=section)
            continue
        grip = SLIM * section["diameter"] if "diameter" in section else 2 * section["width"]
        for side in sorted({stated.anchor.side, *PLATES}):
            if side >= max(grip, stated.anchor.side) - 1e-9 or section == own:
                plate = stated.anchor.model_copy(update={"side": max(side, stated.anchor.side)})
                yield stated.model_copy(update={**section, "anchor": plate})


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
    plate = ties.anchor.model_copy(
        update={"thickness": max(steps * PLATE_STEP, ties.anchor.thickness)}
    )
    return ties.model_copy(update={"anchor": plate})


def _size(ties: Ties) -> float:
    return float((ties.diameter if ties.kind == "bar" else ties.width) or 0.0)


def _mass(job: Job, vault: Any, tied: NetTies) -> float:
    """Of all ties, kg: those across as often as they come."""
    if tied.ring is not None:
        return tied.ring.mass
    often = Counter(line.name for line in tie_lines(job, vault))
    return sum(often[tie.name] * tie.answer.mass for tie in tied.ties)
