"""The true solid of a vault as rigid blocks see it: faces, seats, and the eye that joints run to.

Blocks are cut by planes through one point, the eye: the middle of the circle through springings and
crown. In a cylinder, a sphere and a dome the joints then run along the normals. Shape functions are
shared with the net, nothing else is.

A side of the plan is
- plumb: the masonry ends in the plumb plane of a wall (carried by it, or free);
- a springing: it ends in a joint square to the faces, on a wall or a ring;
- an eye: the free rim of an oculus, square to the faces;
- a mirror: half of the vault and its loads is the image of the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Ends = Literal["plumb", "springing", "eye", "mirror"]

NEAR = 1e-9
HALVING = 60  # halvings at most when a line is followed to a face
CLOSE = 1e-10  # m
CREASE = 4.0  # thicknesses in plan from a crease within which the neighbouring web is looked at
STEEP = ("dome", "barrel", "flight")
OVERHANG = (*STEEP, "cloister")  # whose extrados runs on beyond the plan, into the wall
INSET = 1e-7  # share of the plan by which levels at a corner are read inside it
FLATTEST = 1e-3  # rise of the flattest line through the masonry that is followed


@dataclass(frozen=True)
class Side:
    """One side of the plan: how the masonry ends there, whether it is carried, the level unit
    direction out of the room (plumb and mirror)."""

    ends: Ends
    carried: bool
    outward: Array


@dataclass(frozen=True)
class Seat:
    """The joint on which a corner stands: its inner and outer end (3,), the unit direction from the
    seat into the vault, the level unit direction along the joint."""

    corner: int
    inner: Array
    outer: Array
    normal: Array
    along: Array


class BlockSolid:
    """A vault, or the share of its thickness about the middle.

    vault: as :func:`timbrel.shape.vault.shape_vault` gives it.
    """

    def __init__(self, vault: Any, share: float = 1.0) -> None:
        self.vault = vault
        middle = vault.thickness / 2
        self.low, self.middle, self.high = middle * (1 - share), middle, middle * (1 + share)
        self.family = str(vault.family)
        self.room = np.asarray(vault.room.corners, float)

    @property
    def thickness(self) -> float:
        return float(self.high - self.low)

    @cached_property
    def centre(self) -> Array:
        """Middle of the plan (2,)."""
        if self.family == "dome":
            return np.asarray(self.vault.centre[:2], float)
        if self.family in ("groin", "cloister"):
            return np.asarray(self.vault.plan.middle, float)
        return np.asarray(self.room[:, :2].mean(axis=0))

    @cached_property
    def reach(self) -> float:
        """Half the span: of AB, or of the ring."""
        if self.family == "dome":
            return float(self.vault.base.span / 2)
        return float(np.hypot(*(self.room[1] - self.room[0])[:2])) / 2

    @cached_property
    def eye(self) -> Array:
        """(3,) where all joints meet."""
        if self.family == "sail" and self.vault.sphere is not None:
            return np.array(self.vault.sphere.centre, np.float64)
        spring = float(self.vault.centre[2] if self.family == "dome" else self.room[:, 2].mean())
        rise = self._crown - spring
        radius = self.reach**2 / (2 * rise) + rise / 2
        return np.append(self.centre, min(self._crown - radius, spring))

    @property
    def _shift(self) -> float:
        """Where the intrados lies from the line that the job gives."""
        return float(getattr(self.vault, "shift", 0.0))

    @property
    def _crown(self) -> float:
        if self.family == "dome":
            base = self.vault.base
            return float(self.vault.centre[2] + base.at(np.array([base.length / 2]))[0, 1])
        return float(self.levels(self.centre[None], 0.0)[0])

    def levels(self, plan: Array, offset: float) -> Array:
        """Levels (n,) of the surface at an offset from the intrados over plan points (n, 2)."""
        if self.family not in ("groin", "cloister"):
            return np.asarray(self.vault.height(plan[:, 0], plan[:, 1], offset))
        return self._crossed(plan, offset)

    def _crossed(self, plan: Array, offset: float) -> Array:
        """The webs that may stand over each point: its own, and the neighbours beside creases."""
        vault = self.vault
        spokes = vault.plan.corners[:, :2] - vault.plan.middle
        long = np.linalg.norm(spokes, axis=1)
        away = plan - vault.plan.middle
        own = vault.plan.web_of(plan[:, 0], plan[:, 1])
        cross = (away[:, 1:] * spokes[:, 0] - away[:, :1] * spokes[:, 1]) / long
        beside = (np.abs(cross) < CREASE * vault.thickness) & (away @ spokes.T > -NEAR - 0.1)
        groin = self.family == "groin"
        best = np.full(len(plan), -np.inf if groin else np.inf)
        for k in range(4):
            here = (own == k) | beside[:, k] | beside[:, (k + 1) % 4]
            if not here.any():
                continue
            _, v, z = vault.webs[k].patch.over(plan[here, 0], plan[here, 1], offset + vault.shift)
            if groin:
                z = np.where(v <= 1 + NEAR, z, np.nan)
            z = np.where(np.isnan(z), best[here], z)
            best[here] = np.maximum(best[here], z) if groin else np.minimum(best[here], z)
        return np.where(np.isinf(best), np.nan, best)

    def miss(self, points: Array, offset: float) -> Array:
        """How far points (n, 3) lie above the surface at an offset: square to it where springings
        may be steep, else plumb (which is quicker)."""
        if self.family in OVERHANG:
            return np.asarray(self.vault.depth(points) - offset)
        return np.asarray(points[:, 2] - self.levels(points[:, :2], offset))

    def hit(self, start: Array, way: Array, offset: float) -> Array:
        """Where lines (n, 3) through `start` along `way` (upward through the masonry) meet the face
        at an offset; not a number where they do not. By the secant rule."""
        t0, f0 = np.zeros(len(start)), self.miss(start, offset)
        slope = np.ones(len(start)) if self.family in OVERHANG else np.maximum(way[:, 2], FLATTEST)
        t1 = -f0 / slope
        f1 = self.miss(start + t1[:, None] * way, offset)
        for _ in range(HALVING):
            moving = np.flatnonzero(np.abs(f1) > CLOSE)
            if not len(moving):
                break
            gap = f1[moving] - f0[moving]
            still = np.abs(gap) < 1e-15
            step = np.where(
                still, 0.0, f1[moving] * (t1[moving] - t0[moving]) / np.where(still, 1.0, gap)
            )
            t0[moving], f0[moving] = t1[moving], f1[moving]
            t1[moving] -= step
            f1[moving] = self.miss(start[moving] + t1[moving, None] * way[moving], offset)
            if still.all():
                break
        found = start + t1[:, None] * way
        return np.where((np.abs(f1) < 1e-7)[:, None], found, np.nan)

    def reference(self, plan: Array) -> Array:
        """Points (n, 3) of the line that the job gives over plan points (n, 2): its edge is the
        springing, however steep."""
        if self.family != "dome":
            return np.column_stack([plan, self.levels(plan, -self._shift)])
        away = plan - self.centre
        radius = np.hypot(away[:, 0], away[:, 1])
        base, u = self.vault.base, self._meridian(radius)
        at = base.at(u * self.vault.patch.upto)
        return np.column_stack([plan, self.vault.centre[2] + at[:, 1]])

    def _meridian(self, radius: Array) -> Array:
        """Share of a dome's meridian at which its line has a radius (n,)."""
        base, upto = self.vault.base, self.vault.patch.upto
        low: Array = np.zeros(len(radius))
        high: Array = np.ones(len(radius))
        for _ in range(52):
            middle = (low + high) / 2
            wide = base.span / 2 - base.at(middle * upto)[:, 0] > radius
            low, high = np.where(wide, middle, low), np.where(wide, high, middle)
        return np.asarray((low + high) / 2)

    def square_line(self, points: Array) -> tuple[Array, Array]:
        """Both ends (n, 3) of the line square to the faces through points on the springing (or the
        rim of an oculus); at a valley the line that meets both faces."""
        if self.family == "dome":
            away = points[:, :2] - self.centre
            v = np.mod(-np.arctan2(away[:, 1], away[:, 0]) / (2 * np.pi), 1.0)
            u = self._meridian(np.hypot(away[:, 0], away[:, 1]))
            return self.vault.point(u, v, self.low), self.vault.point(u, v, self.high)
        shift = self._shift
        points = np.column_stack([points[:, :2], self.levels(points[:, :2], -shift)])
        foot: Array = np.zeros_like(points)
        normals = np.zeros((len(self.vault.webs), *points.shape))
        on = np.zeros((len(self.vault.webs), len(points)), bool)
        for k, web in enumerate(self.vault.webs):
            u, v, _ = web.patch.foot(points)
            at = web.patch.point(u, v)
            on[k] = np.linalg.norm(at - points, axis=1) < 1e-5
            normals[k] = web.patch.normal(u, v)
            foot[on[k]] = at[on[k]]
        total = np.where(on[..., None], normals, 0.0).sum(axis=0)
        first = np.take_along_axis(normals, on.argmax(axis=0)[None, :, None], axis=0)[0]
        run = total / np.einsum("nk,nk->n", total, first)[:, None]
        return foot + (self.low + shift) * run, foot + (self.high + shift) * run

    def seats(self) -> tuple[Seat, ...]:
        """The corners on which a vault stands: plumb joints square to the diagonals, as high as the
        masonry is there."""
        if not self.vault.on_corners:
            return ()
        corners = self.room[:, :2] + INSET * (self.centre - self.room[:, :2])
        inner, outer = (self.levels(corners, d) for d in (self.low, self.high))
        found = []
        for k, plan in enumerate(self.room[:, :2]):
            inward = np.append(self.centre - plan, 0.0)
            inward /= np.linalg.norm(inward)
            along = np.array([-inward[1], inward[0], 0.0])
            ends = np.append(plan, inner[k]), np.append(plan, outer[k])
            found.append(Seat(k, *ends, inward, along))
        return tuple(found)

    def sides(self) -> dict[str, Side]:
        """What the plan's edges are: near, right, far and left; or ring and oculus of a dome."""
        level = np.zeros(3)
        if self.family == "dome":
            found = {"ring": Side("springing", True, level)}
            if self.vault.oculus:
                found["oculus"] = Side("eye", False, level)
            return found
        out = {}
        for k, name in enumerate(("near", "right", "far", "left")):
            along = self.room[(k + 1) % 4] - self.room[k]
            away = np.array([along[1], -along[0], 0.0]) / np.hypot(along[0], along[1])
            ends, carried = self._side(name)
            out[name] = Side(ends, carried, away)
        return out

    def _side(self, name: str) -> tuple[Ends, bool]:
        if self.vault.on_corners:
            return "plumb", False
        if self.family == "cloister":
            return "springing", True
        if self.family in ("barrel", "flight"):
            return ("springing", True) if name in ("left", "right") else ("plumb", False)
        end = getattr(self.vault.room, f"{name}_end", "wall")
        return "plumb", end != "free"
