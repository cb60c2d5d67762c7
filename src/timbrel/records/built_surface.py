"""A vault on a plan as built against the design: deviations, crown drop, the verdict again.

A measured point lies over the plan at station `v` (0 on AB, 1 on CD), `x` from the wall over DA
along the line across the room there. An `offset` stands square to the chord of the springings at
that station, a `level` over the datum. The deviation is the point's own distance from the true
intrados, outward positive (creases included). Between points the built shell follows them
(linearly over triangles in plan), beyond them the nearest; where it stands on its walls or piers it
is as drawn, unless it was measured there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.records.kinds import MeasuredPoint
from timbrel.shape.dome import Dome
from timbrel.shape.surface import Surface
from timbrel.statics.net_built import BuiltFactor, Deviation, coarse_factor
from timbrel.verdict import Check, judge
from timbrel.words import TimbrelError, say

Array = NDArray[np.float64]
TOLERANCE_LEAST = 0.005
TOLERANCE_SPAN = 500
AS_DRAWN = 1e-6
"""Deviations under this (m) leave the design's own answer standing."""
SEATS = 9
"""Places along each springing that stay as drawn."""
FAR = 0.5
"""A point further than this from the intrados (m) is taken for a slip."""
RIM_SPARE = 0.1
"""So may a rim have been laid inside its line; a point further in (m) is taken for a slip too."""


@dataclass(frozen=True)
class SurfaceDeviation:
    """One measured point: station, distance from the wall over DA, place (3,), how far off (m)."""

    v: float
    x: float
    place: Array
    off: float


@dataclass(frozen=True)
class BuiltSurface:
    """All points of the intrados measured.

    tolerance, worst (signed): m. design, built: factors by the coarse net before and after.
    """

    points: tuple[SurfaceDeviation, ...]
    tolerance: float
    worst: float
    design: BuiltFactor
    built: BuiltFactor


def compare_surface(
    job: Job,
    vault: Surface,
    points: Sequence[MeasuredPoint],
    design: BuiltFactor | None = None,
) -> BuiltSurface | None:
    """Hold the measured points of the intrados against the design and prove the built shape; None
    when none was measured. design: its factor, where it is known already. Raises TimbrelError for
    a point that cannot be on this vault."""
    found = tuple(
        surface_deviation(vault, point) for point in points if point.what in ("offset", "level")
    )
    if not found:
        return None
    wanted = job.loads.factors.geometric_least
    design = design or design_factor(job, vault)
    worst = max((p.off for p in found), key=abs)
    built = design
    if abs(worst) > AS_DRAWN:
        built = coarse_factor(job, vault, deviation_over(vault, found), wanted, design)
    corners = np.asarray(vault.room.corners)
    span = float(np.linalg.norm((corners[1] - corners[0])[:2]))
    tolerance = max(TOLERANCE_LEAST, span / TOLERANCE_SPAN)
    return BuiltSurface(found, tolerance, worst, design, built)


def design_factor(job: Job, vault: Surface) -> BuiltFactor:
    """The coarse factor of the vault as drawn."""
    return coarse_factor(job, vault, None, job.loads.factors.geometric_least)


def surface_deviation(vault: Surface, point: MeasuredPoint) -> SurfaceDeviation:
    """A point's distance from the design's intrados."""
    left, across = chord_at(vault, point.v)
    if point.what == "level":
        level = across.copy()
        level[2] = 0.0
        along = level / np.linalg.norm(level)
        place = left + point.x * along
        place[2] = point.value
    else:
        along = across / np.linalg.norm(across)
        side = np.array([along[0], along[1], 0.0]) / np.hypot(along[0], along[1])
        up = np.cross(np.cross([0.0, 0.0, 1.0], side), -along)
        up = up / np.linalg.norm(up)
        up = up if up[2] > 0 else -up
        place = left + point.x * along + point.value * up
    off = float(vault.depth(place[None, :])[0])
    if _within_oculus(vault, place) > RIM_SPARE:
        raise TimbrelError(
            say(
                "point: x {x:length} at station {v:ratio} lies in the oculus, where there is no "
                "shell. Accepted: a point of the intrados, {spare:length} at most inside the rim.",
                x=point.x,
                v=point.v,
                spare=RIM_SPARE,
            ),
            key="point",
        )
    if not np.isfinite(off) or abs(off) > FAR:
        raise TimbrelError(
            say(
                "point: x {x:length} and value {value:length} were given at station {v:ratio}; "
                "the intrados is nowhere near. Accepted: a point within {far:length} of it.",
                x=point.x,
                value=point.value,
                v=point.v,
                far=FAR,
            ),
            key="point",
        )
    return SurfaceDeviation(point.v, point.x, place, off)


