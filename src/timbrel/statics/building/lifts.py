"""Filling the haunches in lifts: how far one side may run ahead of the other.

The finished shell must have a thrust line under every pair of levels that the work passes through;
the bond is not called on.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.statics.backed import Backed
from timbrel.statics.building.section import ShellSection
from timbrel.statics.building.state import State, state_load
from timbrel.statics.floor import GRAVITY, UNIT_WEIGHT
from timbrel.statics.thrust_program import ThrustProgram
from timbrel.words import say

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Lifts:
    """The fill as it rises.

    levels: (k,) tops of the lifts above the lower springing (m). stands: (k+1, k+1) whether a
    thrust line exists with the left side filled to lift i and the right to lift j (0: empty).
    safe: greatest difference of level (m) such that every pair no further apart stands; infinite
    when one side may be filled alone; None when even both sides alike do not stand.
    """

    levels: Array
    stands: NDArray[np.bool_]
    safe: float | None


def fill_weight(section: ShellSection, unit_weight: float, left: float, right: float) -> Array:
    """(n,) weight (N a metre) of fill up to two levels above the section's datum, one a side."""
    tops = (section.outer[1:] + section.outer[:-1]) / 2
    width = np.abs(np.diff(section.outer[:, 0]))
    middle = (section.outer[0, 0] + section.outer[-1, 0]) / 2
    level = np.where(tops[:, 0] < middle, left, right)
    weight: Array = unit_weight * width * np.maximum(level - tops[:, 1], 0.0)
    return weight


def _over_backing(behind: Backed, unit_weight: float, left: float, right: float) -> Array:
    """(n, 3) wrenches of fill up to two levels over what backs the haunches."""
    crest = behind.crest
    at = (crest[1:] + crest[:-1]) / 2
    width = np.abs(np.diff(crest[:, 0]))
    level = np.where(at[:, 0] < (crest[0, 0] + crest[-1, 0]) / 2, left, right)
    ground = np.maximum(at[:, 1], behind.top)
    weight = unit_weight * width * np.maximum(level - ground, 0.0)
    return np.column_stack([np.zeros(len(at)), -weight, -at[:, 0] * weight])


def check_lifts(
    job: Job,
    section: ShellSection,
    v: float,
    unit_weight: float,
    top: float,
    behind: Backed | None = None,
) -> Lifts:
    """Try all pairs of levels. unit_weight N/m3; top: level where the fill ends (m, datum).

    behind: what backs the haunches, which is laid before the fill and carries too.
    """
    base = float(min(section.outer[0, 1], section.outer[-1, 1]))
    if behind is not None:
        base = behind.top
    count = max(1, int(np.ceil((top - base) / job.building.lift)))
    levels = np.minimum(base + job.building.lift * np.arange(count + 1), top)
    laid = np.ones_like(section.weight)
    acting = laid > 0
    strip = section.strip(acting)
    if behind is not None:
        outer = strip.outer + strip.along * behind.beyond[:, None]
        strip = replace(strip, outer=outer, backing=behind.beyond)
    young = np.zeros(section.pieces + 1, dtype=bool)
    stands = np.zeros((count + 1, count + 1), dtype=bool)
    for i, left in enumerate(levels):
        for j, right in enumerate(levels):
            state = State(
                f"fill.{i}.{j}",
                say("fill to lift {left:count} left, {right:count} right", left=i, right=j),
                operation="fill",
                layer=len(job.layers),
                progress=(i + j) / (2 * count),
                v=v,
                laid=laid,
                acting=acting,
                young=young,
                fill=None if behind else fill_weight(section, unit_weight, left, right),
            )
            wrench = state_load(section, state).wrench
            if behind is not None:
                wrench = wrench + behind.load.wrench
                wrench = wrench + _over_backing(behind, unit_weight, float(left), float(right))
            program = ThrustProgram(strip, wrench, np.zeros((0, section.pieces, 3)))
            stands[i, j] = program.least_thrust() is not None
    return Lifts(levels[1:] - base, stands, safe_difference(levels, stands))


def unit_weight_of_fill(job: Job) -> float:
    """Unit weight of the fill (N/m3), dwarf walls spread over their spacing; 0 without fill."""
    fill = job.loads.fill
    if fill.kind == "sleeper walls":
        return fill.sleeper_density * GRAVITY * fill.sleeper_thickness / fill.sleeper_spacing
    if fill.unit_weight is not None:
        return fill.unit_weight
    return UNIT_WEIGHT.get(fill.kind, 0.0)


def safe_difference(levels: Array, stands: NDArray[np.bool_]) -> float | None:
    apart = np.abs(levels[:, None] - levels[None, :])
    if stands.all():
        return float("inf")
    least_bad = float(apart[~stands].min())
    good = apart[apart < least_bad - 1e-9]
    return float(good.max()) if len(good) else None
