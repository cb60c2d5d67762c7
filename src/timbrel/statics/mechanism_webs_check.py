"""A motion of webs, re-read from its hinges alone: does it open, what work is done.

Knows neither the profile nor the search that proposed it. Velocities of points follow from the
hinges; the jump across every crack is looked at on lines through the true solid, and what slides or
shuts is priced as if the crack pressed there with the whole strength of the masonry. The work of all
loads is summed over pieces of another kind than the search's. So the factor told rests on the
motion, the geometry and the densities only.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_check import STRENGTH, BlockReport, spread
from timbrel.statics.blocks_solid import Array, BlockSolid, Index
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_contour import Contour
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.plan_outlines import outline_at, parts_of
from timbrel.statics.rim import rim_weight

FINE = 100  # pieces each way
ALONG = 17  # lines through the masonry along a crack
SHORT = 5  # the same on a side of a round contour
CAP, UPPER, LOWER, STILL = range(4)


@dataclass(frozen=True)
class WebMotion:
    """Webs of a contour that turn about three lines.

    shares: of cap, haunch and foot. levels: of these lines, m. Lower webs rise by one for each share
    that a point lies inside their foot.
    """

    contour: Contour
    shares: tuple[float, float, float]
    levels: tuple[float, float, float]

    @property
    def turn(self) -> float:
        """How fast the upper webs turn, the lower ones turning by one."""
        return (self.levels[1] - self.levels[2]) / (self.levels[0] - self.levels[1])

    def body(self, share: Array, level: Array) -> Index:
        """(n,) which body points belong to: cap, upper web, lower web, or what does not move."""
        cap, haunch, low = self.shares
        still = (share >= low) | (level < self.levels[2])
        return np.where(
            still, STILL, np.where(share > haunch, LOWER, np.where(share > cap, UPPER, CAP))
        )

    def rise(self, body: Index, share: Array) -> Array:
        """Plumb velocities (n,) of points of bodies."""
        cap, haunch, low = self.shares
        inner = np.where(body == CAP, cap, share)
        upper = (low - haunch) - self.turn * (haunch - inner)
        return np.where(body == STILL, 0.0, np.where(body == LOWER, low - share, upper))

    def velocity(self, body: Index, share: Array, web: Index, level: Array) -> Array:
        """(n, 3) of points of bodies and webs."""
        upper = self.turn * (self.levels[0] - level)
        out = np.select([body == LOWER, body == UPPER], [level - self.levels[2], upper], 0.0)
        out = out / self.contour.reach[web]
        return np.column_stack([out[:, None] * self.contour.outward[web], self.rise(body, share)])


def check_webs(job: Job, weights: Weights, motion: WebMotion, pattern: str) -> BlockReport:
    """The work of all loads under a pattern, and the price of all that does not open."""
    contour, solid = motion.contour, weights.solid

    def rises(plan: Array) -> Array:
        share, _ = contour.places(plan)
        return motion.rise(motion.body(share, np.full(len(share), np.inf)), share)

    plan, area = parts_of(contour.polygon(motion.shares[2]), FINE)
    kept = contour.places(plan)[0] > contour.least
    plan, area = plan[kept], area[kept]
    up = rises(plan)
    dead = -float((weights.over(plan, motion.levels[2]) * area) @ up)
    if contour.least:
        rim = contour.middle + contour.least * contour.reach[0] * contour.outward[:1]
        dead -= rim_weight(job) * float(rises(rim)[0])
    under, pressed = parts_of(outline_at(solid.vault, pattern), FINE)
    imposed, _ = imposed_load(job.loads)
    live = -imposed * float(pressed @ rises(under))
    strength = job.masonry.crushing or STRENGTH
    size = float(np.abs(up).max())
    price = slides = shuts = 0.0
    for crack in _jumps(solid, motion):
        # A line that misses the masonry stands for no area and has nothing to say.
        jump, normal, piece = (part[crack[2] > 0] for part in crack)
        along = np.einsum("jx,jx->j", jump, normal)
        slide = np.linalg.norm(jump - along[:, None] * normal, axis=1)
        shut = np.maximum(-along, 0.0)
        price += strength * float(piece @ (slide + shut))
        slides = max(slides, float(slide.max(initial=0.0)))
        shuts = max(shuts, float(shut.max(initial=0.0)))
    return BlockReport(dead, live, price, slides / size, shuts / size)


def _jumps(solid: BlockSolid, motion: WebMotion) -> list[tuple[Array, Array, Array]]:
    """Jumps (j, 3) at points of cracks, unit normals (j, 3) along which they should run, and the
    areas (j,) that the points stand for."""
    rings = zip(motion.shares, (CAP, UPPER, LOWER), strict=True)
    return [
        _between(solid, motion),
        *(_round(solid, motion, r, body) for r, body in rings if r > motion.contour.least),
        _under(solid, motion),
    ]


def _between(solid: BlockSolid, motion: WebMotion) -> tuple[Array, Array, Array]:
    """Along the lines from the middle to the corners: the web that begins there against the one
    that ends."""
    contour = motion.contour
    share = np.linspace(contour.least, motion.shares[2], ALONG)
    spokes = contour.corners - contour.middle
    points, area = _through(
        solid, contour.middle + share[:, None] * spokes[:, None], motion.levels[2]
    )
    at, web = contour.places(points[:, :2])[0], _webs(contour, points)
    body = motion.body(at, points[:, 2])
    jump = motion.velocity(body, at, web, points[:, 2])
    jump -= motion.velocity(body, at, web - 1, points[:, 2])
    normal = np.column_stack([-spokes[:, 1], spokes[:, 0], np.zeros(len(spokes))])
    return jump, (normal / np.linalg.norm(normal, axis=1)[:, None])[web], area


def _round(
    solid: BlockSolid, motion: WebMotion, ring: float, inner: int
) -> tuple[Array, Array, Array]:
    """On the plumb planes through one line of all webs: the body outside against the one inside."""
    contour = motion.contour
    beside = np.linspace(0.0, 1.0, SHORT if contour.round else ALONG)
    points, area = _through(solid, contour.ring(np.array([ring]), beside)[0], motion.levels[2])
    at, web = np.full(len(points), ring), _webs(contour, points)
    outer, inside = (
        motion.velocity(np.full(len(points), body), at, web, points[:, 2])
        for body in (inner + 1, inner)
    )
    return outer - inside, np.pad(contour.outward, ((0, 0), (0, 1)))[web], area


def _under(solid: BlockSolid, motion: WebMotion) -> tuple[Array, Array, Array]:
    """On the level crack under the feet of the webs."""
    contour, (_, haunch, low) = motion.contour, motion.shares
    share = np.linspace(haunch, low, ALONG)
    plan = contour.ring(share, np.array([0.5]))[:, :, 0].swapaxes(0, 1).reshape(-1, 2)
    at = np.tile(share, len(contour.reach))
    level = np.full(len(plan), motion.levels[2])
    inner, outer = (solid.levels(plan, d) for d in (solid.low, solid.high))
    inside = ~(inner > level) & (outer >= level)
    jump = motion.velocity(np.full(len(plan), LOWER), at, _webs(contour, plan), level)
    side = np.linalg.norm(np.roll(contour.corners, -1, axis=0) - contour.corners, axis=1)
    strip = (side * contour.reach)[_webs(contour, plan)] * at * (share[1] - share[0])
    return jump, np.tile([0.0, 0.0, 1.0], (len(plan), 1)), strip * inside


def _webs(contour: Contour, points: Array) -> Index:
    """(n,) the web of each of so many points, as many to a web."""
    count = len(contour.reach)
    return np.repeat(np.arange(count), len(points) // count)


def _through(solid: BlockSolid, plan: Array, floor: float) -> tuple[Array, Array]:
    """Points (j, 3) of the masonry over lines in plan (k, l, 2) and over a level, line by line, and
    the areas (j,) that they stand for."""
    flat = plan.reshape(-1, 2)
    high = np.nan_to_num(solid.levels(flat, solid.high), nan=floor)
    low = np.fmax(solid.levels(flat, solid.low), floor)
    shape = (*plan.shape[:2], 3)
    faces = [np.column_stack([flat, z]).reshape(shape) for z in (low, np.maximum(high, low))]
    points, area = spread(*faces)
    return points.reshape(-1, 3), area.ravel()
