"""Haunches and fill: what lies between the shell's outer face and the floor above it.

Depth at a plan point is the level of the top less the true outer face of the shell there, inside
the walls; volumes are its integral over the plan (Gauss along the axis, trapezoids across).
Rule of the trade, from memory: to the crown a segment takes span x rise / 3 a metre, as a parabola
does exactly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.shape.vault import Barrel
from timbrel.statics.actions import top_of_fill
from timbrel.statics.floor import GRAVITY, UNIT_WEIGHT
from timbrel.verdict import Check, judge
from timbrel.words import TimbrelError, say

Floats = NDArray[np.float64]
ACROSS = 400
ALONG = 4


@dataclass(frozen=True)
class Lift:
    """One lift, both sides at once. bottom, top: levels. left, right: volumes, m3."""

    number: int
    bottom: float
    top: float
    left: float
    right: float

    @property
    def volume(self) -> float:
        """Both sides, m3."""
        return self.left + self.right


@dataclass(frozen=True)
class FillPlan:
    """Fill or dwarf walls over the shell, up to a level.

    kind: as the job states it. top: level of its upper face. floor: level of the finished floor.
    space: volume between shell and top, m3; volume: of what fills it (the dwarf walls themselves
    when there are such). weight: N. lifts: from the haunches up; the dwarf walls have none.
    by_rule: span x rise / 3 a metre to the crown, over the axis, at mid length (m3); to_crown: our
    volume to the crown of the shell, for comparison. wall_faces: (k,) area of each dwarf
    wall on one face, m2, from the left; they run along the axis, set out from the crown.
    least_cover: depth over the highest point of the shell.
    """

    kind: str
    top: float
    floor: float
    space: float
    volume: float
    weight: float
    lifts: tuple[Lift, ...]
    by_rule: float
    to_crown: float
    wall_faces: Floats
    least_cover: float


@dataclass(frozen=True)
class Bed:
    """The outer face of the shell on a grid over the plan. level: (a, n); weight: (a, n) plan area
    that each point stands for, m2; left: (n,) which points lie left of the middle; span: (a,)
    between the walls; length: (a, n) along the axis that each station stands for, m."""

    level: Floats
    weight: Floats
    left: NDArray[np.bool_]
    span: Floats
    length: Floats

    def volume(self, top: float, side: str = "both") -> float:
        """Volume between the shell and a level, m3, of "left", "right" or "both" sides."""
        over = np.maximum(top - self.level, 0.0) * self.weight
        if side == "both":
            return float(over.sum())
        return float(over[:, self.left if side == "left" else ~self.left].sum())

    def wall_faces(self, top: float, spacing: float) -> Floats:
        """Area (k,) of each dwarf wall along the axis, set out from the crown at `spacing`."""
        count = math.floor(float(self.span.min()) / 2 / spacing - 1e-9)
        grid = np.linspace(0.0, 1.0, self.level.shape[1])
        faces = np.zeros(2 * count + 1)
        for i, place in enumerate(spacing * np.arange(-count, count + 1)):
            for level, length, span in zip(self.level, self.length, self.span, strict=True):
                share = 0.5 + place / span
                height = max(top - float(np.interp(share, grid, level)), 0.0)
                faces[i] += height * float(np.interp(share, grid, length))
        return faces


def shell_bed(vault: Barrel) -> Bed:
    """The outer face inside the walls, with the plan area of each point.

    Plan point at (share across, station): on the straight line between the walls' springings at
    that station; its Jacobian counts walls that are not parallel.
    """
    share = np.linspace(0.0, 1.0, ACROSS + 1)
    trapezoid = np.full(ACROSS + 1, 1.0 / ACROSS)
    trapezoid[[0, -1]] /= 2
    nodes, gauss = np.polynomial.legendre.leggauss(ALONG)
    near_left, near_right = vault.point(np.array([0.0, 1.0]), 0.0)
    far_left, far_right = vault.point(np.array([0.0, 1.0]), 1.0)
    levels, weights, spans, lengths = [], [], [], []
    for v, w in zip((nodes + 1) / 2, gauss / 2, strict=True):
        left = near_left + v * (far_left - near_left)
        right = near_right + v * (far_right - near_right)
        across = (right - left)[:2]
        along_left, along_right = (far_left - near_left)[:2], (far_right - near_right)[:2]
        along = along_left + share[:, None] * (along_right - along_left)
        jacobian = np.abs(across[0] * along[:, 1] - across[1] * along[:, 0])
        line = vault.section(float(v), vault.thickness, n=2 * ACROSS + 1)
        levels.append(np.interp(share * float(np.hypot(*across)), line[:, 0], line[:, 1]))
        weights.append(w * trapezoid * jacobian)
        spans.append(float(np.hypot(*across)))
        lengths.append(w * np.hypot(along[:, 0], along[:, 1]))
    return Bed(np.array(levels), np.array(weights), share < 0.5, np.array(spans), np.array(lengths))


def plan_fill(job: Job, vault: Barrel) -> FillPlan | None:
    """What lies over the shell; None when the job has none.

    Raises TimbrelError when the level given lies below the whole shell.
    """
    fill = job.loads.fill
    if fill.kind == "none":
        return None
    bed = shell_bed(vault)
    crown, low = float(bed.level.max()), float(bed.level.min())
    top = top_of_fill(job, vault)
    assert top is not None
    if top <= low:
        raise TimbrelError(
            say(
                "loads.fill.level: a top at {top:metres} was given, and the shell is nowhere "
                "lower than {low:metres}; give a higher level, or no fill.",
                top=top,
                low=low,
            ),
            key="loads.fill.level",
        )
    space = bed.volume(top)
    volume, faces = space, np.zeros(0)
    if fill.kind == "sleeper walls":
        faces = bed.wall_faces(top, fill.sleeper_spacing)
        volume = float(faces.sum()) * fill.sleeper_thickness
        unit_weight = fill.sleeper_density * GRAVITY
    else:
        unit_weight = fill.unit_weight or UNIT_WEIGHT[fill.kind]
    middle = vault.section(0.5)
    span = float(middle[-1, 0])
    rise = float(middle[:, 1].max() - (middle[0, 1] + middle[-1, 1]) / 2)
    lifts = () if fill.kind == "sleeper walls" else _lifts(bed, low, top, job.building.lift)
    return FillPlan(
        kind=fill.kind,
        top=top,
        floor=top + job.levels.finish,
        space=space,
        volume=volume,
        weight=volume * unit_weight,
        lifts=lifts,
        by_rule=span * rise / 3 * vault.axis_length,
        to_crown=bed.volume(crown),
        wall_faces=faces,
        least_cover=top - crown,
    )


def _lifts(bed: Bed, low: float, top: float, height: float) -> tuple[Lift, ...]:
    """Equal lifts of at most `height`, from the lowest point of the shell up to the top."""
    count = max(1, math.ceil((top - low) / height - 1e-9))
    levels = np.linspace(low, top, count + 1)
    found = []
    for number, (bottom, upper) in enumerate(pairwise(levels), 1):
        sides = [bed.volume(upper, s) - bed.volume(bottom, s) for s in ("left", "right")]
        found.append(Lift(number, float(bottom), float(upper), *sides))
    return tuple(found)


def fill_checks(job: Job, fill: FillPlan | None) -> tuple[Check, ...]:
    """Is the crown covered? (A floor over `levels.top` is refused before, with the actions.)"""
    if fill is None:
        return ()
    return (
        judge(
            "site.fill.cover",
            say("Cover over the crown"),
            fill.least_cover,
            job.levels.crown_cover,
            kind="length",
            reason=say(
                "The top lies {cover:length} over the highest point of the shell.",
                cover=fill.least_cover,
            ),
            source="levels.crown_cover",
        ),
    )
