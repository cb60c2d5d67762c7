"""One order for all vaults of a house: needs added first, then rounded to whole bags and pallets."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from timbrel.job.model import Job
from timbrel.site.mortar import SAND
from timbrel.takeoff.quantities import BIG_BAG, Line


@dataclass(frozen=True)
class HouseLine:
    """One line of the common order. line: of the whole house. shares: (job, order) in the unit of
    the line. apart: bags and pallets if every job bought by itself."""

    line: Line
    shares: tuple[tuple[str, float], ...]
    bags_apart: int
    pallets_apart: int


def combined(orders: dict[str, tuple[Line, ...]], job: Job) -> tuple[HouseLine, ...]:
    """Lines of several orders by their keys, in the order in which they first come.

    job: any of the jobs; they share tiles, binders, prices and ordering.
    """
    keys: dict[str, list[tuple[str, Line]]] = {}
    for name, lines in orders.items():
        for line in lines:
            keys.setdefault(line.key, []).append((name, line))
    return tuple(_together(found, job) for found in keys.values())


def _together(found: list[tuple[str, Line]], job: Job) -> HouseLine:
    lines = [line for _, line in found]
    first = lines[0]
    order = sum(line.order for line in lines)
    whole = replace(
        first,
        need=sum(line.need for line in lines),
        order=order,
        packs=sum(line.packs for line in lines),
        mass=sum(line.mass for line in lines),
        pallets=sum(line.pallets for line in lines),
        bags=sum(line.bags for line in lines),
    )
    if first.bags:
        whole = _bagged(whole, first.mass / first.bags, job)
    elif first.key.startswith("tiles."):
        tile = job.tiles.get(first.key.removeprefix("tiles."))
        if tile is not None:
            whole = replace(whole, pallets=math.ceil(order / tile.per_pallet))
    return HouseLine(
        whole,
        tuple((name, line.order) for name, line in found),
        sum(line.bags for line in lines),
        sum(line.pallets for line in lines),
    )


def _bagged(line: Line, bag: float, job: Job) -> Line:
    """The same need in whole bags of `bag` kg."""
    sand = line.kind == "volume"
    bags = math.ceil((line.order * SAND if sand else line.order) / bag - 1e-9)
    on_pallets = bags if bag >= BIG_BAG else math.ceil(bags / job.ordering.bags_per_pallet)
    packs = bags * bag / SAND if sand else float(bags)
    return replace(line, bags=bags, packs=packs, mass=bags * bag, pallets=on_pallets)
