"""Vaults that cover a whole plan: groin, cloister, sail and dome, from the job and the room."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, cast

import numpy as np

from timbrel.job.model import Job
from timbrel.shape.crossed import CrossedVault
from timbrel.shape.curves import directrix
from timbrel.shape.directrix import Directrix
from timbrel.shape.dome import Dome, inscribed_circle
from timbrel.shape.ends import intrados_of, inward
from timbrel.shape.layers import LayerPlace
from timbrel.shape.plan import CORNERS, QuadPlan, square_up
from timbrel.shape.planecurve import Array, CatenaryProfile, SlopeCurve
from timbrel.shape.sail import Sail, SailPatch, ShareArch, Sphere
from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.room import Room

LEVEL_SHARE = 0.25
"""Greatest difference of a corner's springing level from the mean, as a share of the rise: more
distorts one web against the next (our limit)."""
STEEPEST_SAIL = np.radians(75.0)
"""Steepest corner of a sail on which a first tile stays while it sets (our limit)."""
MOST_OCULUS = 0.5
"""Greatest oculus as a share of the diameter: a wider ring is no longer a dome (our limit)."""


def crossed(job: Job, room: Room, layers: tuple[LayerPlace, ...]) -> CrossedVault:
    """A groin or a cloister vault."""
    plan = square_up(room.corners)
    a, b = plan.side(0)
    curve = job.curve
    base = directrix(
        curve.directrix, float(np.hypot(*(b - a)[:2])), curve.rise, curve.haunch_radius
    )
    _refuse_levels(plan, base.rise)
    thickness = layers[-1].outer
    intrados_of(base, curve.line, thickness)
    family = cast(Literal["groin", "cloister"], curve.family)
    crown = float(a[2] + b[2]) / 2 + base.rise
    shift = -inward(curve.line, thickness)
    return CrossedVault(family, room, layers, thickness, plan, base, crown, shift)


def _refuse_levels(plan: QuadPlan, rise: float) -> None:
    levels = plan.corners[:, 2]
    apart = levels - levels.mean()
    worst = int(np.argmax(np.abs(apart)))
    if abs(apart[worst]) > LEVEL_SHARE * rise:
        raise TimbrelError(
            say(
                "room.levels.{corner} lies {apart:length} from the mean of the four; with a rise of "
                "{rise:length} at most {most:length} is accepted, else the webs are twisted.",
                corner=CORNERS[worst],
                apart=abs(float(apart[worst])),
                rise=rise,
                most=LEVEL_SHARE * rise,
            ),
            key=f"room.levels.{CORNERS[worst]}",
        )


def dome(job: Job, room: Room, layers: tuple[LayerPlace, ...]) -> Dome:
    """A dome in the largest circle that the plan takes in, on a ring at the highest corner."""
    plan = square_up(room.corners)
    middle, radius = inscribed_circle(plan)
    curve = job.curve
    diameter = 2 * radius if curve.diameter is None else curve.diameter
    if diameter > 2 * radius + 0.001:
        raise TimbrelError(
            say(
                "curve.diameter is {given:length}; the largest circle in this plan has a diameter "
                "of {most:length}.",
                given=diameter,
                most=2 * radius,
            ),
            key="curve.diameter",
        )
    if curve.oculus > MOST_OCULUS * diameter:
        raise TimbrelError(
            say(
                "curve.oculus is {given:length}; a dome of diameter {diameter:length} accepts an "
                "opening up to {most:length}.",
                given=curve.oculus,
                diameter=diameter,
                most=MOST_OCULUS * diameter,
            ),
            key="curve.oculus",
        )
    base = directrix(curve.directrix, diameter, curve.rise, curve.haunch_radius)
    thickness = layers[-1].outer
    intrados_of(base, curve.line, thickness)
    centre = np.append(middle, plan.corners[:, 2].max())
    shift = -inward(curve.line, thickness)
    return Dome(room, layers, thickness, plan, base, centre, curve.oculus, shift)


def sail(job: Job, room: Room, layers: tuple[LayerPlace, ...]) -> Sail:
    """A sail vault over the whole plan."""
    plan = square_up(room.corners)
    curve = job.curve
    a, b = plan.side(0)
    base = directrix(curve.directrix, float(np.hypot(*(b - a)[:2])), curve.rise)
    _refuse_levels(plan, base.rise)
    thickness = layers[-1].outer
    intrados_of(base, curve.line, thickness)
    form = _sphere(plan, base) if curve.sail == "spherical" else _arches(job, plan, base)
    patch = SailPatch(plan.corners, form)
    _refuse_steep(patch, base)
    shift = -inward(curve.line, thickness)
    return Sail(room, layers, thickness, plan, patch, shift, curve.on_corners)


def _sphere(plan: QuadPlan, base: Directrix) -> Sphere:
    """The sphere whose section over AB is the segment, about the circle nearest to the corners."""
    if base.kind not in ("segment", "semicircle"):
        raise TimbrelError(
            say(
                "curve.directrix is {given}; a spherical sail takes a segment over AB. A "
                "translation sail takes a segment, a parabola or a catenary.",
                given=base.kind,
            ),
            key="curve.directrix",
        )
    a, b = plan.side(0)
    corners = plan.corners[:, :2]
    # The circle through four points, by least squares (Kasa 1976).
    matrix = np.column_stack([2 * corners, np.ones(4)])
    middle = np.linalg.lstsq(matrix, (corners**2).sum(axis=1), rcond=None)[0][:2]
    _, outward = plan.wall(0)
    away = float(abs((a[:2] - middle) @ outward[:2]))
    arch = base.span**2 / (8 * base.rise) + base.rise / 2
    radius = float(np.hypot(arch, away))
    reach = np.hypot(*(corners - middle).T)
    if reach.max() > radius * np.sin(STEEPEST_SAIL):
        flattest = float(reach.max() / np.sin(STEEPEST_SAIL))
        most = np.sqrt(max(flattest**2 - away**2, (base.span / 2) ** 2))
        raise _too_steep(base.rise, float(most - np.sqrt(most**2 - (base.span / 2) ** 2)))
    level = float(a[2] + b[2]) / 2 + base.rise - arch
    ball = Sphere(np.append(middle, level), radius)
    missed = plan.corners[:, 2] - level - np.sqrt(radius**2 - reach**2)
    if np.abs(missed).max() > LEVEL_SHARE * base.rise:
        worst = int(np.argmax(np.abs(missed)))
        raise TimbrelError(
            say(
                "Corner {corner} lies {missed:length} off the sphere of the other corners; at most "
                "{most:length} is accepted. A translation sail (curve.sail) takes any plan.",
                corner=CORNERS[worst],
                missed=abs(float(missed[worst])),
                most=LEVEL_SHARE * base.rise,
            ),
            key="curve.sail",
        )
    return ball


def _arches(job: Job, plan: QuadPlan, base: Directrix) -> tuple[ShareArch, ShareArch]:
    if base.kind not in ("segment", "parabola", "catenary"):
        raise TimbrelError(
            say(
                "curve.directrix is {given}; a translation sail takes a segment, a parabola or a "
                "catenary.",
                given=base.kind,
            ),
            key="curve.directrix",
        )
    sides = [float(np.hypot(*(q - p)[:2])) for p, q in (plan.side(k) for k in (1, 3))]
    span = sum(sides) / 2
    rise = job.curve.cross_rise
    cross = directrix(base.kind, span, base.rise * span / base.span if rise is None else rise)
    return _share_arch(base), _share_arch(cross)


def _share_arch(curve: Directrix) -> ShareArch:
    size = 1.0
    if curve.kind == "segment":
        size = curve.span**2 / (8 * curve.rise) + curve.rise / 2
    elif isinstance(curve.curve, SlopeCurve) and isinstance(curve.curve.profile, CatenaryProfile):
        size = curve.curve.profile.a
    return ShareArch(curve.kind, curve.span, curve.rise, size)


def _refuse_steep(patch: SailPatch, base: Directrix) -> None:
    ends = np.array([0.0, 1.0, 1.0, 0.0])
    lean: Array = np.arccos(patch.normal(ends, ends[[0, 1, 3, 2]][[0, 0, 1, 1]])[:, 2])
    if lean.max() > STEEPEST_SAIL + 0.05:
        share = np.tan(STEEPEST_SAIL) / np.tan(lean.max())
        raise _too_steep(base.rise, float(base.rise * share))


def _too_steep(rise: float, most: float) -> TimbrelError:
    return TimbrelError(
        say(
            "curve.rise is {rise:length}: the corners of the sail would stand steeper than "
            "{steepest:angle}; about {most:length} is the most over this plan.",
            rise=rise,
            steepest=float(STEEPEST_SAIL),
            most=most,
        ),
        key="curve.rise",
    )
