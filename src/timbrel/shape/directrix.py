"""The directrix: the plane curve that a vault follows from springing to springing.

Axes: x along the springing chord from the left springing (0) to the right one (`span`), y square
to it. Arc length `s` runs from the left springing; the normal points away from the room.

Curves: segment, semicircle, three-centre and pointed are chains of circular arcs, exact and drawn
with string or trammel; catenary and parabola have closed arc lengths and are drawn by offsets.
Sources: radius of a segment s*s/(8 f) + f/2 (geometry); three-centre and two-centre curves, the
common constructions of the trade; parallel curves, length s + d * turning (Steiner).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.planecurve import (
    Arc,
    ArcChain,
    Array,
    Jet,
    PlaneCurve,
    SlopeCurve,
    outward,
)

HALVINGS = 52  # a length halved so often is nothing beside itself
MITRE_ZONE = 0.30
"""Length of arc on either side of a kink over which an offset layer is drawn on to its mitre, m."""


@dataclass(frozen=True)
class TrammelArc:
    """One stroke of the string: from `start` to `end` about `centre`, in the chord's axes."""

    centre: tuple[float, float]
    radius: float
    start: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True)
class Trammel:
    """Centres and radii, left to right."""

    arcs: tuple[TrammelArc, ...]


@dataclass(frozen=True)
class Offsets:
    """Heights `y` over the chord at distances `x` along it, both (n,)."""

    x: Array
    y: Array


