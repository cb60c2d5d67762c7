"""The shape as built against the design: deviations, spread, crown drop, and the verdict again.

Barrels and flights here, by strips; vaults on a plan in :mod:`timbrel.records.built_surface`.

A measured point lies at `x` along the springing chord of a station, `value` square to it. Its
deviation is its distance from the design's intrados, outward positive. Between the measured points
of a station the built curve follows the design plus the deviation, interpolated along the arc and
nothing at the springings unless they were measured; the joints move along themselves, the shell
keeps its thickness.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from timbrel.job.model import Job
from timbrel.records.built_surface import (
    BuiltSurface,
    chord_at,
    compare_surface,
    surface_checks,
    surface_crown_drop,
    surface_deviation,
)
from timbrel.records.kinds import MeasuredPoint
from timbrel.shape.circle import Circle, pratt_circle
from timbrel.shape.surface import Surface
from timbrel.shape.vault import Barrel
from timbrel.statics.actions import actions_under, fill_levels
from timbrel.statics.net_built import BuiltFactor
from timbrel.statics.strip_answer import StripAnswer, solve_strip
from timbrel.verdict import Check, judge
from timbrel.words import TimbrelError, say

Array = NDArray[np.float64]
FINE = 4001
"""Points of the design's curve to which a measured point is held; 4 m at a millimetre."""
SAME_STATION = 0.005
TOLERANCE_LEAST = 0.005
TOLERANCE_SPAN = 500
CROWN_DROP = 0.003
"""Drop of the crown (m) at which the engineer is called (common practice, no source)."""


@dataclass(frozen=True)
class Deviation:
    """One measured point: share `u` of the arc, where it is and should be, how far it is off."""

    u: float
    measured: tuple[float, float]
    design: tuple[float, float]
    off: float


@dataclass(frozen=True)
class BuiltStation:
    """What was measured at one station, and what the strip answers with it.

    tolerance (m); worst: greatest deviation by size (m, signed); circle: that fits the points, None
    for fewer than three; design, built: the strip's answers before and after.
    """

    v: float
    points: tuple[Deviation, ...]
    tolerance: float
    worst: float
    circle: Circle | None
    design: StripAnswer
    built: StripAnswer


@dataclass(frozen=True)
class AsBuilt:
    """All stations measured. spread, crown_drop: greatest found (m), None when not measured.
    surface: of a vault on a plan, which has no stations; None before it is measured."""

    stations: tuple[BuiltStation, ...]
    spread: float | None
    crown_drop: float | None
    checks: tuple[Check, ...]
    surface: BuiltSurface | None = None


@dataclass(frozen=True)
class BuiltShell:
    """A barrel whose joints are shifted outward along themselves by the measured deviation."""

    design: Barrel
    u: Array
    off: Array

    def joints(self, v: float, u: Array) -> tuple[Array, Array]:
        """As the design's, moved (see the module)."""
        inner, outer = self.design.joints(v, u)
        along = outer - inner
        along = along / np.linalg.norm(along, axis=1)[:, None]
        moved = along * np.interp(u, self.u, self.off)[:, None]
        return inner + moved, outer + moved

    def __getattr__(self, name: str) -> Any:
        return getattr(self.design, name)


def compare(
    job: Job,
    vault: Barrel | Surface,
    points: Iterable[MeasuredPoint],
    design: BuiltFactor | None = None,
) -> AsBuilt:
    """Hold the measured points against the design and prove the built shape.

    design: the coarse factor of a vault on a plan as drawn, where it is known already. Raises
    TimbrelError for a point that cannot be on this vault.
    """
    measured = list(points)
    if not isinstance(vault, Barrel):
        return _compare_surface(job, vault, measured, design)
    offsets = [p for p in measured if p.what == "offset"]
    stations = tuple(_station(job, vault, v, group) for v, group in _by_station(offsets))
    spread = _spread(vault, [p for p in measured if p.what == "span"])
    drop = _crown_drop(vault, measured)
    return AsBuilt(stations, spread, drop, tuple(_checks(job, stations, spread, drop)))


