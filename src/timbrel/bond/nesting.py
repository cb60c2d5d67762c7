"""Sawing pieces out of tiles: cutting stock with the saw's kerf.

A tile is sawn across (pieces lie end to end along it) or lengthwise (pieces lie side by side): the
two cuts that a mason makes. A first-fit-decreasing filling is kept when it meets a lower bound: that of
Martello and Toth (Knapsack Problems, Wiley 1990, section 8.3), or that of the dual feasible functions
of Fekete and Schepers (2001, Mathematical Programming 91, u^(k)); else an integer program over all
ways to saw a tile decides (Gilmore and Gomory 1961), through HiGHS.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from typing import Any

from timbrel.bond.layout import Pattern
from timbrel.job.model import Tile

MOST_PATTERNS = 6000
TIME_LIMIT = 2.0
FUNCTIONS = 20  # dual feasible functions that are tried
EASE = 5e-4
"""Half of the millimetre to which pieces are grouped: a tile gives that much (m)."""


@dataclass(frozen=True)
class Sawing:
    """One way to saw a tile. groups: the pieces' groups, sorted. times: how many tiles."""

    groups: tuple[int, ...]
    times: int

    def renumbered(self, names: list[int]) -> Pattern:
        """The same with the groups' own numbers."""
        return Pattern(tuple(names[g] for g in self.groups), self.times)


@dataclass(frozen=True)
class Demand:
    """Pieces of one group along one direction of sawing. size: m. count: how many."""

    group: int
    size: float
    count: int


def nest_lengths(
    pieces: list[tuple[float, float, int]], tile: Tile, kerf: float
) -> tuple[tuple[Sawing, ...], int]:
    """Nest pieces (length, width, count) into tiles: the sawings, and the bound on their number.

    A piece as wide as the tile is sawn across it; one as long is sawn lengthwise; one that is
    neither is sawn in the direction that uses less of the tile.
    """
    across: list[Demand] = []
    lengthwise: list[Demand] = []
    for group, (length, width, count) in enumerate(pieces):
        full_width = width > tile.width - 2 * EASE - kerf
        saw_across = full_width or length / tile.length <= width / tile.width
        size = length if saw_across else width
        (across if saw_across else lengthwise).append(Demand(group, size, count))
    found: list[Sawing] = []
    bound = 0
    for demands, room in ((across, tile.length), (lengthwise, tile.width)):
        sawings, least = nest_one_way(demands, room, kerf)
        found += sawings
        bound += least
    return tuple(found), bound


def nest_one_way(demands: list[Demand], room: float, kerf: float) -> tuple[list[Sawing], int]:
    """Nest pieces along one direction into lengths of `room`; the sawings and the bound."""
    if not demands:
        return [], 0
    # With each piece carrying a kerf, and the room one kerf more, sizes add up plainly.
    sizes = {d.group: min(d.size + kerf, room + kerf) for d in demands}
    full = room + kerf + EASE
    bins = first_fit(demands, sizes, full)
    least = max(martello_toth(demands, sizes, full), dual_feasible(demands, sizes, full))
    if len(bins) > least:
        bins, least = _by_program(demands, sizes, full, bins, least)
    tally = Counter(tuple(sorted(b)) for b in bins)
    return [Sawing(groups, times) for groups, times in sorted(tally.items())], least


def first_fit(demands: list[Demand], sizes: dict[int, float], full: float) -> list[tuple[int, ...]]:
    """First fit, longest first."""
    rooms: list[float] = []
    bins: list[list[int]] = []
    for demand in sorted(demands, key=lambda d: -d.size):
        size, start = sizes[demand.group], 0
        for _ in range(demand.count):
            for k in range(start, len(bins)):
                if rooms[k] >= size:
                    break
            else:
                k = len(bins)
                bins.append([])
                rooms.append(full)
            bins[k].append(demand.group)
            rooms[k] -= size
            start = k
    return [tuple(b) for b in bins]


