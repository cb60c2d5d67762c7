"""Upper bounds of surfaces: explicit mechanisms, by virtual work. Shares nothing with the net.

Masonry that does not stretch opens about lines at a face. Three kinds are tried:

- four hinges along generators: the whole width of a vault whose near and far edges are free, cut
  by plumb planes x = const (or y = const), each turning about the top or the foot of its section;
- an edge rib: the same of the narrowest strip at a free edge (:mod:`timbrel.statics.mechanism_rib`);
- lunes, or webs: an upper and a lower part of each turn about rings round a middle and a cap sinks;
  no point may move inward (:mod:`timbrel.statics.mechanism_webs`).

All bodies turn about level lines and all loads are plumb, so the work is that of a plumb velocity
that runs straight between hinges. A plane to the right of a hinge at the top of a section may turn
to the left only (it opens below), at the foot to the right only.

Source: kinematic theorem of limit analysis for masonry, Heyman 1966 and 1995 ("The Stone Skeleton",
domes: lunes); formulas derived.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

Kind = Literal["generators", "edge rib"]
COARSE = 25  # places of a hinge that are tried first
PULLED = 30  # rounds of drawing the hinges to their best places
SMALL = 1e-12


@dataclass(frozen=True)
class Profile:
    """What a mechanism sees of a vault or a strip of it, along x (or the radius of a dome).

    x: (n,) places. top, foot: (n,) levels of the highest and lowest masonry of the section there;
    straight lines between them must not run inside the masonry (:func:`outside`).
    dead, live: (n - 1,) weights between places, N.
    """

    x: Array
    top: Array
    foot: Array
    dead: Array
    live: Array

    @property
    def between(self) -> Array:
        return (self.x[1:] + self.x[:-1]) / 2


def outside(top: Array) -> Array:
    """Levels (n, ...) of an upper face raised so that straight lines between neighbours along the
    first axis run over it: by an eighth of its greatest second difference beside each (a face bent
    evenly). Chords of a hollow lower face run under it already."""
    bend = np.zeros_like(top)
    bend[1:-1] = np.maximum(2 * top[1:-1] - top[:-2] - top[2:], 0.0) / 8
    beside = np.maximum(bend[:-1], bend[1:])
    raised = np.zeros_like(top)
    raised[:-1] = beside
    raised[1:] = np.maximum(raised[1:], beside)
    return np.asarray(top + raised)


@dataclass(frozen=True)
class SurfaceMechanism:
    """A way to fail.

    factor: load factor that it bounds. hinges: places along the profile, from its origin. at_top:
    which of them turn about the top of the section, (others about its foot). origin, along: (2,)
    point and level direction of the profile in plan. strip: from where to where across it, m.
    depths: how far each hinge lies within its face, m, where what turns past it crushes; empty of
    masonry that does not.
    """

    kind: Kind
    factor: float
    hinges: tuple[float, ...]
    at_top: tuple[bool, ...]
    origin: Array
    along: Array
    strip: tuple[float, float]
    depths: tuple[float, ...] = ()

    @property
    def crushes(self) -> bool:
        """Does it count on the strength of the masonry."""
        return bool(self.depths)


def arch_factor(profile: Profile) -> tuple[float, Array, tuple[bool, ...]] | None:
    """Least load factor over all ways to place four hinges; None when no mechanism lets the live
    load sink."""
    best: tuple[float, Array, tuple[bool, ...]] | None = None
    grid = np.linspace(profile.x[0], profile.x[-1], COARSE)
    four = np.array(np.meshgrid(*[np.arange(COARSE)] * 4, indexing="ij")).reshape(4, -1)
    four = four[:, (np.diff(four, axis=0) > 0).all(axis=0)]
    for tops in ((True, False, True, False), (False, True, False, True)):
        factor = _four(profile, grid[four], tops)
        k = int(np.argmin(factor))
        if not np.isfinite(factor[k]):
            continue
        at, value = _settle(profile, grid[four[:, k]], grid[1] - grid[0], tops)
        if best is None or value < best[0]:
            best = (value, at, tops)
    return best


def _settle(
    profile: Profile, at: Array, step: float, tops: tuple[bool, ...]
) -> tuple[Array, float]:
    """Draw the hinges to better places by ever smaller steps."""
    moves = np.array(np.meshgrid(*[(-1, 0, 1)] * 4, indexing="ij")).reshape(4, -1)
    low, high = profile.x[0], profile.x[-1]
    value = np.inf
    for _ in range(PULLED):
        tried = np.clip(at[:, None] + step * moves, low, high)
        factor = _four(profile, tried, tops)
        k = int(np.argmin(factor))
        if factor[k] < value - SMALL:
            at, value = tried[:, k], float(factor[k])
        else:
            step /= 2
    return at, value


def crushed_factor(
    profile: Profile, start: Array, tops: tuple[bool, ...], strength: float
) -> tuple[float, Array, Array]:
    """Least load factor of four hinges near `start` (4,) that may lie within the section: over the
    depth d past a hinge the masonry crushes, which takes strength d^2/2 a metre of width and radian
    (joints are plumb). Also their places (4,) and depths (4,). profile: of a metre of width;
    strength: N/m2."""
    moves = np.array(np.meshgrid(*[(-1, 0, 1)] * 4, indexing="ij")).reshape(4, -1)
    low, high = profile.x[0], profile.x[-1]
    at, depth = start.copy(), np.zeros(4)
    most = float((profile.top - profile.foot).min())
    step, deeper = (high - low) / COARSE, most / 8
    value = float(_four(profile, at[:, None], tops, (strength, depth[:, None]))[0])
    for _ in range(2 * PULLED):
        before = value
        for tried, deep in (
            (np.clip(at[:, None] + step * moves, low, high), depth[:, None] + 0 * moves),
            (at[:, None] + 0 * moves, np.clip(depth[:, None] + deeper * moves, 0.0, most)),
        ):
            factor = _four(profile, tried, tops, (strength, deep))
            k = int(np.argmin(factor))
            if factor[k] < value - SMALL:
                at, depth, value = tried[:, k], deep[:, k], float(factor[k])
        if value == before:
            step, deeper = step / 2, deeper / 2
    return value, at, depth


def _four(
    profile: Profile, x: Array, tops: tuple[bool, ...], within: tuple[float, Array] | None = None
) -> Array:
    """Load factors (m,) of four hinges at x (4, m); infinite where the bodies cannot move so.
    within: strength by metre of width, and depths (4, m) of the hinges under their faces."""
    z = np.stack(
        [np.interp(x[k], profile.x, profile.top if tops[k] else profile.foot) for k in range(4)]
    )
    if within is not None:
        z = z + np.where(np.array(tops), -1.0, 1.0)[:, None] * within[1]
    # Left body turns by one about hinge 1; b and c: turns of the middle and right bodies.
    dx, dz = x[2] - x[1], z[2] - z[1]
    ex, ez = x[2] - x[3], z[2] - z[3]
    det = -ex * dz + ez * dx
    det = np.where(np.abs(det) < SMALL, np.nan, det)
    rise, run = z[1] - z[0], x[1] - x[0]
    c = (rise * dx - run * dz) / det
    b = (ex * rise - ez * run) / det
    turns = np.stack([np.ones_like(b), b - 1, c - b, -c])
    wanted = np.where(np.array(tops), 1.0, -1.0)[:, None]
    signed = turns * wanted
    way = np.where((signed >= -SMALL).all(axis=0), 1.0, 0.0)
    way = np.where((signed <= SMALL).all(axis=0), -1.0, way)
    v2, v3 = way * run, way * c * ex
    still = np.zeros_like(v2)
    dead = _work(profile, profile.dead, x, np.stack([still, v2, v3, still]))
    live = _work(profile, profile.live, x, np.stack([still, v2, v3, still]))
    good = (way != 0) & (live > SMALL) & np.isfinite(det) & (np.diff(x, axis=0) > SMALL).all(axis=0)
    price = np.zeros_like(dead)
    if within is not None:
        price = within[0] / 2 * (np.abs(turns) * within[1] ** 2).sum(axis=0)
    return np.where(good, (price - dead) / np.where(good, live, 1.0), np.inf)


def _work(profile: Profile, weight: Array, x: Array, up: Array) -> Array:
    """(m,) work of plumb weights when hinges x (k, m) rise by `up` (k, m), straight between."""
    sums = np.concatenate([[0.0], np.cumsum(weight)])
    firsts = np.concatenate([[0.0], np.cumsum(weight * profile.between)])
    total = np.zeros(x.shape[1])
    edges = np.stack([np.interp(x[k], profile.x, sums) for k in range(len(x))])
    # The first moment inside a piece of even weight grows with the square of the place.
    moments = np.stack([_moment_to(profile, weight, firsts, x[k]) for k in range(len(x))])
    for k in range(len(x) - 1):
        width = np.maximum(x[k + 1] - x[k], SMALL)
        slope = (up[k + 1] - up[k]) / width
        load = edges[k + 1] - edges[k]
        moment = moments[k + 1] - moments[k]
        total -= up[k] * load + slope * (moment - x[k] * load)
    return total


def _moment_to(profile: Profile, weight: Array, firsts: Array, x: Array) -> Array:
    """First moment of the weight up to x, even within each piece."""
    cell = np.clip(np.searchsorted(profile.x, x, side="right") - 1, 0, len(weight) - 1)
    start = profile.x[cell]
    width = profile.x[cell + 1] - start
    part = np.clip((x - start) / width, 0.0, 1.0)
    return np.asarray(firsts[cell] + weight[cell] * part * (start + part * width / 2))


def lunes(profile: Profile) -> tuple[float, float, Array]:
    """Least load factor over all lunes (infinite when none bounds it), the most work of the dead
    load alone per its weight and greatest rise (positive: it falls), and the hinges of the first
    (radii of cap, haunch and springing)."""
    grid = np.linspace(profile.x[0], profile.x[-1], 2 * COARSE - 1)
    three = np.array(np.meshgrid(*[np.arange(len(grid))] * 3, indexing="ij")).reshape(3, -1)
    three = three[:, (np.diff(three, axis=0) > 0).all(axis=0)]
    start, step = grid[three], float(grid[1] - grid[0])

    def factor(r: Array) -> Array:
        good, dead, live = _lunes(profile, r)
        good = good & (live > SMALL)
        return np.where(good, -dead / np.where(good, live, 1.0), np.inf)

    def rest(r: Array) -> Array:
        good, dead, _ = _lunes(profile, r)
        return np.where(good, -dead / profile.dead.sum(), np.inf)

    bound, at = _settle_three(factor, start, step, profile)
    stiff, _ = _settle_three(rest, start, step, profile)
    return bound, -stiff, at


def _settle_three(
    measure: Callable[[Array], Array], start: Array, step: float, profile: Profile
) -> tuple[float, Array]:
    found = measure(start)
    k = int(np.argmin(found))
    at, value = start[:, k], float(found[k])
    moves = np.array(np.meshgrid(*[(-1, 0, 1)] * 3, indexing="ij")).reshape(3, -1)
    for _ in range(PULLED):
        tried = np.clip(at[:, None] + step * moves, profile.x[0], profile.x[-1])
        found = measure(tried)
        k = int(np.argmin(found))
        if found[k] < value - SMALL:
            at, value = tried[:, k], float(found[k])
        else:
            step /= 2
    return value, at


def _lunes(profile: Profile, r: Array) -> tuple[NDArray[np.bool_], Array, Array]:
    """Which hinges r (3, m) (cap and springing at the top, haunch at the foot) let lunes move, and
    the work of dead and live load, per greatest rise."""
    z3, z1 = (np.interp(r[k], profile.x, profile.top) for k in (0, 2))
    z2 = np.interp(r[1], profile.x, profile.foot)
    fall = np.where(z3 - z2 > SMALL, z3 - z2, np.nan)
    turn = (z2 - z1) / fall
    lift, upper = r[2] - r[1], r[1] - r[0]
    good = (z2 > z1) & (lift > SMALL) & (upper > SMALL) & np.isfinite(turn)
    cap = lift + turn * (r[0] - r[1])
    still, low = np.zeros_like(cap), np.full_like(cap, profile.x[0])
    places, up = np.stack([low, *r]), np.stack([cap, cap, lift, still])
    greatest = np.maximum(np.maximum(np.abs(cap), lift), SMALL)
    dead = _work(profile, profile.dead, places, up) / greatest
    live = _work(profile, profile.live, places, up) / greatest
    return good, dead, live
