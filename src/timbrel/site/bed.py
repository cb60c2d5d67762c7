"""The outer face of the shell as a bed for what is laid on it: levels over the plan.

Plan areas are integrated with the Jacobian of the plan's own coordinates: walls that are not parallel
count as they stand, and nothing behind them counts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.shape.barrel import Barrel
from timbrel.shape.dome import Dome
from timbrel.shape.surface import Surface

Floats = NDArray[np.float64]
ACROSS = 400
ALONG = 4
GRID = 48
"""Points across a barrel, Gauss stations along it, and points each way over another vault."""


@dataclass(frozen=True)
class Bed:
    """The outer face of the shell on a grid over the plan. level: (a, n); weight: (a, n) plan area
    that each point stands for, m2; left: (n,) which points lie left of the middle; span: (a,)
    between the walls; length: (a, n) along the axis that each station stands for, m;
    crown: highest level of the face."""

    level: Floats
    weight: Floats
    left: NDArray[np.bool_]
    span: Floats
    length: Floats
    crown: float

    @property
    def low(self) -> float:
        """Lowest level of the outer face inside the walls."""
        return float(self.level[self.weight > 0].min())

    def volume(self, top: float, side: str = "both") -> float:
        """Volume between the shell and a level, m3, of "left", "right" or "both" sides."""
        over = np.maximum(top - self.level, 0.0) * self.weight
        if side == "both":
            return float(over.sum())
        return float(over[:, self.left if side == "left" else ~self.left].sum())

    def wall_faces(self, top: float, spacing: float) -> Floats:
        """Area (k,) of each dwarf wall along the axis, set out from the crown at `spacing`. Over a
        dome they follow no axis: one figure for all."""
        if not self.span.all():
            return np.array([self.volume(top) / spacing])
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
    """The outer face inside the walls, with the plan area of each point. Walls behind a corbel or a
    ledger leave room behind the springing.

    Plan point at (share across, station): on the straight line between the walls' springings at
    that station; its Jacobian counts walls that are not parallel.
    """
    nodes, gauss = np.polynomial.legendre.leggauss(ALONG)
    near_left, near_right = vault.point(np.array([0.0, 1.0]), 0.0)
    far_left, far_right = vault.point(np.array([0.0, 1.0]), 1.0)
    levels, weights, spans, lengths = [], [], [], []
    for v, w in zip((nodes + 1) / 2, gauss / 2, strict=True):
        left = near_left + v * (far_left - near_left)
        right = near_right + v * (far_right - near_right)
        across = (right - left)[:2]
        span = float(np.hypot(*across))
        share = np.linspace(-vault.behind[0] / span, 1.0 + vault.behind[1] / span, ACROSS + 1)
        trapezoid = np.full(ACROSS + 1, float(np.ptp(share)) / ACROSS)
        trapezoid[[0, -1]] /= 2
        along_left, along_right = (far_left - near_left)[:2], (far_right - near_right)[:2]
        along = along_left + share[:, None] * (along_right - along_left)
        jacobian = np.abs(across[0] * along[:, 1] - across[1] * along[:, 0])
        line = vault.section(float(v), vault.thickness, n=2 * ACROSS + 1)
        levels.append(np.interp(share * span, line[:, 0], line[:, 1]))
        weights.append(w * trapezoid * jacobian)
        spans.append(span + sum(vault.behind))
        lengths.append(w * np.hypot(along[:, 0], along[:, 1]))
    level = np.array(levels)
    return Bed(
        level,
        np.array(weights),
        np.linspace(0.0, 1.0, ACROSS + 1) < 0.5,
        np.array(spans),
        np.array(lengths),
        float(level.max()),
    )


def quad_middle(corners: Floats) -> Floats:
    """Where the diagonals of a plan (4, 2) cross, (2,): creases meet there."""
    a, b, c, d = corners
    along = np.linalg.solve(np.stack([c - a, b - d], axis=1), b - a)[0]
    return np.asarray(a + along * (c - a))


def grid_bed(vault: Surface) -> Bed:
    """The outer face of a vault on four sides, at the middles of a grid of its plan. Where the
    surface does not reach (the mouth of an opening) a point stands for no area."""
    shares = (np.arange(GRID) + 0.5) / GRID
    p, q = np.meshgrid(shares, shares)
    a, b, c, d = np.asarray(vault.room.corners)[:, None, None, :2]
    p, q = p[..., None], q[..., None]
    point = (1 - q) * ((1 - p) * a + p * b) + q * ((1 - p) * d + p * c)
    by_p = (1 - q) * (b - a) + q * (c - d)
    by_q = (1 - p) * (d - a) + p * (c - b)
    area = np.abs(by_p[..., 0] * by_q[..., 1] - by_p[..., 1] * by_q[..., 0]) / GRID**2
    level = vault.height(point[..., 0].ravel(), point[..., 1].ravel(), vault.thickness)
    level = level.reshape(GRID, GRID)
    there = np.isfinite(level)
    middle = quad_middle(np.asarray(vault.room.corners)[:, :2])
    crown = float(
        np.nanmax([*vault.height(middle[:1], middle[1:], vault.thickness), *level[there]])
    )
    return Bed(
        level=np.where(there, level, np.nanmin(level)),
        weight=np.where(there, area, 0.0),
        left=shares < 0.5,
        span=np.hypot(*np.moveaxis(by_p[:, 0], -1, 0)),
        length=np.hypot(by_q[..., 0], by_q[..., 1]) / GRID,
        crown=crown,
    )


def dome_bed(dome: Dome) -> Bed:
    """The outer face of a dome, on rings inside its springing and quarters of its turn."""
    rim, oculus = (float(r) for r in dome.rings([0.0, 1.0]).radius)
    radius = oculus + (np.arange(ACROSS) + 0.5) / ACROSS * (rim - oculus)
    turn = 2 * np.pi * (np.arange(16) + 0.5) / 16
    x = dome.centre[0] + radius[:, None] * np.cos(turn)
    y = dome.centre[1] + radius[:, None] * np.sin(turn)
    level = dome.height(x.ravel(), y.ravel(), dome.thickness).reshape(x.shape)
    ring = radius * (rim - oculus) / ACROSS * 2 * np.pi / len(turn)
    nothing = np.zeros(ACROSS)
    top = dome.height(np.array([dome.centre[0] + oculus]), dome.centre[1:2], dome.thickness)
    crown = float(np.nanmax([*top, *level.ravel()]))
    return Bed(
        level=level,
        weight=np.broadcast_to(ring[:, None], level.shape),
        left=np.cos(turn) < 0,
        span=nothing,
        length=np.zeros(level.shape),
        crown=crown,
    )


def bed_of(vault: Surface) -> Bed:
    """The bed of a vault of any family."""
    if isinstance(vault, Barrel):
        return shell_bed(vault)
    return dome_bed(vault) if isinstance(vault, Dome) else grid_bed(vault)
