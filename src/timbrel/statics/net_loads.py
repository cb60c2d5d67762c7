"""Loads on a net: lumped on their true lines of action.

A load on the vault is vertical, so only its place in plan counts. Each small piece of load is
shared over the four corners of the cell that it stands on, so that its sum and its moments are
kept exactly (bilinear shares of the cell in plan; outside a bent edge the shares go a little
beyond 0 to 1, which keeps them exact). Loads on the nodes are therefore in equilibrium with the
loads on the surface, whatever the fineness.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid
from timbrel.words import Message

GAUSS = 4
NEWTON = 8
MISSED = 1e-8  # m: by which shares may miss the place that they stand for
FAR = 3.0  # cells' widths beyond which shares are not followed


@dataclass(frozen=True)
class NetLoad:
    """One action on a net.

    key: stable name. title: for the reader. weight: (n,) downward on each node, N. above: share of
    it that lies over the beds (1 for what stands on the vault; a list by bed for its own weight).
    total, first: sum (N) and first moments x, y (2,) (N m) of the load on the surface.
    """

    key: str
    title: Message
    weight: Array
    above: tuple[float, ...]
    total: float
    first: Array


@dataclass(frozen=True)
class Pieces:
    """Small pieces of the middle surface.

    cell: (p,). uv: (p, 2) parameters. point: (p, 3). area: (p,) m2. level: (p,) area in plan.
    normal: (p, 3). share: (p, 4) of a vertical load there on the cell's corners.
    """

    cell: Index
    uv: Array
    point: Array
    area: Array
    level: Array
    normal: Array
    share: Array


def pieces(solid: NetSolid, grid: NetGrid) -> Pieces:
    """Gauss points of every cell on the true surface."""
    x, w = np.polynomial.legendre.leggauss(GAUSS)
    x, w = (x + 1) / 2, w / 2
    xi, eta = (a.ravel() for a in np.meshgrid(x, x, indexing="ij"))
    weight = np.outer(w, w).ravel()
    corners = grid.spread
    shapes = cell_shapes(xi, eta)
    uv = np.einsum("ka,qad->qkd", shapes, corners)
    step = 1e-4
    sides = []
    for d_xi, d_eta in ((step, 0.0), (0.0, step)):
        ahead = np.einsum("ka,qad->qkd", cell_shapes(xi + d_xi, eta + d_eta), corners)
        behind = np.einsum("ka,qad->qkd", cell_shapes(xi - d_xi, eta - d_eta), corners)
        sides.append((_middle(solid, ahead) - _middle(solid, behind)) / (2 * step))
    square = np.cross(sides[0], sides[1])
    area = np.linalg.norm(square, axis=-1) * weight
    for hole in grid.holes:
        area[hole.beside] *= hole.swell
    point = _middle(solid, uv)
    normal = square / np.maximum(np.linalg.norm(square, axis=-1, keepdims=True), 1e-300)
    normal *= np.where(normal[..., 2:] < 0, -1.0, 1.0)
    plan = grid.middle[grid.cells][:, None, :, :2]
    share = plan_shares(np.broadcast_to(plan, (*point.shape[:2], 4, 2)), point[..., :2])
    count = len(xi)
    return Pieces(
        np.repeat(np.arange(len(grid.cells)), count),
        uv.reshape(-1, 2),
        point.reshape(-1, 3),
        area.ravel(),
        (area * normal[..., 2]).ravel(),
        normal.reshape(-1, 3),
        share.reshape(-1, 4),
    )


def lump(
    grid: NetGrid,
    parts: Pieces,
    key: str,
    title: Message,
    weight: Array,
    above: tuple[float, ...],
) -> NetLoad:
    """Gather the weight (p,) of the pieces (N, downward) on the nodes."""
    nodes = np.zeros(grid.size)
    np.add.at(nodes, grid.cells[parts.cell], parts.share * weight[:, None])
    first = weight @ parts.point[:, :2]
    return NetLoad(key, title, nodes, above, float(weight.sum()), first)


def point_load(
    grid: NetGrid, key: str, title: Message, at: Array, weight: float, beds: int
) -> NetLoad:
    """A single load at a place (2,) in plan, on the cell that it stands on."""
    plan = grid.middle[grid.cells][..., :2]
    cell, share = cell_at(plan, at)
    nodes = np.zeros(grid.size)
    np.add.at(nodes, grid.cells[cell], share * weight)
    return NetLoad(key, title, nodes, (1.0,) * beds, weight, weight * np.asarray(at, float))


def cell_at(plan: Array, at: Array) -> tuple[int, Array]:
    """Number of the cell (of q, corners (q, 4, 2) in plan) that a place (2,) stands on, or the nearest,
    and its shares (4,). Cells whose shares do not give the place back are passed over."""
    share = plan_shares(plan, np.broadcast_to(at, (len(plan), 2)))
    missed = np.abs(np.einsum("qa,qad->qd", share, plan) - at).max(axis=1)
    found = int(np.argmin(np.where(missed < MISSED, np.abs(share).sum(axis=1), np.inf)))
    return found, share[found]


def own_weight(solid: NetSolid, parts: Pieces, weight: Callable[[Array], Array] | float) -> Array:
    """(p,) weight of the shell: thickness by unit weight (N/m3) by area."""
    unit = weight(parts.point) if callable(weight) else weight
    return np.asarray(parts.area * solid.thickness * unit)


def plan_shares(corners: Array, point: Array) -> Array:
    """Bilinear shares (..., 4) of the corners (..., 4, 2) of a quadrangle at points (..., 2).

    A corner named twice makes it a triangle. The shares sum to one and give the point back
    exactly.
    """
    shape = point.shape[:-1]
    corners, point = corners.reshape(-1, 4, 2), point.reshape(-1, 2)
    at = np.full((len(point), 2), 0.5)
    for _ in range(NEWTON):
        shares = cell_shapes(at[:, 0], at[:, 1])
        miss = point - np.einsum("pa,pad->pd", shares, corners)
        by_xi = np.einsum("pa,pad->pd", shapes_by_xi(at[:, 1]), corners)
        by_eta = np.einsum("pa,pad->pd", shapes_by_eta(at[:, 0]), corners)
        det = by_xi[:, 0] * by_eta[:, 1] - by_xi[:, 1] * by_eta[:, 0]
        det = np.where(np.abs(det) < 1e-14, 1e-14, det)
        at[:, 0] += (miss[:, 0] * by_eta[:, 1] - miss[:, 1] * by_eta[:, 0]) / det
        at[:, 1] += (miss[:, 1] * by_xi[:, 0] - miss[:, 0] * by_xi[:, 1]) / det
        at = np.clip(at, -FAR, 1 + FAR)
    shares = cell_shapes(at[:, 0], at[:, 1])
    return shares.reshape(*shape, 4)


def cell_shapes(xi: Array, eta: Array) -> Array:
    """(..., 4) bilinear shares of a cell's corners at places in it, 0 to 1 each way."""
    return np.stack([(1 - xi) * (1 - eta), xi * (1 - eta), xi * eta, (1 - xi) * eta], axis=-1)


def shapes_by_xi(eta: Array) -> Array:
    """(..., 4) how they change along xi."""
    return np.stack([eta - 1, 1 - eta, eta, -eta], axis=-1)


def shapes_by_eta(xi: Array) -> Array:
    """(..., 4) how they change along eta."""
    return np.stack([xi - 1, -xi, xi, 1 - xi], axis=-1)


def _middle(solid: NetSolid, uv: Array) -> Array:
    return solid.lines(uv[..., 0], uv[..., 1])[0]
