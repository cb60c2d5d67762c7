"""The vault after its springings have moved: three hinges, rigid parts, exact rotation.

When the abutments give way the thrust falls to its least and three hinges open: one near each
springing, one near the crown. The part beyond each outer hinge moves with its springing; the two
parts between turn until they meet again. The thrust line of the moved strip is then looked for
afresh, so that what the shape loses is counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from timbrel.statics.strip import Array, Strip, StripLoad, ThrustLine
from timbrel.statics.thrust_program import ThrustProgram

CONTACT = 0.02  # share of the thickness over which an open hinge still touches
SEARCHED = 24  # halvings of the search for the greatest spread


@dataclass(frozen=True)
class Moved:
    """A strip whose right springing has moved by (apart, up).

    drop: of the crown hinge, m. turns: of the left and right part, rad. least: least thrust of the
    moved strip, N/m, None when no line is left.
    """

    apart: float
    up: float
    drop: float
    turns: tuple[float, float]
    least: float | None


def meeting(left: Array, right: Array, first: float, second: float) -> Array | None:
    """The upper point at distances `first` and `second` from two points; None out of reach."""
    base = right - left
    length = float(np.linalg.norm(base))
    along = (first**2 - second**2 + length**2) / (2 * length)
    high = first**2 - along**2
    if high < 0:
        return None
    way = base / length
    return np.asarray(left + along * way + math.sqrt(high) * np.array([-way[1], way[0]]))


def moved_strip(
    strip: Strip, line: ThrustLine, apart: float, up: float = 0.0
) -> tuple[Strip, Array, tuple[float, float], float] | None:
    """The strip after a movement of its right springing, about the three hinges of its least line.

    Gives the moved strip, the (n, 3) motion of each voussoir (turn, shift x, shift z), the turns of
    both parts and the drop of the crown hinge; None when the parts no longer reach, or when the
    line has no three hinges.
    """
    hinges = line.hinges()
    inner = [h.joint for h in hinges if not h.outer]
    outer = [h.joint for h in hinges if h.outer]
    crown = [j for j in outer if inner and inner[0] < j < inner[-1]]
    if not crown:
        return None
    j1, j2, j3 = inner[0], crown[0], inner[-1]
    p1, p2, p3 = strip.inner[j1], strip.outer[j2], strip.inner[j3]
    shift = np.array([apart, up])
    top = meeting(p1, p3 + shift, float(np.linalg.norm(p2 - p1)), float(np.linalg.norm(p2 - p3)))
    if top is None:
        return None
    turn_left = _angle(top - p1) - _angle(p2 - p1)
    turn_right = _angle(top - p3 - shift) - _angle(p2 - p3)
    parts = ((p1, p1, turn_left), (p3, p3 + shift, turn_right))
    ends = np.stack([strip.inner, strip.outer])
    moved = ends.copy()
    moved[:, j3 + 1 :] += shift
    for (about, now, turn), rows in zip(parts, ((j1, j2), (j2, j3)), strict=True):
        between = slice(rows[0] + 1, rows[1])
        moved[:, between] = now + _turned(ends[:, between] - about, turn)
    # At a hinge both parts touch near one face only: the joint is cut down to that contact.
    for joint, face, now, turn in (
        (j1, 0, p1, turn_left / 2),
        (j2, 1, top, (turn_left + turn_right) / 2),
        (j3, 0, p3 + shift, turn_right / 2),
    ):
        depth = ends[1 - face, joint] - ends[face, joint]
        moved[face, joint] = now
        moved[1 - face, joint] = now + _turned(CONTACT * depth[None, :], turn)[0]
    motion = np.zeros((strip.voussoirs, 3))
    motion[j3:] = [0.0, *shift]
    for (about, now, turn), (a, b) in zip(parts, ((j1, j2), (j2, j3)), strict=True):
        motion[a:b] = [turn, *(now - _turned(about[None, :], turn)[0])]
    out = Strip(moved[0], moved[1], strip.friction, strip.crushing)
    return out, motion, (turn_left, turn_right), float(p2[1] - top[1])


def after_movement(
    strip: Strip, permanent: tuple[StripLoad, ...], line: ThrustLine, apart: float, up: float = 0.0
) -> Moved | None:
    """The moved strip under its permanent loads, each of which moves with its voussoir.

    line: the line of least thrust before. None when the parts no longer reach each other.
    """
    found = moved_strip(strip, line, apart, up)
    if found is None:
        return None
    moved, motion, turns, drop = found
    loads = _moved_loads(permanent, motion)
    program = ThrustProgram(moved, loads, np.zeros((0, strip.voussoirs, 3)))
    answer = program.least_thrust()
    return Moved(apart, up, drop, turns, answer.line.thrust if answer else None)


def greatest_spread(
    strip: Strip, permanent: tuple[StripLoad, ...], line: ThrustLine, limit: float
) -> float:
    """The greatest spread, up to a limit (m), at which the strip still has a thrust line."""

    def stands(apart: float) -> bool:
        moved = after_movement(strip, permanent, line, apart)
        return moved is not None and moved.least is not None

    if stands(limit):
        return limit
    low, high = 0.0, limit
    for _ in range(SEARCHED):
        middle = (low + high) / 2
        low, high = (middle, high) if stands(middle) else (low, middle)
    return low


def _moved_loads(permanent: tuple[StripLoad, ...], motion: Array) -> Array:
    """(n, 3) wrenches of the loads, each carried along by its voussoir."""
    turn, shift = motion[:, 0], motion[:, 1:]
    c, s = np.cos(turn), np.sin(turn)
    total = np.zeros((len(motion), 3))
    for load in permanent:
        x, z = load.at.T
        at = np.column_stack([c * x - s * z, s * x + c * z]) + shift
        total += StripLoad(load.key, load.title, load.force, at).wrench
    return total


def _angle(v: Array) -> float:
    return math.atan2(float(v[1]), float(v[0]))


def _turned(points: Array, turn: float) -> Array:
    c, s = math.cos(turn), math.sin(turn)
    return np.asarray(points @ np.array([[c, s], [-s, c]]))
