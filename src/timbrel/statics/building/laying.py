"""Orders in which the first layer of a vault on a plan may be laid, from its own bond.

A unit is what is closed before the next is begun: an arch or a course of each web, a ring of a
dome. Later layers advance over the closed shell from the springings up, from one side, or from the
crown outward.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond, LayerBond
from timbrel.statics.building.sequence import Way
from timbrel.words import Message, say

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
QUARTERS = 4
OPPOSITE = (0, 2, 1, 3)
"""Webs one after another: facing ones follow each other, so that thrusts meet sooner."""


Places = Callable[[Array], Array]
Parts = Callable[[Array], Ints]


@dataclass(frozen=True)
class Laying:
    """One order of the first layer.

    key: stable. title: in words. unit: (tiles,) from 1, the unit of each tile. half: (tiles,) half
    its measure in the way of laying, m. closing: (tiles,)
    is it the last of its course in its unit, the key that closes it. guides: do guides stand under
    it while it is laid. along: how far along the way of laying places (n, 3) lie. part: webs or
    quarters that are laid one after another (0 where all go up together).
    """

    key: str
    title: Message
    unit: Ints
    half: Array
    closing: NDArray[np.bool_]
    guides: bool
    along: Places
    part: Parts

    @property
    def count(self) -> int:
        """How many units."""
        return int(self.unit.max())

    def tiles(self, unit: int) -> Ints:
        """Tiles of one unit, in the order of laying."""
        return np.flatnonzero(self.unit == unit)


def middles_of(layer: LayerBond) -> Array:
    """(n, 3) middles of the tiles."""
    sums = np.add.reduceat(layer.corners, layer.start[:-1], axis=0)
    return np.asarray(sums / np.diff(layer.start)[:, None])


def layings(vault: Any, bond: Bond) -> tuple[Laying, ...]:
    """The orders of a family, the one that the papers tell first."""
    layer = bond.layers[0]
    make: dict[str, Callable[[Any, LayerBond], tuple[Laying, ...]]] = {
        "groin": _groin,
        "cloister": _cloister,
        "sail": _sail,
        "dome": _dome,
    }
    return make[vault.family](vault, layer)


def _made(
    layer: LayerBond,
    key: str,
    title: Message,
    inner: NDArray[Any],
    along: Places,
    part: Parts | None = None,
    *,
    arches: bool = False,
    guides: bool = True,
) -> Laying:
    """An order from ranks (tiles,) within each part. arches: each closes at its crown, not at the
    end of its course."""
    middles = middles_of(layer)
    one: Parts = part or _together
    parts = one(middles)
    unit = _ranked(parts * (int(inner.max()) + 1) + inner - int(inner.min()))
    last = middles[:, 2] if arches else layer.number.astype(float)
    closing = np.zeros(len(unit), bool)
    for web in np.unique(layer.web):
        for u in np.unique(unit[layer.web == web]):
            here = np.flatnonzero((unit == u) & (layer.web == web))
            closing[here[np.argmax(last[here])]] = True
    half = (layer.length if arches else layer.width) / 2
    return Laying(key, title, unit, half, closing, guides, along, one)


def _ranked(values: NDArray[Any]) -> Ints:
    """Units numbered from 1 without gaps."""
    return np.asarray(np.unique(values, return_inverse=True)[1] + 1, np.int64)


def _together(points: Array) -> Ints:
    return np.zeros(len(points), np.int64)


def _level(points: Array) -> Array:
    return np.asarray(points[:, 2])


def _shares_inward(vault: Any) -> Callable[[Array], Array]:
    """Shares (n, 4) of the way from each wall to where the diagonals cross."""
    walls = [vault.plan.wall(k) for k in range(4)]
    middle = np.asarray(vault.plan.middle)

    def shares(points: Array) -> Array:
        return np.stack(
            [
                (points[:, :2] - through[:2]) @ out[:2] / ((middle - through[:2]) @ out[:2])
                for through, out in walls
            ],
            axis=1,
        )

    return shares


def _turn_of_web(web: NDArray[np.intp]) -> Ints:
    """When a web's turn comes, from 0."""
    return np.asarray(np.argsort(np.array(OPPOSITE))[web], np.int64)


