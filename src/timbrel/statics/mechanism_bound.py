"""Upper bounds of a vault: its profiles cut from the surface, and the least mechanism of each kind.

Levels come from the vault's own heights plumb over the plan, weights from the depth of masonry
there; nothing is taken from the net.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_bound import BlockMechanism, block_bound
from timbrel.statics.blocks_loads import stands
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_dome import DomeMechanism, dome_bound
from timbrel.statics.mechanism_rib import ribs
from timbrel.statics.mechanism_surface import (
    Array,
    Profile,
    SurfaceMechanism,
    arch_factor,
    lunes,
    outside,
)
from timbrel.statics.mechanism_webs import WebMechanism, web_mechanism
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.placed import placed_loads
from timbrel.statics.rim import rim_weight
from timbrel.words import Message, say

FINE = 96  # slices along a profile
ACROSS = 20  # points across it
HALVINGS = 24
RIDGE_EDGE = 1e-6
NEAR = 1.06  # times what is known to be carried
SQUARE = 1e-4  # m, by which corners may miss a rectangle
BLOCKS = say(
    "The least motion of rigid blocks cut square to the faces, its work summed again from the motion "
    "alone."
)
CRUSHING = say(
    "The least motion of blocks cut square to the faces, which crush at the strength stated where "
    "they shut; its work summed again from the motion alone."
)
ALL_OVER = say(
    "The dome opens and crushes all over, at the strength stated: the least motion told by smooth "
    "curves, its work summed again in space."
)
LOCKED = say(
    "Rigid blocks cut square to the faces are locked: in no motion of theirs does this load sink. "
    "Crushing, or a crack along the beds, would have to come first."
)
PLACED = say(
    "Sleeper walls, hooks and loads placed in plan are not weighed by the mechanisms, so they bound "
    "nothing here."
)
OPENED = say(
    "The mechanisms that are tried know no openings; a shell without them would bear more."
)
WEBS = say(
    "The webs part at the valleys and turn about level lines, at the foot, the haunch and the crown; "
    "the work is summed again from the motion alone. It bounds masonry that may crack any way."
)
LUNES = say(
    "Lunes part along lines from the middle and turn about level rings; the work is summed again from "
    "the motion alone. It bounds masonry that may crack any way."
)
RIB = say(
    "A strip along the free edge, parted by an upright crack, turns on four hinges: it bounds masonry "
    "whose joints hold by friction up to a coefficient of 1."
)
RIB_CRUSHING = say(
    "A strip along the free edge, parted by an upright crack, turns on four hinges, past which it "
    "crushes at the strength stated: it bounds masonry whose joints hold by friction up to a "
    "coefficient of 1."
)


@dataclass(frozen=True)
class UpperBound:
    """The least mechanism of a pattern, or why there is none."""

    mechanism: SurfaceMechanism | BlockMechanism | WebMechanism | DomeMechanism | None
    reason: Message

    @property
    def factor(self) -> float | None:
        return None if self.mechanism is None else self.mechanism.factor

    @property
    def crushes(self) -> bool:
        """Does it count on the strength of the masonry."""
        if isinstance(self.mechanism, DomeMechanism):
            return True
        if isinstance(self.mechanism, BlockMechanism | SurfaceMechanism):
            return self.mechanism.crushes
        return False


def upper_bound(
    job: Job, vault: Any, pattern: str, lower: float = 0.0, *, thorough: bool = True
) -> UpperBound:
    """The least load factor of a pattern over the mechanisms that this vault allows.

    lower: what is known to be carried; blocks are not asked when a simpler mechanism lies so near
    it that they could add little, nor unless the bound is to be thorough. Barrels and flights fail
    along generators of their own radial joints: see the strip's bound.
    """
    if pattern.startswith(("loads.", "hooks.")) or unknown_to_mechanisms(job):
        return UpperBound(None, PLACED)
    if job.openings:
        return UpperBound(None, OPENED)
    simple = _simple_bound(job, vault, pattern)
    if simple.factor is not None and simple.factor <= NEAR * lower:
        return simple
    if vault.family == "dome":
        dome = dome_bound(job, vault, pattern)
        if dome is not None and (simple.factor is None or dome.factor < simple.factor):
            simple = UpperBound(dome, ALL_OVER)
        thorough = thorough and dome is None
    return _with_blocks(job, vault, pattern, simple) if thorough else simple


def _with_blocks(job: Job, vault: Any, pattern: str, simple: UpperBound) -> UpperBound:
    """The same, or what rigid blocks tell where that is less."""
    blocks = block_bound(job, vault, pattern)
    found = blocks.mechanism
    if found is not None and (simple.factor is None or found.factor < simple.factor):
        return UpperBound(found, CRUSHING if found.crushes else BLOCKS)
    if simple.mechanism is None and blocks.outcome == "locked":
        return UpperBound(None, LOCKED)
    return simple


def unknown_to_mechanisms(job: Job) -> bool:
    """Does something stand on the vault for good that mechanisms do not weigh."""
    stays = any(load.permanent for load in (*(p for _, p in placed_loads(job.loads)), *job.hooks))
    return stays or job.loads.fill.kind == "sleeper walls"


def _simple_bound(job: Job, vault: Any, pattern: str) -> UpperBound:
    """Of generators, ribs, webs and lunes."""
    webs = web_mechanism(job, vault, pattern)
    free = _free_edges(vault)
    if not any(free.values()):
        if webs is None:
            return UpperBound(
                None, say("Every edge is carried, and none of the mechanisms tried applies.")
            )
        return UpperBound(webs, LUNES if webs.kind == "lunes" else WEBS)
    found: list[SurfaceMechanism | WebMechanism] = [
        m for m in _arches(job, vault, pattern, free) if np.isfinite(m.factor)
    ]
    if webs is not None:
        found.append(webs)
    if not found:
        return UpperBound(None, say("No mechanism was found that lets this load sink."))
    best = min(found, key=lambda m: m.factor)
    if best.kind == "edge rib":
        return UpperBound(best, RIB_CRUSHING if best.crushes else RIB)
    return UpperBound(best, say("The least of all mechanisms tried."))


def _free_edges(vault: Any) -> dict[str, bool]:
    """Which sides of the plan are free to part from what stands there."""
    family, room = vault.family, vault.room
    if family in ("barrel", "flight"):
        return {"near": True, "far": True, "left": False, "right": False}
    if vault.on_corners:
        return dict.fromkeys(("near", "far", "left", "right"), True)
    near, far = (getattr(room, name, "wall") == "free" for name in ("near_end", "far_end"))
    if family == "sail":
        return {"near": near, "far": far, "left": False, "right": False}
    return dict.fromkeys(("near", "far", "left", "right"), False)


def _arches(job: Job, vault: Any, pattern: str, free: dict[str, bool]) -> list[SurfaceMechanism]:
    """Four hinges over the whole width, each way of a square-cornered plan; ribs at free edges."""
    weights = Weights(job, vault)
    found = ribs(job, vault, pattern, free, weights)
    corners = np.asarray(vault.room.corners)[:, :2]
    lows, highs = corners.min(axis=0), corners.max(axis=0)
    gone = np.abs(corners - np.where(corners < (lows + highs) / 2, lows, highs))
    if gone.max() > SQUARE:
        return found
    imposed, _ = imposed_load(job.loads)
    for axis, first, last in ((0, "near", "far"), (1, "left", "right")):
        if not (free[first] and free[last]):
            continue
        best = arch_factor(_section(weights, pattern, imposed, axis, (lows, highs)))
        if best is not None:
            factor, at, tops = best
            hinges = tuple(float(x) for x in at)
            strip = (float(lows[1 - axis]), float(highs[1 - axis]))
            along = np.eye(2)[axis]
            found.append(
                SurfaceMechanism("generators", factor, hinges, tops, np.zeros(2), along, strip)
            )
    return found


def _section(
    weights: Weights, pattern: str, imposed: float, axis: int, bounds: tuple[Array, Array]
) -> Profile:
    """Highest and lowest masonry across the plan, and weights, along one way of it."""
    lows, highs = bounds
    across = 1 - axis
    ends = np.linspace(lows[axis], highs[axis], FINE + 1)
    side = np.linspace(lows[across], highs[across], ACROSS + 1)
    inset = RIDGE_EDGE * (highs - lows)

    def plan(along: Array, over: Array) -> tuple[Array, Array]:
        a, b = np.meshgrid(along, over, indexing="ij")
        return (a, b) if axis == 0 else (b, a)

    foot, top = weights.faces(
        *plan(
            np.clip(ends, lows[axis] + inset[axis], highs[axis] - inset[axis]),
            np.clip(side, lows[across] + inset[across], highs[across] - inset[across]),
        )
    )
    x, y = plan((ends[1:] + ends[:-1]) / 2, (side[1:] + side[:-1]) / 2)
    piece = (ends[1] - ends[0]) * (side[1] - side[0])
    plan_at = np.stack([x.ravel(), y.ravel()], axis=1)
    under = stands(pattern, plan_at, lows, highs, (lows + highs) / 2).reshape(x.shape)
    live = imposed * under * piece
    dead = (weights.dead(x, y) * piece).sum(axis=1)
    highest, lowest = np.nanmax(outside(top), axis=1), np.nanmin(foot, axis=1)
    return Profile(ends, highest, lowest, dead, live.sum(axis=1))


def _dome_profile(job: Job, vault: Any, share: float) -> Profile:
    """Faces and weights of the whole dome by the radius, the imposed load everywhere."""
    weights = Weights(job, vault, share)
    imposed, _ = imposed_load(job.loads)
    radius = vault.base.span / 2 - abs(vault.shift)
    low = vault.oculus / 2
    ends = np.linspace(low, radius, FINE + 1)
    inset = RIDGE_EDGE * radius
    at = np.clip(ends, low + inset, radius - inset)
    centre = np.asarray(vault.centre[:2])
    foot, top = weights.faces(centre[0] + at, np.full_like(at, centre[1]))
    middles = (ends[1:] + ends[:-1]) / 2
    ring = np.pi * np.diff(ends**2)
    x, y = centre[0] + middles, np.full_like(middles, centre[1])
    dead = weights.dead(x, y) * ring
    dead[0] += rim_weight(job)
    return Profile(ends, outside(_filled(top)), _filled(foot), dead, imposed * ring)


def _filled(level: Array) -> Array:
    """Levels at places just beyond a face take the nearest one."""
    good = np.isfinite(level)
    at = np.arange(len(level))
    return np.asarray(np.interp(at, at[good], level[good]))


def least_share_of_dome(job: Job, vault: Any) -> float:
    """Share of the thickness at which lunes just begin to fall under the dead load: no dome thinner
    about the same middle stands."""
    low, high = 1e-3, 1.0
    if lunes(_dome_profile(job, vault, high))[1] > 0:
        return high
    for _ in range(HALVINGS):
        share = (low + high) / 2
        falls = lunes(_dome_profile(job, vault, share))[1] > 0
        low, high = (share, high) if falls else (low, share)
    return high
