"""A simple programme: hours of each operation for the stated crew, and the days that they take.

Work goes on only in working hours; mortar waits also by night. Rates are the job's own.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.job.model import Crew, Job
from timbrel.site.batches import Batch, NoBatch, mason_pace
from timbrel.site.volumes import LayerVolumes
from timbrel.words import Message, say

DAY = 24 * 3600.0
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


def work_on(start: float, work: float, working: float) -> float:
    """When work of so many seconds ends, if each day only its first `working` seconds count."""
    day, since = divmod(start, DAY)
    left_today = max(0.0, working - since)
    if work <= left_today:
        return start + work
    rest = work - left_today
    full = math.ceil(rest / working - 1e-12) - 1
    return (day + 1 + full) * DAY + (rest - full * working)


def next_hour(time: float, working: float) -> float:
    """The first working instant at or after `time`."""
    day, since = divmod(time, DAY)
    return time if since < working else (day + 1) * DAY


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
    working = job.site.hours_per_day * 3600
    clock = 0.0
    done = []
    works = _works(job, volumes, batches, moves, fill, backing)
    for key, title, quantity, kind, hours, wait in works:
        start = next_hour(clock, working)
        finish = work_on(start, hours, working)
        done.append(Operation(key, title, quantity, kind, hours, wait, start, finish))
        clock = finish + wait
    work = sum(o.hours for o in done)
    return Programme(tuple(done), work, work / working, math.ceil(clock / DAY))
