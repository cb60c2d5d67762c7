"""Weights on rigid blocks: small pieces of the shell and of what stands on it, each at its place.

The shell is weighed through its depth, what stands on it at its top, the imposed load at its middle:
on sheets all that its outline holds.
Sheets are cut into even shares of the plan; domes, barrels and flights along their own parameters.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_mesh import Mirror, place
from timbrel.statics.blocks_solid import STEEP, Array, BlockSolid, Index
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.plan_outlines import outline_at, parts_of
from timbrel.statics.rim import rim_spots, rim_weight

FINE = 96  # pieces each way (a multiple of eight: edges of patterns fall between pieces)
DEPTHS = (1 / 6, 1 / 2, 5 / 6)  # of the thickness at which thirds of it are weighed
SPLIT = 4  # parts each way of a ring's piece by which an edge of a load is followed


@dataclass(frozen=True)
class Pieces:
    """Weights at points. points: (p, 3). dead, live: (p,) N."""

    points: Array
    dead: Array
    live: Array

    @property
    def total(self) -> tuple[float, float]:
        """All dead and all live load, N."""
        return float(self.dead.sum()), float(self.live.sum())


def pieces_of(
    job: Job, solid: BlockSolid, pattern: str, mirror: Mirror, fine: int = FINE
) -> Pieces:
    """All weights on the part of the vault that the mirror leaves, for a pattern of imposed load."""
    weights = Weights(job, solid.vault)
    imposed, _ = imposed_load(job.loads)
    if solid.family in STEEP:
        return _with_rim(
            job, solid, mirror, _of_steep(solid, weights, imposed, pattern, mirror, fine)
        )
    return _of_sheet(solid, weights, imposed, pattern, mirror, fine)


def _with_rim(job: Job, solid: BlockSolid, mirror: Mirror, pieces: Pieces) -> Pieces:
    """The same with what stands on the rim of an oculus."""
    if solid.family != "dome" or not rim_weight(job):
        return pieces
    spots = rim_spots(solid.vault)
    keep = np.ones(len(spots), bool)
    if mirror.left:
        keep &= spots[:, 0] < solid.centre[0]
    if mirror.near:
        keep &= spots[:, 1] < solid.centre[1]
    each = np.full(int(keep.sum()), rim_weight(job) / len(spots))
    return Pieces(
        np.concatenate([pieces.points, spots[keep]]),
        np.concatenate([pieces.dead, each]),
        np.concatenate([pieces.live, np.zeros_like(each)]),
    )


def stands(pattern: str, plan: Array, low: Array, high: Array, middle: Array) -> Array:
    """Where (0 or 1) the imposed load of a pattern stands over plan points (n, 2)."""
    left, near = plan[:, 0] < middle[0], plan[:, 1] < middle[1]
    quarter = (high - low) / 8
    where = {
        "full": np.ones(len(plan), bool),
        "half.left": left,
        "half.right": ~left,
        "half.near": near,
        "half.far": ~near,
        "quarter": left & near,
        "patch": (np.abs(plan - middle) < quarter).all(axis=1),
    }
    return np.asarray(where[pattern], float)


def _of_sheet(
    solid: BlockSolid, weights: Weights, imposed: float, pattern: str, mirror: Mirror, fine: int
) -> Pieces:
    step = (np.arange(fine) + 0.5) / fine
    s, t = (g.ravel() for g in np.meshgrid(step, step))
    plan = place(solid, s, t)
    area = _plan_area(solid, s, t) / fine**2
    keep = np.ones(len(s), bool)
    if mirror.left:
        keep &= s < 0.5
    if mirror.near:
        keep &= t < 0.5
    plan, area = plan[keep], area[keep]
    low, high = solid.levels(plan, solid.low), solid.levels(plan, solid.high)
    inner, outer = _whole(solid, plan, low, high)
    shell = weights.unit * (outer - inner) * area
    above = weights.above(outer) * area
    depth = [np.column_stack([plan, low + d * (high - low)]) for d in DEPTHS]
    third = shell / len(DEPTHS)
    under, live = _pressed(solid, imposed, pattern, mirror, 2 * fine // 3)
    points = np.concatenate([*depth, np.column_stack([plan, (low + high) / 2]), under])
    dead = np.nan_to_num(np.concatenate([third, third, third, above]))
    return Pieces(
        points,
        np.concatenate([dead, np.zeros(len(live))]),
        np.concatenate([np.zeros(len(dead)), live]),
    )


def _pressed(
    solid: BlockSolid, imposed: float, pattern: str, mirror: Mirror, fine: int
) -> tuple[Array, Array]:
    """Points (p, 3) at the middle of the masonry and the imposed load (p,) there: all that the outline
    of the pattern holds, cut at the mirrors."""
    from shapely import box

    outline = outline_at(solid.vault, pattern)
    x0, y0, x1, y1 = outline.bounds
    x, y = solid.centre
    kept = box(x0, y0, min(x, x1) if mirror.left else x1, min(y, y1) if mirror.near else y1)
    plan, area = parts_of(outline & kept, fine)
    level = (solid.levels(plan, solid.low) + solid.levels(plan, solid.high)) / 2
    return np.column_stack([plan, level]), imposed * area


def _whole(solid: BlockSolid, plan: Array, low: Array, high: Array) -> tuple[Array, Array]:
    """Faces of the whole shell: a thinned one keeps the weight of all of it."""
    full = float(solid.vault.thickness)
    if solid.low == 0.0 and solid.high == full:
        return low, high
    return solid.levels(plan, 0.0), solid.levels(plan, full)


def _plan_area(solid: BlockSolid, s: Array, t: Array) -> Array:
    """(n,) plan area by unit square of the shares."""
    step = 1e-5
    by_s = (place(solid, s + step, t) - place(solid, s - step, t)) / (2 * step)
    by_t = (place(solid, s, t + step) - place(solid, s, t - step)) / (2 * step)
    return np.abs(by_s[:, 0] * by_t[:, 1] - by_s[:, 1] * by_t[:, 0])


def bounds_of(solid: BlockSolid) -> tuple[Array, Array]:
    """Least and greatest plan coordinates, between which patterns of load are set out."""
    if solid.family == "dome":
        return solid.centre - solid.reach, solid.centre + solid.reach
    return solid.room[:, :2].min(axis=0), solid.room[:, :2].max(axis=0)


def middle_of(solid: BlockSolid) -> Array:
    """The middle of the plan's area (2,), at which halves part."""
    if solid.family == "dome":
        return solid.centre
    x, y = solid.room[:, 0], solid.room[:, 1]
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    both = solid.room[:, :2] + np.roll(solid.room[:, :2], -1, axis=0)
    return np.asarray(cross @ both / (3 * cross.sum()))


