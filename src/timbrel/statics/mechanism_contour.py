"""Webs round a middle: the shares by which their hinges are told, and the contours that a vault allows.

A contour is a convex polygon in plan. Lines from the middle to its corners part the plan into webs,
one a side; the share of a point is its distance from the middle towards the side, over the side's.
Lines of one share run round, parallel to the sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from timbrel.statics.blocks_solid import Array, BlockSolid, Index

if TYPE_CHECKING:
    from shapely import Polygon

ROUND = 64  # webs in the place of a round contour
MOST_TRIES = 40


@dataclass(frozen=True)
class Contour:
    """middle: (2,). outward: (k, 2) unit directions of the sides. reach: (k,) distances of the sides
    from the middle, m. most: share up to which there is masonry all round (over 1 where the
    extrados runs on over the walls). least: share of an oculus, else 0."""

    middle: Array
    outward: Array
    reach: Array
    most: float
    least: float = 0.0

    @property
    def round(self) -> bool:
        return len(self.reach) >= ROUND

    @cached_property
    def corners(self) -> Array:
        """(k, 2) first corner of each side, at a share of one: where the side before meets it."""
        pair = np.stack([np.roll(self.outward, 1, axis=0), self.outward], axis=1)
        far = np.stack([np.roll(self.reach, 1), self.reach], axis=1)
        return np.asarray(self.middle + np.linalg.solve(pair, far[..., None])[..., 0])

    def places(self, plan: Array) -> tuple[Array, Index]:
        """Share (n,) and web (n,) of plan points (n, 2)."""
        shares = (plan - self.middle) @ self.outward.T / self.reach
        web = shares.argmax(axis=1)
        return shares[np.arange(len(plan)), web], web

    def ring(self, share: Array, beside: Array) -> Array:
        """Plan points (s, k, b, 2) at shares (s,) and shares (b,) along each side."""
        start, end = self.corners, np.roll(self.corners, -1, axis=0)
        along = start[:, None] + beside[:, None] * (end - start)[:, None]
        return np.asarray(self.middle + share[:, None, None, None] * (along - self.middle))

    def polygon(self, share: float = 1.0) -> Polygon:
        from shapely import Polygon

        return Polygon(self.middle + share * (self.corners - self.middle))


def contours_of(solid: BlockSolid) -> tuple[Contour, ...]:
    """The contours that are tried: the walls of a cloister; the ring of a dome; the greatest circle
    and ellipse in the plan of a sail, and its walls. None of vaults that hang between free edges."""
    if solid.family == "dome":
        centre = np.asarray(solid.vault.centre[:2], float)
        ring = _round(centre, np.eye(2) * solid.reach)
        return (_known(solid, ring, float(solid.vault.oculus) / 2 / solid.reach),)
    if solid.family == "cloister":
        return (_known(solid, _walls(solid)),)
    if solid.family == "sail":
        walls = _walls(solid)
        axes = np.stack([walls.outward[1], walls.outward[2]], axis=1)
        near = [min(walls.reach[1], walls.reach[3]), min(walls.reach[0], walls.reach[2])]
        oval = _within(walls, axes * near)
        circle = _within(walls, np.eye(2) * walls.reach.min())
        return tuple(_known(solid, one) for one in (circle, oval, walls))
    return ()


def _walls(solid: BlockSolid) -> Contour:
    corners, middle = solid.room[:, :2], solid.centre
    along = np.roll(corners, -1, axis=0) - corners
    outward = np.stack([along[:, 1], -along[:, 0]], axis=1)
    outward /= np.linalg.norm(outward, axis=1)[:, None]
    return Contour(middle, outward, np.einsum("kx,kx->k", outward, corners - middle), 1.0)


def _round(middle: Array, axes: Array) -> Contour:
    """A polygon whose corners lie on the ellipse with half axes (2, 2), one a column."""
    turn = 2 * np.pi / ROUND * (np.arange(ROUND) + 0.5)
    circle = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    outward = circle @ np.linalg.inv(axes)
    size = np.linalg.norm(outward, axis=1)
    return Contour(middle, outward / size[:, None], np.cos(np.pi / ROUND) / size, 1.0)


def _within(walls: Contour, axes: Array) -> Contour:
    """The same, drawn in until it lies between the walls."""
    oval = _round(walls.middle, axes)
    share, _ = walls.places(oval.corners)
    over = max(float(share.max()), 1.0)
    return Contour(oval.middle, oval.outward, oval.reach / over, 1.0)


def _known(solid: BlockSolid, contour: Contour, least: float = 0.0) -> Contour:
    """The same with the share up to which its extrados is known all round."""
    most = 1.0
    ring = contour.ring(np.ones(1), np.array([0.5]))[0, :, 0]
    if solid.family in ("cloister", "dome"):
        _, outer = solid.square_line(np.column_stack([ring, np.zeros(len(ring))]))
        most = float(contour.places(outer[:, :2])[0].min())
    for _ in range(MOST_TRIES):
        plan = contour.ring(np.array([most]), np.array([0.25, 0.5, 0.75])).reshape(-1, 2)
        if np.isfinite(solid.levels(plan, solid.high)).all():
            break
        most *= 1 - 1e-4
    return Contour(contour.middle, contour.outward, contour.reach, most, least)
