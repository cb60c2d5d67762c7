"""The thrust on its way down a support that cannot pull, bed by bed.

At each bed the part still pressed is found from the resultant (stress varies straight from its
inner edge to the outer face); masonry beyond the crack no longer weighs on what stands below. Many
thrusts are followed down at once. A level acceleration pushes every slice by a share of its weight,
cracked or not: what has parted leans on the rest. Where it pushes inward the bed opens at its outer
face; over the bed where the resultant stands furthest out, what lies beyond bears straight down and
is kept. In a wall of even thickness this comes to the straight crack of
:mod:`timbrel.statics.cracked_wall`, against which it is tested.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.strip import Array
from timbrel.statics.supports import Profile
from timbrel.statics.sway import multiple_borne

STEPS = 8  # of Newton's method for the edge of the pressed part
LADDER = 48  # factors tried at once
LEAST_VOLUME = 1e-12  # of a pressed wedge, m3: a strip some millionths of a metre wide
MOST = 100.0  # factor on the thrust beyond which it is called unlimited


@dataclass(frozen=True)
class Push:
    """Thrusts on a support, k of them, a metre of wall: level (outward) and along the wall and
    down (N/m), distance into the wall of the line of action, height over the springing (m); dead:
    factor on all that the support itself weighs and carries. sway, sway_along: level push of all that
    as a share of its weight, outward positive, and along the wall; none where left out."""

    level: Array
    along: Array
    down: Array
    into: Array
    over: Array
    dead: Array
    sway: Array | None = None
    sway_along: Array | None = None

    def grown(self, factors: Array) -> Push:
        """The first thrust at several factors on its level part."""
        ones = np.ones(len(factors))
        return Push(
            self.level[0] * factors,
            self.along[0] * factors,
            self.down[0] * ones,
            self.into[0] * ones,
            self.over[0] * ones,
            self.dead[0] * ones,
            None if self.sway is None else self.sway[0] * factors,
            None if self.sway_along is None else self.sway_along[0] * factors,
        )

    def without_level(self) -> Push:
        """The same loads without the level thrust and its couple."""
        nothing = np.zeros_like(self.level)
        return replace(self, level=nothing, along=nothing, sway=None, sway_along=None)

    def swaying(self, factors: Array) -> Push:
        """The first thrust as it is, at several factors on its sway alone."""
        still = replace(self, sway=None, sway_along=None).grown(np.ones(len(factors)))
        sway = None if self.sway is None else self.sway[0] * factors
        along = None if self.sway_along is None else self.sway_along[0] * factors
        return replace(still, sway=sway, sway_along=along)

    def only(self, index: int) -> Push:
        """One of the thrusts."""
        return self.picked(slice(index, index + 1))

    def picked(self, places: slice | NDArray[np.intp]) -> Push:
        """Some of the thrusts."""
        return Push(
            self.level[places],
            self.along[places],
            self.down[places],
            self.into[places],
            self.over[places],
            self.dead[places],
            None if self.sway is None else self.sway[places],
            None if self.sway_along is None else self.sway_along[places],
        )


@dataclass(frozen=True)
class Descent:
    """State of a support under k thrusts at m beds, for its tributary length.

    depth (m,); normal (m, k) N; at (m, k) distance of the resultant from the inner face; edge (m,
    k) inner edge of the pressed part (0 while shut); stress (m, k) at the outermost pressed edge,
    N/m2; thickness (m,); shear (m, k) N; level (m, k) its outward part, N. fallen (k,): the
    resultant has left the support.
    """

    depth: Array
    normal: Array
    at: Array
    edge: Array
    stress: Array
    thickness: Array
    shear: Array
    level: Array
    fallen: NDArray[np.bool_]

    @property
    def opens(self) -> Array:
        """(k,) depth at which the inner face first opens; nan when it stays shut."""
        crack = self.edge > 1e-9
        first = self.depth[np.argmax(crack, axis=0)]
        return np.where(crack.any(axis=0), first, np.nan)


def descend(profile: Profile, push: Push) -> Descent:
    """Follow thrusts down a profile.

    Above the first bed that opens, under any of them, weight and moment are plain sums; from there
    on each bed hangs on the crack above it.
    """
    beds, k = len(profile.depth), len(push.level)
    level, along = _level(profile, push)
    normal, moment = _uncracked(profile, push)
    far = _Far(profile, push, moment / np.maximum(normal, 1e-9))
    at = moment / np.maximum(normal, 1e-9)
    opened, stress = _sound(profile, at, normal)
    out = (at >= profile.thickness[:, None]) | (at <= 0) | (normal <= 0)
    doubtful = (opened | out | far.opens).any(axis=1)
    first = int(np.argmax(doubtful)) if doubtful.any() else beds
    fallen = np.zeros(k, dtype=bool)
    edges = np.zeros((beds, k))
    weighed, turned = normal[max(first - 1, 0)], moment[max(first - 1, 0)]
    edge = before = np.zeros(k)
    for j in range(first, beds):
        if j:
            dy = float(profile.depth[j] - profile.depth[j - 1])
            half_way = np.where(edge > 0, edge + (edge - before) / 2, 0.0)
            for low, high, width, unit in _parts(profile, j - 1, j):
                top = np.minimum(far.half_way, high)
                reach = np.maximum(top - np.maximum(half_way, low), 0.0)
                weight = push.dead * (unit * width * dy) * reach
                weighed = weighed + weight
                turned = turned + weight * (top - reach / 2)
            turned = turned + (level[j - 1] + level[j]) / 2 * dy
        normal[j], at[j] = weighed, turned / np.maximum(weighed, 1e-9)
        before = edge
        edge, stress[j] = _pressed(profile, j, at[j], weighed)
        stress[j] = far.moved(j, at[j], weighed, stress[j])
        fallen = fallen | (at[j] >= profile.thickness[j]) | (at[j] <= 0) | (weighed <= 0)
        edge = np.where(fallen, profile.thickness[j], edge)
        edges[j] = edge
        stress[j, fallen] = np.inf
    shear = np.hypot(level, along)
    return Descent(
        profile.depth, normal, at, edges, stress,
        thickness=profile.thickness, shear=shear, level=level, fallen=fallen,
    )  # fmt: skip


def _uncracked(profile: Profile, push: Push) -> tuple[Array, Array]:
    """(m, k) normal force and moment about the inner face at every bed of a support that is shut.

    Moment of the downward forces and of the level thrust, turning outward.
    """
    length = profile.tributary
    level, down = push.level * length, push.down * length
    head = push.dead * profile.head
    own_level, _ = _level(profile, push)
    weight, turning = np.zeros(len(profile.depth)), np.zeros(len(profile.depth))
    for j in range(1, len(profile.depth)):
        dy = profile.depth[j] - profile.depth[j - 1]
        for low, high, width, unit in _parts(profile, j - 1, j):
            own = unit * width * (high - low) * dy
            weight[j] += own
            turning[j] += own * (low + high) / 2
    top = down * push.into + head * profile.head_at + level * push.over
    if push.sway is not None:
        top = top + push.sway * push.dead * profile.sways * profile.sways_over
    # Level push grows evenly from bed to bed, so its moment over a slice is that of its mean.
    mean = (own_level[1:] + own_level[:-1]) / 2
    turned = np.zeros((len(profile.depth), len(push.level)))
    turned[1:] = np.cumsum(mean * np.diff(profile.depth)[:, None], axis=0)
    normal = down + head + push.dead * np.cumsum(weight)[:, None]
    return normal, top + push.dead * np.cumsum(turning)[:, None] + turned


def _level(profile: Profile, push: Push) -> tuple[Array, Array]:
    """(m, k) level forces at every bed, square to the support and along it, N: of the vault, and of all
    that stands over the bed where it sways."""
    ones = np.ones((len(profile.depth), 1))
    level, along = push.level * profile.tributary * ones, push.along * profile.tributary * ones
    if push.sway is None and push.sway_along is None:
        return level, along
    over = np.full(len(profile.depth), profile.sways)
    for j in range(1, len(over)):
        dy = float(profile.depth[j] - profile.depth[j - 1])
        slices = [
            unit * width * (high - low) for low, high, width, unit in _parts(profile, j - 1, j)
        ]
        over[j] = over[j - 1] + sum(slices) * dy
    pushes = push.dead * over[:, None]
    square = 0.0 if push.sway is None else push.sway * pushes
    beside = 0.0 if push.sway_along is None else np.abs(push.sway_along) * pushes
    return level + square, along + beside


def swaying_weight(profile: Profile, dead: float = 1.0) -> tuple[float, float]:
    """What pushes level over the base for each unit of share, N, and its height over the base, m."""
    nothing = np.zeros(1)
    push = Push(nothing, nothing, nothing, nothing, nothing, np.full(1, dead), np.ones(1))
    weight = float(_level(profile, push)[0][-1, 0])
    swaying, still = (_uncracked(profile, p)[1][-1, 0] for p in (push, push.without_level()))
    return weight, float(swaying - still) / weight if weight > 0 else 0.0


class _Far:
    """Outer edges of the pressed part under thrusts whose own sway leans a support inward.

    opens: (m, k) where the outer face opens, from the bed on where the resultant stands furthest out.
    half_way: (k,) outer edge of what still weighs on the next bed.
    """

    def __init__(self, profile: Profile, push: Push, at: Array) -> None:
        self.profile = profile
        self.inward = np.zeros(len(push.level), bool) if push.sway is None else push.sway < 0
        self.furthest = np.argmax(at / profile.thickness[:, None], axis=0)
        self.opens = np.zeros(at.shape, bool)
        self._edge = self._before = np.full(len(push.level), np.inf)
        if not self.inward.any():
            return
        for j in range(len(profile.depth)):
            self.opens[j] = self._turns(j) & np.isfinite(
                self._pressed(j, at[j], np.ones(len(at[j])))[0]
            )

    @property
    def half_way(self) -> Array:
        shut = np.isinf(self._edge) | np.isinf(self._before)
        with np.errstate(invalid="ignore"):
            on = self._edge + (self._edge - self._before) / 2
        return np.where(shut, self._edge, on)

    def moved(self, j: int, at: Array, normal: Array, stress: Array) -> Array:
        """The edges taken on to a bed; (k,) the greatest stress there."""
        if not self.inward.any():
            return stress
        edge, pressed = self._pressed(j, at, normal)
        open_ = self._turns(j) & np.isfinite(edge)
        self._before, self._edge = self._edge, np.where(open_, edge, np.inf)
        return np.where(open_, pressed, stress)

    def _turns(self, j: int) -> NDArray[np.bool_]:
        return np.asarray(self.inward & (j >= self.furthest))

    def _pressed(self, j: int, at: Array, normal: Array) -> tuple[Array, Array]:
        """Outer edge of the pressed part, infinite while it is shut, and the stress at the inner face:
        those of the bed seen from its outer face."""
        p = self.profile
        T, out = float(p.flange[j]), float(p.web[j])
        width, web_width = float(p.width[j]), float(p.web_width[j])
        whole = T + out if web_width > 0 and out > 0 else T
        if whole > T:
            _, outer = _edge_stresses(T, out, width, web_width, at, normal)
            edge = _open_edge(out, T, web_width, width, whole - at)
            volume, _ = _wedge(out, T, web_width, width, edge)
            reach = whole - edge
            shut = outer >= 0
        else:
            reach = np.clip(3 * at, 0.0, T)
            volume = width * reach**2 / 2
            shut = 3 * at >= T
        stress = np.where(
            volume > LEAST_VOLUME, normal * reach / np.maximum(volume, LEAST_VOLUME), np.inf
        )
        return np.where(shut, np.inf, reach), stress


def _sound(profile: Profile, at: Array, normal: Array) -> tuple[NDArray[np.bool_], Array]:
    """(m, k) which inner edges open, and the greatest edge stress where they do not."""
    T, width = profile.flange[:, None], profile.width[:, None]
    edge, stress = _pressed_block(T, width, at, normal)
    webbed = ((profile.web_width > 0) & (profile.web > 0))[:, None]
    if not webbed.any():
        return edge > 0, stress
    inner, outer = _edge_stresses(
        T,
        np.where(webbed, profile.web[:, None], 0.0),
        width,
        profile.web_width[:, None],
        at,
        normal,
    )
    opens = np.where(webbed, inner < 0, edge > 0)
    return opens, np.where(webbed, np.maximum(inner, outer), stress)


def _edge_stresses(
    T: float | Array,
    out: float | Array,
    width: float | Array,
    web_width: float | Array,
    at: Array,
    normal: Array,
) -> tuple[Array, Array]:
    """Stress at the inner and the outer edge of a shut flange and web."""
    area = width * T + web_width * out
    middle = (width * T**2 / 2 + web_width * out * (T + out / 2)) / area
    inertia = (
        width * T**3 / 12
        + width * T * (middle - T / 2) ** 2
        + web_width * out**3 / 12
        + web_width * out * (T + out / 2 - middle) ** 2
    )
    lean = normal * (at - middle) / inertia
    return normal / area - lean * middle, normal / area + lean * (T + out - middle)


def _parts(profile: Profile, i: int, j: int) -> list[tuple[float, float, float, float]]:
    """Flange and web between two beds: inner and outer x, width, unit weight."""
    T = float(profile.flange[j])
    flange = (0.0, T, float(profile.width[i] + profile.width[j]) / 2, profile.weight)
    if not profile.web_width[j] > 0:
        return [flange]
    out = float(profile.web[i] + profile.web[j]) / 2 if profile.web_width[i] > 0 else profile.web[j]
    return [flange, (T, T + float(out), float(profile.web_width[j]), profile.web_weight)]


def _pressed(profile: Profile, j: int, at: Array, normal: Array) -> tuple[Array, Array]:
    """Inner edge of the pressed part, and stress at the outer (or inner) edge, at a bed."""
    T, out = float(profile.flange[j]), float(profile.web[j])
    width, web_width = float(profile.width[j]), float(profile.web_width[j])
    if web_width <= 0 or out <= 0:
        return _pressed_block(T, width, at, normal)
    outer_edge = T + out
    inner_stress, outer_stress = _edge_stresses(T, out, width, web_width, at, normal)
    shut = inner_stress >= 0
    if shut.all():
        return np.zeros(len(at)), np.maximum(inner_stress, outer_stress)
    edge = _open_edge(T, out, width, web_width, at)
    volume, _ = _wedge(T, out, width, web_width, edge)
    # Where nothing is left to press on, at the outer face, the stress has no bound.
    open_stress = np.where(
        volume > LEAST_VOLUME,
        normal * (outer_edge - edge) / np.maximum(volume, LEAST_VOLUME),
        np.inf,
    )
    stress = np.where(shut, np.maximum(inner_stress, outer_stress), open_stress)
    return np.where(shut, 0.0, edge), stress


def _open_edge(T: float, out: float, width: float, web_width: float, at: Array) -> Array:
    """Inner edge of the pressed part of an open flange and web, from where its resultant stands."""
    edge = np.clip(T + out - 3 * (T + out - at), 0.0, T + out)
    for _ in range(STEPS):
        volume, moment = _wedge(T, out, width, web_width, edge)
        slope = np.zeros(len(edge))
        for low, high, across in ((0.0, T, width), (T, T + out, web_width)):
            a = np.clip(edge, low, high)
            slope += across * (at * (high - a) - (high**2 - a**2) / 2)
        step = (moment - at * volume) / np.where(np.abs(slope) > 1e-12, slope, 1e-12)
        edge = np.clip(edge - step, 0.0, T + out)
    return edge


def _wedge(
    T: float, out: float, width: float, web_width: float, edge: Array
) -> tuple[Array, Array]:
    """Volume of a stress that rises straight from `edge` by 1 a metre, and its moment about x 0."""
    volume = np.zeros(len(edge))
    moment = np.zeros(len(edge))
    for low, high, across in ((0.0, T, width), (T, T + out, web_width)):
        a = np.clip(edge, low, high)
        volume += across * ((high - edge) ** 2 - (a - edge) ** 2) / 2
        moment += across * ((high**3 - a**3) / 3 - edge * (high**2 - a**2) / 2)
    return volume, moment


def _pressed_block(
    T: float | Array, width: float | Array, at: Array, normal: Array
) -> tuple[Array, Array]:
    """The same for a rectangle, either face open."""
    arm = np.minimum(T - at, at)
    pressed = np.clip(3 * arm, 1e-12, T)
    shut = 3 * arm >= T
    stress = np.where(
        shut,
        normal / (width * T) * (1 + 6 * np.abs(at - T / 2) / T),
        2 * normal / (width * pressed),
    )
    return np.where(shut | (at < T / 2), 0.0, T - pressed), stress


def overturning_factor(profile: Profile, push: Push, index: int) -> float:
    """Multiple of the level thrust at which the support falls, loads from above kept."""
    one = push.only(index)
    low, high = 0.0, MOST
    if one.level[0] <= 0:
        # What ties leave is no push, but a couple of their height may still turn the support over.
        return 0.0 if descend(profile, one).fallen[0] else np.inf
    ladder = np.geomspace(0.02, MOST, LADDER)
    for _ in range(3):
        fallen = descend(profile, one.grown(ladder)).fallen
        if not fallen.any():
            return float(ladder[-1]) if high == MOST else high
        first = int(np.argmax(fallen))
        low, high = (float(ladder[first - 1]) if first else low), float(ladder[first])
        ladder = np.linspace(low, high, LADDER)
    return low


def level_borne(profile: Profile, push: Push, index: int) -> float:
    """Multiple of a level acceleration that a support bears beside its loads: of all that is level
    where it pushes outward, of the push of its own weight, the vault's kept, where it pushes inward."""
    one = push.only(index)
    outward = one.sway is None or one.sway[0] >= 0

    def fallen(factors: Array) -> NDArray[np.bool_]:
        return descend(profile, one.grown(factors) if outward else one.swaying(factors)).fallen

    return multiple_borne(fallen)


def kern_use(profile: Profile, at: Array) -> Array:
    """(m,) share of the kern used by resultants at (m,) from the inner face: over 1 a face opens.

    A sixth of the thickness either way in a plain wall.
    """
    T, out = profile.flange, profile.web
    flange, web = profile.width * T, profile.web_width * out
    area = flange + web
    middle = (flange * T / 2 + web * (T + out / 2)) / area
    inertia = flange * (T**2 / 12 + (middle - T / 2) ** 2) + web * (
        out**2 / 12 + (T + out / 2 - middle) ** 2
    )
    outward = inertia / (area * middle)
    inward = inertia / (area * np.maximum(T + out * (web > 0) - middle, 1e-12))
    off = at - middle
    return np.asarray(np.where(off > 0, off / outward, -off / inward))
