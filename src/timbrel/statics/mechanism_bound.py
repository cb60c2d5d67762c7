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
from timbrel.statics.imposed import imposed_load
from timbrel.statics.mechanism_surface import (
    Array,
    Kind,
    Profile,
    SurfaceMechanism,
    arch_factor,
    lunes,
    outside,
)
from timbrel.statics.mechanism_weights import Weights
from timbrel.statics.rim import rim_weight
from timbrel.words import Message, say

FINE = 96  # slices along a profile
ACROSS = 20  # points across it
STRIPS = (0.1, 0.2, 0.35, 0.5)  # shares of the width tried for a free edge strip
HALVINGS = 24
RIDGE_EDGE = 1e-6
BLOCKS = say(
    "The least motion of rigid blocks cut square to the faces, its work summed again from the motion "
    "alone."
)
LOCKED = say(
    "Rigid blocks cut square to the faces are locked: in no motion of theirs does this load sink. "
    "Crushing, or a crack along the beds, would have to come first."
)
RIB = say(
    "A rib along the free edge, parted by an upright crack, turns on four hinges: it bounds masonry "
    "whose joints hold by friction up to a coefficient of 1."
)


@dataclass(frozen=True)
class UpperBound:
    """The least mechanism of a pattern, or why there is none."""

    mechanism: SurfaceMechanism | BlockMechanism | None
    reason: Message

    @property
    def factor(self) -> float | None:
        return None if self.mechanism is None else self.mechanism.factor


def stands(pattern: str, x: Array, y: Array, low: Array, high: Array) -> Array:
    """Where (0 or 1) the imposed load of a pattern stands over a plan with these bounds."""
    middle = (low + high) / 2
    quarter = (high - low) / 8
    where = {
        "full": np.ones(x.shape, bool),
        "half.left": x < middle[0],
        "half.right": x >= middle[0],
        "half.near": y < middle[1],
        "half.far": y >= middle[1],
        "quarter": (x < middle[0]) & (y < middle[1]),
        "patch": (np.abs(x - middle[0]) < quarter[0]) & (np.abs(y - middle[1]) < quarter[1]),
    }
    return np.asarray(where[pattern], float)


def upper_bound(job: Job, vault: Any, pattern: str) -> UpperBound:
    """The least load factor of a pattern over the mechanisms that this vault allows.

    Barrels and flights fail along generators of their own radial joints: see the strip's bound.
    """
    simple = _simple_bound(job, vault, pattern)
    blocks = block_bound(job, vault, pattern)
    found = blocks.mechanism
    if found is not None and (simple.factor is None or found.factor < simple.factor):
        return UpperBound(found, BLOCKS)
    if simple.mechanism is None and blocks.outcome == "locked":
        return UpperBound(None, LOCKED)
    return simple


def _simple_bound(job: Job, vault: Any, pattern: str) -> UpperBound:
    """Of generators, strips, ribs and lunes."""
    if vault.family == "dome":
        if pattern not in ("full", "patch"):
            return UpperBound(
                None, say("Lunes fail all round at once; this load does not stand all round.")
            )
        return _dome_bound(job, vault, pattern)
    free = _free_edges(vault)
    if not any(free.values()):
        return UpperBound(
            None, say("Every edge is carried by a wall, and none of the mechanisms tried applies.")
        )
    found = [m for m in _arches(job, vault, pattern, free) if np.isfinite(m.factor)]
    if not found:
        return UpperBound(None, say("No mechanism was found that lets this load sink."))
    best = min(found, key=lambda m: m.factor)
    if best.kind == "edge rib":
        return UpperBound(best, RIB)
    return UpperBound(best, say("The least of all mechanisms tried."))


def _free_edges(vault: Any) -> dict[str, bool]:
    """Which sides of the plan are free to part from what stands there."""
    family, room = vault.family, vault.room
    if family in ("barrel", "flight"):
        return {"near": True, "far": True, "left": False, "right": False}
    if family == "groin":
        return dict.fromkeys(("near", "far", "left", "right"), True)
    near, far = (getattr(room, name, "wall") == "free" for name in ("near_end", "far_end"))
    if family == "sail":
        return {"near": near, "far": far, "left": False, "right": False}
    return dict.fromkeys(("near", "far", "left", "right"), False)


