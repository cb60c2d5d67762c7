"""How long a tile of a vault on a plan is held by hand, and how many courses may hang unclosed.

A tile hangs on its bed and its neighbour; at the flattest course it hangs most. Courses that are not
closed hang from the last closed one like a bracket: m = p w^2 n^2 / 2 for n courses w wide.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.statics.building.hanging import hanging_tile
from timbrel.statics.building.holding import Holding
from timbrel.statics.building.orders import Pace
from timbrel.statics.maturity import BondStrength

MOST_COURSES = 12


@dataclass(frozen=True)
class CourseHold:
    """One course of the first layer. slope: of its tiles from level (rad). tension: of a tile on
    bed and neighbour, alone: on its bed only (Pa). seconds: held by hand until the bond carries it,
    none counted before the set; None without tests, infinite when it never does."""

    course: int
    slope: float
    tension: float
    alone: float
    seconds: float | None


@dataclass(frozen=True)
class SurfaceHolding:
    """hand: of the flattest tile, as in :class:`Holding`. courses: each course of the first layer.
    hanging: how many courses may hang unclosed at the flattest place, at the crew's pace; None
    without tests."""

    hand: Holding
    courses: tuple[CourseHold, ...]
    hanging: int | None


def hold_on_surface(
    job: Job, vault: Any, bond: Bond, strength: BondStrength | None
) -> SurfaceHolding:
    """Demand of hanging tiles, course by course, against the young bond at the day's temperature."""
    layer, stated = bond.layers[0], job.layers[0]
    tile = job.tiles[stated.tile]
    limit, at_c = job.building.ratio_most, job.site.temperature_c
    slopes = tile_slopes(layer.corners, layer.start)
    rows = []
    for course in np.unique(layer.course):
        slope = float(slopes[layer.course == course].min())
        on_both, on_bed = (
            hanging_tile(
                tile.length,
                tile.width,
                tile.thickness,
                stated.joint.best,
                tile.density,
                slope,
                neighbour=beside,
            )
            for beside in (True, False)
        )
        seconds = None
        if strength is not None:
            age = strength.age_for(on_both.tension / limit, at_c)
            seconds = max(age - job.site.mixing, 0.0)
        rows.append(CourseHold(int(course), slope, on_both.tension, on_bed.tension, seconds))
    worst = max(rows, key=lambda r: r.tension)
    flat = hanging_tile(
        tile.length, tile.width, tile.thickness, stated.joint.best, tile.density, worst.slope
    )
    hand = Holding(flat, worst.seconds, job.building.hold_trial, None)
    return SurfaceHolding(hand, tuple(rows), _hanging(job, bond, worst, strength))


def tile_slopes(corners: np.ndarray, start: np.ndarray) -> np.ndarray:
    """(n,) angle of each flat tile from level (rad), by the plane through its corners (Newell)."""
    after = np.roll(np.arange(len(corners)), -1)
    after[start[1:] - 1] = start[:-1]
    square = np.cross(corners, corners[after])
    normal = np.add.reduceat(square, start[:-1], axis=0)
    return np.asarray(np.arctan2(np.hypot(normal[:, 0], normal[:, 1]), np.abs(normal[:, 2])))


def _hanging(
    job: Job, bond: Bond, flattest: CourseHold, strength: BondStrength | None
) -> int | None:
    """Courses whose oldest bed, by the pace of the crew, carries the bracket of all after it."""
    if strength is None:
        return None
    tile = job.tiles[job.layers[0].tile]
    layer = bond.layers[0]
    tiles = layer.count / max(len(np.unique(np.stack([layer.web, layer.course]), axis=1).T), 1)
    lay = tiles / Pace.of(job, 1).first
    pressure = tile.density * 9.81 * tile.thickness * np.cos(flattest.slope)
    wide = tile.width + job.layers[0].joint.best
    for n in range(1, MOST_COURSES + 1):
        tension = 6 * pressure * (n * wide) ** 2 / 2 / tile.thickness**2
        there = strength.at_age(n * lay, job.site.temperature_c)
        if tension > job.building.ratio_most * there:
            return n - 1
    return MOST_COURSES