def must_be_on(vault: Barrel | Surface, point: MeasuredPoint) -> None:
    """Raises TimbrelError for a point that cannot be on this vault: it was misread or mistyped, and
    would spoil the comparison of all the others."""
    if not isinstance(vault, Barrel):
        if point.what in ("offset", "level"):
            surface_deviation(vault, point)
    elif point.what == "offset":
        deviations(vault, point.v, [point])


def _compare_surface(
    job: Job, vault: Surface, points: list[MeasuredPoint], design: BuiltFactor | None
) -> AsBuilt:
    built = compare_surface(job, vault, points, design)
    grown = [
        p.value - float(np.linalg.norm(chord_at(vault, p.v)[1])) for p in points if p.what == "span"
    ]
    spread = max(grown, key=abs) if grown else None
    drop = surface_crown_drop(vault, points)
    checks = (*surface_checks(job, built), *_movement_checks(job, spread, drop))
    return AsBuilt((), spread, drop, checks, built)


def deviations(vault: Barrel, v: float, points: list[MeasuredPoint]) -> tuple[Deviation, ...]:
    """Each point's distance from the design's intrados at a station."""
    u = np.linspace(0, 1, FINE)
    curve = _on_chord(vault, v, u)
    span = float(curve[-1, 0])
    found = []
    for point in points:
        here = np.array([point.x, point.value])
        if not -0.2 * span <= point.x <= 1.2 * span or abs(point.value) > span:
            raise TimbrelError(
                say(
                    "point: x {x:length} and value {value:length} were given at station "
                    "{v:ratio}; the springings are {span:length} apart there.",
                    x=point.x,
                    value=point.value,
                    v=v,
                    span=span,
                ),
                key="point",
            )
        found.append(_nearest(u, curve, here))
    return tuple(sorted(found, key=lambda d: d.u))


def _nearest(u: Array, curve: Array, here: Array) -> Deviation:
    """The foot of the point on the curve, by a parabola through the nearest three squares."""
    squares = ((curve - here) ** 2).sum(axis=1)
    k = int(np.clip(np.argmin(squares), 1, len(u) - 2))
    a, b, c = squares[k - 1 : k + 2]
    bend = a - 2 * b + c
    step = float(np.clip(0.5 * (a - c) / bend, -1, 1)) if bend > 0 else 0.0
    share = float(u[k] + step * (u[1] - u[0]))
    # The curve there by the quadratic through the same three points: exact on an arc to 1e-9.
    p, q, r = curve[k - 1 : k + 2]
    foot = q + step * (r - p) / 2 + step**2 * (p - 2 * q + r) / 2
    tangent = (r - p) / 2 + step * (p - 2 * q + r)
    outward = np.array([-tangent[1], tangent[0]]) / np.linalg.norm(tangent)
    off = float((here - foot) @ outward)
    return Deviation(share, (float(here[0]), float(here[1])), (float(foot[0]), float(foot[1])), off)


def _on_chord(vault: Barrel, v: float, u: Array) -> Array:
    """The design's intrados with x along the chord of the station and y square to it."""
    profile = vault.profile(v, u)
    chord = profile[-1] - profile[0]
    along = chord / np.linalg.norm(chord)
    local = profile - profile[0]
    return np.column_stack([local @ along, local @ np.array([-along[1], along[0]])])


def _by_station(points: list[MeasuredPoint]) -> list[tuple[float, list[MeasuredPoint]]]:
    groups: list[tuple[float, list[MeasuredPoint]]] = []
    for point in sorted(points, key=lambda p: p.v):
        if groups and point.v - groups[-1][0] <= SAME_STATION:
            groups[-1][1].append(point)
        else:
            groups.append((point.v, [point]))
    return groups


