"""A ruled web unrolled flat at one offset.

The web is rolled on its tangent plane along the middle line (v = 1/2), ruling by ruling: the middle
line keeps its length and its turning, the rulings keep their lengths and their directions. That is
exact where the surface is developable (do Carmo 1976, section 4-4: rolling along a curve is
parallel transport); elsewhere the strain at the ends of the rulings is reported, and it is the
worst.

Axes: X along the axis from the near end, Y along the arc from the left springing, which lies on
Y = 0. The drawing is as seen from the room, looking up.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.patch import dot, gauss_points
from timbrel.shape.planecurve import Array
from timbrel.shape.ruled import Ruled

if TYPE_CHECKING:
    from shapely import Polygon

STEPS = 64
"""Steps of the middle line over the whole arc; cubic between them."""


@dataclass(frozen=True)
class Development:
    """A web unrolled at `offset` from the intrados.

    outline: what the walls leave of it, cut true. strain: worst relative stretch or shortening
    that lying flat asks of it, 0 when developable.
    """

    surface: Ruled
    offset: float
    near_cut: Array
    far_cut: Array
    nodes: Array
    values: Array
    rates: Array
    strain: float

    def _middle(self, u: Array) -> tuple[Array, Array]:
        """x, y, ruling angle, ruling length of the middle line (n, 4), and their rates by u."""
        i = np.clip(np.searchsorted(self.nodes, u, side="right") - 1, 0, len(self.nodes) - 2)
        h = (self.nodes[i + 1] - self.nodes[i])[..., None]
        t = (u - self.nodes[i])[..., None] / h
        y0, y1 = self.values[i], self.values[i + 1]
        m0, m1 = self.rates[i, 0] * h, self.rates[i, 1] * h
        c2, c3 = 3 * (y1 - y0) - 2 * m0 - m1, 2 * (y0 - y1) + m0 + m1
        return y0 + t * (m0 + t * (c2 + t * c3)), (m0 + t * (2 * c2 + 3 * t * c3)) / h

    def flat(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Flat points (..., 2) of surface points (u, v)."""
        u, v = np.broadcast_arrays(np.asarray(u, float), np.asarray(v, float))
        q, _ = self._middle(u)
        along = (v - 0.5) * q[..., 3]
        x = q[..., 0] + along * np.cos(q[..., 2])
        return np.stack([x, q[..., 1] + along * np.sin(q[..., 2])], axis=-1)

    def lift(self, xy: ArrayLike) -> tuple[Array, Array]:
        """(u, v) of flat points (..., 2): the ruling through each, by Newton."""
        xy = np.asarray(xy, float)
        u = np.interp(xy[..., 1], self.values[:, 1], self.nodes)
        for _ in range(12):
            q, rate = self._middle(u)
            cos, sin = np.cos(q[..., 2]), np.sin(q[..., 2])
            dx, dy = xy[..., 0] - q[..., 0], xy[..., 1] - q[..., 1]
            along, across = dx * cos + dy * sin, dy * cos - dx * sin
            step = across / (rate[..., 1] * cos - rate[..., 0] * sin + along * rate[..., 2])
            u = u + step
            if np.max(np.abs(step), initial=0.0) < 1e-12:
                break
        q, _ = self._middle(u)
        dx, dy = xy[..., 0] - q[..., 0], xy[..., 1] - q[..., 1]
        return u, 0.5 + (dx * np.cos(q[..., 2]) + dy * np.sin(q[..., 2])) / q[..., 3]

    @cached_property
    def outline(self) -> Polygon:
        """The web in the flat plane, its ends cut true to the walls."""
        from shapely import Polygon

        near = self.flat(self._edge_u, self.near_cut)
        far = self.flat(self._edge_u, self.far_cut)
        ring: Any = np.concatenate([near, far[::-1]])
        return Polygon(ring).simplify(1e-6)

    @property
    def _edge_u(self) -> Array:
        return edge_shares(self.surface)


def edge_shares(surface: Ruled) -> Array:
    """Values of `u` at which the ends of a development are drawn: four a step."""
    return _subdivide(surface.breaks, 4 * STEPS)


