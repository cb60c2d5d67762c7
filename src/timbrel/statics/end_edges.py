"""The two ends of a barrel: a free edge, a wall that carries, a wall that only closes.

Whatever stands at an end, the last strip is proved by itself: no part of its load is ever taken
away from it. A wall that carries is told, beside that, what it must bear if the last strip settles
on it: the strip's whole weight on the width that spreads to it at 45 degrees from the rise of the
shell (common practice, no source). A wall that only closes must stay clear of the vault by what
the vault may move, the greater of 5 mm and span/500 (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.strip_answer import STANDS
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel
    from timbrel.statics.station import Station

PRACTICE = "common practice, no source"
GAP_LEAST = 0.005
GAP_SHARE = 1 / 500
ENDS = ("near", "far")


@dataclass(frozen=True)
class EndEdge:
    """One end. kind: as the job states it (``room.near_end``). load_factor: the least of the last
    strip by itself; None when it has none to carry; title: of which pattern. width: of the strip
    that a carrying wall may have to bear, and wall_load: its weight with the imposed load on a
    metre of that wall, N/m; None at other ends. gap: that a closing wall keeps, m; None likewise.
    """

    end: str
    kind: str
    load_factor: float | None
    title: Message
    width: float | None
    wall_load: float | None
    gap: float | None
    checks: tuple[Check, ...]


def gap_wanted(span: float) -> float:
    """Joint that a wall which only closes keeps from the vault (m)."""
    return max(GAP_LEAST, GAP_SHARE * span)


def end_edges(job: Job, vault: Barrel, stations: tuple[Station, ...]) -> tuple[EndEdge, EndEdge]:
    """Both ends, from the strips that were proved there (the stations ``near`` and ``far``)."""
    near, far = (next(s for s in stations if s.name == end) for end in ENDS)
    return (
        _end(job, vault, near, job.room.near_end),
        _end(job, vault, far, job.room.far_end),
    )


def _end(job: Job, vault: Barrel, station: Station, kind: str) -> EndEdge:
    answer, strip = station.answer, station.actions.strip
    worst = min(answer.patterns, key=lambda p: p.static, default=None)
    stands = answer.share_of_dead >= STANDS
    factor = (worst.static if worst else None) if stands else 0.0
    title = worst.title if worst else say("Dead load alone")
    width = wall_load = gap = None
    if kind == "carrying wall":
        width = float(np.ptp(strip.inner[:, 1])) + vault.thickness
        weight = float(-station.actions.dead[:, 1].sum())
        imposed = station.actions.imposed * strip.span
        wall_load = width * (weight + imposed) / strip.span
    if kind == "closing wall":
        gap = gap_wanted(strip.span)
    end = EndEdge(station.name, kind, factor, title, width, wall_load, gap, ())
    return EndEdge(**{**end.__dict__, "checks": _checks(job, end)})


def _checks(job: Job, end: EndEdge) -> tuple[Check, ...]:
    where = say("near end") if end.end == "near" else say("far end")
    if end.kind == "free":
        return (
            judge(
                f"ends.{end.end}.load_factor",
                say("Load factor of the last arch at the free {end}", end=where),
                end.load_factor,
                job.loads.factors.load_factor_least,
                kind="ratio",
                reason=say(
                    "A strip by itself, with nothing beside it to lean on; governed by: {load}.",
                    load=end.title,
                )
                if end.load_factor is not None
                else say("The job states no imposed load."),
                source="safe theorem, Heyman 1966; limit loads.factors.load_factor_least",
            ),
        )
    if end.kind == "closing wall" and end.gap is not None:
        joint = job.layers[0].joint.most
        return (
            judge(
                f"ends.{end.end}.gap",
                say("Soft joint to the wall that only closes the {end}", end=where),
                joint,
                end.gap,
                kind="length",
                reason=say(
                    "The end joint is filled with a soft strip and never wedged: the vault may move "
                    "by this much, and the wall must not be loaded. The widest joint of the first "
                    "layer (layers.1.joint.most) must leave room for it."
                ),
                source=PRACTICE,
            ),
        )
    if end.kind == "carrying wall" and end.wall_load is not None:
        wall = job.walls.near if end.end == "near" else job.walls.far
        strength = None if wall is None else wall.masonry.strength
        thickness = None if wall is None else wall.thickness
        known = strength is not None and thickness is not None
        stress = end.wall_load / thickness if thickness else None
        return (
            judge(
                f"ends.{end.end}.wall",
                say("Stress in the wall that carries the {end}", end=where),
                stress,
                None if not known or strength is None else strength / job.loads.national.masonry,
                kind="stress",
                at_least=False,
                reason=say(
                    "If the last strip, {width:length} wide, settles on the wall: {load:line_load} "
                    "on its head. The strip is proved by itself all the same.",
                    width=end.width,
                    load=end.wall_load,
                )
                if known
                else say(
                    "The wall may have to bear {load:line_load} on its head; state its thickness "
                    "and its masonry's strength (walls.{end}).",
                    load=end.wall_load,
                    end=end.end,
                ),
                source="load over thickness against EN 1996-1-1:2005 fk / gamma M",
            ),
        )
    return ()