def _arches(job: Job, vault: Any, pattern: str, free: dict[str, bool]) -> list[SurfaceMechanism]:
    """Four hinges over the whole width, and over strips beside free edges, each way."""
    weights = Weights(job, vault)
    corners = np.asarray(vault.room.corners)[:, :2]
    imposed, _ = imposed_load(job.loads)
    found = []
    for axis, first, last in ((0, "near", "far"), (1, "left", "right")):
        across = 1 - axis
        lows, highs = np.sort(corners, axis=0)[1], np.sort(corners, axis=0)[2]
        sheet = _sheet(weights, pattern, imposed, axis, (lows, highs))
        strips: list[tuple[Kind, float, float]] = []
        if free[first] and free[last]:
            strips.append(("generators", 0.0, 1.0))
        for edge, from_end in ((first, False), (last, True)):
            if free[edge]:
                strips += [
                    ("edge strip", 1 - share, 1.0) if from_end else ("edge strip", 0.0, share)
                    for share in STRIPS
                ]
        ribs = {end: sheet.rib(end) for edge, end in ((first, 0.0), (last, 1.0)) if free[edge]}
        strips += [("edge rib", end, end) for end in ribs]
        for kind, a, b in strips:
            best = arch_factor(ribs[a] if kind == "edge rib" else sheet.strip(a, b))
            if best is None:
                continue
            factor, at, tops = best
            width = highs[across] - lows[across]
            found.append(
                SurfaceMechanism(
                    kind,
                    factor,
                    tuple(float(x) for x in at),
                    tops,
                    np.zeros(2),
                    np.eye(2)[axis],
                    (float(lows[across] + a * width), float(lows[across] + b * width)),
                )
            )
    return found


@dataclass(frozen=True)
class _Sheet:
    """Faces (k + 1, m + 1) at the crossings of a grid over the plan, weights (k, m) between.

    edge_dead: (k, 2) dead load right at both edges, N/m2.
    """

    ends: Array
    side: Array
    foot: Array
    top: Array
    dead: Array
    live: Array
    edge_dead: Array

    def strip(self, start: float, end: float) -> Profile:
        """The part between two shares of the width."""
        a, b = round(start * ACROSS), round(end * ACROSS)
        return Profile(
            self.ends,
            np.nanmax(self.top[:, a : b + 1], axis=1),
            np.nanmin(self.foot[:, a : b + 1], axis=1),
            self.dead[:, a:b].sum(axis=1),
            self.live[:, a:b].sum(axis=1),
        )

    def rib(self, end: float) -> Profile:
        """The vanishing strip at one edge (share 0 or 1 of the width): its loads on a metre."""
        at = 0 if end == 0.0 else -1
        width = self.side[1] - self.side[0]
        return Profile(
            self.ends,
            self.top[:, at],
            self.foot[:, at],
            self.edge_dead[:, at] * np.diff(self.ends),
            self.live[:, at] / width,
        )


def _sheet(
    weights: Weights, pattern: str, imposed: float, axis: int, bounds: tuple[Array, Array]
) -> _Sheet:
    """Faces and weights over the plan, along one way of it."""
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
    live = imposed * stands(pattern, x, y, lows, highs) * piece
    middles = (ends[1:] + ends[:-1]) / 2
    edge = weights.dead(*plan(middles, side[[0, -1]] + np.array([1.0, -1.0]) * inset[across]))
    return _Sheet(ends, side, foot, outside(top), weights.dead(x, y) * piece, live, edge)


def _dome_bound(job: Job, vault: Any, pattern: str) -> UpperBound:
    profile = _dome_profile(job, vault, pattern, 1.0)
    factor, _, at = lunes(profile)
    if not np.isfinite(factor):
        return UpperBound(None, say("No lunes were found that let this load sink."))
    mechanism = SurfaceMechanism(
        "lunes",
        factor,
        tuple(float(r) for r in at),
        (True, False, True),
        np.asarray(vault.centre[:2]),
        np.array([1.0, 0.0]),
        (0.0, 0.0),
    )
    return UpperBound(mechanism, say("The least of all lunes tried."))


def _dome_profile(job: Job, vault: Any, pattern: str, share: float) -> Profile:
    """Faces and weights of the whole dome by the radius."""
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
    live = imposed * ring
    if pattern == "patch":
        live = live * (middles < radius / 4)
    return Profile(ends, outside(_filled(top)), _filled(foot), dead, live)


def _filled(level: Array) -> Array:
    """Levels at places just beyond a face take the nearest one."""
    good = np.isfinite(level)
    at = np.arange(len(level))
    return np.asarray(np.interp(at, at[good], level[good]))


def least_share_of_dome(job: Job, vault: Any) -> float:
    """Share of the thickness at which lunes just begin to fall under the dead load: no dome thinner
    about the same middle stands."""
    low, high = 1e-3, 1.0
    if lunes(_dome_profile(job, vault, "full", high))[1] > 0:
        return high
    for _ in range(HALVINGS):
        share = (low + high) / 2
        falls = lunes(_dome_profile(job, vault, "full", share))[1] > 0
        low, high = (share, high) if falls else (low, share)
    return high
