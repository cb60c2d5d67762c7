"""Webs that part along lines from the middle and turn like half arches: the way cloisters, sails
between walls and domes fail.

Every web of a contour turns about three level lines along its side: at the foot of the haunch it
rises and moves outward, about a hinge at the extrados; higher up it sinks, still moving outward; a
cap in the middle sinks plumb. With r the share of a contour and h the distance of a side, a lower
web turns by c/h about (r2, z2), so that its points rise by c (r2 - r) and move outward by
(c/h) (z - z2). Neighbouring webs then have one plumb velocity where they meet, and their outward
velocities q n1/h1 and q n2/h2 differ square to the line from the middle to the corner (both sides
hold the corner: n1.v/h1 = n2.v/h2 = 1), so that the crack between them opens and does not slide.
Masonry below the level of the lower hinge stays on the wall: there the vault parts on a level crack,
for below it a web would have to move inward and press its neighbours.

What moves is masonry without tension in any direction, so cracks need not run square to the faces.
Lines that hinge lie outside the masonry of every web. Any load may stand on the vault; one that does
not stand all round is bounded far from its true value.

Source: kinematic theorem (Heyman 1966); lunes of domes, Heyman 1967; of webs on a polygon: derived.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_check import BlockReport
from timbrel.statics.blocks_solid import Array
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_contour import Contour, contours_of
from timbrel.statics.mechanism_surface import Profile, lunes, outside
from timbrel.statics.mechanism_webs_check import WebMotion, check_webs
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.plan_outlines import outline_at
from timbrel.statics.rim import rim_weight

FINE = 128  # rings of the profile
BESIDE = (np.arange(6) + 0.5) / 6  # places along a side where weights are taken
FEW = (np.arange(2) + 0.5) / 2  # the same of a round contour
LEVELS = np.linspace(0.0, 1.0, 5)  # places along a side where levels are taken
ROUND_LEVELS = np.linspace(0.0, 1.0, 3)
INSET = 1e-6


@dataclass(frozen=True)
class WebMechanism:
    """A mechanism that was proved.

    kind: webs, or lunes of a round contour. factor: load factor that it bounds. motion: what moves.
    report: of the check.
    """

    kind: Literal["webs", "lunes"]
    factor: float
    motion: WebMotion
    report: BlockReport

    @property
    def contour(self) -> Contour:
        return self.motion.contour

    @property
    def hinges(self) -> tuple[float, float, float]:
        """Shares of cap, haunch and foot."""
        return self.motion.shares


def web_mechanism(job: Job, vault: Any, pattern: str) -> WebMechanism | None:
    """The least of all contours of a vault under a pattern of imposed load; None where no motion
    lets it sink, or the vault has no such contour."""
    weights = Weights(job, vault)
    found = []
    for contour in contours_of(weights.solid):
        profile = profile_of(job, weights, contour, pattern)
        if profile.live.sum() <= 0:
            continue
        factor, _, at = lunes(profile)
        if not np.isfinite(factor):
            continue
        motion = motion_at(profile, contour, at)
        report = check_webs(job, weights, motion, pattern)
        if report.sound(None):
            kind: Literal["webs", "lunes"] = "lunes" if contour.round else "webs"
            found.append(WebMechanism(kind, report.factor, motion, report))
    return min(found, key=lambda m: m.factor, default=None)


def motion_at(profile: Profile, contour: Contour, at: Array) -> WebMotion:
    """The motion of hinges at shares (3,) of cap, haunch and foot."""
    tops = np.interp(at[[0, 2]], profile.x, profile.top)
    foot = float(np.interp(at[1], profile.x, profile.foot))
    cap, haunch, low = (float(a) for a in at)
    return WebMotion(contour, (cap, haunch, low), (float(tops[0]), foot, float(tops[1])))


def profile_of(job: Job, weights: Weights, contour: Contour, pattern: str) -> Profile:
    """What the mechanism sees, by the share: the highest extrados from there outward and the lowest
    intrados of all webs, and the weights between shares."""
    solid = weights.solid
    x = np.linspace(contour.least, contour.most, FINE + 1)
    within = np.clip(x, contour.least + INSET, contour.most - INSET)
    plan = contour.ring(within, ROUND_LEVELS if contour.round else LEVELS)
    flat = plan.reshape(-1, 2)
    top = solid.levels(flat, solid.high).reshape(FINE + 1, -1).max(axis=1)
    foot = solid.levels(flat, solid.low).reshape(FINE + 1, -1).min(axis=1)
    # A hinge at the top lies over all masonry further out.
    top = np.maximum.accumulate(outside(top)[::-1])[::-1]
    dead = _dead(weights, contour, x, float(top[-1]))
    if solid.family == "dome":
        dead[0] += rim_weight(job)
    outline = outline_at(solid.vault, pattern)
    under = [outline.intersection(contour.polygon(float(r))).area for r in x]
    imposed, _ = imposed_load(job.loads)
    return Profile(x, top, foot, dead, imposed * np.diff(under))


def _dead(weights: Weights, contour: Contour, x: Array, floor: float) -> Array:
    """(n - 1,) weights between shares (n,) of what may move: all over a level."""
    beside = FEW if contour.round else BESIDE
    middle = (x[1:] + x[:-1]) / 2
    flat = contour.ring(middle, beside).reshape(-1, 2)
    over = weights.over(flat, floor).reshape(len(middle), len(contour.reach), len(beside))
    start, end = contour.corners - contour.middle, np.roll(contour.corners, -1, axis=0)
    end = end - contour.middle
    area = (start[:, 0] * end[:, 1] - start[:, 1] * end[:, 0]) / 2
    return np.asarray(np.diff(x**2) * (over.mean(axis=2) @ area))
