"""A net with openings: lines of the grid are bent to the edge of each, what lies in it is left out.

Of a rectangle of cells about the opening the nodes inside are dropped and those round it are moved
onto its edge: corners to corners, the others along each side on a flat arch over it, as a trimmer
carries; on a straight edge nothing without tension would hold them. Round a circle they stand on the
polygon that just takes it in, since struts run straight from node to node. What lies between those
and the true outline is masonry that the ring holds: its load is put on the cells beside.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.opened import PlacedOpening
from timbrel.shape.opened_plan import BARRELS, openings_of
from timbrel.statics.net_fineness import LADDER, grid_of, steps_over
from timbrel.statics.net_holes import clear_of_holes
from timbrel.statics.net_loads import pieces
from timbrel.statics.net_solid import Array, Index, NetGrid, NetHole, NetSolid, Support
from timbrel.statics.net_struts import Struts
from timbrel.statics.net_vaults import VaultSolid
from timbrel.words import TimbrelError, say

NEWTON = 20
EYE = 360
"""Sides of the polygon in the place of an oculus."""
STEP = 1e-6
OUT = 1.002
"""By how much a polygon that does not take in the outline is drawn out at a time."""
TRIED = 60
ARCHED = 1 / 12
"""Rise of the flat arch over each side, as a share of the side: within the ring of any opening up to
three tiles wide (common practice, no source)."""
SPARE = (0.0, 0.002, 0.004, 0.006, 0.009, 0.013, 0.020, 0.030)
"""How far off the edge of an opening nodes may stand, so that straight struts between them pass it by
on a shell that curves (m)."""


@dataclass(frozen=True)
class _Rectangle:
    """Rows and columns of a grid between which an opening lies."""

    low: tuple[int, int]
    high: tuple[int, int]

    def round(self, columns: int) -> list[tuple[int, int]]:
        """Places round it, anticlockwise in (row, column)."""
        (r0, c0), (r1, c1) = self.low, self.high
        places = [(r, c0) for r in range(r0, r1)] + [(r1, c) for c in range(c0, c1)]
        places += [(r, c1) for r in range(r1, r0, -1)] + [(r0, c) for c in range(c1, c0, -1)]
        return [(r, c % columns if columns else c) for r, c in places]

    @property
    def corners(self) -> tuple[int, int, int, int]:
        """Which of the places round it are corners."""
        rows, columns = (h - a for h, a in zip(self.high, self.low, strict=True))
        return 0, rows, rows + columns, 2 * rows + columns


def grids_over(job: Job, solid: VaultSolid) -> dict[int, NetGrid]:
    """The grids of a vault less its openings by their steps, coarse to fine, without those that are
    too coarse. Raises TimbrelError where none is left."""
    steps = LADDER[solid.vault.family]
    if not job.openings or solid.vault.family in BARRELS:
        return {n: grid_of(solid, n) for n in steps_over(solid)}
    openings = openings_of(job, solid.vault)
    made = {n: opened_grid(solid.vault, solid, grid_of(solid, n), openings) for n in steps}
    found = {n: grid for n, grid in made.items() if grid is not None}
    if not found:
        raise TimbrelError(
            say(
                "openings: no strut net can be drawn round them ({names}); accepted: openings that "
                "lie further from each other and from springings, creases and edges, or fewer.",
                names=", ".join(opening.name for opening in job.openings),
            ),
            key="openings",
        )
    return found


def coarsest_grid(job: Job, solid: VaultSolid) -> NetGrid:
    """The first of them."""
    return next(iter(grids_over(job, solid).values()))


def opened_grid(
    vault: Any, solid: NetSolid, grid: NetGrid, openings: tuple[PlacedOpening, ...]
) -> NetGrid | None:
    """The grid less its openings; None where it is too coarse for one of them."""
    if vault.family == "dome" and vault.oculus:
        # Rays meet the oculus evenly; struts from the edge of an opening may graze it.
        eye = vault.point(np.ones(EYE), np.arange(EYE) / EYE, vault.thickness / 2)
        grid = replace(grid, free=(np.asarray(eye)[:, :2],))
    for placed in openings:
        made = _without(vault, solid, grid, placed)
        if made is None:
            return None
        grid = made
    return grid


def outline_of(vault: Any, placed: PlacedOpening) -> Array:
    """(k, 2) outline of an opening in plan, on the middle surface."""
    uv = placed.closely
    return np.asarray(vault.webs[placed.web].point(uv[:, 0], uv[:, 1], vault.thickness / 2)[:, :2])


def _without(vault: Any, solid: NetSolid, grid: NetGrid, placed: PlacedOpening) -> NetGrid | None:
    outline = outline_of(vault, placed)
    taken = np.concatenate([hole.rim for hole in grid.holes]) if grid.holes else np.zeros(0, int)
    for rectangle in _rectangles(solid, grid, outline):
        found = _bent(solid, grid, placed, outline, rectangle, taken)
        if found is not None:
            return found
    return None


def _rectangles(solid: NetSolid, grid: NetGrid, outline: Array) -> Iterator[_Rectangle]:
    """Rectangles of the grid about an outline, those whose lines lie nearest to its sides first."""
    start = grid.uv[int(np.argmin(np.hypot(*(grid.middle[:, :2] - outline.mean(axis=0)).T)))]
    uv = parameters_at(solid, outline, start)
    by_row = 0 if grid.columns else 1
    rows = _lines(grid, 0, by_row)
    columns = _lines(grid, 1, 1 - by_row)
    rays = grid.columns
    if rays:
        around = columns[:, 1] - columns[0, 1]
        around = columns[0, 1] + around - np.round(around - (uv[:, 1].mean() - columns[0, 1]))
        order = np.argsort(around)
        # Followed once round, with the ray after the last at the end too.
        columns = np.stack([columns[order, 0], around[order]], axis=1)
    sides = (
        (uv[:, by_row].min(), uv[:, by_row].max()),
        (
            uv[:, 1 - by_row].min(),
            uv[:, 1 - by_row].max(),
        ),
    )
    pairs = [_pairs(lines, side) for lines, side in zip((rows, columns), sides, strict=True)]
    ranked = sorted(product(*pairs), key=lambda both: both[0][0] + both[1][0])
    for (_, r0, r1), (_, c0, c1) in ranked[:TRIED]:
        last = c0 + (c1 - c0) % rays if rays else c1
        yield _Rectangle((min(r0, r1), c0), (max(r0, r1), last))


def _lines(grid: NetGrid, axis: int, part: int) -> Array:
    """(k, 2) number and parameter of the rows (axis 0) or columns (1) of a grid."""
    own = np.arange(grid.size) != grid.pole
    number = grid.place[own, axis]
    found = np.unique(number)
    value = [float(np.median(grid.uv[own][number == n, part])) for n in found]
    return np.stack([found.astype(float), np.array(value)], axis=1)


def _pairs(lines: Array, side: tuple[float, float]) -> list[tuple[float, int, int]]:
    """Pairs of lines for the two ends of a side, with how far they lie off, in steps."""
    order = np.argsort(lines[:, 1])
    number, value = lines[order, 0].astype(int), lines[order, 1]
    step = float(np.median(np.diff(value)))
    found = []
    for a in range(len(value)):
        for b in range(a + 1, len(value)):
            off = abs(value[a] - side[0]) + abs(value[b] - side[1])
            if off < 3 * step:
                found.append((off / step, int(number[a]), int(number[b])))
    return sorted(found)[:12]


def parameters_at(solid: NetSolid, plan: Array, start: Array) -> Array:
    """(k, 2) parameters at which the middle surface stands over plan points (k, 2), by Newton from
    one start."""
    uv = np.broadcast_to(start, plan.shape).copy()
    for _ in range(NEWTON):
        here = solid.lines(uv[:, 0], uv[:, 1])[0][:, :2]
        by = []
        for axis in (0, 1):
            moved = uv.copy()
            moved[:, axis] += STEP
            by.append((solid.lines(moved[:, 0], moved[:, 1])[0][:, :2] - here) / STEP)
        miss = plan - here
        det = by[0][:, 0] * by[1][:, 1] - by[0][:, 1] * by[1][:, 0]
        du = (miss[:, 0] * by[1][:, 1] - miss[:, 1] * by[1][:, 0]) / det
        dv = (by[0][:, 0] * miss[:, 1] - by[0][:, 1] * miss[:, 0]) / det
        uv += np.clip(np.stack([du, dv], axis=1), -0.15, 0.15)
        if np.abs(miss).max() < 1e-11:
            break
    return uv


def _bent(
    solid: NetSolid,
    grid: NetGrid,
    placed: PlacedOpening,
    outline: Array,
    rectangle: _Rectangle,
    taken: Index,
) -> NetGrid | None:
    """The grid with an opening in one rectangle; None where the rectangle does not do."""
    at = {(int(r), int(c)): k for k, (r, c) in enumerate(grid.place) if k != grid.pole}
    places = rectangle.round(grid.columns)
    if any(place not in at for place in places) or len(set(places)) < len(places):
        return None
    rim = np.array([at[place] for place in places], dtype=np.int64)
    gone = _inside(grid, rectangle)
    if grid.held[rim].any() or np.isin(rim, taken).any() or grid.held[gone].any():
        return None
    out = np.isin(grid.cells, np.concatenate([rim, gone])).all(axis=1) & _cells_in(grid, rectangle)
    rows, columns = (h - a for h, a in zip(rectangle.high, rectangle.low, strict=True))
    whole = (grid.cells[out][:, 2] != grid.cells[out][:, 3]).all()
    if int(out.sum()) != rows * columns or not whole:
        return None
    beside = np.flatnonzero(~out & np.isin(grid.cells, rim).any(axis=1))
    for spare in SPARE:
        spots = _spots(grid.middle[rim, :2], outline, rectangle, placed.round, spare)
        bent = _at_spots(solid, grid, rim, spots)
        if bent is None or not _sound(bent, beside):
            return None
        if _rim_clears(solid, bent, rim, outline):
            return _dropped(solid, bent, placed, outline, rim, gone, out, beside)
    return None


def _at_spots(solid: NetSolid, grid: NetGrid, rim: Index, spots: Array) -> NetGrid | None:
    """The grid with some nodes moved to places in plan; None where the surface has none there."""
    uv = grid.uv.copy()
    uv[rim] = parameters_at(solid, spots, grid.uv[rim].mean(axis=0) if not grid.columns else
                            _middle_round(grid.uv[rim]))  # fmt: skip
    middle, half = (a.copy() for a in (grid.middle, grid.half))
    middle[rim], half[rim] = solid.lines(uv[rim, 0], uv[rim, 1])
    if np.hypot(*(middle[rim, :2] - spots).T).max() > 1e-6:
        return None
    spread = _moved(grid, uv, rim)
    return replace(grid, uv=uv, middle=middle, half=half, spread=spread)


def _rim_clears(solid: NetSolid, grid: NetGrid, rim: Index, outline: Array) -> bool:
    """Do struts from node to node round an opening pass it by, at both faces."""
    after = np.roll(rim, -1)
    i, j = np.tile(rim, 4), np.tile(after, 4)
    a, b = np.repeat([[-1.0, -1.0, 1.0, 1.0], [-1.0, 1.0, -1.0, 1.0]], len(rim), axis=1)
    rimmed = Struts(i, j, a, b)
    clear = clear_of_holes(solid, (outline,), rimmed.ends(grid), rimmed.guess(grid))
    return len(clear) == len(i)


def _middle_round(uv: Array) -> Array:
    """Mean parameters of nodes of a ringed grid, rays followed the short way."""
    v = uv[:, 1] - np.round(uv[:, 1] - uv[0, 1])
    return np.array([uv[:, 0].mean(), v.mean()])


def _inside(grid: NetGrid, rectangle: _Rectangle) -> Index:
    row, column = grid.place.T
    (r0, c0), (r1, c1) = rectangle.low, rectangle.high
    if grid.columns:
        column = c0 + (column - c0) % grid.columns
    here = (row > r0) & (row < r1) & (column > c0) & (column < c1)
    return np.flatnonzero(here & (np.arange(grid.size) != grid.pole)).astype(np.int64)


def _cells_in(grid: NetGrid, rectangle: _Rectangle) -> np.ndarray[Any, np.dtype[np.bool_]]:
    """Which cells lie in a rectangle, by the mean place of their corners."""
    place = grid.place[grid.cells].astype(float)
    (r0, c0), (r1, c1) = rectangle.low, rectangle.high
    if grid.columns:
        first = place[:, :1, 1]
        place[..., 1] -= grid.columns * np.round((place[..., 1] - first) / grid.columns)
    row, column = place.mean(axis=1).T
    if grid.columns:
        column = c0 + (column - c0) % grid.columns
    return np.asarray((row > r0) & (row < r1) & (column > c0) & (column < c1))


def _spots(
    now: Array, outline: Array, rectangle: _Rectangle, is_round: bool, spare: float
) -> Array:
    """(m, 2) where the nodes round an opening are moved to, `spare` (m) off its edge."""
    from shapely import Polygon, get_coordinates

    if is_round:
        return _round_spots(now, get_coordinates(Polygon(outline).buffer(spare))[:-1])
    turn = _turn(now)
    corners = outline[:: len(outline) // 4]
    if spare:
        wider = Polygon(corners).buffer(spare, join_style="mitre", mitre_limit=4.0)
        corners = get_coordinates(wider)[:-1]
    corners = corners if _turn(corners) == turn else corners[::-1]
    own = list(rectangle.corners)
    far = [float(np.hypot(*(np.roll(corners, -k, axis=0) - now[own]).T).sum()) for k in range(4)]
    corners = np.roll(corners, -int(np.argmin(far)), axis=0)
    spots = np.empty_like(now)
    for k in range(4):
        first, last = own[k], own[k + 1] if k < 3 else len(now)
        share = np.arange(last - first)[:, None] / (last - first)
        side = corners[(k + 1) % 4] - corners[k]
        out = turn * np.array([side[1], -side[0]]) * ARCHED
        spots[first:last] = corners[k] + share * side + 4 * share * (1 - share) * out
    return spots


def _round_spots(now: Array, outline: Array) -> Array:
    """Even places round a circle (an ellipse, on a leaning shell) whose chords clear it."""
    from shapely import Polygon

    centre = outline.mean(axis=0)
    away, old = outline - centre, now - centre
    count = len(now)
    angle = np.arctan2(away[:, 1], away[:, 0])
    order = np.argsort(angle)
    way = _turn(now)
    even = way * 2 * np.pi * np.arange(count) / count
    start = np.angle(np.exp(1j * (np.arctan2(old[:, 1], old[:, 0]) - even)).mean())
    turned = start + even
    radius = np.interp(turned, angle[order], np.hypot(*away.T)[order], period=2 * np.pi)
    spots = np.stack([np.cos(turned), np.sin(turned)], axis=1) * radius[:, None]
    hole = Polygon(outline)
    for scale in OUT ** np.arange(400):
        if Polygon(centre + scale * spots).covers(hole):
            return np.asarray(centre + scale * spots)
    raise AssertionError("no polygon takes the opening in")


def _turn(ring: Array) -> float:
    x, y = ring.T
    return float(np.sign(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))


def _moved(grid: NetGrid, uv: Array, rim: Index) -> Array:
    """Parameters of the cells' corners after their nodes were moved; rays the short way."""
    spread = grid.spread.copy()
    moved = np.isin(grid.cells, rim)
    fresh = uv[grid.cells[moved]]
    if grid.columns:
        fresh[:, 1] += np.round(spread[moved][:, 1] - fresh[:, 1])
    spread[moved] = fresh
    return spread


