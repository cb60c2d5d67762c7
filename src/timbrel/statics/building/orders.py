"""Orders of work compared: which asks least of the young bond, and what it costs in hours.

Three ways for the second layer, arch by arch or the whole first layer before it, one gang or two.
What the joints must carry comes from the states: with young joints as hinges where the second layer
follows arch by arch, without where it waits for the whole first layer. How strong the joints are by
then comes from the pace of the crew and the binder's own tests. Where the bond is not there yet,
the order waits, and the wait is in its hours.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.statics.building.sequence import WAYS, Arching, Way
from timbrel.statics.building.state import State
from timbrel.statics.maturity import BondStrength
from timbrel.words import Message, say

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Pace:
    """How fast one gang goes: tiles a second in the first and in later layers; a move (s)."""

    first: float
    later: float
    move: float

    @classmethod
    def of(cls, job: Job, gangs: int) -> Pace:
        """The crew shared evenly over a number of gangs."""
        crew = job.crew
        hands = (crew.masons + crew.apprentices * crew.apprentice_share) / gangs
        return cls(
            hands * crew.first_layer_tiles_hour / 3600,
            hands * crew.later_layer_tiles_hour / 3600,
            crew.move_minutes,
        )


@dataclass(frozen=True)
class Order:
    """One order of work.

    way: of the second layer; whole: the whole first layer before the second; gangs: working at
    once. tension: greatest that any state asks of the joints (Pa). ratio: worst share of the bond
    without waiting more than the centring needs, None without bond tests. wait_move, wait_next:
    waits before the centring moves and before the second layer starts (s), None without tests,
    infinite when the bond never comes. centring: time that the centring is in use (s). hours:
    total (s), waits included where known.
    """

    way: Way
    whole: bool
    gangs: int
    tension: float
    ratio: float | None
    wait_move: float | None
    wait_next: float | None
    centring: float
    hours: float

    def passes(self, state: State) -> bool:
        """Does this order pass through a state of a later layer? Only the second follows arches."""
        if state.layer == 2 and state.young.any() == self.whole:
            return False
        return state.key.split(".")[2] == self.way.name.lower()

    @property
    def title(self) -> Message:
        """The order in words."""
        sequence = say("whole first layer first") if self.whole else say("arch by arch")
        return say(
            "second layer {way}; {sequence}; gangs: {gangs:count}",
            way=WAYS[self.way],
            sequence=sequence,
            gangs=self.gangs,
        )


def compare_orders(
    job: Job,
    arching: Arching,
    second: float,
    arch_tension: float,
    demand: Mapping[tuple[Way, bool], Array],
    bond: BondStrength | None,
) -> tuple[Order, ...]:
    """All orders, the one proposed first.

    second: tiles in the second layer. arch_tension: worst of the closed arches (Pa). demand: the
    tension at each step (Pa), for each way, with and without young joints below.
    """
    found = [
        _order(job, arching, second, arch_tension, demand[way, not whole], bond, way, whole, gangs)
        for way in Way
        for whole in (True, False)
        for gangs in (1, 2)
        if gangs <= max(job.crew.masons, 1)
    ]
    limit = job.building.ratio_most

    def rank(order: Order) -> tuple[bool, float, float]:
        # An order whose waits end is safe, and the quickest of those comes first; without bond
        # tests only the tension can tell.
        if order.ratio is None:
            return (True, order.tension, order.hours)
        safe = order.ratio <= limit or order.hours < math.inf
        return (not safe, order.hours if safe else order.ratio, order.tension)

    return tuple(sorted(found, key=rank))


def _order(
    job: Job,
    arching: Arching,
    second: float,
    arch_tension: float,
    demand: Array,
    bond: BondStrength | None,
    way: Way,
    whole: bool,
    gangs: int,
) -> Order:
    limit, at_c = job.building.ratio_most, job.site.temperature_c
    pace = Pace.of(job, gangs if not whole else 1)
    lay_arch = arching.tiles / pace.first
    move = pace.move
    wait_move = bond.age_for(arch_tension / limit, at_c) if bond else None
    stay = lay_arch + (wait_move or 0.0) + move
    centring = arching.count * stay
    lay_second = second / pace.later / (1 if whole else arching.count)
    # Age of the youngest joint below when each step is reached, at the natural pace: the whole
    # layer's last arch was just struck; a second gang comes one arch behind the first.
    start = (wait_move or 0.0) + move + (lay_arch if gangs == 2 and not whole else 0.0)
    if whole:
        start += job.site.wait_later_layer
    ages = start + lay_second * np.arange(1, len(demand) + 1) / len(demand)
    wait_next = ratio = None
    if bond:
        reached = np.array([bond.at_age(float(age), at_c) for age in ages])
        ratio = _ratio(demand, reached)
        needed = np.array([bond.age_for(float(d) / limit, at_c) for d in demand])
        lacking = np.where(np.isinf(needed), np.inf, needed - np.where(np.isinf(ages), 0.0, ages))
        wait_next = float(np.max(np.maximum(lacking, 0.0)))
    waiting = wait_next or 0.0
    if whole:
        total = centring + job.site.wait_later_layer + waiting + lay_second
    elif gangs == 1:
        total = arching.count * (stay + waiting + lay_second)
    else:
        total = arching.count * max(stay, lay_second) + waiting + lay_second
    tension = max(arch_tension, float(demand.max()))
    return Order(way, whole, gangs, tension, ratio, wait_move, wait_next, centring, total)


def _ratio(demand: Array, reached: Array) -> float:
    asked = demand > 0
    if not asked.any():
        return 0.0
    if (reached[asked] <= 0).any():
        return math.inf
    return float(np.max(demand[asked] / reached[asked]))