def unroll(surface: Ruled, offset: float, near_cut: Array, far_cut: Array) -> Development:
    """Unroll a ruled surface at an offset.

    near_cut, far_cut: `v` of the two ends at each of :func:`edge_shares`.
    """
    nodes = _subdivide(surface.breaks, STEPS)
    u = np.stack([nodes[:-1] + 1e-9, nodes[1:] - 1e-9], axis=1)
    at_nodes = _rates(surface, u, offset)
    points, weights = gauss_points(nodes, 3)
    inside = _rates(surface, points.reshape(-1, 3), offset)
    weights = weights.reshape(-1, 3)

    angle = _summed(inside[..., 2] * weights)
    length = np.linalg.norm(surface.frame(nodes, 0.5).by_v, axis=-1)
    turned = _hermite(nodes, angle, at_nodes[..., 2], points.reshape(-1, 3))
    cos, sin = np.cos(turned), np.sin(turned)
    x = _summed((inside[..., 0] * cos - inside[..., 1] * sin) * weights)
    y = _summed((inside[..., 0] * sin + inside[..., 1] * cos) * weights)

    ends = np.stack([angle[:-1], angle[1:]], axis=1)
    cos, sin = np.cos(ends), np.sin(ends)
    along, across = at_nodes[..., 0], at_nodes[..., 1]
    rates = np.stack(
        [
            along * cos - across * sin,
            along * sin + across * cos,
            at_nodes[..., 2],
            at_nodes[..., 3],
        ],
        axis=-1,
    )
    values = np.stack([x + (0.5 - near_cut[0]) * length[0], y, angle, length], axis=-1)
    strain = _worst_strain(surface, points, inside.reshape(-1, 4), offset)
    return Development(surface, offset, near_cut, far_cut, nodes, values, rates, strain)


def _rates(surface: Ruled, u: Array, offset: float) -> Array:
    """Rates by `u` (..., 4) on the middle line: travel along the ruling, travel across it, turning
    of the ruling in the tangent plane, growth of its length."""
    f, by_u, _ = surface.tangents(u, np.full_like(u, 0.5), offset)
    length = np.linalg.norm(f.by_v, axis=-1)
    ruling = f.by_v / length[..., None]
    across = np.cross(ruling, f.normal)
    return np.stack(
        [dot(by_u, ruling), dot(by_u, across), dot(f.by_uv, across) / length, dot(f.by_uv, ruling)],
        axis=-1,
    )


def _worst_strain(surface: Ruled, u: Array, rates: Array, offset: float) -> float:
    """Greatest stretch between flat and true lengths, at both ends of the rulings."""
    worst = 0.0
    length = np.linalg.norm(surface.frame(u, 0.5).by_v, axis=-1)
    for v in (0.0, 1.0):
        _, by_u, by_v = surface.tangents(u, np.full_like(u, v), offset)
        flat_u = np.stack(
            [rates[:, 0] + (v - 0.5) * rates[:, 3], rates[:, 1] + (v - 0.5) * length * rates[:, 2]],
            axis=-1,
        )
        flat_v = np.stack([length, np.zeros_like(length)], axis=-1)
        ratio = np.linalg.solve(_metric(by_u, by_v), _metric(flat_u, flat_v))
        stretch = np.sqrt(np.linalg.eigvals(ratio).real)
        worst = max(worst, float(np.max(np.abs(stretch - 1))))
    return worst


def _metric(a: Array, b: Array) -> Array:
    cross = dot(a, b)
    return np.stack([np.stack([dot(a, a), cross], -1), np.stack([cross, dot(b, b)], -1)], -2)


def _summed(parts: Array) -> Array:
    return np.concatenate([[0.0], np.cumsum(parts.sum(axis=1))])


def _hermite(nodes: Array, values: Array, rates: Array, u: Array) -> Array:
    """Cubic through node values with end rates, at points `u` (segments, k) inside each segment."""
    h = np.diff(nodes)[:, None]
    t = (u - nodes[:-1, None]) / h
    y0, y1 = values[:-1, None], values[1:, None]
    m0, m1 = rates[:, :1] * h, rates[:, 1:] * h
    return np.asarray(
        y0 + t * (m0 + t * (3 * (y1 - y0) - 2 * m0 - m1 + t * (2 * (y0 - y1) + m0 + m1)))
    )


def _subdivide(breaks: Array, steps: int) -> Array:
    parts = [
        np.linspace(a, b, max(2, round((b - a) * steps)) + 1)[:-1] for a, b in pairwise(breaks)
    ]
    return np.concatenate([*parts, [1.0]])
