"""Steel on the order, by the kilogram."""

from __future__ import annotations

from timbrel.job.model import Job
from timbrel.takeoff.quantities import Line
from timbrel.words import Message, say

STEEL = 7850.0
"""Density of steel, kg/m3 (EN 1991-1-1:2002, table A.4)."""


def steel_line(key: str, title: Message, need: float, job: Job, waste: float = 0.0) -> Line:
    """A line of steel. need: kg. waste: bought over it, as a share: none where pieces are cut to
    size."""
    order = need * (1 + waste)
    return Line(
        key=key,
        title=title,
        need=need,
        order=order,
        kind="mass",
        pack=say("kg"),
        packs=order,
        mass=order,
        price=job.prices.steel_kg,
    )
