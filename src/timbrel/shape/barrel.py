"""The barrel: a ruled surface between the directrices of its two ends.

The room may be out of square and out of level; the walls need be neither parallel nor equal. Each
end directrix stands on its own springing chord; equal shares of arc are joined by straight rulings.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from timbrel.shape.development import Development, edge_shares, unroll
from timbrel.shape.directrix import Directrix
from timbrel.shape.layers import LayerPlace
from timbrel.shape.patch import gauss_points
from timbrel.shape.planecurve import Array
from timbrel.shape.ruled import PlacedCurve, Ruled
from timbrel.shape.web import Edge, Web

if TYPE_CHECKING:
    from timbrel.shape.room import Room


class SectionPlane(NamedTuple):
    """A vertical plane across the vault: its origin at the left springing, unit level direction
    towards the right springing, and unit level direction square to it."""

    left: Array
    across: Array
    square: Array


@dataclass(frozen=True)
class Barrel:
    """A barrel vault; see :func:`timbrel.shape.vault.shape_vault`.

    near, far: INTRADOS directrices at AB and CD. layers: from the seen one upward. thickness: all
    tiles and the beds between them. behind: how far the faces of the left and right wall stand
    behind the springings of the intrados, m (:mod:`timbrel.shape.seating`).
    """

    room: Room
    layers: tuple[LayerPlace, ...]
    thickness: float
    ends: tuple[PlacedCurve, PlacedCurve]
    behind: tuple[float, float] = (0.0, 0.0)
    family: ClassVar[str] = "barrel"
    on_corners: ClassVar[bool] = False

    @cached_property
    def surface(self) -> Ruled:
        """The intrados."""
        return Ruled(*self.ends)

    @property
    def near(self) -> Directrix:
        """Intrados directrix at AB."""
        return self.ends[0].directrix

    @property
    def far(self) -> Directrix:
        """Intrados directrix at CD."""
        return self.ends[1].directrix

    @cached_property
    def webs(self) -> tuple[Web, ...]:
        """The one web, ended by the walls."""

        def near(u: Array, offset: float) -> Array:
            return self.end_cuts(u, offset)[0]

        def far(u: Array, offset: float) -> Array:
            return self.end_cuts(u, offset)[1]

        return (Web(self.family, self.surface, near, far),)

    @cached_property
    def edges(self) -> tuple[Edge, ...]:
        """Springings on the left and right walls, end arches, and the ridge if there is one."""
        t = np.linspace(0, 1, 65)
        zero, one, web = np.zeros_like(t), np.ones_like(t), (self.family,)
        found = [
            Edge("springing.DA", "springing", web, ("left",), self.point(zero, t)),
            Edge("springing.BC", "springing", web, ("right",), self.point(one, t)),
            Edge("arch.AB", "wall arch", web, ("A", "B"), self.point(t, zero)),
            Edge("arch.CD", "wall arch", web, ("D", "C"), self.point(t, one)),
        ]
        for kink, _ in self.surface.kinks:
            found.append(Edge("ridge", "ridge", web, (), self.point(kink, t)))
        return tuple(found)

    def height(self, x: ArrayLike, y: ArrayLike, offset: float = 0.0) -> Array:
        """Level (n,) of the surface at `offset` plumb over plan points; NaN where there is none."""
        return self.surface.over(x, y, offset)[2]

    def depth(self, points: ArrayLike) -> Array:
        """Offset (n,) of points (n, 3) from the intrados."""
        return self.surface.foot(points).w

    def inside(self, points: ArrayLike, spare: float = 1e-9) -> Array:
        """Which points (n, 3) lie in the masonry."""
        depth = self.depth(points)
        return np.asarray((depth >= -spare) & (depth <= self.thickness + spare))

    @cached_property
    def axis_length(self) -> float:
        """Mean length of the rulings."""
        u, w = gauss_points(self.surface.breaks, 8)
        return float(w @ np.linalg.norm(self.surface.frame(u, 0.5).by_v, axis=-1))

    def point(self, u: ArrayLike, v: ArrayLike, offset: ArrayLike = 0.0) -> Array:
        """Points (..., 3). u: share of arc from DA to BC; v: near to far; offset: from intrados."""
        return self.surface.point(u, v, offset)

    def normal(self, u: ArrayLike, v: ArrayLike) -> Array:
        """Unit normals (..., 3), away from the room."""
        return self.surface.normal(u, v)

    def curvatures(self, u: ArrayLike, v: ArrayLike) -> tuple[Array, Array]:
        """Principal curvatures of the intrados, greatest first, positive where hollow below."""
        return self.surface.curvatures(u, v)

    def plane(self, v: float) -> SectionPlane:
        """The vertical plane of the chord that joins the intrados springings at station `v`."""
        left, right = self.surface.point(np.array([0.0, 1.0]), v)
        across = np.array([right[0] - left[0], right[1] - left[1], 0.0])
        across /= np.linalg.norm(across)
        return SectionPlane(left, across, np.array([-across[1], across[0], 0.0]))

    def station(self, v: float, u: ArrayLike, offset: float = 0.0) -> Array:
        """`v` at which each `u` of the surface at `offset` meets the section plane of `v`."""
        plane = self.plane(v)
        u = np.asarray(u, float)
        return self.surface.on_plane(u, v, offset, plane.left, plane.square)

    def profile(self, v: float, u: ArrayLike, offset: float = 0.0) -> Array:
        """Section points (n, 2) for given `u`: x level from the left springing, z its level."""
        plane = self.plane(v)
        u = np.asarray(u, float)
        at = self.surface.on_plane(u, v, offset, plane.left, plane.square)
        points = self.surface.point(u, at, offset)
        return np.stack([(points - plane.left) @ plane.across, points[..., 2]], axis=-1)

    def section(self, v: float, offset: float = 0.0, n: int = 129) -> Array:
        """The true section (n, 2) in the vertical plane of the chord at `v`; corners included."""
        corners = self.surface.breaks[1:-1]
        u = np.linspace(0, 1, n)
        for corner in corners:
            u[1 + np.argmin(np.abs(u[1:-1] - corner))] = corner
        return self.profile(v, np.sort(u), offset)

    def joints(self, v: float, u: ArrayLike) -> tuple[Array, Array]:
        """Ends of the radial joints at `u` in the section plane of `v`: intrados and extrados,
        each (n, 2) as (x, z)."""
        return self.profile(v, u), self.profile(v, u, self.thickness)

    def end_cuts(self, u: ArrayLike, offset: float) -> tuple[Array, Array]:
        """`v` at which the surface at `offset` meets the vertical planes of AB and of CD."""
        u = np.asarray(u, float)
        if offset == 0.0:
            return np.zeros_like(u), np.ones_like(u)
        cuts = []
        for v, (p, q) in ((0.0, (0, 1)), (1.0, (3, 2))):
            through, along = self.room.corners[p], self.room.corners[q] - self.room.corners[p]
            square = np.array([-along[1], along[0], 0.0]) / np.hypot(along[0], along[1])
            cuts.append(self.surface.on_plane(u, v, offset, through, square))
        return cuts[0], cuts[1]

    def area(self, offset: float = 0.0) -> float:
        """Area of the surface at `offset`, between springings and end walls."""
        u, wu = gauss_points(self.surface.breaks, 16)
        x, wv = gauss_points(np.array([0.0, 1.0]), 4)
        start, end = self.end_cuts(u, offset)
        v = start[:, None] + (end - start)[:, None] * x
        u_all = np.broadcast_to(u[:, None], v.shape)
        element = self.surface.element(u_all, v, offset)
        return float((wu * (end - start)) @ element @ wv)

    @cached_property
    def volume(self) -> float:
        """Volume of the shell: the area summed over the thickness (Steiner: a cubic)."""
        d, w = gauss_points(np.array([0.0, self.thickness]), 3)
        return float(sum(b * self.area(float(a)) for a, b in zip(d, w, strict=True)))

    def develop(self, offset: float) -> Development:
        """The layer surface at `offset` unrolled, its ends cut true to the walls."""
        near, far = self.end_cuts(edge_shares(self.surface), offset)
        return unroll(self.surface, offset, near, far)
