"""Rows between walls that may run out of square: where an end must be cut true."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from timbrel.bond.courses import Courses
from timbrel.bond.gauging import Rows
from timbrel.bond.layout import Flags, Floats, Ints
from timbrel.bond.stock import Stock

FLUSH = 0.002
"""An end tile at a free edge may stand askew to it by this much (m)."""


@dataclass(frozen=True)
class WalledRows:
    """Rows of one layer and which of their ends are cut. trims: (n, 2), near and far."""

    rows: Rows
    trims: Flags


def runs_through(course: Ints, web: int) -> Flags:
    """Which courses (from 0) of a web run through to its creases: every other one, and the other
    ones in the next web."""
    through: Flags = (course + web) % 2 == 0
    return through


def run_through(courses: Courses, stock: Stock, ends: Flags, web: int) -> Courses:
    """The courses of a web whose ends meet another web in a crease.

    Course by course one web runs through to the crease and the other stops a joint short, so that
    the edge is bonded. ends: (2,) does the near, the far end meet a crease.
    """
    through = runs_through(np.arange(courses.count), web)
    gain = stock.joint.best * through[:, None]
    near = courses.near - gain if ends[0] else courses.near
    far = courses.far + gain if ends[1] else courses.far
    return replace(courses, near=near, far=far)


def past_edges(courses: Courses, stock: Stock, free: Flags) -> Courses:
    """The courses run on by a joint past free edges, so that their rows end flush with them."""
    near = courses.near - stock.joint.best if free[0] else courses.near
    far = courses.far + stock.joint.best if free[1] else courses.far
    return replace(courses, near=near, far=far)


def longest_ends(courses: Courses, trims: Flags, stock: Stock) -> Floats:
    """Longest first and last piece, measured in mid-course, that a tile still gives: (n, 2)."""
    over = np.stack(
        [courses.near[:, 1] - courses.near[:, 0], courses.far[:, 2] - courses.far[:, 1]], axis=1
    )
    return stock.along - np.where(trims, over, 0.0)


def between_walls(
    courses: Courses, stock: Stock, free: Flags, close: Callable[[Floats], Rows]
) -> WalledRows:
    """Close the rows; an end that its joint cannot take is cut true, and the row closed again.

    free: (2,) ends at free edges, where there is no joint to take it. close: given the longest end
    pieces (n, 2), answers the rows.
    """
    trims = np.zeros((courses.count, 2), dtype=bool)
    skew = courses.skew()
    for _ in range(3):
        rows = close(longest_ends(courses, trims, stock))
        joint = np.where(np.isfinite(rows.joint), rows.joint, stock.joint.best)[:, None]
        beyond = ~(stock.takes(joint - skew / 2) & stock.takes(joint + skew / 2))
        beyond |= free & (skew > FLUSH)
        if not np.any(beyond & ~trims):
            break
        trims |= beyond
    return WalledRows(rows, trims)


def joint_extremes(courses: Courses, walled: WalledRows) -> tuple[float, float]:
    """Least and greatest perpend of the layer, the open ends at skew walls included."""
    joint = walled.rows.joint
    open_skew = np.where(walled.trims, 0.0, courses.skew()).max(axis=1) / 2
    return float(np.nanmin(joint - open_skew)), float(np.nanmax(joint + open_skew))
