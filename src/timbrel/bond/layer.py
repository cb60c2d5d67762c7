"""One layer made of courses that follow the rulings, as the results name it."""

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
from timbrel.bond.gauging import CourseGauge
from timbrel.bond.layout import Flags, Floats, Gauge, Ints, LayerBond, Rod
from timbrel.bond.shapes import CRUMB, Shapes, between_ends, shape_pieces, sound_outline
from timbrel.bond.spread import Spread, spread_sail
from timbrel.bond.stock import Stock
from timbrel.bond.walls import WalledRows, joint_extremes, run_through
from timbrel.words import say


@dataclass(frozen=True)
class Bedding:
    """Where one layer lies. number: from 1. development: at its inner face. middle: offset of its
    middle surface from the intrados. near, far: its walls. web: which of the vault's webs, and
    surface: that web. creases: (2,) does the near, the far end meet another web."""

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


def stretch(bed: Bedding) -> tuple[float, float]:
    """Least and greatest true width of the courses over the flat one; 1 where the web unrolls."""
    return bed.development.stretch if isinstance(bed.development, Spread) else (1.0, 1.0)


CREASES = {"groin": (False, True), "cloister": (True, True)}
"""Families whose webs meet in creases: at which ends of their courses."""
LETTERS = ("AB", "BC", "CD", "DA")
"""Webs of a vault on four sides, by their side, in the names of tiles."""


def beddings(number: int, stock: Stock, direction: str, vault: Any) -> list[Bedding]:
    """Where layer `number` of a vault lies: one bedding a web."""
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
            )
        )
    return found


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
    return Laid(bed, gauge, courses, walled, fill(courses, walled.rows, walled.trims, bed.stock))


def courses_of(bed: Bedding, gauge: CourseGauge) -> Courses:
    """The strips of a gauge on the bed's development."""
    courses = ruled_courses(bed.development, bed.near, bed.far, gauge)
    return run_through(courses, bed.stock, bed.creases, bed.web)


def arches(laid: Laid) -> Ints:
    """Which arch each piece belongs to: rings one tile long, toothed by the stagger."""
    pieces = laid.pieces
    pitch = laid.bed.stock.along + pieces.joint
    from_wall = pieces.begin - laid.courses.near[pieces.course, 1] - pieces.joint
    ring: Ints = np.maximum(np.ceil(from_wall / pitch - 0.05), 0).astype(np.int64)
    return ring


def tile_names(layer: int, web: str, course: Ints, number: Ints) -> tuple[str, ...]:
    """Names "layer-course-number", two digits each, more where needed; the web before the course."""
    return tuple(
        f"{layer}-{web}{c:02d}-{k:02d}"
        for c, k in zip(course.tolist(), number.tolist(), strict=True)
    )


def joint_lines(laid: Laid) -> tuple[Floats, Floats, Ints]:
    """Centre lines of the joints inside the layer, flat (k, 2, 2), widths, the tile each follows.

    A perpend runs over the width of its course; the bed over a course is one line a tile, perpend
    included.
    """
    courses, pieces, gauge = laid.courses, laid.pieces, laid.gauge
    ahead = np.flatnonzero(~pieces.last)
    c, s = pieces.course[ahead], pieces.end[ahead] + pieces.joint[ahead] / 2
    perpends = np.stack([courses.edge(c, s, upper=False), courses.edge(c, s, upper=True)], axis=1)
    above = np.flatnonzero(pieces.course < courses.count - 1)
    c = pieces.course[above]
    begin = np.where(pieces.number[above] == 0, courses.near[c, 1], pieces.begin[above])
    end = np.where(pieces.last[above], courses.far[c, 1], pieces.end[above] + pieces.joint[above])
    lift = np.stack(
        [
            np.full_like(begin, gauge.joint_near / 2),
            np.full_like(begin, gauge.joint_far / 2),
        ],
        axis=1,
    )
    ends = []
    for s in (begin, end):
        share = np.clip((s - courses.near[c, 1]) / courses.length[c], 0, 1)
        half = lift[:, 0] + share * (lift[:, 1] - lift[:, 0])
        line = courses.high[c]
        ends.append(courses.place(c, s, line[:, 0] + s * line[:, 1] + half))
    beds = np.stack(ends, axis=1)
    widths = np.concatenate([pieces.joint[ahead], 2 * half])
    return np.concatenate([perpends, beds]), widths, np.concatenate([ahead, above])


def rods(laid: Laid) -> Gauge:
    """The rods: courses along each end wall, and the two kinds of row along the axis."""
    found = []
    for far, line in ((False, laid.bed.near), (True, laid.bed.far)):
        edges = laid.gauge.edges(far)
        marks = line.rod(np.append(edges[:, 0], edges[-1, 1]))
        title = say("Courses along the far end") if far else say("Courses along the near end")
        joint = laid.gauge.joint_far if far else laid.gauge.joint_near
        found.append(
            Rod(
                "far" if far else "near",
                title,
                laid.bed.stock.across,
                joint,
                marks,
                float(line.along[-1]),
            )
        )
    laid_courses = int(laid.pieces.course.min()), int(laid.pieces.course.max())
    for course, key in zip(laid_courses, ("left", "right"), strict=True):
        mine = laid.pieces.course == course
        start = laid.courses.near[course, 1]
        marks = np.append(laid.pieces.begin[mine], laid.pieces.end[mine][-1]) - start
        title = (
            say("First course, along the left springing")
            if key == "left"
            else say("Last course, along the right springing")
        )
        joint = float(laid.walled.rows.joint[course])
        length = float(laid.courses.length[course])
        found.append(Rod(key, title, laid.bed.stock.along, joint, marks, length))
    return Gauge(tuple(found))


