"""The price: low, likely and high, from the job's own rates and prices.

What has no price in the job is left out of the sum, and listed as left out: a missing price is
never a price of nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from timbrel.job.model import Job
from timbrel.site.programme import Programme
from timbrel.takeoff.quantities import Line
from timbrel.words import Message, say


@dataclass(frozen=True)
class Labour:
    """Hours of one trade, s. price: an hour, None when the job gives none."""

    key: str
    title: Message
    people: int
    hours: float
    price: float | None

    @property
    def cost(self) -> float | None:
        """Cost at the likely hours, None without a price."""
        return None if self.price is None else self.price * self.hours / 3600


@dataclass(frozen=True)
class Figure:
    """One of the three figures. name: "low", "likely" or "high". days: working days of the crew.
    The sums are in the job's currency; total = (labour + material + overhead + contingency) with
    tax."""

    name: str
    days: float
    labour: float
    material: float
    overhead: float
    contingency: float
    tax: float
    total: float


@dataclass(frozen=True)
class Quote:
    """Three figures, the labour behind the likely one, and what is left out of all of them.

    left_out: lines without a price. exclusions: what no quote of this kind holds, and the job's
    own. revision: the job's letter. valid_until: last day on which it holds, None without a date.
    """

    currency: str
    low: Figure
    likely: Figure
    high: Figure
    labour: tuple[Labour, ...]
    left_out: tuple[Message, ...]
    exclusions: tuple[Message, ...]
    terms: str
    revision: str
    valid_until: date | None


def _exclusions(job: Job) -> tuple[Message, ...]:
    usual = (
        say("Survey of hidden defects in walls, floors and ground"),
        say("Design and signature of the licensed engineer, permits and fees"),
        say("Props, ties and strengthening of walls")
        if job.walls.ties is None
        else say("Props and strengthening of walls"),
        say("Scaffold, hoist, water and power on site"),
        say("Plaster, floor finish and decoration"),
        say("Load test and its bags"),
    )
    return usual + tuple(say("{stated}", stated=text) for text in job.prices.exclusions)


def _labour(job: Job, programme: Programme) -> tuple[Labour, ...]:
    crew, prices = job.crew, job.prices
    trades = (
        ("masons", say("Masons"), crew.masons, prices.mason_hour),
        ("helpers", say("Helpers"), crew.helpers, prices.helper_hour),
        ("apprentices", say("Apprentices"), crew.apprentices, prices.apprentice_hour),
    )
    return tuple(
        Labour(key, title, people, people * programme.work, price)
        for key, title, people, price in trades
        if people
    )


def _figure(
    name: str, job: Job, programme: Programme, sums: tuple[float, float], speed: float,
    contingency: float,
) -> Figure:  # fmt: skip
    labour, material = sums[0] / speed, sums[1]
    overhead = job.prices.overhead * (labour + material)
    spare = contingency * (labour + material + overhead)
    net = labour + material + overhead + spare
    tax = job.prices.tax * net
    return Figure(name, programme.days / speed, labour, material, overhead, spare, tax, net + tax)


def make_quote(job: Job, programme: Programme, lines: tuple[Line, ...]) -> Quote:
    """Low, likely and high. Speed changes the hours; materials stay as ordered."""
    prices = job.prices
    labour = _labour(job, programme)
    left_out = [line.title for line in lines if line.cost is None]
    left_out += [
        say("{trade}: {hours:hours} at no price", trade=one.title, hours=one.hours)
        for one in labour
        if one.cost is None
    ]
    sums = (sum(o.cost or 0.0 for o in labour), sum(line.cost or 0.0 for line in lines))
    return Quote(
        currency=prices.currency,
        low=_figure("low", job, programme, sums, prices.quick, prices.contingency_low),
        likely=_figure("likely", job, programme, sums, 1.0, prices.contingency),
        high=_figure("high", job, programme, sums, prices.slow, prices.contingency_high),
        labour=labour,
        left_out=tuple(left_out),
        exclusions=_exclusions(job),
        terms=prices.terms,
        revision=job.job.revision,
        valid_until=job.job.day + timedelta(days=prices.valid_days) if job.job.day else None,
    )