@dataclass(frozen=True)
class Directrix:
    """A plane curve with its span and rise. Build one with :func:`directrix`.

    kind: segment, semicircle, catenary, parabola, three-centre or pointed. seat: where its left
    springing stands from the measured springing point, in the chord's axes (0, 0 unless the curve
    is a parallel of the one that was measured).
    """

    kind: str
    span: float
    rise: float
    curve: PlaneCurve
    seat: tuple[float, float] = (0.0, 0.0)

    @property
    def length(self) -> float:
        """Arc length."""
        return self.curve.length

    @property
    def breaks(self) -> tuple[float, ...]:
        """Arc lengths where curvature or tangent jumps, both ends included."""
        return self.curve.breaks

    @cached_property
    def _kink_turns(self) -> tuple[tuple[float, float], ...]:
        """Each kink with the angle by which the tangent jumps there."""
        if not isinstance(self.curve, ArcChain):
            return ()
        joints = zip(self.breaks[1:-1], pairwise(self.curve.arcs), strict=True)
        turns = ((s, left.end - right.start) for s, (left, right) in joints)
        return tuple((s, turn) for s, turn in turns if turn > 1e-9)

    @property
    def kinks(self) -> tuple[float, ...]:
        """Arc lengths where the tangent jumps (pointed: the crown)."""
        return tuple(s for s, _ in self._kink_turns)

    def jet(self, s: ArrayLike) -> Jet:
        """Points, tangent angles and curvatures in one go."""
        return self.curve.jet(s)

    def at(self, s: ArrayLike) -> Array:
        """Points (n, 2) at arc lengths `s`."""
        return self.curve.jet(s).at

    def angle(self, s: ArrayLike) -> Array:
        """Tangent angle from the chord (n,), rad: positive while climbing. At a kink: left side."""
        return self.curve.jet(s).angle

    def curvature(self, s: ArrayLike) -> Array:
        """Curvature (n,), 1/m, positive where the curve is hollow to the room."""
        return self.curve.jet(s).curvature

    def normal(self, s: ArrayLike) -> Array:
        """Unit normals (n, 2) away from the room; the bisector at a kink."""
        s = np.asarray(s, float)
        angle = np.asarray(self.angle(s))
        for kink, turn in self._kink_turns:
            angle = np.where(np.abs(s - kink) < 1e-9, angle - turn / 2, angle)
        return outward(np.asarray(angle))

    def parallel(self, d: float) -> Directrix:
        """The curve at distance `d` outward (negative: inward), mitred at its kinks.

        Ends stand on the normals of this curve's springings. `d` must leave every radius positive.
        """
        if d == 0.0:
            return self
        angle = float(self.angle(0.0))
        seat = d * outward(np.asarray(angle))
        curve: PlaneCurve
        if isinstance(self.curve, ArcChain):
            curve = _parallel_chain(self.curve, d, seat)
        else:
            assert isinstance(self.curve, SlopeCurve)
            curve = replace(self.curve, d=self.curve.d + d)
        span = float(curve.jet(curve.length).at[0])
        rise = float(curve.jet(curve.length / 2).at[1])
        stands = (self.seat[0] + float(seat[0]), self.seat[1] + float(seat[1]))
        return Directrix(self.kind, span, rise, curve, stands)

    def _drawn_on(self, s: Array, d: Array) -> Array:
        """Angle by which the foot of the normal is drawn on toward the mitre of a kink."""
        drawn = np.zeros(np.broadcast_shapes(s.shape, d.shape))
        for kink, turn in self._kink_turns:
            zone = min(MITRE_ZONE, kink / 2, (self.length - kink) / 2)
            share = np.clip(1 - np.abs(s - kink) / zone, 0, 1)
            radius = 1 / self.curvature(kink)
            # Both arcs run on about their own centres until they meet above the kink.
            full = np.arcsin(np.sin(turn / 2) * radius / (radius + d)) - turn / 2
            drawn = drawn + np.where(s <= kink, full, -full) * share
        return drawn

    def offset_at(self, s: ArrayLike, d: ArrayLike) -> Array:
        """Points (n, 2) moved `d` along the normal; on to the mitre within reach of a kink."""
        s, d = np.broadcast_arrays(np.asarray(s, float), np.asarray(d, float))
        drawn = self._drawn_on(s, d)
        at, angle, curvature = self.jet(s)
        radius = 1 / curvature
        # Running on by an angle about the centre of curvature, exact for arcs (the only kinked).
        centre = at - radius[..., None] * outward(angle)
        moved = at + d[..., None] * outward(angle)
        on = centre + (radius + d)[..., None] * outward(angle + drawn)
        return np.where((drawn == 0.0)[..., None], moved, on)

    def offset_length(self, s: ArrayLike, d: ArrayLike) -> Array:
        """Arc length (n,) along the curve at offset `d`, from the left springing: s + d turning."""
        s, d = np.broadcast_arrays(np.asarray(s, float), np.asarray(d, float))
        turned = float(self.angle(0.0)) - self.angle(s)
        along = s + d * turned
        for kink, turn in self._kink_turns:
            radius = 1 / float(self.curvature(kink))
            full = np.arcsin(np.sin(turn / 2) * radius / (radius + d)) - turn / 2
            # The jump itself is no arc; what is drawn on to the mitre is.
            along = along - np.where(s > kink, d * turn + 2 * (radius + d) * full, 0.0)
        return np.asarray(along - (1 / self.curvature(s) + d) * self._drawn_on(s, d))

    def height(self, x: ArrayLike) -> Array:
        """Height (n,) over the chord at `x` (n,) along it, 0 to span."""
        return np.asarray(self.at(self.arc_at(x))[..., 1])

    def arc_at(self, x: ArrayLike) -> Array:
        """Arc length (n,) at which the curve stands over `x` (n,): by Newton, held in a bracket."""
        x = np.asarray(x, float)
        low: Array = np.zeros_like(x)
        high: Array = np.full_like(x, self.length)
        s = np.clip(x / self.span, 0.0, 1.0) * self.length
        for _ in range(HALVINGS):
            at, angle, _ = self.jet(s)
            over = at[..., 0] - x
            if np.max(np.abs(over), initial=0.0) <= 5e-16 * self.span:
                break
            low, high = np.where(over < 0, s, low), np.where(over < 0, high, s)
            # Where the curve stands plumb the tangent leads nowhere, and halving serves.
            tried = s - over / np.maximum(np.cos(angle), 1e-12)
            new = np.where((tried >= low) & (tried <= high), tried, (low + high) / 2)
            step, s = np.abs(new - s), new
            if np.max(step, initial=0.0) <= 1e-13 * self.length:
                break
        return np.asarray(s)

    def offsets(self, step: float) -> Offsets:
        """Offsets from the chord every `step` from the left springing, and at the crown and right
        springing."""
        x = np.arange(0.0, self.span, step)
        x = np.unique(np.round(np.concatenate([x, [self.span / 2, self.span]]), 9))
        return Offsets(x, self.height(np.minimum(x, self.span)))

    @property
    def trammel(self) -> Trammel | None:
        """Centres and radii, or None when the curve is no chain of arcs."""
        if not isinstance(self.curve, ArcChain):
            return None
        ends = self.at(np.asarray(self.breaks))
        return Trammel(
            tuple(
                TrammelArc(a.centre, a.radius, _pair(ends[i]), _pair(ends[i + 1]))
                for i, a in enumerate(self.curve.arcs)
            )
        )

    @property
    def setting_out(self) -> Trammel | Offsets:
        """How a mason draws it: string or trammel where it can be, else offsets at span/20."""
        return self.trammel or self.offsets(self.span / 20)


def _pair(point: Array) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _parallel_chain(chain: ArcChain, d: float, seat: Array) -> ArcChain:
    """Same centres, other radii; arcs that meet at a kink run on (or stop short) at the mitre."""
    arcs = [
        Arc((a.centre[0] - seat[0], a.centre[1] - seat[1]), a.radius + d, a.start, a.end)
        for a in chain.arcs
    ]
    for i in range(len(arcs) - 1):
        left, right = arcs[i], arcs[i + 1]
        turn = left.end - right.start
        if turn > 1e-9:
            old = chain.arcs[i].radius
            half = float(np.arcsin(np.sin(turn / 2) * old / left.radius))
            middle = (left.end + right.start) / 2
            arcs[i] = Arc(left.centre, left.radius, left.start, middle + half)
            arcs[i + 1] = Arc(right.centre, right.radius, middle - half, right.end)
    return ArcChain(tuple(arcs))
