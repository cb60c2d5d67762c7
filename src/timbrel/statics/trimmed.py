"""Strips round an opening: the cut arches, the strips beside, and the loads that stand on them.

The arches that the opening cuts stand from their springing to its edge. There the trimmer takes
what they push and carries it, as a flat arch in the shell, to the strips at both ends of the
opening, half to each. A strip beside carries its own load and what it is handed on an effective
width: the ring and what spreads at 45 degrees from both corners, half of the opening's size across
(common practice, no source), never more than there is up to the end or half-way to the next
opening. Fill, finish and imposed load over the opening itself are not there; what stands on the
kerb (kerb, ring, cover, on a hatch the imposed load of its area) presses on its whole girth alike.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from timbrel.bond.layout import TrimmedOpening
from timbrel.job.model import Job
from timbrel.shape.opened import PlacedOpening, axis_between
from timbrel.statics.actions import StripActions, actions_under, joints_at
from timbrel.statics.floor import GRAVITY, FillLevels
from timbrel.statics.patterns import Pattern
from timbrel.statics.strip import Array, Strip
from timbrel.statics.trimmed_program import Loads3, TrimmedProgram
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

WALK = 3
"""Of a load that walks, each so-manieth place is tried."""
NEAR = 0.3
"""A joint nearer than this share of a step to an edge of the opening gives way to it."""


@dataclass(frozen=True)
class KerbLoad:
    """What stands on the girth of an opening, N/m: permanent and imposed; girth: m."""

    permanent: float
    imposed: float
    girth: float


@dataclass(frozen=True)
class Beside:
    """The strip on one side of an opening with the two arches that it cuts.

    side: ``near`` or ``far``. v: its station. width: effective (m); room: what there is (m).
    acts: of the strip beside; cut: of the arches, on the same joints. at: joints at the edges.
    """

    side: str
    title: Message
    v: float
    width: float
    room: float
    acts: StripActions
    cut: StripActions
    at: tuple[int, int]
    ratio: float
    kerb: KerbLoad

    @property
    def strips(self) -> tuple[Strip, Strip, Strip]:
        """The strip beside, the left arch, the right one."""
        a, b = self.at
        whole, cut = self.acts.strip, self.cut.strip
        return whole, part_of(cut, slice(None, a + 1)), part_of(cut, slice(b, None))

    def dead(self) -> Loads3:
        """All permanent loads."""
        return self._loads(self.acts.dead, self.cut.dead, self.kerb.permanent, (True, True, True))

    def pattern(self, index: int) -> Loads3:
        """One arrangement of the imposed load."""
        mine, theirs = self.acts.patterns[index], self.cut.patterns[index]
        kind = mine.kind
        if kind == "line":
            return self._walked(mine, theirs)
        whole = kind in ("full", "placed")
        left, right = mine.load.key == "half.left", mine.load.key == "half.right"
        on = (whole or left, whole or right, whole)
        load = self.kerb.imposed if kind != "placed" else 0.0
        return self._loads(mine.load.wrench, theirs.load.wrench, load, on)

    def _walked(self, mine: Pattern, theirs: Pattern) -> Loads3:
        """A line of load along the axis; over a hatch it bears on the strips beside alone."""
        a, b = self.at
        loads = self._loads(mine.load.wrench, theirs.load.wrench, 0.0, (False, False, False))
        if not self.kerb.imposed:
            return loads
        over = np.zeros(len(mine.load.wrench), dtype=bool)
        over[a:b] = True
        return Loads3(
            loads.beside * np.where(over, 1 + self.ratio, 1.0)[:, None], loads.left, loads.right
        )

    def _loads(self, beside: Array, cut: Array, kerb: float, on: tuple[bool, bool, bool]) -> Loads3:
        """Loads of the three strips; kerb: N/m on the left edge, the right edge, the sides."""
        a, b = self.at
        whole, left, right = beside.copy(), cut[:a].copy(), cut[b:].copy()
        outer, edge = self.acts.strip.shell_outer, self.cut.strip.shell_outer
        if kerb and on[0]:
            left[-1] += [0.0, -kerb, -kerb * edge[a, 0]]
        if kerb and on[1]:
            right[0] += [0.0, -kerb, -kerb * edge[b, 0]]
        if kerb:
            x = (outer[a:b, 0] + outer[a + 1 : b + 1, 0]) / 2
            middle = (outer[a, 0] + outer[b, 0]) / 2
            there = np.where(x < middle, on[0], on[1])
            weight = kerb / self.width * np.diff(outer[a : b + 1, 0]) * there
            whole[a:b] += np.column_stack([np.zeros_like(x), -weight, -weight * x])
        return Loads3(whole, left, right)

    def program(self, *variable: Loads3, share: float | None = None) -> TrimmedProgram:
        """The program of this side under the dead load and variable ones.

        share: of the thickness that is left, without crushing; None for all of it, with it.
        """
        strips = self.strips
        if share is not None:
            thin = [replace(strip.thinned(share), crushing=None) for strip in strips]
            strips = thin[0], thin[1], thin[2]
        return TrimmedProgram(*strips, self.at, self.ratio, self.dead(), variable)

    def tried(self) -> list[int]:
        """The patterns that are asked: all, and of a load that walks each third place."""
        found = [i for i, p in enumerate(self.acts.patterns) if p.kind not in ("line", "placed")]
        walked = [i for i, p in enumerate(self.acts.patterns) if p.kind == "line"]
        return [*found, *walked[::WALK]]


def part_of(strip: Strip, joints: slice) -> Strip:
    """Some neighbouring joints of a strip, as a strip."""
    backing = None if strip.backing is None else strip.backing[joints]
    return replace(strip, inner=strip.inner[joints], outer=strip.outer[joints], backing=backing)


def kerb_load(job: Job, opening: TrimmedOpening) -> KerbLoad:
    """What presses on the girth of an opening."""
    stated = job.openings[opening.number - 1]
    trimmer = stated.trimmer
    around = np.roll(opening.plan, -1, axis=0) - opening.plan
    girth = float(np.hypot(*around.T).sum())
    x, y = opening.plan.T
    area = float(abs(0.5 * np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))
    tile = job.tiles[opening.ring[0].tile]
    mortar = job.binders[job.layers[-1].binder]
    ring = tile.density * tile.thickness * sum(float(r.area.sum()) for r in opening.ring)
    ring += mortar.density * opening.mortar
    kerb = opening.kerb_volume * trimmer.kerb_density
    weight = (ring + kerb) * GRAVITY + stated.cover * area
    return KerbLoad(
        permanent=weight / girth + stated.line_load,
        imposed=0.0 if opening.use != "hatch" else area / girth,
        girth=girth,
    )


def sides_of(
    job: Job,
    vault: Barrel,
    placed: PlacedOpening,
    others: tuple[PlacedOpening, ...],
    opening: TrimmedOpening,
    top: FillLevels,
) -> tuple[Beside, Beside]:
    """The strips at the near and at the far side of an opening."""
    joints, at = joints_round(job, vault, placed)
    v = sum(placed.v) / 2
    cut = actions_under(job, vault, v, top, joints)
    kerb = kerb_load(job, opening)
    kerb = KerbLoad(kerb.permanent, kerb.imposed * cut.imposed, kerb.girth)
    made = []
    for side, title in (("near", say("near side")), ("far", say("far side"))):
        room = room_beside(vault, placed, others, side)
        width = min(placed.ring + placed.across / 2, room)
        edge = placed.v[0] if side == "near" else placed.v[1]
        away = width / 2 / vault.axis_length
        station = float(np.clip(edge - away if side == "near" else edge + away, 0.0, 1.0))
        acts = actions_under(job, vault, station, top, joints)
        ratio = placed.along / 2 / width
        made.append(Beside(side, title, station, width, room, acts, cut, at, ratio, kerb))
    return made[0], made[1]


def joints_round(job: Job, vault: Barrel, placed: PlacedOpening) -> tuple[Array, tuple[int, int]]:
    """Joints as elsewhere, with one at each edge of the opening; and which they are."""
    plain = joints_at(job, vault)
    step = plain[1] - plain[0]
    edges = np.array(placed.u)
    kept = plain[np.all(np.abs(plain[:, None] - edges) > NEAR * step, axis=1)]
    joints = np.sort(np.concatenate([kept, edges]))
    a, b = (int(np.argmin(np.abs(joints - edge))) for edge in edges)
    return joints, (a, b)


def room_beside(
    vault: Barrel, placed: PlacedOpening, others: tuple[PlacedOpening, ...], side: str
) -> float:
    """Shell beside an opening, up to the end or half-way to the next opening (m)."""
    u = placed.middle[0]
    near = side == "near"
    edge = placed.v[0] if near else placed.v[1]
    room = axis_between(vault, u, 0.0, edge) if near else axis_between(vault, u, edge, 1.0)
    for other in others:
        if other.number == placed.number or other.u[0] > placed.u[1] or other.u[1] < placed.u[0]:
            continue
        facing = other.v[1] if near else other.v[0]
        if (facing <= edge) if near else (facing >= edge):
            room = min(room, axis_between(vault, u, facing, edge) / 2)
    return room