def _sound(grid: NetGrid, cells: Index) -> bool:
    """Are cells hollow nowhere in plan and all turned one way."""
    ring = grid.middle[grid.cells[cells], :2]
    side = np.roll(ring, -1, axis=1) - ring
    after = np.roll(side, -1, axis=1)
    cross = side[..., 0] * after[..., 1] - side[..., 1] * after[..., 0]
    size = np.hypot(side[..., 0], side[..., 1]).max(axis=1)[:, None] ** 2
    some = np.abs(cross) > 1e-9 * size
    way = np.sign(cross.sum(axis=1))[:, None]
    return bool(np.all((np.sign(cross) == way) | ~some))


def _dropped(
    solid: NetSolid,
    grid: NetGrid,
    placed: PlacedOpening,
    outline: Array,
    rim: Index,
    gone: Index,
    out: Any,
    beside: Index,
) -> NetGrid:
    """The grid without the nodes and cells in the opening."""
    from shapely import Polygon

    parts = pieces(solid, grid)
    inner = out[parts.cell]
    next_to = np.isin(parts.cell, beside)
    missed = float(parts.level[inner].sum()) - Polygon(outline).area
    swell = 1 + missed / float(parts.level[next_to].sum())
    there = np.ones(grid.size, bool)
    there[gone] = False
    number = np.cumsum(there) - 1
    cell_number = np.cumsum(~out) - 1
    holes = tuple(
        replace(hole, rim=number[hole.rim], beside=cell_number[hole.beside]) for hole in grid.holes
    )
    hole = NetHole(placed.number, outline, number[rim], cell_number[beside], swell)
    kept = np.flatnonzero(there)
    whole = grid.twins[:, kept]
    closed_under = there[whole].all(axis=1)
    return replace(
        grid,
        uv=grid.uv[kept],
        place=grid.place[kept],
        middle=grid.middle[kept],
        half=grid.half[kept],
        cells=number[grid.cells[~out]].astype(np.int64),
        spread=grid.spread[~out],
        supports=tuple(_renumbered(support, number) for support in grid.supports),
        pole=int(number[grid.pole]) if grid.pole >= 0 else -1,
        twins=number[whole[closed_under]].astype(np.int64),
        holes=(*holes, hole),
        free=(*grid.free, outline),
    )


def _renumbered(support: Support, number: Index) -> Support:
    return replace(support, nodes=number[support.nodes].astype(np.int64))