def martello_toth(demands: list[Demand], sizes: dict[int, float], full: float) -> int:
    """Lower bound L2: pieces over half a tile need one each, the rest what room they leave."""
    best = math.ceil(sum(sizes[d.group] * d.count for d in demands) / full - 1e-9)
    for small in {0.0, *(sizes[d.group] for d in demands if sizes[d.group] <= full / 2)}:
        large = [d for d in demands if sizes[d.group] > full - small]
        middle = [d for d in demands if full / 2 < sizes[d.group] <= full - small]
        rest = [d for d in demands if small <= sizes[d.group] <= full / 2]
        alone = sum(d.count for d in large) + sum(d.count for d in middle)
        left = sum((full - sizes[d.group]) * d.count for d in middle)
        over = sum(sizes[d.group] * d.count for d in rest) - left
        best = max(best, alone + max(0, math.ceil(over / full - 1e-9)))
    return best


def dual_feasible(demands: list[Demand], sizes: dict[int, float], full: float) -> int:
    """Lower bound by rounding: what together fits a tile still does after it.

    A piece of share x counts floor((k + 1) x) / k, and x itself where (k + 1) x is whole.
    """
    shares = [(sizes[d.group] / full, d.count) for d in demands]
    best = 0
    for k in range(1, FUNCTIONS + 1):
        total = 0.0
        for share, count in shares:
            parts = (k + 1) * share
            whole = abs(parts - round(parts)) < 1e-9
            total += count * (share if whole else math.floor(parts) / k)
        best = max(best, math.ceil(total - 1e-9))
    return best


def fullest_patterns(
    demands: list[Demand], sizes: dict[int, float], full: float
) -> list[tuple[int, ...]] | None:
    """All ways to fill a tile that leave no room for one more; None when there are too many."""
    order = sorted(demands, key=lambda d: -sizes[d.group])
    found: list[tuple[int, ...]] = []

    def grow(start: int, room: float, taken: tuple[int, ...]) -> bool:
        grown = False
        for k in range(start, len(order)):
            group = order[k].group
            if sizes[group] <= room and taken.count(group) < order[k].count:
                grown = True
                if not grow(k, room - sizes[group], (*taken, group)):
                    return False
        if not grown:
            found.append(taken)
        return len(found) <= MOST_PATTERNS

    return found if grow(0, full, ()) else None


def _by_program(
    demands: list[Demand],
    sizes: dict[int, float],
    full: float,
    bins: list[tuple[int, ...]],
    least: int,
) -> tuple[list[tuple[int, ...]], int]:
    """Better bins than first fit, or a better bound, from the integer program."""
    patterns = fullest_patterns(demands, sizes, full)
    if patterns is None:
        return bins, least
    import highspy
    import numpy as np

    # The usual class prints two lines as soon as it is made; its base does the same work.
    from highspy._core import _Highs

    program: Any = _Highs()
    program.setOptionValue("output_flag", False)
    program.setOptionValue("threads", 1)
    program.setOptionValue("time_limit", TIME_LIMIT)
    row = {d.group: i for i, d in enumerate(demands)}
    count = len(patterns)
    program.addVars(count, np.zeros(count), np.full(count, float(len(bins))))
    program.changeColsCost(count, np.arange(count, dtype=np.int32), np.ones(count))
    integer = np.full(count, highspy.HighsVarType.kInteger)
    program.changeColsIntegrality(count, np.arange(count, dtype=np.int32), integer)
    columns: list[list[tuple[int, int]]] = [[] for _ in demands]
    for k, pattern in enumerate(patterns):
        for group, times in Counter(pattern).items():
            columns[row[group]].append((k, times))
    for demand, entries in zip(demands, columns, strict=True):
        index = np.array([k for k, _ in entries], dtype=np.int32)
        value = np.array([t for _, t in entries], dtype=float)
        program.addRow(float(demand.count), highspy.kHighsInf, len(entries), index, value)
    program.run()
    info = program.getInfo()
    least = max(least, math.ceil(info.mip_dual_bound - 1e-6))
    if info.primal_solution_status != 2 or info.objective_function_value > len(bins) - 0.5:
        return bins, least
    wanted = {d.group: d.count for d in demands}
    better = []
    for k, times in enumerate(np.rint(program.getSolution().col_value).astype(int)):
        for _ in range(times):
            taken = []
            for group in patterns[k]:
                if wanted[group]:
                    wanted[group] -= 1
                    taken.append(group)
            if taken:
                better.append(tuple(taken))
    return better, least
