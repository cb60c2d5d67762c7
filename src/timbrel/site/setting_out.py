"""Setting-out: lines on the end walls, levels on the springing walls, rods, tapes to check."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond, Rod
from timbrel.job.model import Site
from timbrel.shape.directrix import Trammel
from timbrel.site.ends import End, ends_of
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

Floats = NDArray[np.float64]

ROD_TOLERANCE = 0.003
ROD_EVERY = 5
"""The gauge is checked every five courses to 3 mm (common practice, no source)."""


@dataclass(frozen=True)
class WallLine:
    """The line to draw on an end wall: the underside of the first layer.

    end: "near" or "far". span, rise: square to the chord. x, y: (n,) along the chord from the left
    springing, and square to it. level_x, level: (n,) the same points by level distance and level
    above the datum. outer: (n,) y of the upper face of the whole shell at the same x (NaN where
    the shell does not reach over that x). crown_level: highest level of the line. trammel:
    centres and radii in the chord's axes, None when it is drawn by offsets.
    """

    end: str
    span: float
    rise: float
    x: Floats
    y: Floats
    level_x: Floats
    level: Floats
    outer: Floats
    crown_level: float
    trammel: Trammel | None


@dataclass(frozen=True)
class SpringingLine:
    """Levels to strike on a springing wall. wall: "left" or "right"; distance from its near end
    along the wall in plan, and level above the datum: (n,)."""

    wall: str
    distance: Floats
    level: Floats


@dataclass(frozen=True)
class Tape:
    """A distance to tape before work starts. start, end: corners of the intrados springing line
    (A, B, C, D). level: measured level (on plan); slope: along the tape."""

    start: str
    end: str
    plan: float
    slope: float


@dataclass(frozen=True)
class LayerRods:
    """The gauge rods of a layer, as its bond gauged them; check_at: (k,) the courses to check."""

    layer: int
    rods: tuple[Rod, ...]
    check_at: tuple[int, ...]


@dataclass(frozen=True)
class SettingOut:
    """All that is struck, drawn and taped. walls: near and far. springings: left and right.
    tapes: sides and both diagonals. rods: by layer. axis: lengths of the left springing, the crown
    line and the right springing. notes: how to work with it."""

    walls: tuple[WallLine, WallLine]
    springings: tuple[SpringingLine, SpringingLine]
    tapes: tuple[Tape, ...]
    rods: tuple[LayerRods, ...]
    axis: tuple[float, float, float]
    notes: tuple[Message, ...]


def wall_line(end: End, thickness: float, step: float) -> WallLine:
    """Offsets of the intrados from its chord every `step`, its levels, and the shell's outer face.

    The outer face is the true parallel of the intrados at `thickness`, not the intrados moved up.
    """
    curve = end.curve
    table = curve.offsets(step)
    outer_curve = curve.parallel(thickness)
    inside = table.x - outer_curve.seat[0]
    covered = (inside >= 0.0) & (inside <= outer_curve.span)
    outer = np.full_like(table.x, np.nan)
    outer[covered] = outer_curve.height(inside[covered]) + outer_curve.seat[1]
    plumb = end.plumb(np.stack([table.x, table.y], axis=-1))
    fine = end.plumb(curve.at(np.linspace(0.0, curve.length, 2001)))
    return WallLine(
        end=end.name,
        span=curve.span,
        rise=curve.rise,
        x=table.x,
        y=table.y,
        level_x=plumb[:, 0],
        level=plumb[:, 1],
        outer=outer,
        crown_level=float(fine[:, 1].max()),
        trammel=curve.trammel,
    )


def springing_line(wall: str, near: Floats, far: Floats, step: float) -> SpringingLine:
    """Levels every `step` along a springing, a straight line between its two ends."""
    length = float(np.hypot(*(far - near)[:2]))
    distance = np.unique(np.round(np.append(np.arange(0.0, length, step), length), 9))
    level = near[2] + (far[2] - near[2]) * distance / length
    return SpringingLine(wall, distance, level)


def tapes(near: End, far: End) -> tuple[Tape, ...]:
    """The four sides and the two diagonals of the intrados springing line."""
    corners = {"A": near.left, "B": near.right, "C": far.right, "D": far.left}
    return tuple(
        Tape(
            p,
            q,
            float(np.hypot(*(corners[q] - corners[p])[:2])),
            float(np.linalg.norm(corners[q] - corners[p])),
        )
        for p, q in ("AB", "BC", "CD", "DA", "AC", "BD")
    )


def layer_rods(bond: Bond) -> tuple[LayerRods, ...]:
    """The gauge rods of every layer, with the courses at which they are checked."""
    return tuple(
        LayerRods(
            layer.layer,
            layer.gauge.rods,
            tuple(range(ROD_EVERY, layer.courses + 1, ROD_EVERY)),
        )
        for layer in bond.layers
    )


def set_out(vault: Barrel, bond: Bond, site: Site) -> SettingOut:
    """Everything that is struck, drawn and taped for a barrel."""
    near, far = ends_of(vault)
    lengths = [
        float(np.linalg.norm(vault.point(u, 1.0) - vault.point(u, 0.0))) for u in (0.0, 0.5, 1.0)
    ]
    return SettingOut(
        walls=(
            wall_line(near, vault.thickness, site.offsets_step),
            wall_line(far, vault.thickness, site.offsets_step),
        ),
        springings=(
            springing_line("left", near.left, far.left, site.springing_step),
            springing_line("right", near.right, far.right, site.springing_step),
        ),
        tapes=tapes(near, far),
        rods=layer_rods(bond),
        axis=(lengths[0], lengths[1], lengths[2]),
        notes=(
            say("Strike one datum line round the room first; every level is taken from it."),
            say(
                "Tape both diagonals before anything else: swapped diagonals close and yet move "
                "the corners."
            ),
            say(
                "The line on the end wall is the underside of the first layer; the template is "
                "that line less the lagging, measured along the normal."
            ),
            say(
                "Check the gauge every {every:count} courses to {tolerance:length}, and share a "
                "difference over the courses that are left.",
                every=ROD_EVERY,
                tolerance=ROD_TOLERANCE,
            ),
        ),
    )