def _of_steep(
    solid: BlockSolid, weights: Weights, imposed: float, pattern: str, mirror: Mirror, fine: int
) -> Pieces:
    """Domes, barrels and flights, by their own parameters: what overhangs the springings counts."""
    vault, dome = solid.vault, solid.family == "dome"
    first, second = (fine // 2, 2 * fine) if dome else (fine, fine // 4)
    u, v = (np.arange(first) + 0.5) / first, (np.arange(second) + 0.5) / second
    uu, vv = (g.ravel() for g in np.meshgrid(u, v, indexing="ij"))
    covered = _covered(solid, pattern, first, second).ravel()
    keep = _kept(mirror, uu, vv, dome)
    uu, vv, covered = uu[keep], vv[keep], covered[keep]
    piece = 1.0 / (first * second)
    patch = vault.patch if dome else vault.surface
    shift, full = (float(vault.shift) if dome else 0.0), float(vault.thickness)
    up = patch.normal(uu, vv)[:, 2]
    points, dead, live = [], [], []
    for depth in DEPTHS:
        points.append(vault.point(uu, vv, depth * full))
        size = patch.element(uu, vv, shift + depth * full) * piece
        dead.append(weights.unit * size * full / len(DEPTHS))
        live.append(np.zeros(len(uu)))
    level = patch.element(uu, vv, shift + full / 2) * up * piece
    top = vault.point(uu, vv, full)
    points.append(vault.point(uu, vv, full / 2))
    dead.append(weights.above(top[:, 2]) * level)
    live.append(imposed * level * covered)
    return Pieces(np.concatenate(points), np.concatenate(dead), np.concatenate(live))


def _kept(
    mirror: Mirror, u: Array, v: Array, dome: bool
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which parameters lie in the halves that stand for the whole."""
    keep = np.ones(len(u), bool)
    if dome:
        turn = -2 * np.pi * v
        if mirror.left:
            keep &= np.cos(turn) < 0
        if mirror.near:
            keep &= np.sin(turn) < 0
        return keep
    if mirror.left:
        keep &= u < 0.5
    if mirror.near:
        keep &= v < 0.5
    return keep


def _covered(solid: BlockSolid, pattern: str, first: int, second: int) -> Array:
    """(first, second) share of each piece of the plan under the load."""
    u = (np.arange(first * SPLIT) + 0.5) / (first * SPLIT)
    v = (np.arange(second * SPLIT) + 0.5) / (second * SPLIT)
    uu, vv = (g.ravel() for g in np.meshgrid(u, v, indexing="ij"))
    plan = solid.vault.point(uu, vv, solid.middle)[:, :2]
    under = stands(pattern, plan, *bounds_of(solid), middle_of(solid))
    return np.asarray(under.reshape(first, SPLIT, second, SPLIT).mean(axis=(1, 3)))


def owners(points: Array, eye: Array, at: Array, blocks: Index) -> Index:
    """(p,) block on whose rays from the eye each point lies; points beyond the rim belong to the
    block that they pass least.

    at: (n, 3) nodes. A point lies on the inner side of the three planes of its block.
    """
    corners = at[blocks] - eye
    normal = np.cross(corners, np.roll(corners, -1, axis=1))
    normal /= np.linalg.norm(normal, axis=2, keepdims=True)
    inner = np.einsum("bek,bk->be", normal, corners.mean(axis=1))
    normal *= np.sign(inner)[..., None]
    way = points - eye
    way /= np.linalg.norm(way, axis=1)[:, None]
    middle = corners.mean(axis=1)
    middle /= np.linalg.norm(middle, axis=1)[:, None]
    found = np.empty(len(points), np.int64)
    near = min(24, len(blocks))
    for k in range(0, len(points), 4096):
        part = way[k : k + 4096]
        close = np.argpartition(-(part @ middle.T), near - 1, axis=1)[:, :near]
        depth = np.einsum("pcek,pk->pce", normal[close], part).min(axis=2)
        found[k : k + 4096] = close[np.arange(len(part)), depth.argmax(axis=1)]
    return found
