"""The stop line for tonight: how far today's work reaches, and how it is left.

An arch of the first layer that is not closed hangs on young joints alone. So no arch is begun that
cannot be closed before leaving.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from timbrel.bond.layout import Ints, LayerBond
from timbrel.job.model import Job
from timbrel.site.programme import crew_rate
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

MOVED = ("barrel", "flight")
"""Families whose centring moves on with each arch."""


@dataclass(frozen=True)
class StopLine:
    """tiles: in the largest arch. arch_time: to lay and close it, wait and move on, s. a_day: whole
    arches in a working day. last_start: from the start of the day, s; an arch begun later will not
    be closed. days: on which the first layer is laid; close_by: (days,) number of arches closed
    when leaving each day. must, never, tomorrow: what to do tonight, what may not be left, who and
    what may stand where."""

    tiles: int
    arch_time: float
    a_day: int
    last_start: float
    days: int
    close_by: tuple[int, ...]
    must: tuple[Message, ...]
    never: tuple[Message, ...]
    tomorrow: tuple[Message, ...]


def stop_line(
    job: Job,
    first: LayerBond,
    tiles_a_batch: int | None,
    wait: float | None = None,
    unit: Ints | None = None,
) -> StopLine:
    """The stop line of the first layer, from its arches and the crew's own pace.

    wait: what an arch waits for its bond (s) once it is closed, before the next hangs on it or its
    centring moves, where the stages of building ask it; one without end counts nothing here (its
    own check tells it). unit: (tiles,) what is closed together in the order that is proposed, where
    that is not an arch.
    """
    in_arch = np.bincount(first.arch if unit is None else unit - 1)
    largest = int(in_arch.max())
    lay = largest / crew_rate(1, tiles_a_batch, job) * 3600
    bond = wait if wait is not None and math.isfinite(wait) else 0.0
    move = (job.crew.move_minutes if job.curve.family in MOVED else 0.0) + bond
    arch_time = lay + move
    working = job.site.hours_per_day * 3600
    # The last arch of a day need not be followed by a move, and bonds overnight.
    a_day = max(0, math.floor((working + move) / arch_time + 1e-9))
    arches = len(in_arch)
    days = math.ceil(arches / a_day) if a_day else 0
    return StopLine(
        tiles=largest,
        arch_time=arch_time,
        a_day=a_day,
        last_start=max(working - lay, 0.0),
        days=days,
        close_by=tuple(min(arches, a_day * day) for day in range(1, days + 1)),
        must=(
            say(
                "Begin no arch later than {start:hours} after the start: one takes {lay:hours}.",
                start=max(working - lay, 0.0),
                lay=lay,
            )
            if job.curve.family != "dome"
            else say(
                "Begin no ring later than {start:hours} after the start: the longest takes "
                "{lay:hours}.",
                start=max(working - lay, 0.0),
                lay=lay,
            ),
            say("Close the arch or ring in hand before leaving, however late it gets."),
            say("Leave what carried it up under what was closed last, wedges snug."),
            say("Read the crown and write it down; cover the work from rain, frost and sun."),
        ),
        never=(
            say("No arch or ring left open, not even with one tile missing."),
            say("No layer above left on one side only: bring both sides to the same course."),
            say("No bags, tiles or water standing on the vault overnight."),
        ),
        tomorrow=(
            say("Nobody under or on last night's work before it has been sounded and read."),
            say("Tiles and bags stand over the walls or on the scaffold, never on the shell."),
        ),
    )


def stop_line_checks(line: StopLine) -> tuple[Check, ...]:
    """At least one whole arch must close in a day."""
    return (
        judge(
            "site.stop-line",
            say("Arches, courses or rings that close whole in a day"),
            float(line.a_day),
            1.0,
            kind="count",
            reason=say(
                "The largest has {tiles:count} tiles and takes {time:hours} with its move; more hands, "
                "a longer day or a narrower arch would help.",
                tiles=line.tiles,
                time=line.arch_time,
            ),
            source="crew's own rates",
        ),
    )