def _station(job: Job, vault: Barrel, v: float, points: list[MeasuredPoint]) -> BuiltStation:
    found = deviations(vault, v, points)
    fill = fill_levels(job, vault)
    design = solve_strip(actions_under(job, vault, v, fill))
    u = np.array([0.0, *(d.u for d in found), 1.0])
    off = np.array([0.0, *(d.off for d in found), 0.0])
    # A point measured at a springing itself stands for the springing.
    keep = np.append(np.diff(u) > 1e-9, True)
    keep[0] = len(u) < 2 or u[1] > 1e-9
    shell = cast(Barrel, BuiltShell(vault, u[keep], off[keep]))
    built = solve_strip(actions_under(job, shell, v, fill))
    measured = np.array([d.measured for d in found])
    try:
        circle = pratt_circle(measured) if len(found) >= 3 else None
    except TimbrelError:
        circle = None
    span = float(_on_chord(vault, v, np.array([0.0, 1.0]))[-1, 0])
    tolerance = max(TOLERANCE_LEAST, span / TOLERANCE_SPAN)
    worst = max((d.off for d in found), key=abs)
    return BuiltStation(v, found, tolerance, worst, circle, design, built)


def _spread(vault: Barrel, spans: list[MeasuredPoint]) -> float | None:
    grown = [p.value - float(_on_chord(vault, p.v, np.array([0.0, 1.0]))[-1, 0]) for p in spans]
    return max(grown, key=abs) if grown else None


def _crown_drop(vault: Barrel, points: list[MeasuredPoint]) -> float | None:
    """How far the crown hangs under the design, from levels taken there (within a tenth of span)."""
    drops = []
    u = np.linspace(0, 1, 401)
    for point in points:
        if point.what != "level":
            continue
        profile = vault.profile(point.v, u)
        crown = int(np.argmax(profile[:, 1]))
        if abs(point.x - profile[crown, 0]) <= profile[-1, 0] / 10:
            drops.append(float(np.interp(point.x, profile[:, 0], profile[:, 1])) - point.value)
    return max(drops) if drops else None


def _checks(
    job: Job,
    stations: tuple[BuiltStation, ...],
    spread: float | None,
    drop: float | None,
) -> Iterable[Check]:
    practice = "common practice, no source"
    worst = max(stations, key=lambda s: abs(s.worst) / s.tolerance, default=None)
    unmeasured = say("No point of the intrados has been measured yet.")
    yield judge(
        "built.deviation",
        say("deviation of the intrados from the template"),
        None if worst is None else abs(worst.worst),
        None if worst is None else worst.tolerance,
        kind="length",
        at_least=False,
        reason=unmeasured
        if worst is None
        else say("station {v:ratio}: the greatest of all points measured", v=worst.v),
        source=practice,
    )
    weakest = min(stations, key=_geometric, default=None)
    yield judge(
        "built.geometric",
        say("geometric factor of the shape as built"),
        None if weakest is None else _geometric(weakest),
        job.loads.factors.geometric_least,
        kind="ratio",
        reason=unmeasured
        if weakest is None
        else say(
            "station {v:ratio}: the design has {design:ratio}",
            v=weakest.v,
            design=weakest.design.geometric.factor if weakest.design.geometric else 0.0,
        ),
        source="Heyman 1966, on the measured shape",
    )
    yield from _movement_checks(job, spread, drop)


def _movement_checks(job: Job, spread: float | None, drop: float | None) -> Iterable[Check]:
    practice = "common practice, no source"
    yield judge(
        "built.spread",
        say("spread of the springings"),
        None if spread is None else abs(spread),
        job.building.spread,
        kind="length",
        at_least=False,
        reason=say("No span has been measured since the work began.")
        if spread is None
        else say("measured span less the design's"),
        source=practice,
    )
    yield judge(
        "built.crown",
        say("drop of the crown"),
        drop,
        CROWN_DROP,
        kind="length",
        at_least=False,
        reason=say("No level has been taken at the crown.")
        if drop is None
        else say("design level less the measured one; over the limit the engineer is called"),
        source=practice,
    )


def _geometric(station: BuiltStation) -> float:
    return station.built.geometric.factor if station.built.geometric else 0.0