def diagonal_rods(laid: Laid) -> Gauge:
    """The rods of a diagonal layer: where the joints between courses meet each side."""
    courses = laid.courses
    t = courses.along[0]
    square = np.array([-t[1], t[0]])
    middle = courses.origin @ square
    joints = (middle[1:] + middle[:-1]) / 2
    near, far = laid.bed.near, laid.bed.far
    sides = {
        "near": (say("Joints between courses along the near end"), near.points),
        "far": (say("Joints between courses along the far end"), far.points),
        "left": (say("Joints between courses along the left springing"), ends(near, far, 0)),
        "right": (say("Joints between courses along the right springing"), ends(near, far, -1)),
    }
    found = []
    for key, (title, points) in sides.items():
        reach = points @ square
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        length = float(along[-1])
        if reach[0] > reach[-1]:
            reach, along = reach[::-1], along[::-1]
        marks = np.sort(np.interp(joints, reach, along, left=np.nan, right=np.nan))
        marks = marks[np.isfinite(marks)]
        found.append(Rod(key, title, laid.bed.stock.across, laid.gauge.joint_near, marks, length))
    return Gauge(tuple(found))


def ends(near: EndLine, far: EndLine, which: int) -> Floats:
    """A springing as a line of two points, from the near end."""
    return np.stack([near.points[which], far.points[which]])


def drawn(laid: Laid) -> LayerBond:
    """The layer with every tile's polygon, corners in space, name and joints."""
    bed, courses, pieces = laid.bed, laid.courses, laid.pieces
    joint = float(np.nanmean(laid.walled.rows.joint))
    room = laid.room or (
        sound_outline(bed.development)
        if np.any(bed.creases)
        else between_ends(bed.near, bed.far, bed.stock.across)
    )
    shapes = shape_pieces(courses, pieces, room, leads(laid))
    crumbs = shapes.area < CRUMB
    if crumbs.any():
        laid = replace(laid, pieces=pieces.without(crumbs))
        pieces = laid.pieces
        shapes = shape_pieces(courses, pieces, room, leads(laid))
    lines, widths, follows = joint_lines(laid)
    u, v = bed.development.lift(np.concatenate([shapes.points, lines.reshape(-1, 2)]))
    m = len(shapes.points)
    corners = bed.surface.point(u[:m], v[:m], bed.middle)
    least, most = joint_extremes(courses, laid.walled)
    open_rows = ~np.isfinite(laid.walled.rows.joint)
    beds = bed_joints(laid)
    course, number = pieces.course + 1, pieces.number + 1
    width = courses.width(pieces.course, (pieces.begin + pieces.end) / 2)
    return LayerBond(
        layer=bed.number,
        tile=bed.stock.name,
        direction=bed.direction,
        courses=courses.count,
        bed_joint=sum(beds) / len(beds),
        perpend_joint=joint,
        joint_least=min(least, *beds),
        joint_most=max(most, *beds),
        names=tile_names(bed.number, web_letters(bed), course, number),
        web=np.full(len(course), bed.web),
        webs=(web_letters(bed),),
        course=course,
        number=number,
        kind=pieces.kind,
        arch=arches(laid),
        points=shapes.points,
        start=shapes.start,
        corners=corners,
        area=shapes.area,
        length=shapes.area / width,
        width=width,
        facet=facet(shapes, corners, bed),
        solid=solid(laid, open_rows),
        gauge=rods(laid) if laid.room is None else diagonal_rods(laid),
        joints=np.stack([u[m:], v[m:]], axis=1).reshape(-1, 2, 2),
        joint_width=widths,
        joint_web=np.full(len(follows), bed.web),
        joint_tile=follows,
    )


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


def solid(laid: Laid, open_rows: Flags) -> float:
    """Area of the courses too short for a closer, at springers and at the crown (m2)."""
    length = np.maximum(laid.courses.length[open_rows], 0.0)
    return float(np.sum(length * laid.gauge.near[open_rows]))


def leads(laid: Laid) -> Floats:
    """How far each piece stays from the wall or the crease, near and far: (n, 2)."""
    joint = laid.pieces.joint
    if laid.room is not None:
        return np.zeros((len(joint), 2))
    bed = laid.bed
    through = (laid.pieces.course + bed.web) % 2 == 0
    gain = bed.stock.joint.best * through[:, None] * bed.creases
    return np.asarray(np.maximum(joint[:, None] - gain, 0.0))


def facet(shapes: Shapes, corners: Floats, bed: Bedding) -> float:
    """Greatest sagitta of a flat tile: from the mean of its four corners to the surface.

    On double curvature the sagittas of both directions add of themselves.
    """
    four = np.flatnonzero(np.diff(shapes.start) == 4)
    index = shapes.start[four][:, None] + np.arange(4)
    u, v = bed.development.lift(shapes.points[index].mean(axis=1))
    middle = bed.surface.point(u, v, bed.middle)
    apart = np.linalg.norm(middle - corners[index].mean(axis=1), axis=1)
    return float(apart.max(initial=0.0))
