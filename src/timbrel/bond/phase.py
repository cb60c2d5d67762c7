"""Where each layer starts: the phase that breaks the joints of the layer below best.

The first, seen layer closes in whole courses and in rows of wholes and halves. A later layer is
tried with a whole or a half course at either springing, every number of courses that its joints
allow, and every start of its rows; greatest least lap first (in steps of 5 mm, up to what is aimed
at), then the fewest cuts, then the joints nearest to the best.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import islice

import numpy as np

from timbrel.bond.bedding import Bedding, Laid, courses_of, lay
from timbrel.bond.gauging import (
    CourseGauge,
    Rows,
    gauge_rows,
    keep_pitch,
    neat_gauges,
    tapered_gauges,
)
from timbrel.bond.laps import aimed_lap
from timbrel.bond.layout import Floats
from timbrel.bond.spread import Spread
from timbrel.bond.starts import best_starts, odd_courses, worth
from timbrel.bond.stock import Stock
from timbrel.bond.walls import between_walls
from timbrel.words import TimbrelError, say

MOST_TAPERED = 60
"""Divisions with tapered courses that are tried, fewest cut courses first."""
SHORTLIST = 2
"""Divisions of the arc whose rows are tried, best bed joints first."""
LEAST_STAGGER = 0.25
"""Courses of one layer break their perpends by this share of a tile at least."""
SHORTLIST = 2
"""Divisions of the arc whose rows are tried, best bed joints first."""
LEAST_STAGGER = 0.25
"""Courses of one layer break their perpends by this share of a tile at least."""


def gauges_of(bed: Bedding, job_key: str) -> list[CourseGauge]:
    """Every division of the arc that the layer's joints allow; TimbrelError when there is none."""
    near, far, stock = bed.near.length, bed.far.length, bed.stock
    if isinstance(bed.development, Spread):
        found = spread_gauges(near, bed.development.stretch, stock)
    else:
        found = list(neat_gauges(near, far, stock)) or list(
            islice(tapered_gauges(near, far, stock), MOST_TAPERED)
        )
    if not found:
        raise TimbrelError(
            say(
                "The courses of layer {layer} cannot close: an arc of {near:length} at the near "
                "end and {far:length} at the far end takes no number of tiles {width:length} wide "
                "with joints from {least:length} to {most:length}; widen the range or change the "
                "tile.",
                layer=bed.number,
                near=near,
                far=far,
                width=stock.across,
                least=stock.joint.least,
                most=stock.joint.most,
            ),
            key=job_key,
        )
    return found


def spread_gauges(length: float, stretch: tuple[float, float], stock: Stock) -> list[CourseGauge]:
    """Divisions whose joints stay in the range from the walls to the middle, where they widen.

    Where no number of courses does, those whose mean joint does: the check then says so.
    """
    found = []
    for gauge in neat_gauges(length * stretch[0], length * stretch[1], stock):
        joint = (length - float(gauge.near.sum())) / (gauge.count + 1)
        found.append(replace(gauge, joint_near=joint, joint_far=joint))
    return found or list(neat_gauges(length, length, stock))


def first_gauge(gauges: list[CourseGauge], stock: Stock) -> CourseGauge:
    """The division of the seen layer: fewest courses cut lengthwise, joints nearest the best."""
    return min(gauges, key=lambda g: (int(g.cut.sum()), g.strain(stock.joint.best)))


def lay_first(bed: Bedding, stagger: str, key: str) -> Laid:
    """A layer that answers to none below it (the seen one, or one over a diagonal layer)."""
    gauge = first_gauge(gauges_of(bed, key), bed.stock)
    courses = courses_of(bed, gauge)
    halves = odd_courses(courses.count, stagger)
    walled = between_walls(
        courses,
        bed.stock,
        bed.free,
        lambda longest: gauge_rows(courses.length, halves, longest, bed.stock),
    )
    return lay(bed, gauge, courses, walled)


def bed_lines(gauge: CourseGauge) -> tuple[Floats, Floats]:
    """Distance across of the bed joints between courses, near and far."""
    return (
        gauge.edges(far=False)[:-1, 1] + gauge.joint_near / 2,
        gauge.edges(far=True)[:-1, 1] + gauge.joint_far / 2,
    )


def bed_lap(bed: Bedding, gauge: CourseGauge, lower: Laid) -> float:
    """Least distance of the bed joints of a division from those below, on this layer's face."""
    apart = []
    for line, below, mine, theirs in zip(
        (bed.near, bed.far),
        (lower.bed.near, lower.bed.far),
        bed_lines(gauge),
        bed_lines(lower.gauge),
        strict=True,
    ):
        apart.append(mine[:, None] - line.across_at(below.u_at(theirs)))
    crossing = apart[0] * apart[1] < 0
    least = np.where(crossing, 0.0, np.minimum(np.abs(apart[0]), np.abs(apart[1])))
    return float(least.min(initial=np.inf))


def lay_over(bed: Bedding, lower: Laid, stagger: str, key: str) -> Laid:
    """A layer whose courses run as those below, its phase searched for the greatest least lap."""
    stock, below = bed.stock, lower.bed.stock
    enough = aimed_lap(below, stock)

    def rank(gauge: CourseGauge) -> tuple[int, int, float]:
        lap = bed_lap(bed, gauge, lower)
        return (-worth(lap, enough), int(gauge.cut.sum()), gauge.strain(stock.joint.best))

    choices = []
    for gauge in sorted(gauges_of(bed, key), key=rank)[:SHORTLIST]:
        courses = courses_of(bed, gauge)
        starts = best_starts(bed, courses, gauge, lower, stagger, enough)
        score = (
            -worth(min(starts.lap, bed_lap(bed, gauge, lower)), enough),
            starts.cuts + courses.count * int(gauge.cut.sum()),
            gauge.strain(stock.joint.best),
        )
        choices.append((score, gauge, courses, starts))
        if -score[0] >= worth(enough, enough):
            break
    _, gauge, courses, starts = min(choices, key=lambda choice: choice[0])

    def close(longest: Floats) -> Rows:
        head = starts.head.copy()
        head[:, 0] = np.minimum(head[:, 0], longest[:, 0])
        return keep_pitch(courses.length, head, starts.outer, longest, stock, starts.wish)

    walled = between_walls(courses, stock, bed.free, close)
    return lay(bed, gauge, courses, walled)
