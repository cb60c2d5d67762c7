"""Where every tie of a vault lies in plan, from plate to plate.

Piers: in the middle of both. Along four walls: in the middle of each, out to the outer faces of the
walls it runs into. Across: evenly, no farther apart than the job says, from outer face to outer face.
Round a dome: in the springing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.job.sense_ties import framed
from timbrel.statics.net_supports import wall_at
from timbrel.statics.piers import middle_of_pier, outer_face
from timbrel.statics.strip import Array
from timbrel.statics.walls import AnySide, wall_of

CORNERS = "ABCD"
SIDES: tuple[AnySide, ...] = ("near", "right", "far", "left")
"""The walls on AB, BC, CD and DA."""


@dataclass(frozen=True)
class TieLine:
    """One tie. name: of its side, or of the way it crosses (empty where there is one way). line: (n, 2)
    its axis in plan, m; of a ring, closed."""

    name: str
    line: Array
    ring: bool = False

    @property
    def length(self) -> float:
        """Of its axis, between the backs of its plates, m."""
        return float(np.linalg.norm(np.diff(self.line, axis=0), axis=1).sum())


def tie_lines(job: Job, vault: Any, wall_most: float = math.inf) -> tuple[TieLine, ...]:
    """All ties of a job; none where it states none. What the job does not tell of the walls counts
    as nothing: a tie then ends at the inner face. wall_most: greatest thickness of a wall, m, where
    thicker ones are drawn short."""
    ties = job.walls.ties
    if ties is None:
        return ()
    corners = np.asarray(vault.room.corners, float)[:, :2]
    if job.curve.family == "dome":
        return (_ring(vault),)
    if job.curve.on_corners:
        return tuple(_between_piers(job, corners, k) for k in range(4))
    if framed(ties, job.curve):
        return tuple(_along_wall(job, corners, k, wall_most) for k in range(4))
    both = job.curve.family not in ("barrel", "flight")
    found = _across(job, corners, 3, "x" if both else "", wall_most)
    if both:
        found += _across(job, corners, 0, "y", wall_most)
    return tuple(found)


def _thickness(job: Job, side: int, most: float) -> float:
    """Of the wall on a side; near and far walls of a barrel carry nothing and may be unstated."""
    return min(wall_of(job, SIDES[side]).thickness or 0.0, most)


def _between_piers(job: Job, corners: Array, k: int) -> TieLine:
    places, reach = [], []
    for c in (k, (k + 1) % 4):
        wall, _ = wall_at(job, CORNERS[c])
        out = np.zeros(2) if wall.pier is None else middle_of_pier(wall, CORNERS[c])
        places.append(corners[c] + out)
        reach.append((outer_face(wall) or 0.0) - float(abs(out[0])))
    way = (places[1] - places[0]) / np.linalg.norm(places[1] - places[0])
    line = np.array([places[0] - reach[0] * way, places[1] + reach[1] * way])
    return TieLine(CORNERS[k] + CORNERS[(k + 1) % 4], line)


def _along_wall(job: Job, corners: Array, k: int, most: float) -> TieLine:
    a, b = corners[k], corners[(k + 1) % 4]
    way = (b - a) / np.linalg.norm(b - a)
    out = np.array([way[1], -way[0]]) * _thickness(job, k, most) / 2
    before, after = _thickness(job, (k - 1) % 4, most), _thickness(job, (k + 1) % 4, most)
    return TieLine(
        CORNERS[k] + CORNERS[(k + 1) % 4], np.array([a - before * way, b + after * way]) + out
    )


def _across(job: Job, corners: Array, side: int, name: str, most: float) -> list[TieLine]:
    """From the wall on a side to the one that faces it; half a spacing from the ends."""
    assert job.walls.ties is not None and job.walls.ties.spacing is not None
    a, b = corners[side], corners[(side + 1) % 4]
    d, c = corners[(side + 3) % 4], corners[(side + 2) % 4]
    reach = max(np.linalg.norm(b - a), np.linalg.norm(c - d))
    count = max(math.ceil(float(reach) / job.walls.ties.spacing - 1e-9), 1)
    found = []
    for share in (np.arange(count) + 0.5) / count:
        start, end = a + share * (b - a), d + share * (c - d)
        way = (end - start) / np.linalg.norm(end - start)
        here, there = _thickness(job, side, most), _thickness(job, (side + 2) % 4, most)
        found.append(TieLine(name, np.array([start - here * way, end + there * way])))
    return found


def _ring(vault: Any) -> TieLine:
    angle = np.linspace(0.0, 2 * math.pi, 121)
    radius, centre = float(vault.rings(0.0).radius), np.asarray(vault.centre, float)[:2]
    round_ = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return TieLine("ring", centre + radius * round_, ring=True)