def _within_oculus(vault: Surface, place: Array) -> float:
    """How far inside the rim of an oculus a point lies (m), where there is no shell to measure."""
    if not isinstance(vault, Dome):
        return 0.0
    return vault.oculus / 2 - float(np.hypot(*(place[:2] - np.asarray(vault.centre)[:2])))


def chord_at(vault: Surface, v: float) -> tuple[Array, Array]:
    """Where the line across the room at a station begins, and its way to the other side (3,)."""
    a, b, c, d = np.asarray(vault.room.corners)
    left = a + v * (d - a)
    return left, b + v * (c - b) - left


def surface_crown_drop(vault: Surface, points: Sequence[MeasuredPoint]) -> float | None:
    """How far the crown hangs under the design (m), from levels taken within a tenth of the span
    of where it is highest; None when none was."""
    drops = []
    corners = np.asarray(vault.room.corners)[:, :2]
    crown = np.asarray(getattr(vault, "centre", corners.mean(axis=0)))[:2]
    for point in points:
        if point.what != "level":
            continue
        left, across = chord_at(vault, point.v)
        span = float(np.hypot(*across[:2]))
        plan = left[:2] + point.x / span * across[:2]
        level = float(vault.height(plan[:1], plan[1:])[0])
        if np.linalg.norm(plan - crown) <= span / 10 and np.isfinite(level):
            drops.append(level - point.value)
    return max(drops) if drops else None


def deviation_over(vault: Surface, points: Sequence[SurfaceDeviation]) -> Deviation:
    """The deviation over the plan from measured points and springings that stay as drawn."""
    from scipy.interpolate import LinearNDInterpolator, NearestNDInterpolator

    measured = np.array([p.place[:2] for p in points])
    off = np.array([p.off for p in points])
    seats = seats_of(vault)
    apart = np.linalg.norm(seats[:, None] - measured[None], axis=2).min(axis=1)
    seats = seats[apart > 0.02]
    places = np.concatenate([measured, seats])
    values = np.concatenate([off, np.zeros(len(seats))])
    _, once = np.unique(np.round(places, 4), axis=0, return_index=True)
    places, values = places[once], values[once]
    nearest = NearestNDInterpolator(places, values)
    linear = LinearNDInterpolator(places, values) if _spread(places) else None

    def over(plan: Array) -> Array:
        found = np.asarray(nearest(plan), float)
        if linear is not None:
            inside = np.asarray(linear(plan), float)
            found = np.where(np.isfinite(inside), inside, found)
        return found

    return over


def _spread(places: Array) -> bool:
    """Do the places span a triangle at all."""
    centred = places - places.mean(axis=0)
    return len(places) >= 3 and float(np.linalg.svd(centred)[1][-1]) > 1e-3


def seats_of(vault: Any) -> Array:
    """(k, 2) places in plan on the springings: walls, the ring of a dome, the corners of what stands on
    them."""
    if vault.on_corners:
        return np.asarray(vault.room.corners)[:, :2]
    found = [
        edge.points[:, :2]
        for edge in vault.edges
        if edge.kind == "springing" or (vault.family == "sail" and edge.kind == "wall arch")
    ]
    chosen = [line[np.linspace(0, len(line) - 1, SEATS).round().astype(int)] for line in found]
    return np.concatenate(chosen)


def surface_checks(job: Job, built: BuiltSurface | None) -> tuple[Check, ...]:
    """Deviation from the design, and the geometric factor of the shape as built."""
    unmeasured = say("No point of the intrados has been measured yet.")
    return (
        judge(
            "built.deviation",
            say("deviation of the intrados from the design"),
            None if built is None else abs(built.worst),
            None if built is None else built.tolerance,
            kind="length",
            at_least=False,
            reason=unmeasured
            if built is None
            else say("the greatest of {count:count} points measured", count=len(built.points)),
            source="common practice, no source",
        ),
        judge(
            "built.geometric",
            say("geometric factor of the shape as built"),
            None if built is None else built.built.factor,
            job.loads.factors.geometric_least,
            kind="ratio",
            reason=unmeasured
            if built is None
            else say(
                "by a coarse net, a lower bound; the design has {design:ratio} by the same",
                design=built.design.factor,
            ),
            source="Heyman 1966, on the measured shape",
        ),
    )