def _groin(vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    inward = _shares_inward(vault)

    def to_wall(points: Array) -> Array:
        return np.asarray(inward(points).min(axis=1))

    def web(points: Array) -> Ints:
        return _turn_of_web(np.argmin(inward(points), axis=1))

    courses = _web_courses(layer)
    return (
        _made(layer, "courses", say("course by course from the springings, all round"),
              courses, _level),
        _made(layer, "arches", say("arch by arch from the walls inward, all round"),
              layer.arch, to_wall, arches=True),
        _made(layer, "webs", say("one web after another, each arch by arch"),
              layer.arch, to_wall, web, arches=True),
    )  # fmt: skip


def _web_courses(layer: LayerBond) -> Ints:
    """Courses counted from the nearer springing of their web."""
    last = np.array([layer.course[layer.web == k].max() for k in range(4)])
    first = np.array([layer.course[layer.web == k].min() for k in range(4)])
    up, down = layer.course - first[layer.web], last[layer.web] - layer.course
    return np.asarray(np.minimum(up, down), np.int64)


def _cloister(vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    inward = _shares_inward(vault)

    def web(points: Array) -> Ints:
        return _turn_of_web(np.argmin(inward(points), axis=1))

    return (
        _made(layer, "courses", say("course by course from the walls, all round"),
              layer.course, _level),
        _made(layer, "webs", say("one web after another, course by course"),
              layer.course, _level, web),
    )  # fmt: skip


def _sail(vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    middle = middles_of(layer)[:, :2]
    low, high = middle.min(axis=0), middle.max(axis=0)

    def share(points: Array) -> Array:
        return np.asarray((points[:, :2] - low) / (high - low))

    def across(points: Array) -> Array:
        return share(points)[:, 0]

    def from_both(points: Array) -> Array:
        return np.asarray(np.minimum(across(points), 1 - across(points)))

    def inward(points: Array) -> Array:
        return np.asarray(np.minimum(share(points), 1 - share(points)).min(axis=1))

    both = np.minimum(layer.course, layer.courses + 1 - layer.course)
    rounds = np.floor(inward(middles_of(layer)) * layer.courses).astype(np.int64)
    titles = (
        say("course by course from two facing walls"),
        say("course by course from one wall"),
        say("from all four walls inward"),
    )
    if vault.on_corners:
        titles = (
            say("course by course from two facing edge arches"),
            say("course by course from one edge arch"),
            say("from all four edge arches inward"),
        )
    return (
        _made(layer, "both", titles[0], both, from_both),
        _made(layer, "side", titles[1], layer.course, across),
        _made(layer, "round", titles[2], rounds, inward),
    )


def _dome(vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    centre = np.asarray(vault.centre)[:2]

    def inward(points: Array) -> Array:
        return np.asarray(-np.hypot(*(points[:, :2] - centre).T))

    def quarter(points: Array) -> Ints:
        away = points[:, :2] - centre
        turn = np.mod(np.arctan2(away[:, 1], away[:, 0]), 2 * np.pi)
        quarters = np.floor(turn / (2 * np.pi) * QUARTERS)
        return np.asarray(np.mod(quarters, QUARTERS), np.int64)

    return (
        _made(layer, "rings", say("ring upon ring, all round"), layer.course, inward,
              guides=False),
        _made(layer, "quarters", say("one quarter after another, ring upon ring"),
              layer.course, inward, quarter, guides=False),
    )  # fmt: skip


def cell_units(laying: Laying, layer: LayerBond, cells: Array) -> Ints:
    """(q,) the unit of each cell (middles (q, 3)): that of its part which lies nearest along the
    way of laying, so that cells alike fall into one unit however the joints stagger."""
    middles = middles_of(layer)
    parts, along = laying.part(middles), laying.along(middles)
    cell_parts, cell_along = laying.part(cells), laying.along(cells)
    found = np.zeros(len(cells), np.int64)
    for part in np.unique(parts):
        units = np.unique(laying.unit[parts == part])
        at = np.array([along[(parts == part) & (laying.unit == u)].mean() for u in units])
        here = cell_parts == part
        apart = np.round(np.abs(cell_along[here][:, None] - at), 6)
        found[here] = units[np.argmin(apart, axis=1)]
    return found


def closing_cells(laying: Laying, layer: LayerBond, unit: int, cells: Array) -> NDArray[np.bool_]:
    """(q,) cells that hold a key of a unit: their joints are the youngest."""
    middles = middles_of(layer)
    found = np.zeros(len(cells), bool)
    for tile in np.flatnonzero(laying.closing & (laying.unit == unit)):
        found[int(np.argmin(((cells - middles[tile]) ** 2).sum(axis=1)))] = True
    return found


def advance(way: Way, points: Array) -> Array:
    """(n,) keys by which a later layer advances over places (n, 3): the least is laid first."""
    if way is Way.SIDE:
        return np.asarray(np.round(points[:, 0], 6))
    level = np.round(points[:, 2], 6)
    return np.asarray(level if way is Way.BOTH else -level)


def covered_cells(way: Way, cells: Array, area: Array, share: float) -> NDArray[np.bool_]:
    """(q,) cells covered when a share of the area is laid; places alike are laid together."""
    key = advance(way, cells)
    order = np.argsort(key, kind="stable")
    reached = np.cumsum(area[order]) / area.sum()
    last = key[order][min(int(np.searchsorted(reached, share - 1e-9)), len(order) - 1)]
    return np.asarray(key <= last + 1e-9)
