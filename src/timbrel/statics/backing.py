"""Masonry that backs the haunches: solid, in mortar, bonded to the vault, up to a level.

Every joint of the shell whose outer end lies under that level is carried on, straight, through the
backing: to its top, or to the face of the wall. Where the backing stands tight against a wall that
goes up over the springing, the joint runs on through the wall to its outer face or its head: the
thrust may leave the shell into the backing and the backing into the wall (safe theorem, Heyman
1966; cuts of a body of masonry may be laid anywhere in it). The wall's own weight is left out here:
it comes in with the support, and only presses the resultant inward.

Backing weighs where it lies: each voussoir carries what stands between its two joints. What lies
over the backing is borne by the voussoir whose joints meet the backing's top on either side of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.backed import Backed
from timbrel.statics.floor import GRAVITY
from timbrel.statics.strip import Array, StripLoad
from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.job.supports import Backing
    from timbrel.shape.vault import Barrel

FAR = 50.0  # beyond any wall, m
UPRIGHT = 1e-9
SIDES = ("left", "right")


def backing_top(job: Job, vault: Barrel) -> float | None:
    """Level of the top of the backing, one for the whole vault; None without backing.

    Raises TimbrelError when there is no vault to back at that level.
    """
    backing = job.loads.fill.backing
    if backing is None or vault.family != "barrel":
        return None
    chord = float(np.mean(np.asarray(vault.room.corners)[:, 2]))
    rise = min(vault.near.rise, vault.far.rise)
    up = backing.share * rise if backing.level is None else backing.level
    if up >= rise:
        raise TimbrelError(
            say(
                "loads.fill.backing stands {up:length} over the springing chord and the vault rises "
                "{rise:length}; accepted: a top under the crown.",
                up=up,
                rise=rise,
            ),
            key="loads.fill.backing.level",
        )
    return chord + up


def backed(job: Job, vault: Barrel, intrados: Array, extrados: Array, pieces: int) -> Backed | None:
    """The backing at a section. intrados, extrados: (m, 2), `pieces` points a voussoir.

    None without backing, or where it lies under the whole extrados.
    """
    top = backing_top(job, vault)
    stated = job.loads.fill.backing
    if top is None or stated is None:
        return None
    inner, outer = intrados[::pieces], extrados[::pieces]
    if not (outer[:, 1] < top).any():
        return None
    beyond = np.zeros(len(outer))
    crest = outer.copy()
    faces = (float(inner[0, 0]) - vault.behind[0], float(inner[-1, 0]) + vault.behind[1])
    middle = sum(faces) / 2
    walls = [
        _wall(job, side, float(inner[end, 1])) for side, end in zip(SIDES, (0, -1), strict=True)
    ]
    for i in np.flatnonzero(outer[:, 1] < top - UPRIGHT):
        right = bool(outer[i, 0] > middle)
        face, (thick, head) = faces[right], walls[right] if stated.against_walls else (0.0, top)
        way = (outer[i] - inner[i]) / np.linalg.norm(outer[i] - inner[i])
        beyond[i], crest[i, 0] = _carried_on(
            outer[i], way, -1.0 if right else 1.0, face, top, thick, head
        )
        crest[i, 1] = top
    return Backed(top, beyond, crest, _weight(stated, inner, extrados, pieces, top, faces))


def _wall(job: Job, side: str, springing: float) -> tuple[float, float]:
    """Thickness of the wall that the backing leans on, and level of its head; nothing of a wall
    whose thickness is not stated, or that steps back over the springing."""
    wall = getattr(job.walls, side)
    if wall.above_thickness is not None:
        return 0.0, springing + wall.above  # it steps back over the springing
    return (wall.thickness or 0.0, springing + wall.above)


def _carried_on(
    outer: Array, way: Array, inward: float, face: float, top: float, thick: float, head: float
) -> tuple[float, float]:
    """Length of a joint beyond its outer end, and x where what lies over the backing is parted.

    inward: 1 on the left, -1 on the right; from here on x counts from the face into the room.
    """
    x, z = float(outer[0] - face) * inward, float(outer[1])
    out, up = -float(way[0]) * inward, float(way[1])
    to_top = (top - z) / up if up > UPRIGHT else np.inf
    to_face = max(x, 0.0) / out if out > UPRIGHT else np.inf
    if to_top <= to_face:
        return to_top, face + inward * (x - to_top * out)
    parted = face + inward * min(x, 0.0)
    if thick <= 0 or z + to_face * up > head:
        return (to_face if x > 0 else 0.0), parted
    to_back = max(x + thick, 0.0) / out
    to_head = (head - z) / up if up > UPRIGHT else np.inf
    return max(min(to_back, to_head), 0.0), parted


def _weight(
    stated: Backing,
    inner: Array,
    extrados: Array,
    pieces: int,
    top: float,
    faces: Array | tuple[float, float],
) -> StripLoad:
    """Weight between each pair of joints, the extrados, the top and the faces of the walls."""
    outer = extrados[::pieces]
    way = outer - inner
    far = outer + FAR * way / np.linalg.norm(way, axis=1)[:, None]
    force = np.zeros((len(outer) - 1, 2))
    at = (outer[1:] + outer[:-1]) / 2
    for i in range(len(outer) - 1):
        foot = extrados[i * pieces : (i + 1) * pieces + 1]
        if foot[:, 1].min() >= top:
            continue
        ring = np.vstack([foot, far[i + 1], far[i]])
        for axis, sign, limit in ((1, 1.0, top), (0, -1.0, faces[0]), (0, 1.0, faces[1])):
            ring = _clipped(ring, axis, sign, limit)
        area, middle = _area(ring)
        force[i, 1] = -stated.density * GRAVITY * area
        if area > 0:
            at[i] = middle
    return StripLoad("backing", say("Backing of the haunches"), force, at)


def _clipped(ring: Array, axis: int, sign: float, limit: float) -> Array:
    """A polygon cut by sign * coordinate <= sign * limit."""
    if len(ring) == 0:
        return ring
    over = sign * (ring[:, axis] - limit)
    kept: list[Array] = []
    for i in range(len(ring)):
        j = (i + 1) % len(ring)
        if over[i] <= 0:
            kept.append(ring[i])
        if (over[i] <= 0) != (over[j] <= 0):
            share = over[i] / (over[i] - over[j])
            kept.append(ring[i] + share * (ring[j] - ring[i]))
    return np.array(kept).reshape(-1, 2)


def _area(ring: Array) -> tuple[float, Array]:
    """Area of a polygon and its middle."""
    if len(ring) < 3:
        return 0.0, np.zeros(2)
    base = ring[0]
    a = ring - base
    b = np.roll(a, -1, axis=0)
    cross = a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]
    area = float(cross.sum()) / 2
    if abs(area) < 1e-15:
        return 0.0, np.zeros(2)
    middle = ((a + b) * cross[:, None]).sum(axis=0) / (6 * area)
    return abs(area), base + middle
