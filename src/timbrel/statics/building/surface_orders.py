"""Orders of work on a vault on a plan compared: what they ask of the young bond, and their hours.

Orders of the first layer by ways of the second, one gang or two. Two gangs lay at two places at
half the pace each, so that every joint is twice as old when its stage comes; the tiles are the
same. Where the bond is not there yet the order waits, and the wait is in its hours.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.building.laying import Array, Laying
from timbrel.statics.building.orders import Pace
from timbrel.statics.building.sequence import WAYS_ROUND, Way
from timbrel.statics.building.surface_stage import StageAnswer
from timbrel.statics.maturity import BondStrength
from timbrel.words import Message, say


@dataclass(frozen=True)
class SurfaceOrder:
    """One order of work.

    laying: of the first layer, its key and title. way: of the second layer, None with one layer.
    gangs: at work at once. first, later: greatest tension (Pa) that the first layer asks of the
    joints while it is laid, and the second while it advances.
    ratio: worst share of the bond without waiting, None without bond tests. wait_courses: all waits
    between courses; wait_ease: before the guides are eased; wait_next: before the second layer
    starts beyond the stated one (s), None without tests, infinite when the bond never comes.
    guides: time for which the guides stand (s); hours: total (s), known waits included.
    """

    laying: str
    laying_title: Message
    way: Way | None
    gangs: int
    first: float
    later: float
    ratio: float | None
    wait_courses: float | None
    wait_ease: float | None
    wait_next: float | None
    guides: float
    hours: float

    @property
    def tension(self) -> float:
        """Greatest tension that the order asks of the joints (Pa)."""
        return max(self.first, self.later)

    @property
    def title(self) -> Message:
        """The order in words."""
        if self.way is None:
            return say("{first}; gangs: {gangs:count}", first=self.laying_title, gangs=self.gangs)
        return say(
            "{first}; second layer {way}; gangs: {gangs:count}",
            first=self.laying_title,
            way=WAYS_ROUND[self.way],
            gangs=self.gangs,
        )


def compare_surface_orders(
    job: Job,
    layings: Sequence[Laying],
    found: Mapping[str, Sequence[StageAnswer]],
    eased: StageAnswer,
    demand: Mapping[Way, Array],
    second: float,
    bond: BondStrength | None,
) -> tuple[SurfaceOrder, ...]:
    """All orders, the one proposed first.

    found: answers of the first layer by order. eased: of the closed first layer with nothing under
    it. demand: tension (Pa) at each step of the second layer, by way; empty with one layer.
    second: tiles in it.
    """
    ways: list[Way | None] = list(demand) or [None]
    orders = [
        _order(job, laying, found[laying.key], eased, way, demand, second, gangs, bond)
        for laying in layings
        for way in ways
        for gangs in (1, 2)
        if gangs <= max(job.crew.masons, 1)
    ]
    limit = job.building.ratio_most

    def rank(order: SurfaceOrder) -> tuple[bool, float, float, float]:
        # An order whose waits end is safe, and the quickest of those comes first, the one that
        # asks least among equals; without bond tests only the tension can tell.
        if order.ratio is None:
            return (True, order.tension, order.later, order.hours)
        safe = order.ratio <= limit or order.hours < math.inf
        quick = round(order.hours, -1) if safe else order.ratio
        return (not safe, quick, order.tension, order.later)

    return tuple(sorted(orders, key=rank))


def asks_while_laid(answer: StageAnswer) -> bool:
    """Is the stage passed through while the layer is laid? Easing before it is closed need not
    be."""
    return answer.stage.operation in ("course", "open")


def _order(
    job: Job,
    laying: Laying,
    answers: Sequence[StageAnswer],
    eased: StageAnswer,
    way: Way | None,
    demand: Mapping[Way, Array],
    second: float,
    gangs: int,
    bond: BondStrength | None,
) -> SurfaceOrder:
    pace = Pace.of(job, 1)
    passed = [a for a in answers if asks_while_laid(a)]
    tension = max((a.tension for a in passed), default=0.0)
    courses = _waits(passed, laying.count, gangs) if bond else None
    lay_first = len(laying.unit) / pace.first
    done = lay_first + (courses or 0.0)
    ease = eased.wait if bond else None
    ratio: float | None = None
    if bond:
        ratio = max((_ratio(a, gangs, job, bond) for a in passed), default=0.0)
    lay_second = second / pace.later if way is not None else 0.0
    guides = done + (ease or 0.0) + pace.move
    start = guides + job.site.wait_later_layer
    wait_next: float | None = None
    if way is not None and bond:
        used, wait_next = _later(job, demand[way], lay_second, bond)
        ratio = max(ratio or 0.0, used)
    hours = start + (wait_next or 0.0) + lay_second if way is not None else guides
    return SurfaceOrder(
        laying.key,
        laying.title,
        way,
        gangs,
        tension,
        float(demand[way].max()) if way is not None else 0.0,
        ratio,
        courses,
        ease,
        wait_next,
        guides,
        hours,
    )


def _later(job: Job, asked: Array, laying: float, bond: BondStrength) -> tuple[float, float]:
    """Worst share of the bond as the second layer advances, and the wait (s) it would take more."""
    at_c, limit = job.site.temperature_c, job.building.ratio_most
    ages = [job.site.wait_later_layer + laying * (k + 1) / len(asked) for k in range(len(asked))]
    used, more = 0.0, 0.0
    for tension, age in zip(asked.tolist(), ages, strict=True):
        if tension > 0:
            there = bond.at_age(age, at_c)
            used = max(used, tension / there if there > 0 else math.inf)
            more = max(more, bond.age_for(tension / limit, at_c) - age)
    return used, more


def _waits(passed: Sequence[StageAnswer], count: int, gangs: int) -> float:
    """Sum of the waits between units: those looked at, the rest in between by interpolation."""
    lacks: dict[float, float] = {}
    for answer in passed:
        lack = max((answer.wait or 0.0) - answer.stage.pace * gangs, 0.0)
        at = answer.stage.progress
        lacks[at] = max(lacks.get(at, 0.0), lack)
    if not lacks:
        return 0.0
    places = sorted(lacks)
    waits = [lacks[p] for p in places]
    if math.inf in waits:
        return math.inf
    shares = (np.arange(count) + 0.5) / count
    return float(np.interp(shares, np.array(places), np.array(waits)).sum())


def _ratio(answer: StageAnswer, gangs: int, job: Job, bond: BondStrength) -> float:
    """Share of the bond at the age by the programme, each gang at its own pace."""
    if answer.tension <= 0 or not answer.stage.pace:
        return answer.ratio or 0.0
    there = bond.at_age(answer.stage.pace * gangs, job.site.temperature_c)
    return answer.tension / there if there > 0 else math.inf
