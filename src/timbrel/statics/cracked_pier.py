"""A pier that cannot pull, pushed along any direction: where it cracks, and when it falls.

As for a wall (:mod:`timbrel.statics.descent`), bed by bed: stress varies straight over the part still
pressed, and masonry beyond the crack no longer weighs on what stands below. While the resultant keeps
to the kern normal force and moments are plain sums. From the first bed that opens on, the bed is
divided into small squares, for under a push along a diagonal the crack cuts a corner, and its plane
of stress is found as the least of a convex function (no tension: stress max(0, a + b x + c y)). A
block that could not crack is never the answer. Squares bear at their middles, which is on the safe
side by half of one of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from timbrel.statics.pier_shape import BEDS, Box, PierShape
from timbrel.statics.strip import Array

CELLS = 40  # squares along the side of the shaft
NEWTON = 40
HALVINGS = 12
BALANCED = 1e-8
FLAT = 1e-12  # of the product of the diagonal, under which three equations are not three
MOST = 100.0  # factor beyond which the push is called unlimited


def _nothing() -> Array:
    return np.zeros(2)


@dataclass(frozen=True)
class PierLoads:
    """What acts on a pier's head. down: N, all of it. push: (2,) N level at the springing. couple:
    (2,) N m of the push, turning along x and y. held: (2,) N m of what stands over the springing
    off the middle of the shaft. dead: factor on the pier's own weight. borne: N of the vault in
    `down`; tilt: (2,) N m of it about the middle of the shaft. sway: (2,) level push of the pier's
    own weight as a share of it, along x and y; swaying: N over the springing that push level with
    it, swaying_over: their height over the springing, m."""

    down: float
    push: Array
    couple: Array = field(default_factory=_nothing)
    held: Array = field(default_factory=_nothing)
    dead: float = 1.0
    borne: float = 0.0
    tilt: Array = field(default_factory=_nothing)
    sway: Array = field(default_factory=_nothing)
    swaying: float = 0.0
    swaying_over: float = 0.0

    def grown(self, factor: float) -> PierLoads:
        """The push and its couple at a multiple, the sway of the pier with them."""
        return replace(
            self, push=self.push * factor, couple=self.couple * factor, sway=self.sway * factor
        )

    def swayed(self, factor: float) -> PierLoads:
        """The sway of the pier alone at a multiple."""
        return replace(self, sway=self.sway * factor)

    def tilted(self, factor: float) -> PierLoads:
        """What the vault puts down at a multiple, where it stands."""
        more = (factor - 1) * self.borne
        return replace(self, down=self.down + more, tilt=self.tilt * factor)


@dataclass(frozen=True)
class PierDescent:
    """A pier under its loads, bed by bed. depth (m,); level (m, 2) N; normal (m,) N, without what
    lies beyond cracks; at (m, 2) of the resultant from the middle of the shaft, m; pressed (m,)
    area, m2; stress (m,) the greatest, N/m2. cracked: has any bed opened. fallen: is there a bed
    with no balance; the figures from there on are not numbers."""

    depth: Array
    level: Array
    normal: Array
    at: Array
    pressed: Array
    stress: Array
    cracked: bool
    fallen: bool


def descend_pier(shape: PierShape, loads: PierLoads) -> PierDescent:
    """Follow the loads of a head down to the base."""
    total, level = _sums(shape, loads), level_forces(shape, loads)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = total[:, 1:] / total[:, :1]
    if not total[0].any():
        at[0] = shape.beds[0].middle  # nothing rests on the bed under the springing
    use = np.array([bed.kern_use(p) for bed, p in zip(shape.beds, at, strict=True)])
    area = np.array([bed.area for bed in shape.beds])
    normal, stress = total[:, 0].copy(), total[:, 0] / area * (1 + _steepest(shape, at))
    doubtful = ~(use <= 1) | (normal < 0)
    if not doubtful.any():
        return PierDescent(
            shape.depth, level, normal, at, area, stress, cracked=False, fallen=False
        )
    first = int(np.argmax(doubtful))
    pressed = area.copy()
    fallen = _march(shape, loads, first, normal, at, pressed, stress)
    return PierDescent(shape.depth, level, normal, at, pressed, stress, cracked=True, fallen=fallen)


def _steepest(shape: PierShape, at: Array) -> Array:
    """(m,) greatest edge stress over the mean one, less 1, of beds that are shut."""
    found = np.zeros(len(at))
    for j, (bed, place) in enumerate(zip(shape.beds, at, strict=True)):
        lean = (place - bed.middle) @ bed.leaning
        found[j] = float(((bed.corners - bed.middle) @ lean).max())
    return found


def pier_factor(shape: PierShape, loads: PierLoads, enough: float = np.inf) -> float:
    """Multiple of the level push and its couple at which the cracked pier falls; without either,
    infinite, or nothing where it does not even stand under what comes down.

    enough: a multiple past which it need not be told any nearer: where the pier stands under it the
    answer is `enough` itself.
    """
    if not (loads.push.any() or loads.couple.any() or loads.sway.any()):
        return 0.0 if descend_pier(shape, loads).fallen else np.inf
    low, high = 0.0, min(rigid_factor(shape, loads), MOST)
    if enough < high:
        if not descend_pier(shape, loads.grown(enough)).fallen:
            return enough
        high = enough
    # A pier that leans on the push may turn inward without it: it is followed up from the push itself.
    if high > 1:
        low, high = (0.0, 1.0) if descend_pier(shape, loads).fallen else (1.0, high)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        fallen = descend_pier(shape, loads.grown(middle)).fallen
        low, high = (low, middle) if fallen else (middle, high)
    return low


def inward_factor(shape: PierShape, loads: PierLoads, enough: float = np.inf) -> float:
    """Multiple of what the vault puts down, its push kept, at which the cracked pier falls; nothing
    where it does not even stand under the loads as they are, infinite where it bears MOST times them.

    enough: as of :func:`pier_factor`.
    """
    if enough <= 0 or descend_pier(shape, loads).fallen:
        return 0.0
    high = min(enough, MOST)
    if not descend_pier(shape, loads.tilted(high)).fallen:
        return enough if enough < MOST else np.inf
    low = 1.0
    for _ in range(HALVINGS):
        middle = math.sqrt(low * high)
        fallen = descend_pier(shape, loads.tilted(middle)).fallen
        low, high = (low, middle) if fallen else (middle, high)
    return low


def level_borne(shape: PierShape, loads: PierLoads, *, outward: bool) -> float:
    """Multiple of a level acceleration that the cracked pier bears beside its loads: of all that is
    level where it pushes outward, of the push of the pier's own weight, the vault's kept, where not."""

    def fallen(factors: Array) -> NDArray[np.bool_]:
        every = (loads.grown(float(f)) if outward else loads.swayed(float(f)) for f in factors)
        return np.array([descend_pier(shape, one).fallen for one in every])

    low, high = 1.0, MOST
    if fallen(np.ones(1))[0]:
        low, high = 0.0, 1.0
    elif not fallen(np.full(1, MOST))[0]:
        return np.inf
    for _ in range(HALVINGS):
        middle = math.sqrt(low * high) if low > 0 else (low + high) / 2
        low, high = (low, middle) if fallen(np.full(1, middle))[0] else (middle, high)
    return low


def rigid_factor(shape: PierShape, loads: PierLoads) -> float:
    """Multiple of the push that brings the resultant to the edge of some bed of a block that could
    not crack: no pier stands longer."""
    still = _sums(shape, loads.grown(0.0))
    push = loads.couple + loads.push * shape.depth[:, None] + _sway_moment(shape, loads)
    found = np.inf
    for bed, down, turning in zip(shape.beds, still, push, strict=True):
        low, high = bed.corners.min(axis=0), bed.corners.max(axis=0)
        for axis in (0, 1):
            edge = high[axis] if turning[axis] > 0 else low[axis]
            if turning[axis] != 0:
                held = down[0] * edge - down[1 + axis]
                found = min(found, max(float(held / turning[axis]), 0.0))
    return found


def _sums(shape: PierShape, loads: PierLoads) -> Array:
    """(m, 3) normal force and moments about the middle of the shaft of a pier that is shut."""
    total = loads.dead * shape.own
    total[:, 0] += loads.down
    total[:, 1:] += loads.couple + loads.held + loads.tilt + loads.push * shape.depth[:, None]
    total[:, 1:] += _sway_moment(shape, loads)
    return np.asarray(total)


def level_forces(shape: PierShape, loads: PierLoads) -> Array:
    """(m, 2) level force at every bed, N: of the vault, and of all that sways over the bed."""
    sways = loads.dead * (shape.own[:, 0] + loads.swaying)
    return np.asarray(loads.push + sways[:, None] * loads.sway)


def _sway_moment(shape: PierShape, loads: PierLoads) -> Array:
    """(m, 2) moments about the beds of what sways over them, N m. Slices are even: their level push
    grows evenly from bed to bed."""
    sways = loads.dead * (shape.own[:, 0] + loads.swaying)
    arms = np.zeros(len(sways))
    arms[1:] = np.cumsum((sways[1:] + sways[:-1]) / 2 * np.diff(shape.depth))
    arms += loads.dead * loads.swaying * loads.swaying_over
    return np.asarray(arms[:, None] * loads.sway)


def _march(
    shape: PierShape,
    loads: PierLoads,
    first: int,
    normal: Array,
    at: Array,
    pressed: Array,
    stress: Array,
) -> bool:
    """Fill in the beds from the first that opens; True when the pier falls."""
    cells = _Cells.of(shape)
    kept = np.ones(len(cells.basis), bool)
    above = _sums(shape, loads)[max(first - 1, 0)]
    level = level_forces(shape, loads)
    plane: Array | None = None
    weighing = cells.weighing(shape, loads.dead)
    for bed in range(first, BEDS + 1):
        here = cells.standing(shape, bed)
        weighs = np.zeros(len(kept)) if bed == 0 else weighing[bed - 1]
        if bed:
            mean = (level[bed - 1] + level[bed]) / 2
            above = above + np.array([0.0, *mean]) * shape.height / BEDS
        # What cracks within a step does not weigh on the bed under it.
        for _ in range(2):
            total = above + (weighs * kept) @ cells.basis
            found = cells.plane(total, plane, here)
            if found is None:
                for row in (normal, at, pressed, stress):
                    row[bed:] = np.nan
                return True
            plane = found
            bears = np.where(here, cells.basis @ plane, 0.0)
            kept = kept & (~here | (bears > 0))
        above = above + (weighs * kept) @ cells.basis
        normal[bed], at[bed] = total[0], total[1:] / total[0]
        pressed[bed] = float((bears > 0).sum()) * cells.area
        stress[bed] = float(bears.max())
    return False


@dataclass(frozen=True)
class _Cells:
    """basis: (n, 3) 1, x, y of every square; area: of one, m2; reach: (2, 2) least and greatest x
    and y of their middles."""

    basis: Array
    area: float
    reach: Array

    @classmethod
    def of(cls, shape: PierShape) -> _Cells:
        """Squares over the whole base, in step with the shaft."""
        size = shape.side / CELLS
        corners = shape.beds[-1].corners
        low = np.floor(corners.min(axis=0) / size + 1e-9)
        high = np.ceil(corners.max(axis=0) / size - 1e-9)
        x, y = ((np.arange(a, b) + 0.5) * size for a, b in zip(low, high, strict=True))
        xx, yy = (g.ravel() for g in np.meshgrid(x, y))
        basis = np.stack([np.ones(len(xx)), xx, yy], axis=1)
        return cls(basis, size**2, np.array([[x[0], y[0]], [x[-1], y[-1]]]))

    def standing(self, shape: PierShape, bed: int) -> NDArray[np.bool_]:
        """(n,) which squares are masonry at a bed."""
        return self._inside(shape.beds[bed].boxes)

    def weighing(self, shape: PierShape, dead: float) -> list[Array]:
        """Of every slice (n,) N that each square weighs; slices that are alike are one."""
        made: dict[tuple[tuple[Box, float], ...], Array] = {}
        found = []
        for depth in shape.half_way:
            parts = tuple(shape.parts(float(depth)))
            if parts not in made:
                row = np.zeros(len(self.basis))
                for box, weight in parts:
                    row[self._inside((box,))] = dead * weight * self.area * shape.height / BEDS
                made[parts] = row
            found.append(made[parts])
        return found

    def _inside(self, boxes: tuple[tuple[float, float, float, float], ...]) -> NDArray[np.bool_]:
        x, y = self.basis[:, 1], self.basis[:, 2]
        found = np.zeros(len(x), bool)
        for a, b, c, d in boxes:
            found |= (x > a) & (x < c) & (y > b) & (y < d)
        return found

    def plane(self, total: Array, start: Array | None, here: NDArray[np.bool_]) -> Array | None:
        """(3,) of the plane of stress on the squares that stand, in balance with normal force and
        moments (3,); None where there is none: the resultant has left the bed."""
        if total[0] <= 0:
            return None
        place = total[1:] / total[0]
        if (place <= self.reach[0]).any() or (place >= self.reach[1]).any():
            return None
        basis = self.basis[here]
        p = np.array([total[0] / (len(basis) * self.area), 0.0, 0.0]) if start is None else start
        size = np.array([1.0, *np.abs(self.reach).max(axis=0)]) * total[0]
        for _ in range(NEWTON):
            stress = basis @ p
            on = stress > 0
            pull = total - self.area * (basis[on].T @ stress[on])
            if (np.abs(pull) <= BALANCED * size).all():
                return np.asarray(p)
            move = self._step(basis[on], pull)
            if move is None:
                return None
            p = self._along(basis, p, move, total)
        return None

    def _step(self, pressed: Array, pull: Array) -> Array | None:
        stiff = self.area * (pressed.T @ pressed)
        # What is left pressed spans no plane: a row of squares, or none.
        if len(pressed) < 3 or np.linalg.det(stiff) <= FLAT * np.diag(stiff).prod():
            return None
        return np.asarray(np.linalg.solve(stiff, pull))

    def _along(self, basis: Array, p: Array, move: Array, total: Array) -> Array:
        """As far as the convex function still sinks."""

        def value(q: Array) -> float:
            stress = np.maximum(basis @ q, 0.0)
            return float(self.area * (stress @ stress) / 2 - total @ q)

        share, before = 1.0, value(p)
        while share > 1e-6 and value(p + share * move) > before:
            share /= 2
        return np.asarray(p + share * move)
