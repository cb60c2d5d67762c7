"""Gauge rods: where courses and tiles begin, as a mason marks them on a lath."""

from __future__ import annotations

import numpy as np

from timbrel.bond.bedding import Laid
from timbrel.bond.courses import (
    EndLine,
)
from timbrel.bond.layout import Floats, Gauge, Rod
from timbrel.words import say


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
        # A row at a free edge was gauged a joint past it; the rod begins at the edge.
        past = laid.bed.stock.joint.best * laid.bed.free
        start = laid.courses.near[course, 1] + past[0]
        marks = np.append(laid.pieces.begin[mine], laid.pieces.end[mine][-1]) - start
        title = (
            say("First course, along the left springing")
            if key == "left"
            else say("Last course, along the right springing")
        )
        joint = float(laid.walled.rows.joint[course])
        length = float(laid.courses.length[course] - past.sum())
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
