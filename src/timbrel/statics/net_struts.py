"""Candidate struts, each drawn in until the whole of it lies in the masonry.

A strut joins two lines through the masonry. Its ends slide on the lines: s = -1 at the intrados,
+1 at the extrados. For a pair of lines the strut's offset from the middle surface is sampled along
four struts (face to face); between these it is bilinear in the two end positions to the second
order, so that the positions that keep the whole strut inside form a region bounded by one curve a
sample. The candidates are the outermost points of that region in twenty directions: four struts
from corner to corner where nothing hinders, more where a concave face or a crease cuts a corner
off. What the samples cannot see is added as a margin: the dip between them, and what the offset
strays from bilinear. Struts over a crease, where the offset has a kink, are tested densely against
the true solid and drawn further in if need be. (The certificate tests every strut that carries.)

Source: none; derived. The region is convex for a strut over a hollow face: (1 - x) a + x b >=
4 c x (1 - x) for all x is sqrt(a) + sqrt(b) >= 2 sqrt(c).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.net_holes import ALONG, Guess, clear_of_holes
from timbrel.statics.net_solid import Array, Index, NetGrid, NetSolid

SPANS = 12  # parts of a strut between samples while drawing
TESTED = 48  # parts while testing against the true solid
CREASED = 1.5  # bend of the offset over its median that tells of a crease under the strut
HIDDEN = 2e-3  # of half the thickness: a further bend that tells of a crease near an end
# Beside the even steps a few more near the ends, where a crease may hide.
PLACES = np.sort(np.append(np.linspace(0, 1, SPANS + 1), [0.01, 0.03, 0.97, 0.99]))
EVEN = np.arange(2, SPANS + 1)  # the even steps among them, ends left out
ENDS = 33  # positions of an end that are tried
BATCH = 2000  # pairs drawn at a time
PULLS = 12  # halvings while drawing further in
FLAT = 1e-9  # share of the thickness that counts as nothing
_DIRECTIONS = np.array(
    [[a, b] for a in (-1, 1) for b in (-1, 1)]
    + [[a, 0.05 * b] for a in (-1, 1) for b in (-1, 1)]
    + [[0.05 * a, b] for a in (-1, 1) for b in (-1, 1)]
    + [[a, 0.4 * b] for a in (-1, 1) for b in (-1, 1)]
    + [[0.4 * a, b] for a in (-1, 1) for b in (-1, 1)],
    dtype=float,
)


@dataclass(frozen=True)
class Struts:
    """Struts between lines: i, j (m,) nodes; si, sj (m,) positions of the ends on their lines."""

    i: Index
    j: Index
    si: Array
    sj: Array

    @property
    def size(self) -> int:
        return len(self.i)

    def ends(self, grid: NetGrid) -> tuple[Array, Array]:
        """Ends (m, 3), (m, 3) in space."""
        start = grid.middle[self.i] + self.si[:, None] * grid.half[self.i]
        end = grid.middle[self.j] + self.sj[:, None] * grid.half[self.j]
        return start, end

    def guess(self, grid: NetGrid) -> Guess:
        """Gives the parameters (k, 97, 2) along some of them (k,), at the shares of
        :data:`timbrel.statics.net_holes.ALONG`."""
        return lambda which: parameters_between(grid, self.i[which], self.j[which], ALONG)

    def take(self, which: Index) -> Struts:
        return Struts(self.i[which], self.j[which], self.si[which], self.sj[which])


def draw_struts(solid: NetSolid, grid: NetGrid, reach: int, group: Index) -> Struts:
    """All candidates to a reach, alike under every symmetry of the group ((g, n) numberings)."""
    pairs = grid.pairs(reach)
    pairs = pairs[~(grid.held[pairs[:, 0]] & grid.held[pairs[:, 1]])]
    first = pairs[_firsts(pairs, group, grid.size)]
    parts = [_draw(solid, grid, first[k : k + BATCH]) for k in range(0, len(first), BATCH)]
    every = Struts(
        np.concatenate([part.i for part in parts]),
        np.concatenate([part.j for part in parts]),
        np.concatenate([part.si for part in parts]),
        np.concatenate([part.sj for part in parts]),
    )
    if grid.free:
        eyes = len(grid.free) - len(grid.holes)
        ends, guess = every.ends(grid), every.guess(grid)
        every = every.take(clear_of_holes(solid, grid.free, ends, guess, eyes))
    return _spread(every, group)


def _firsts(pairs: Index, group: Index, size: int) -> Index:
    """One pair of every set of pairs that the group makes alike."""
    least = np.full(len(pairs), np.iinfo(np.int64).max)
    for g in group:
        a, b = g[pairs[:, 0]], g[pairs[:, 1]]
        least = np.minimum(least, np.minimum(a, b) * size + np.maximum(a, b))
    _, chosen = np.unique(least, return_index=True)
    return chosen.astype(np.int64)


def _spread(struts: Struts, group: Index) -> Struts:
    """Every image of the struts under the group, each once."""
    rows = []
    for g in group:
        a, b = g[struts.i], g[struts.j]
        swap = a > b
        rows.append(
            np.stack(
                [
                    np.where(swap, b, a),
                    np.where(swap, a, b),
                    np.where(swap, struts.sj, struts.si),
                    np.where(swap, struts.si, struts.sj),
                ],
                axis=1,
            )
        )
    every = np.unique(np.concatenate(rows), axis=0)
    return Struts(
        every[:, 0].astype(np.int64), every[:, 1].astype(np.int64), every[:, 2], every[:, 3]
    )


def alike_under(struts: Struts, twin: Index, size: int) -> bool:
    """Does a numbering (size,) of the nodes carry the struts onto themselves?"""
    a, b = twin[struts.i], twin[struts.j]
    swap = a > b
    _, rank = np.unique(np.concatenate([struts.si, struts.sj]), return_inverse=True)
    si, sj = rank[: struts.size], rank[struts.size :]
    ranks = int(rank.max(initial=0)) + 1
    own = ((struts.i * size + struts.j) * ranks + si) * ranks + sj
    i, j = np.where(swap, b, a), np.where(swap, a, b)
    image = ((i * size + j) * ranks + np.where(swap, sj, si)) * ranks + np.where(swap, si, sj)
    return np.array_equal(np.sort(own), np.sort(image))


def along(solid: NetSolid, grid: NetGrid, struts: Struts, places: Array) -> Array:
    """(m, k) offsets from the middle surface at shares (k,) along each strut."""
    start, end = struts.ends(grid)
    x = places[:, None]
    points = start[:, None] + x * (end - start)[:, None]
    guess = parameters_between(grid, struts.i, struts.j, x)
    return solid.offset(points, guess)


def parameters_between(grid: NetGrid, i: Index, j: Index, x: Array) -> Array:
    """(m, k, 2) parameters at shares x (k, 1) between nodes; rays are followed the short way."""
    start, end = grid.uv[i], grid.uv[j].copy()
    if grid.columns:
        start = start.copy()
        start[:, 1] = np.where(i == grid.pole, end[:, 1], start[:, 1])
        end[:, 1] = np.where(j == grid.pole, start[:, 1], end[:, 1])
        end[:, 1] -= np.round(end[:, 1] - start[:, 1])
    between = start[:, None] + x * (end - start)[:, None]
    return np.asarray(between)


def _draw(solid: NetSolid, grid: NetGrid, pairs: Index) -> Struts:
    """The candidates of some pairs."""
    i, j = pairs[:, 0], pairs[:, 1]
    half = solid.thickness / 2
    one = np.ones(len(i))
    corner = {
        (a, b): along(solid, grid, Struts(i, j, a * one, b * one), PLACES)[:, 1:-1] / half
        for a in (-1, 1)
        for b in (-1, 1)
    }
    # offset / half thickness = c0 + c1 si + c2 sj + c3 si sj at each sample
    c0 = np.asarray(sum(corner.values()) / 4)
    c1 = sum(a * o for (a, _), o in corner.items()) / 4
    c2 = sum(b * o for (_, b), o in corner.items()) / 4
    c3 = sum(a * b * o for (a, b), o in corner.items()) / 4
    bend = np.diff(c0[:, EVEN], n=2, axis=1)
    middle = along(solid, grid, Struts(i, j, 0 * one, 0 * one), PLACES)[:, 1:-1] / half
    stray = np.abs(middle - c0).max(axis=1)[:, None]
    top = np.abs(bend).max(axis=1)
    usual = np.median(np.abs(bend), axis=1)
    creased = (top > CREASED * usual + 1e-4) | (_bent_near_ends(c0) > usual + HIDDEN)
    smooth = np.where(creased, 0.0, 1.0)[:, None]
    low = -1 + smooth * (_dip(bend) + stray)
    high = 1 - smooth * (_dip(-bend) + stray)
    tries = np.linspace(-1, 1, ENDS)
    points = []  # (m, 2) each, nan where there is none
    for s in tries:
        for first in (True, False):
            slope, rest = (c2 + c3 * s, c0 + c1 * s) if first else (c1 + c3 * s, c0 + c2 * s)
            slope = np.maximum(slope, FLAT)
            least = np.maximum(((low - rest) / slope).max(axis=1), -1)
            most = np.minimum(((high - rest) / slope).min(axis=1), 1)
            for end in (least, most):
                other = np.where(least <= most, end, np.nan)
                pair = (np.full(len(i), s), other) if first else (other, np.full(len(i), s))
                points.append(np.stack(pair, axis=1))
    cloud = np.stack(points, axis=1)  # (m, tries, 2)
    there = ~np.isnan(cloud).any(axis=2)
    some = there.any(axis=1)
    centre = np.where(there[..., None], cloud, 0).sum(axis=1) / np.maximum(
        there.sum(axis=1), 1
    ).reshape(-1, 1)
    which, ends = [], []
    for direction in _DIRECTIONS:
        score = np.where(there, cloud @ direction, -np.inf)
        best = cloud[np.arange(len(i)), score.argmax(axis=1)]
        which.append(np.flatnonzero(some))
        ends.append(best[some])
    k = np.concatenate(which)
    s = np.round(np.concatenate(ends), 6)
    _, once = np.unique(np.column_stack([k, s]), axis=0, return_index=True)
    k, s = k[once], s[once]
    return _pull_in(solid, grid, Struts(i[k], j[k], s[:, 0], s[:, 1]), centre[k], creased[k])


def _bent_near_ends(found: Array) -> Array:
    """(m,) how far offsets at the places nearest the ends are from the parabola through the three
    even steps beside them: a crease may stand between."""
    worst = np.zeros(len(found))
    for off in (found, found[:, ::-1]):
        a, b, c = (off[:, EVEN[k]] for k in range(3))
        for place in range(EVEN[0]):
            back = (PLACES[EVEN[0] + 1] - PLACES[place + 1]) * SPANS
            parabola = a + back * (a - b) + back * (back + 1) / 2 * (a - 2 * b + c)
            worst = np.maximum(worst, np.abs(off[:, place] - parabola))
    return worst


def _dip(bend: Array) -> Array:
    """(m, samples) how far the offset may dip between a sample and its neighbours, from its second
    differences (m, even steps): an eighth of the greatest beside it."""
    up = np.maximum(bend, 0.0)
    wide = np.pad(up, ((0, 0), (1, 1)), mode="edge")
    most = np.maximum(np.maximum(wide[:, :-2], wide[:, 2:]), up) / 8 * 1.1
    even = np.full((len(bend), len(PLACES) - 2), 0.0)
    even[:, EVEN[1:-1]] = most
    even[:, : EVEN[1]] = most[:, :1]
    even[:, EVEN[-1] :] = most[:, -1:]
    return even


def _pull_in(
    solid: NetSolid, grid: NetGrid, struts: Struts, centre: Array, tested: NDArray[np.bool_]
) -> Struts:
    """Draw the struts that leave the true solid towards the middle of their region; drop those
    that cannot be saved."""
    si, sj = struts.si.copy(), struts.sj.copy()
    share = np.zeros(struts.size)
    bad = np.flatnonzero(tested)
    bad = bad[leaves(solid, grid, struts.take(bad)) > 0]
    for step in range(PULLS):
        if not len(bad):
            break
        share[bad] = 0.02 * 1.6**step
        si[bad] = struts.si[bad] + share[bad] * (centre[bad, 0] - struts.si[bad])
        sj[bad] = struts.sj[bad] + share[bad] * (centre[bad, 1] - struts.sj[bad])
        bad = bad[leaves(solid, grid, Struts(struts.i[bad], struts.j[bad], si[bad], sj[bad])) > 0]
        if 0.02 * 1.6 ** (step + 1) > 1:
            break
    keep = np.setdiff1d(np.arange(struts.size), bad)
    return Struts(struts.i[keep], struts.j[keep], si[keep], sj[keep])


def leaves(solid: NetSolid, grid: NetGrid, struts: Struts) -> Array:
    """(m,) how far each strut leaves the masonry between its ends, m; at most zero when inside."""
    if not struts.size:
        return np.zeros(0)
    offsets = along(solid, grid, struts, np.linspace(0.0, 1.0, TESTED + 1))
    top = np.maximum(_peak(offsets), _peak(-offsets))
    return np.asarray(top - solid.thickness / 2 * (1 + FLAT))


def _peak(offsets: Array) -> Array:
    """(m,) greatest offset between the ends, also where lines drawn on from the samples on both
    sides of a gap meet over it: a crease may stand there."""
    inner = offsets[:, 1:-1].max(axis=1)
    left, right = offsets[:, 1:-2], offsets[:, 2:-1]
    up, down = left - offsets[:, :-3], right - offsets[:, 3:]
    turn = up + down
    meet = np.where(turn > 0, (right - left + down) / np.where(turn > 0, turn, 1.0), 0.0)
    over = np.where((meet > 0) & (meet < 1), left + up * meet, -np.inf)
    return np.asarray(np.maximum(inner, over.max(axis=1)))
