"""What the arch of a vault on a plan does not teach, and how it is practised on the floor beside it.

    groin, cloister   the cut of a tile at the crease: on the unrolled web the crease runs at
                      atan(r cos a) to the way up the curve (groin: to the courses' own way), a the
                      slope there, r the crease's lean in plan
    dome              the wedge of a perpend: over a tile of length l and width w on a ring of radius
                      r, laid w cos a nearer the middle, it closes by l w cos a/r
    sail              how far a flat tile stands off the surface, both ways together: c^2/(8 R)

Geometry of developed cylinders and of rings, derived.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.shape import Directrix, directrix
from timbrel.shape.crossed import CrossedVault
from timbrel.shape.dome import Dome
from timbrel.shape.sail import Sail
from timbrel.words import Message, TimbrelError, say

PLACES = (0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of the curve from the springing to the crown at which a cut or a wedge is told."""


@dataclass(frozen=True)
class Mark:
    """One figure of the lesson. share: of the curve from springing (0) to crown (1). run: length of
    curve from the springing, m. value: angle (rad) of a cut to the tile's edge along the crown's
    line, or wedge or stand-off (m), by the lesson's kind."""

    share: float
    run: float
    value: float


@dataclass(frozen=True)
class Lesson:
    """What is practised besides the arch. of: what the arch is of the vault. kind: "angle" or
    "length" of the marks. what: of them. marks. exercise: how. gate: what is shown at its end."""

    of: Message
    kind: str
    what: Message
    marks: tuple[Mark, ...]
    exercise: Message
    gate: Message


def lesson_of(job: Job, vault: Any) -> tuple[Directrix, Lesson]:
    """The curve of the practice arch of a vault on a plan, and what it does not teach.

    Raises TimbrelError where no arch can be drawn from the vault.
    """
    tile = job.tiles[job.layers[0].tile]
    size = (tile.length, tile.width)
    if isinstance(vault, CrossedVault):
        return vault.base, _crease(vault)
    if isinstance(vault, Dome):
        return vault.base, _rings(vault, size)
    assert isinstance(vault, Sail)
    return _crown_arch(vault), _sphere(vault, size)


def _crease(vault: CrossedVault) -> Lesson:
    """Cut of the tiles at the groin or the valley of corner A, in the web over AB."""
    start, end = np.asarray(vault.plan.side(0))[:, :2]
    along = (end - start) / np.hypot(*(end - start))
    to_middle = vault.plan.middle - start
    x = float(to_middle @ along)
    y = float(abs(along[0] * to_middle[1] - along[1] * to_middle[0]))
    # The curve climbs along the wall in a groin and square to it in a cloister.
    lean = y / x if vault.family == "groin" else x / y
    base = vault.base
    half = base.length / 2
    marks = tuple(
        Mark(share, share * half, math.atan(lean * math.cos(_slope(base, share * half))))
        for share in PLACES
    )
    if vault.family == "groin":
        return Lesson(
            of=say("The arch is a strip of the web over AB, from groin to groin at the wall."),
            kind="angle",
            what=say("Cut at the groin, to the edge of the tile that runs up the curve"),
            marks=marks,
            exercise=say(
                "Stand two practice ribs across each other and stretch a line over the groin; lay "
                "five courses of both webs up to it from the springing, cut both tiles of each pair "
                "to the marks, and break the joint from course to course."
            ),
            gate=say(
                "Ten pairs of tiles cut to the groin: every joint at the line full and within its "
                "range, no sliver, and the line straight from above."
            ),
        )
    return Lesson(
        of=say("The arch is a strip from wall to wall over the middle of the vault."),
        kind="angle",
        what=say("Cut at the valley, to the edge of the tile that runs up the curve"),
        marks=marks,
        exercise=say(
            "Stand half a practice rib against each of two boards that meet in a corner; lay five "
            "courses of both webs from the boards up, cut both tiles of each pair at the valley "
            "to the marks."
        ),
        gate=say(
            "Ten pairs of tiles cut to the valley: every joint at the line full and within its "
            "range, no sliver, and the line straight from below."
        ),
    )


def _rings(vault: Dome, size: tuple[float, float]) -> Lesson:
    """How much a perpend closes over the width of a tile, ring by ring up the meridian."""
    length, width = size
    upto = vault.patch.upto
    marks = []
    for share in PLACES:
        rings = vault.rings(np.array([share]))
        radius, lean = float(rings.radius[0]), float(rings.lean[0])
        if radius < length:
            break
        marks.append(Mark(share, share * upto, length * width * math.cos(lean) / radius))
    return Lesson(
        of=say("The arch is the whole meridian, from springing to springing over the middle."),
        kind="length",
        what=say("A perpend closes by, from the lower to the upper edge of a tile"),
        marks=tuple(marks),
        exercise=say(
            "Strike a quarter of the springing ring on the floor, set the rod on its pin and lay "
            "three rings of a quarter turn: each tile to the rod, each perpend wedged by the mark, "
            "or the tile cut to it where the joint's range is too small, each ring closed and held "
            "before the next."
        ),
        gate=say(
            "Three rings of a quarter turn to the rod within 2 mm, every perpend within its range at "
            "both ends of the tile; none falls when the hand goes."
        ),
    )


def _sphere(vault: Sail, size: tuple[float, float]) -> Lesson:
    """How far a flat tile stands off the sail, at the middle."""
    k1, k2 = (float(abs(c)) for c in vault.patch.curvatures(0.5, 0.5))
    off = size[0] ** 2 * k1 / 8 + size[1] ** 2 * k2 / 8
    return Lesson(
        of=say("The arch crosses the middle of the sail from edge arch to edge arch.")
        if vault.on_corners
        else say("The arch crosses the middle of the sail from wall to wall."),
        kind="length",
        what=say("A flat tile stands off the surface by, both ways together"),
        marks=(Mark(1.0, 0.0, off),),
        exercise=say(
            "Stand two practice ribs across each other at their crowns; lay three courses along one "
            "and turn them up to the other, each tile pressed to both lines."
        ),
        gate=say(
            "Three courses that bend both ways, each tile within 2 mm of both ribs' lines; none "
            "falls when the hand goes."
        ),
    )


def _crown_arch(vault: Sail) -> Directrix:
    """The section of a sail through its middle, over the way from DA to BC, as a segment of its span
    and rise."""
    plan = vault.plan
    left, right = (plan.corners[0] + plan.corners[3]) / 2, (plan.corners[1] + plan.corners[2]) / 2
    span = float(np.hypot(*(right - left)[:2]))
    x = np.array([left[0] + 1e-6, plan.middle[0], right[0] - 1e-6])
    y = np.array([left[1], plan.middle[1], right[1]])
    z = np.asarray(vault.height(x, y, 0.0))
    rise = float(z[1] - (z[0] + z[2]) / 2)
    if not math.isfinite(rise) or rise <= 0:
        raise TimbrelError(say("No arch over the middle of the sail rises."), key="curve.rise")
    return directrix("segment", span, rise)


def _slope(base: Directrix, s: float) -> float:
    return float(base.angle(np.asarray(s)))
