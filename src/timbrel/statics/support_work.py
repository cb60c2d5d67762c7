"""The figures behind a support's verdicts, as the notes put them in: each at what governs it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from timbrel.statics.descent import Descent, Push, swaying_weight
from timbrel.statics.footing import Bearing
from timbrel.statics.supports import Profile


@dataclass(frozen=True)
class BaseWork:
    """Moments about the inner face at the base, for the length of wall that a support carries.

    down, into: load of the vault (N) and its distance from the inner face (m). head, head_at: wall
    and loads over the springing. weight, weight_at: masonry under the springing that is not beyond
    the crack. level, arm: push (N) and its height over the base (m). normal, at: what they come to.
    thickness: at the base.
    """

    down: float
    into: float
    head: float
    head_at: float
    weight: float
    weight_at: float
    level: float
    arm: float
    normal: float
    at: float
    thickness: float


@dataclass(frozen=True)
class BedWork:
    """One bed that governs. depth: under the springing, m. normal, shear: N. at: of the resultant
    from the inner face, m. area: that is counted on, m2."""

    depth: float
    normal: float
    shear: float
    at: float
    area: float


@dataclass(frozen=True)
class GroundWork:
    """The footing. width: B, m. eccentricity: of the load from its middle, m. normal: N, the
    footing's own weight in it. area: that bears, m2. level: push, N. length: of wall, m."""

    width: float
    eccentricity: float
    normal: float
    area: float
    level: float
    length: float


@dataclass(frozen=True)
class SwayWork:
    """The base under the level acceleration that governs, for the length of wall that a support
    carries. share: of weight, outward positive. weight: that pushes level, N; arm: its height over the
    base, m. base: all other loads, and what they come to together."""

    share: float
    weight: float
    arm: float
    base: BaseWork


@dataclass(frozen=True)
class SupportWork:
    """Figures at what governs overturning (EQU), crushing, shear, the springing and the ground.

    springer: load of the vault on a metre, N. None where the data are missing.
    """

    base: BaseWork
    crushing: BedWork | None
    shear: BedWork | None
    springer: float | None
    bearing: GroundWork
    sliding: GroundWork
    sway: SwayWork | None = None


def base_work(profile: Profile, push: Push, state: Descent, i: int) -> BaseWork:
    """The base under thrust i. Beyond the crack nothing weighs: what is left stands where the rest
    of the moment says."""
    long = profile.tributary
    down, level = float(push.down[i]) * long, float(push.level[i]) * long
    into, arm = float(push.into[i]), float(push.over[i] + profile.depth[-1])
    head = float(push.dead[i]) * profile.head
    normal, at = float(state.normal[-1, i]), float(state.at[-1, i])
    weight = normal - down - head
    rest = normal * at - down * into - head * profile.head_at - level * arm
    return BaseWork(
        down,
        into,
        head,
        profile.head_at,
        weight,
        rest / weight if weight > 0 else 0.0,
        level,
        arm,
        normal,
        at,
        float(profile.thickness[-1]),
    )


def sway_work(profile: Profile, push: Push, state: Descent) -> SwayWork:
    """The base under a single thrust whose support sways; what the masonry itself weighs stands
    where the rest of the moment says."""
    share = float(push.sway[0]) if push.sway is not None else 0.0
    weight, arm = swaying_weight(profile, float(push.dead[0]))
    base = base_work(profile, push, state, 0)
    left = base.weight * base.weight_at - share * weight * arm
    at = left / base.weight if base.weight > 0 else 0.0
    return SwayWork(share, weight, arm, replace(base, weight_at=at))


def bed_work(state: Descent, use: np.ndarray, area: np.ndarray, i: int) -> BedWork:
    """The bed of greatest use (m, k) under thrust i; area (m, k) that is counted on there."""
    j = int(np.argmax(use[:, i]))
    return BedWork(
        float(state.depth[j]),
        float(state.normal[j, i]),
        float(state.shear[j, i]),
        float(state.at[j, i]),
        float(area[j, i]),
    )


def ground_work(profile: Profile, push: Push, ground: Bearing, i: int) -> GroundWork:
    """The footing under thrust i."""
    return GroundWork(
        ground.width,
        float(ground.eccentricity[i]),
        float(ground.total[i]),
        float(ground.area[i]),
        float(ground.level[i]),
        profile.tributary,
    )
