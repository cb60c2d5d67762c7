"""A simple programme: hours of each operation for the stated crew, and the days that they take.

Work goes on only in working hours of working days; mortar waits also by night and on rest days.
Rates are the job's own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from timbrel.job.model import Crew, Job
from timbrel.site.batches import Batch, NoBatch, mason_pace
from timbrel.site.volumes import LayerVolumes
from timbrel.site.workdays import DAY, Workdays
from timbrel.words import Message, say

DOUBLE_CURVED = ("sail", "dome")


@dataclass(frozen=True)
class Operation:
    """One operation. hours: of the whole crew together, in s. start, finish: s from the first
    morning. wait: what must pass afterwards before the next one, s. quantity, kind: what is done.
    """

    key: str
    title: Message
    quantity: float
    kind: str
    hours: float
    wait: float
    start: float
    finish: float

    @property
    def day(self) -> int:
        """Calendar day on which it starts, from 1."""
        return math.floor(self.start / DAY) + 1

    @property
    def last_day(self) -> int:
        """Calendar day on which it ends."""
        return max(self.day, math.ceil(self.finish / DAY - 1e-9))


@dataclass(frozen=True)
class Programme:
    """Operations in order. work: hours of the crew in all, s. days: working days of the crew.
    calendar: days from the first morning to the end of the last wait."""

    operations: tuple[Operation, ...]
    work: float
    days: float
    calendar: int


def crew_rate(layer: int, tiles_a_batch: int | None, job: Job) -> float:
    """Tiles an hour of the whole crew in a layer."""
    crew = job.crew
    own = crew.first_layer_tiles_hour if layer == 1 else crew.later_layer_tiles_hour
    pace = own if tiles_a_batch is None else mason_pace(layer, tiles_a_batch, job.site, crew)
    if job.curve.family in DOUBLE_CURVED:
        pace *= crew.double_curved_share
    return pace * hands_that_lay(crew)


def hands_that_lay(crew: Crew) -> float:
    """Masons, an apprentice counting for his share."""
    return crew.masons + crew.apprentice_share * crew.apprentices


def _works(
    job: Job,
    volumes: tuple[LayerVolumes, ...],
    batches: tuple[Batch | NoBatch, ...],
    moves: int,
    fill: float,
    backing: float,
) -> list[tuple[str, Message, float, str, float, float]]:
    crew, site = job.crew, job.site
    served = {b.layer: b.tiles for b in batches if isinstance(b, Batch)}
    works = [
        ("setting-out", say("Setting out"), 1.0, "count", crew.setting_out_hours * 3600, 0.0),
        ("centring", say("Making the centring"), 1.0, "count", crew.centring_hours * 3600, 0.0),
    ]
    for layer in volumes:
        hours = layer.count / crew_rate(layer.layer, served.get(layer.layer), job) * 3600
        if layer.layer == 1:
            hours += moves * crew.move_minutes
        last = layer.layer == len(volumes)
        wait = site.wait_fill if last else site.wait_later_layer
        title = say("Layer {layer}", layer=layer.layer)
        works.append((f"layer-{layer.layer}", title, float(layer.count), "count", hours, wait))
    if backing > 0:
        hours = backing / (crew.backing_m3_hour * hands_that_lay(crew)) * 3600
        title = say("Backing of the haunches, in lifts")
        works.append(("backing", title, backing, "volume", hours, site.wait_fill))
    if fill > 0:
        people = crew.masons + crew.helpers + crew.apprentices
        hours = fill / (crew.fill_m3_hour * people) * 3600
        rest = max(0.0, site.wait_load - site.wait_fill)
        works.append(("fill", say("Haunches and fill, in lifts"), fill, "volume", hours, rest))
    return works


def plan_programme(
    job: Job,
    volumes: tuple[LayerVolumes, ...],
    batches: tuple[Batch | NoBatch, ...],
    moves: int,
    fill: float,
    backing: float = 0.0,
) -> Programme:
    """The operations one after another. moves: of the centring. fill, backing: volumes, m3."""
    works = _works(job, volumes, batches, moves, fill, backing)
    operations = [Operation(*work, start=0.0, finish=0.0) for work in works]
    return timed(operations, Workdays.of(job.site))


def timed(operations: Sequence[Operation], workdays: Workdays) -> Programme:
    """Operations one after another, each in working hours and after the wait before it."""
    clock, found = 0.0, []
    for operation in operations:
        start = workdays.next_hour(clock)
        finish = workdays.done(start, operation.hours)
        found.append(replace(operation, start=start, finish=finish))
        clock = finish + operation.wait
    work = sum(o.hours for o in found)
    return Programme(tuple(found), work, work / workdays.hours, math.ceil(clock / DAY))


def with_bond_waits(programme: Programme, asked: Sequence[float | None], job: Job) -> Programme:
    """The same with what the stages of building ask the first layer to wait for its bond.

    asked: waits (s), of which those unknown or without end (their own checks tell them) count
    nothing here. They are put together behind the layer, nights and rest days not made use of:
    the days are rather too many.
    """
    more = sum(wait for wait in asked if wait is not None and math.isfinite(wait))
    if more <= 0:
        return programme
    operations = [
        replace(o, wait=o.wait + more) if o.key == "layer-1" else o for o in programme.operations
    ]
    return timed(operations, Workdays.of(job.site))
