"""The hours and days on which a crew works: a day's hours, a week's days, feasts left out.

Time is counted in seconds from the first morning, nights and rest days included, for mortar waits
through them. Without a first date the first morning is taken for that of a Monday.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from timbrel.job.works import Site

DAY = 24 * 3600.0


@dataclass(frozen=True)
class Workdays:
    """hours: worked of a day, s. week: days worked of seven, from Monday. first: date of the first
    morning, None when not stated. off: dates on which nobody works."""

    hours: float
    week: int = 7
    first: date | None = None
    off: tuple[date, ...] = ()

    @classmethod
    def of(cls, site: Site) -> Workdays:
        """Those that a job states."""
        return cls(site.hours_per_day * 3600, site.days_per_week, site.start, site.off)

    def worked(self, day: int) -> bool:
        """Does the crew work on a day, counted from 0."""
        weekday = day if self.first is None else self.first.weekday() + day
        return weekday % 7 < self.week and self.date_of(day) not in self.off

    def date_of(self, day: int) -> date | None:
        """Date of a day, counted from 0; None without a first date."""
        return None if self.first is None else self.first + timedelta(days=day)

    def next_hour(self, time: float) -> float:
        """The first working instant at or after a time."""
        day = math.floor(time / DAY)
        if self.worked(day) and time - day * DAY < self.hours:
            return time
        return self._morning_after(day)

    def done(self, start: float, work: float) -> float:
        """When so much work ends (s), begun at or after a start, done in working hours only."""
        clock = self.next_hour(start)
        day = math.floor(clock / DAY)
        while work > (left := day * DAY + self.hours - clock) + 1e-6:
            work -= left
            clock = self._morning_after(day)
            day = math.floor(clock / DAY)
        return clock + work

    def _morning_after(self, day: int) -> float:
        day += 1
        while not self.worked(day):
            day += 1
        return day * DAY
