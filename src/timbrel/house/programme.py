"""One crew on several vaults: while one waits for its mortar, the crew works at another.

Every vault keeps its own order and its own waits. The crew takes, each time it is free, the
operation that can begin first; of two that can, the vault that stands first in the house file. A
vault that must come after another begins when the other's last wait has passed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from timbrel.site.programme import Operation, Programme, timed
from timbrel.site.workdays import DAY, Workdays


@dataclass(frozen=True)
class HouseOperation:
    """An operation on one vault. job: its folder. operation: with start and finish in the house's
    own time, s from the first morning."""

    job: str
    operation: Operation


@dataclass(frozen=True)
class HouseProgramme:
    """operations: in the order in which they begin. work: hours of the crew, s; days: working days;
    calendar: days to the end of the last wait; one_by_one: the same if every vault were finished,
    waits and all, before the next is begun."""

    operations: tuple[HouseOperation, ...]
    work: float
    days: float
    calendar: int
    one_by_one: int

    @property
    def plain(self) -> Programme:
        """The same as the programme of one job."""
        found = tuple(o.operation for o in self.operations)
        return Programme(found, self.work, self.days, self.calendar)


def one_crew(
    programmes: dict[str, Programme], after: dict[str, tuple[str, ...]], workdays: Workdays
) -> HouseProgramme:
    """Lay the operations of several vaults out for one crew. after: job -> jobs it must wait for."""
    left = {name: list(p.operations) for name, p in programmes.items()}
    ready = dict.fromkeys(programmes, 0.0)
    done_at: dict[str, float] = {}
    clock = 0.0
    found: list[HouseOperation] = []
    while any(left.values()):
        open_ones = [
            name for name, todo in left.items() if todo and all(a in done_at for a in after[name])
        ]
        begins = {
            name: max([clock, ready[name], *(done_at[a] for a in after[name])])
            for name in open_ones
        }
        name = min(open_ones, key=lambda n: workdays.next_hour(begins[n]))
        todo = left[name].pop(0)
        start = workdays.next_hour(begins[name])
        finish = workdays.done(start, todo.hours)
        found.append(HouseOperation(name, replace(todo, start=start, finish=finish)))
        clock, ready[name] = finish, finish + todo.wait
        if not left[name]:
            done_at[name] = ready[name]
    work = sum(p.work for p in programmes.values())
    last = max(ready.values(), default=0.0)
    apart = timed([o for p in programmes.values() for o in p.operations], workdays).calendar
    return HouseProgramme(tuple(found), work, work / workdays.hours, math.ceil(last / DAY), apart)
