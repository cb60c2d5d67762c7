"""Where a layer lies on each web of a vault, and its courses and rows once they are chosen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.bond.courses import (
    Courses,
    Development,
    EndLine,
    Pieces,
    end_lines,
    fill,
    ruled_courses,
)
from timbrel.bond.gauging import CourseGauge, Rows
from timbrel.bond.layout import Flags
from timbrel.bond.spread import Spread, spread_sail
from timbrel.bond.stock import Stock
from timbrel.bond.walls import WalledRows, past_edges, run_through


@dataclass(frozen=True)
class Bedding:
    """Where one layer lies. number: from 1. development: at its inner face. middle: offset of its
    middle surface from the intrados. near, far: its walls. web: which of the vault's webs, and
    surface: that web. creases: (2,) does the near, the far end meet another web. free: (2,) is the
    near, the far end a free edge, at which tiles end flush."""

    number: int
    stock: Stock
    direction: str
    development: Development | Spread
    middle: float
    near: EndLine
    far: EndLine
    web: int
    surface: Any
    creases: Flags
    free: Flags


def stretch(bed: Bedding) -> tuple[float, float]:
    """Least and greatest true width of the courses over the flat one; 1 where the web unrolls."""
    return bed.development.stretch if isinstance(bed.development, Spread) else (1.0, 1.0)


CREASES = {"groin": (False, True), "cloister": (True, True)}
"""Families whose webs meet in creases: at which ends of their courses."""
LETTERS = ("AB", "BC", "CD", "DA")
"""Webs of a vault on four sides, by their side, in the names of tiles."""


def beddings(
    number: int,
    stock: Stock,
    direction: str,
    vault: Any,
    free: tuple[bool, bool] = (False, False),
) -> list[Bedding]:
    """Where layer `number` of a vault lies: one bedding a web.

    free: is the near, the far end of the room a free edge.
    """
    place = vault.layers[number - 1]
    creases = np.array(CREASES.get(vault.family, (False, False)))
    found = []
    for web, surface in enumerate(getattr(vault, "webs", None) or (vault,)):
        development = (
            spread_sail(vault, place.inner)
            if vault.family == "sail"
            else surface.develop(place.inner)
        )
        near, far = end_lines(development)
        found.append(
            Bedding(
                number,
                stock,
                direction,
                development,
                place.middle,
                near,
                far,
                web,
                surface,
                creases,
                free_ends(vault, free),
            )
        )
    return found


def free_ends(vault: Any, free: tuple[bool, bool]) -> Flags:
    """At which ends of the courses tiles end flush with a free edge: (2,), from those of the room.

    The courses of a barrel, of a flight and of a sail run from end to end of the room; a sail has open
    ends where it stands on its corners. Other webs on four sides close against their side arches or
    walls with a joint, and against each other at creases.
    """
    through = vault.family in ("barrel", "flight") or (vault.family == "sail" and vault.on_corners)
    return np.array(free) & through


@dataclass(frozen=True)
class Laid:
    """A layer whose courses and rows are chosen, before its tiles are drawn.

    room: what its cut pieces are cut to (shapely polygon, flat); None: the walls less a joint.
    """

    bed: Bedding
    gauge: CourseGauge
    courses: Courses
    walled: WalledRows
    pieces: Pieces
    room: Any = None


def lay(bed: Bedding, gauge: CourseGauge, courses: Courses, walled: WalledRows) -> Laid:
    """Place the pieces of the rows on the courses."""
    if np.any(bed.free):
        walled = replace(walled, rows=flush(walled.rows, courses, bed))
    joint = walled.rows.joint
    lead = np.where(bed.free[0], bed.stock.joint.best, joint)
    pieces = fill(courses, walled.rows, walled.trims, bed.stock, lead)
    return Laid(bed, gauge, courses, walled, pieces)


def flush(rows: Rows, courses: Courses, bed: Bedding) -> Rows:
    """Rows whose ends at free edges have no joint: the others take exactly what is left."""
    ends = int(np.count_nonzero(bed.free))
    sizes = np.nansum(rows.head, axis=1) + np.nansum(rows.tail, axis=1)
    sizes = sizes + rows.wholes * bed.stock.along
    count = np.isfinite(rows.head).sum(axis=1) + np.isfinite(rows.tail).sum(axis=1) + rows.wholes
    clear = courses.length - ends * bed.stock.joint.best
    exact = (clear - sizes) / np.maximum(count + 1 - ends, 1)
    return replace(rows, joint=np.where(np.isfinite(rows.joint), exact, rows.joint))


def courses_of(bed: Bedding, gauge: CourseGauge) -> Courses:
    """The strips of a gauge on the bed's development."""
    courses = ruled_courses(bed.development, bed.near, bed.far, gauge)
    courses = run_through(courses, bed.stock, bed.creases, bed.web)
    return past_edges(courses, bed.stock, bed.free)


def bed_joints(laid: Laid) -> tuple[float, ...]:
    """Bed joints at the two ends, as they widen and close where the web is curved both ways."""
    width = laid.bed.stock.across
    return tuple(
        share * (width + joint) - width
        for share in stretch(laid.bed)
        for joint in (laid.gauge.joint_near, laid.gauge.joint_far)
    )


def web_letters(bed: Bedding) -> str:
    """What names the web in a tile's name; nothing where the vault is one web."""
    return LETTERS[bed.web] if np.any(bed.creases) else ""
