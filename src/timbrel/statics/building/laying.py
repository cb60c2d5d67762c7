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


@dataclass(frozen=True)
class Laying:
    """One order of the first layer.

    key: stable. title: in words. unit: (tiles,) from 1, the unit of each tile. guides: do guides
    stand under it while it is laid.
    """

    key: str
    title: Message
    unit: Ints
    guides: bool

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


def _ranked(values: NDArray[Any]) -> Ints:
    """Units numbered from 1 without gaps."""
    return np.asarray(np.unique(values, return_inverse=True)[1] + 1, np.int64)


def _from_both(layer: LayerBond) -> Ints:
    return np.minimum(layer.course, layer.courses + 1 - layer.course)


def _by_web(layer: LayerBond, inner: Ints) -> Ints:
    place = np.argsort(np.array(OPPOSITE))
    return np.asarray(place[layer.web] * (int(inner.max()) + 1) + inner, np.int64)


def _groin(_vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    arch = layer.arch
    courses = _web_courses(layer)
    return (
        Laying("courses", say("course by course from the springings, all round"),
               _ranked(courses), True),
        Laying("arches", say("arch by arch from the walls inward, all round"),
               _ranked(arch), True),
        Laying("webs", say("one web after another, each arch by arch"),
               _ranked(_by_web(layer, arch)), True),
    )  # fmt: skip


def _web_courses(layer: LayerBond) -> Ints:
    """Courses counted from the nearer springing of their web."""
    last = np.array([layer.course[layer.web == k].max() for k in range(4)])
    first = np.array([layer.course[layer.web == k].min() for k in range(4)])
    up, down = layer.course - first[layer.web], last[layer.web] - layer.course
    return np.asarray(np.minimum(up, down), np.int64)


def _cloister(_vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    return (
        Laying("courses", say("course by course from the walls, all round"),
               _ranked(layer.course), True),
        Laying("webs", say("one web after another, course by course"),
               _ranked(_by_web(layer, layer.course)), True),
    )  # fmt: skip


def _sail(_vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    middle = middles_of(layer)[:, :2]
    low, high = middle.min(axis=0), middle.max(axis=0)
    share = (middle - low) / (high - low)
    inward = np.minimum(share, 1 - share).min(axis=1)
    rounds = np.floor(inward * layer.courses).astype(np.int64)
    return (
        Laying("both", say("course by course from two facing walls"),
               _ranked(_from_both(layer)), True),
        Laying("side", say("course by course from one wall"), _ranked(layer.course), True),
        Laying("round", say("from all four walls inward"), _ranked(rounds), True),
    )  # fmt: skip


def _dome(vault: Any, layer: LayerBond) -> tuple[Laying, ...]:
    away = middles_of(layer)[:, :2] - np.asarray(vault.centre)[:2]
    turn = np.mod(np.arctan2(away[:, 1], away[:, 0]), 2 * np.pi)
    quarter = np.floor(turn / (2 * np.pi) * QUARTERS).astype(np.int64)
    return (
        Laying("rings", say("ring upon ring, all round"), _ranked(layer.course), False),
        Laying("quarters", say("one quarter after another, ring upon ring"),
               _ranked(quarter * (layer.courses + 1) + layer.course), False),
    )  # fmt: skip


def cell_units(laying: Laying, layer: LayerBond, cells: Array) -> Ints:
    """(q,) the unit of the tile that lies nearest over each cell's middle (q, 3)."""
    middles = middles_of(layer)
    apart = ((cells[:, None, :] - middles[None, :, :]) ** 2).sum(axis=-1)
    return np.asarray(laying.unit[np.argmin(apart, axis=1)], np.int64)


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
