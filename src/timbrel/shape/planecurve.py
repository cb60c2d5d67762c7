"""Smooth pieces of plane curve, by exact arc length.

Every curve here runs from its left springing to its right one and bends downward: the tangent
angle falls from `turn` to `-turn` or so, and the outward normal is the tangent turned a quarter to
the left. All take arc lengths as arrays (n,) and answer arrays.

Sources: catenary (intrinsic equation s = a tan(angle)) and parabola, any text on the calculus of
plane curves; parallel curves, Steiner's length l + d * turning.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


class Jet(NamedTuple):
    """Points (n, 2), tangent angles from the chord (n,), curvatures (n,) at some arc lengths."""

    at: Array
    angle: Array
    curvature: Array


class PlaneCurve(Protocol):
    """What a directrix asks of the curve that it follows."""

    @property
    def length(self) -> float: ...

    @property
    def breaks(self) -> tuple[float, ...]:
        """Arc lengths where the curvature or the tangent jumps, both ends included."""

    def jet(self, s: ArrayLike) -> Jet:
        """Point, tangent angle (falling) and curvature (1/m, how fast the angle falls)."""


def outward(angle: Array) -> Array:
    """Unit normals (n, 2) away from the room, from tangent angles."""
    return np.stack([-np.sin(angle), np.cos(angle)], axis=-1)


class Profile(Protocol):
    """A symmetric curve told by its slope `t` downward, 0 at the crown."""

    def arc(self, t: Array) -> Array:
        """Arc length from the crown."""

    def arc_rate(self, t: Array) -> Array:
        """Derivative of the arc length by the slope: the radius of curvature times 1/(1 + t^2)."""

    def point(self, t: Array) -> Array:
        """Points (n, 2) from the crown, x to the right and y up."""


@dataclass(frozen=True)
class CatenaryProfile:
    """y = -a (cosh(x/a) - 1): the slope is sinh(x/a) and the arc a t."""

    a: float

    def arc(self, t: Array) -> Array:
        return self.a * t

    def arc_rate(self, t: Array) -> Array:
        return np.full_like(t, self.a)

    def point(self, t: Array) -> Array:
        return np.stack([self.a * np.arcsinh(t), self.a * (1 - np.hypot(1, t))], axis=-1)


@dataclass(frozen=True)
class ParabolaProfile:
    """y = -x^2/(2 q), with q the radius at the crown: the slope is x/q."""

    q: float

    def arc(self, t: Array) -> Array:
        return np.asarray(self.q / 2 * (t * np.hypot(1, t) + np.arcsinh(t)))

    def arc_rate(self, t: Array) -> Array:
        return np.asarray(self.q * np.hypot(1, t))

    def point(self, t: Array) -> Array:
        return np.stack([self.q * t, -self.q / 2 * t * t], axis=-1)


@dataclass(frozen=True)
class SlopeCurve:
    """The parallel at distance `d` outward of a profile cut at the slopes `first` and `last`.

    The left springing is the origin; the whole is turned by `tilt`, so that the chord is level
    (0 for a curve that is symmetric about its crown). Arc length d * (atan(last) - atan(first))
    more than the profile's own (Steiner).
    """

    profile: Profile
    first: float
    last: float
    d: float = 0.0
    tilt: float = 0.0

    def _arc(self, t: Array) -> Array:
        return np.asarray(self.profile.arc(t) + self.d * np.arctan(t))

    @cached_property
    def length(self) -> float:
        return float(self._arc(np.asarray(self.last)) - self._arc(np.asarray(self.first)))

    @property
    def breaks(self) -> tuple[float, ...]:
        return (0.0, self.length)

    @cached_property
    def _table(self) -> tuple[Array, Array]:
        t = np.sinh(np.linspace(np.arcsinh(self.first), np.arcsinh(self.last), 513))
        return self._arc(t), t

    @cached_property
    def _origin(self) -> Array:
        return self._point(np.asarray(self.first))

    def _point(self, t: Array) -> Array:
        return self.profile.point(t) + self.d * outward(-np.arctan(t))

    def _slope(self, s: ArrayLike) -> Array:
        """Slope at arc length `s`: from a table, then by Newton."""
        wanted = np.asarray(s, float) + self._table[0][0]
        t = np.asarray(np.interp(wanted, *self._table))
        for _ in range(3):
            t = t - (self._arc(t) - wanted) / (self.profile.arc_rate(t) + self.d / (1 + t * t))
        return t

    def jet(self, s: ArrayLike) -> Jet:
        t = self._slope(s)
        radius = self.profile.arc_rate(t) * (1 + t * t) + self.d
        at, angle = self._point(t) - self._origin, -np.arctan(t)
        if self.tilt:
            cos, sin = np.cos(self.tilt), np.sin(self.tilt)
            at, angle = at @ np.array([[cos, -sin], [sin, cos]]), angle - self.tilt
        return Jet(at, angle, np.asarray(1 / radius))


@dataclass(frozen=True)
class Arc:
    """A circular arc drawn from `centre`: tangent angles fall from `start` to `end`."""

    centre: tuple[float, float]
    radius: float
    start: float
    end: float

    @property
    def length(self) -> float:
        return self.radius * (self.start - self.end)


@dataclass(frozen=True)
class ArcChain:
    """Arcs end to end. Where two do not share a tangent there is a kink (a pointed crown)."""

    arcs: tuple[Arc, ...]

    @cached_property
    def breaks(self) -> tuple[float, ...]:
        return (0.0, *(float(s) for s in np.cumsum([a.length for a in self.arcs])))

    @cached_property
    def length(self) -> float:
        return self.breaks[-1]

    @cached_property
    def _table(self) -> tuple[Array, Array, Array]:
        rows = np.array([[*a.centre, a.radius, a.start] for a in self.arcs])
        return rows, np.asarray(self.breaks), np.asarray(self.breaks[1:-1])

    def jet(self, s: ArrayLike) -> Jet:
        s = np.asarray(s, float)
        rows, breaks, inner = self._table
        i = np.searchsorted(inner, s, side="left")
        row = rows[i]
        angle = np.asarray(row[..., 3] - (s - breaks[i]) / row[..., 2])
        points = row[..., :2] + row[..., 2:3] * outward(angle)
        return Jet(points, angle, np.asarray(1 / row[..., 2]))
