"""One layer made of courses that follow the rulings, as the results name it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from timbrel.bond.bedding import Bedding, Laid, bed_joints, web_letters
from timbrel.bond.layout import Flags, Floats, Ints, LayerBond
from timbrel.bond.rods import diagonal_rods, rods
from timbrel.bond.shapes import CRUMB, Shapes, between_ends, shape_pieces, sound_outline
from timbrel.bond.walls import joint_extremes, runs_through


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
    through = runs_through(laid.pieces.course, bed.web)
    gain = bed.stock.joint.best * through[:, None] * bed.creases
    gain = np.where(bed.free, joint[:, None], gain)
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
