"""Walls as they are built, as sections down their height: leaves, openings, buttresses, piers.

A profile is cut at beds from the springing down. Each section is a flange (the wall, from its inner
face) and a web (the buttress) that stands out of it. x runs outward from the inner face.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from timbrel.job.model import Wall
from timbrel.job.supports import Buttress, Opening
from timbrel.statics.floor import GRAVITY
from timbrel.statics.strip import Array
from timbrel.statics.sway import swaying_head
from timbrel.words import Message, TimbrelError, say

BEDS = 240  # beds of the march down the wall
FLANGE = 2.0  # wall that helps a buttress on either side, in wall thicknesses (common practice)


@dataclass(frozen=True)
class Profile:
    """A support from the springing (depth 0) to its base.

    depth: (m,) m. flange, web: (m,) their depths along x; width, web_width: (m,) their widths along
    the wall, m. weight, web_weight: unit weights, N/m3. tributary: length of wall whose thrust the
    profile carries, m. head: load of wall over the springing and of what stands on it, N, with its
    distance `head_at` from the inner face. friction: of a bed. sways: N of the head that push level for
    each unit of share of a level acceleration, sways_over: their height over the springing, m.
    """

    depth: Array
    flange: Array
    web: Array
    width: Array
    web_width: Array
    weight: float
    web_weight: float
    tributary: float
    head: float
    head_at: float
    friction: float
    sways: float = 0.0
    sways_over: float = 0.0

    @property
    def thickness(self) -> Array:
        """(m,) from the inner to the outer face."""
        return self.flange + self.web

    def coarser(self, step: int) -> Profile:
        """The same support at fewer beds, its base among them."""
        keep = np.append(np.arange(0, len(self.depth) - 1, step), len(self.depth) - 1)
        return replace(
            self,
            depth=self.depth[keep],
            flange=self.flange[keep],
            web=self.web[keep],
            width=self.width[keep],
            web_width=self.web_width[keep],
        )


def acting_thickness(wall: Wall, side: str) -> tuple[float, float]:
    """Thickness that acts as one (m) and its mean density.

    Leaves outside the first that is not bonded do not act. Raises TimbrelError when the leaves do
    not make up the stated thickness.
    """
    if wall.thickness is None:
        raise ValueError("a wall without a thickness has no profile")
    if not wall.leaves:
        return wall.thickness, wall.density
    total = sum(leaf.thickness for leaf in wall.leaves)
    if abs(total - wall.thickness) > 1e-3:
        raise TimbrelError(
            say(
                "walls.{side}.thickness is {thickness:length}, but its leaves add up to "
                "{total:length}; accepted: leaves from the inner face outward that make up the "
                "thickness.",
                side=side,
                thickness=wall.thickness,
                total=total,
            ),
            key=f"walls.{side}.leaves",
        )
    acting = [wall.leaves[0]]
    for leaf in wall.leaves[1:]:
        if not leaf.bonded:
            break
        acting.append(leaf)
    thickness = sum(leaf.thickness for leaf in acting)
    return thickness, sum(leaf.thickness * leaf.density for leaf in acting) / thickness


def solid_share(openings: tuple[Opening, ...], length: float, low: Array, high: Array) -> Array:
    """Share of the wall that stands between two heights: that of its weakest pier.

    Each pier carries half of the openings beside it (at an end of the wall, all that is left).
    low, high: (m,) heights over the base.
    """
    share = np.ones(len(low))
    for i in range(len(low)):
        cut = sorted(
            (o.start, o.start + o.width) for o in openings if o.sill < high[i] and o.head > low[i]
        )
        if cut:
            share[i] = _weakest_pier(cut, length)
    return share


def _weakest_pier(cut: list[tuple[float, float]], length: float) -> float:
    starts = [0.0, *(end for _, end in cut)]
    ends = [*(start for start, _ in cut), length]
    halves = [0.0, *((end - start) / 2 for start, end in cut), 0.0]
    shares = [
        max(end - start, 0.0) / (max(end - start, 0.0) + halves[i] + halves[i + 1])
        for i, (start, end) in enumerate(zip(starts, ends, strict=True))
        if end - start > 1e-9 or 0 < i < len(cut)
    ]
    return min(shares)


def wall_profile(wall: Wall, side: str, length: float) -> Profile:
    """A metre of wall, or one buttress with the wall that helps it and carries its bay.

    length: of the wall, m. Raises TimbrelError when its data contradict each other.
    """
    refuse_contradictions(wall, side, length)
    assert wall.height is not None
    T, density = acting_thickness(wall, side)
    depth = np.linspace(0.0, wall.height, BEDS + 1)
    above = wall.height - depth
    share = solid_share(wall.openings, length, above, above + 1e-6)
    buttress = wall.buttress
    bay = buttress.spacing if buttress else 1.0
    flange_width = np.full(len(depth), bay)
    web = np.zeros(len(depth))
    web_width = np.zeros(len(depth))
    if buttress:
        helps = min(bay, buttress.width + 2 * FLANGE * T)
        web = standing_out(buttress, wall.height, depth)
        stands = web > 0
        flange_width = np.where(stands, helps, bay)
        web_width = np.where(stands, buttress.width, 0.0)
    over, over_at = wall_over(wall, T, density)
    head = (over + wall.load_above) * bay
    moment = over * over_at + wall.load_above * (over_at + wall.load_offset)
    sways, sways_over = swaying_head(wall, over * bay, wall.load_above * bay)
    return Profile(
        depth,
        T + set_off(wall, depth),
        web,
        flange_width * share,
        web_width,
        density * GRAVITY,
        (buttress.density if buttress else density) * GRAVITY,
        bay,
        head,
        moment * bay / head if head > 0 else T / 2,
        wall.friction,
        sways,
        sways_over,
    )


def wall_over(wall: Wall, thickness: float, density: float) -> tuple[float, float]:
    """Weight of a metre of the wall over the springing, N/m, and the distance of its middle from the
    inner face of the wall under it, m. thickness: that acts at the springing."""
    thick = thickness if wall.above_thickness is None else min(wall.above_thickness, thickness)
    inset = thickness - thick if wall.above_inset is None else wall.above_inset
    return density * GRAVITY * thick * wall.above, inset + thick / 2


def set_off(wall: Wall, depth: Array) -> Array:
    """(m,) how far the outer face stands out of that at the springing, at depths under it, m."""
    under = np.array([s.under for s in wall.setoffs])
    out = np.array([0.0, *(s.out for s in wall.setoffs)])
    return np.asarray(out[np.searchsorted(under, depth - 1e-9, side="left")])


def standing_out(buttress: Buttress, wall_height: float, depth: Array) -> Array:
    """(m,) how far a buttress stands out of the wall at depths under the springing."""
    top = wall_height - (buttress.height or wall_height)
    under = depth - top
    if buttress.steps:
        bottoms = np.cumsum([s.height for s in buttress.steps])
        depths = np.array([*(s.depth for s in buttress.steps), buttress.depth])
        out = depths[np.searchsorted(bottoms, under, side="right")]
    else:
        head = buttress.depth if buttress.depth_top is None else buttress.depth_top
        reach = max(wall_height - top, 1e-9)
        out = head + (buttress.depth - head) * np.clip(under / reach, 0.0, 1.0)
    return np.where(under >= -1e-9, out, 0.0)


def refuse_contradictions(wall: Wall, side: str, length: float) -> None:
    """Refuse wall data that cannot be true together."""

    def refuse(key: str, message: Message) -> None:
        raise TimbrelError(message, key=f"walls.{side}.{key}")

    height = wall.height or 0.0
    for i, opening in enumerate(wall.openings):
        number = i + 1
        if opening.head <= opening.sill or opening.head > height:
            refuse(
                f"openings.{i}.head",
                say(
                    "walls.{side}.openings.{number} runs from {sill:length} to {head:length} over "
                    "the base; accepted: a head over the sill and under the springing at "
                    "{height:length}.",
                    side=side,
                    number=number,
                    sill=opening.sill,
                    head=opening.head,
                    height=height,
                ),
            )
        if opening.start + opening.width > length:
            refuse(
                f"openings.{i}.start",
                say(
                    "walls.{side}.openings.{number} ends {end:length} along a wall of "
                    "{length:length}; accepted: openings inside the wall.",
                    side=side,
                    number=number,
                    end=opening.start + opening.width,
                    length=length,
                ),
            )
    _refuse_no_masonry(wall, side, length)
    buttress = wall.buttress
    if buttress is None:
        return
    if buttress.width > buttress.spacing:
        refuse(
            "buttress.width",
            say(
                "walls.{side}.buttress.width is {width:length} and its spacing {spacing:length}; "
                "accepted: a width under the spacing.",
                side=side,
                width=buttress.width,
                spacing=buttress.spacing,
            ),
        )
    if buttress.height is not None and buttress.height > height + 1e-9:
        refuse(
            "buttress.height",
            say(
                "walls.{side}.buttress.height is {given:length} and the springing stands at "
                "{height:length}; accepted: up to the springing.",
                side=side,
                given=buttress.height,
                height=height,
            ),
        )
    if buttress.steps and buttress.depth_top is not None:
        refuse(
            "buttress.steps",
            say(
                "walls.{side}.buttress has both steps and a depth_top; accepted: one of them.",
                side=side,
            ),
        )
    falling = [s.depth for s in buttress.steps] + [buttress.depth]
    if any(b < a for a, b in pairwise(falling)):
        refuse(
            "buttress.steps",
            say(
                "walls.{side}.buttress.steps grow thinner downward; accepted: steps from the head "
                "down, each at least as deep as the one above, the base {depth:length} deep.",
                side=side,
                depth=buttress.depth,
            ),
        )


def _refuse_no_masonry(wall: Wall, side: str, length: float) -> None:
    """Refuse an opening as long as its wall: nothing would stand beside it."""
    for number, opening in enumerate(wall.openings, 1):
        if opening.width >= length - 1e-6:
            raise TimbrelError(
                say(
                    "walls.{side}.openings.{number} is {width:length} wide in a wall of "
                    "{length:length}; accepted: openings with masonry beside them.",
                    side=side,
                    number=number,
                    width=opening.width,
                    length=length,
                ),
                key=f"walls.{side}.openings.{number - 1}.width",
            )
