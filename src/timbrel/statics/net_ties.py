"""Ties of a vault on a plan: what each holds, what they leave to walls and piers, what they cost.

From pier to pier of a groin, the push of each corner is taken apart along the two sides that meet
there (equilibrium); a tie holds on each side what both of its piers push alike, the rest stays with
the pier. Round the four walls of a cloister or a sail, each wall bears the push to its corners as a
level arch (:mod:`timbrel.statics.level_arch`); half of it arrives at either corner, with the thrust
of the arch along the wall, and is taken apart likewise. Across, a tie holds the push of its bay. Round
a dome the ring holds N = h r. Ties that go when the mortar has cured hold the dead load alone, and
walls and piers are judged as if there were none.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.job.sense_ties import layout_of
from timbrel.job.supports import Ties
from timbrel.shape.plan import SIDES
from timbrel.statics.combinations import Situation
from timbrel.statics.corner_ties import CORNERS, along_sides, corners_of, held_by_sides
from timbrel.statics.level_arch import LevelArch, bow, frame_arch
from timbrel.statics.net_supports import side_of, wall_at
from timbrel.statics.net_untied import untied_reserve
from timbrel.statics.piers import outer_face
from timbrel.statics.strip import Array
from timbrel.statics.tied_plan import NetRing, NetTie, NetTies, PushRow, weaker_strength
from timbrel.statics.ties import (
    STEEL_DENSITY,
    crown_drop,
    gross_area,
    net_resistance,
    section_of,
    tie_under,
)
from timbrel.statics.walls import wall_of

if TYPE_CHECKING:
    from timbrel.statics.net import Net


def net_ties(
    job: Job, vault: Any, net: Net, rows: tuple[PushRow, ...], *, lost: bool = True
) -> NetTies | None:
    """The ties of the job under every combination; None without ties or without a state.

    lost: say too what the masonry bears without them, which does not hang on their size.
    """
    ties = job.walls.ties
    if ties is None or not rows:
        return None
    tied = _Tied(job, ties, vault, net, rows)
    if not tied.known:
        return None
    answer = tied.answer()
    if not lost:
        return answer
    return replace(answer, alone=untied_reserve(job, vault, net, rows))


class _Tied:
    def __init__(
        self, job: Job, ties: Ties, vault: Any, net: Net, rows: tuple[PushRow, ...]
    ) -> None:
        self.job, self.ties, self.vault, self.net, self.rows = job, ties, vault, net, rows
        self.layout = layout_of(ties, job.curve)
        self.stated = (self.layout, section_of(ties), ties.stay, ties.warmer)
        self.lengths = {s.name: float(s.length.sum()) for s in net.grid.supports}
        springing = np.concatenate([s.nodes for s in net.grid.supports])
        level = net.grid.middle[:, 2]
        self.rise = float(level.max() - level[springing].mean())

    def answer(self) -> NetTies:
        if self.job.curve.family == "dome":
            return self._round_a_dome()
        corners = corners_of(self.vault)
        sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
        spans = (float(sides[[0, 2]].mean()), float(sides[[1, 3]].mean()))
        if self.layout == "across":
            return self._told(self._across(spans), (), "", spans)
        if self.job.curve.on_corners:
            held = self._held(self._at_piers)
            return self._told(self._on_sides(held, sides), (), "", spans)
        arches, lacking = self._arches()
        if lacking or any(arch.use > 1 for _, arch in arches):
            return NetTies(
                *self.stated,
                (),
                None,
                arches,
                lacking,
                False,
                spans,
                (0.0, 0.0),
                self.rise,
                (spans[0], 0.0),
                0.0,
            )
        held = self._held(self._at_corners)
        return self._told(self._on_sides(held, sides), arches, "", spans)

    @property
    def known(self) -> bool:
        """Has the vault a state under the combinations that a tie is made for."""
        return bool(self._ultimate() and self._service())

    def _ultimate(self) -> list[PushRow]:
        """The combinations whose force a tie is made for, least and greatest thrust."""
        return self._while_it_stays("STR", "accidental")

    def _service(self) -> list[PushRow]:
        """Those that stretch it: springings that move out bring the thrust down to the least."""
        return [r for r in self._while_it_stays("characteristic") if r.bound == "least"]

    def _while_it_stays(self, *situations: Situation) -> list[PushRow]:
        found = [r for r in self.rows if r.situation in situations]
        if self.ties.stay == "until cured":
            # Until the mortar has cured it holds the vault's own weight and nothing walks on it.
            found = [r for r in found if r.key.endswith("dead")]
        return found

    def _held(self, at: Callable[[PushRow], Array]) -> list[tuple[str, float, float]]:
        """Of each side: the combination that governs it, design and characteristic force, N."""
        ultimate = self._ultimate()
        design = np.array([at(r).max(axis=1) for r in ultimate])
        service = np.array([at(r).max(axis=1) for r in self._service()])
        return [
            (ultimate[int(design[:, k].argmax())].key, float(design[:, k].max()),
             float(service[:, k].max()))
            for k in range(4)
        ]  # fmt: skip

    def _at_piers(self, row: PushRow) -> Array:
        forces = np.array([row.of(c).total[:2] for c in CORNERS])
        return held_by_sides(corners_of(self.vault), forces)

    def _push(self, row: PushRow, side: str) -> float:
        force = row.of(side).force
        return 0.0 if force is None else force.level

    def _wall(self, side: str) -> Wall:
        return wall_of(self.job, side_of(side))

    def _arches(self) -> tuple[tuple[tuple[str, LevelArch], ...], str]:
        """The arch of every wall under its greatest push, and what the job lacks for them."""
        found = []
        for side in SIDES:
            push = max(self._push(r, side) for r in self.rows)
            arch = frame_arch(self.job, self._wall(side), self.lengths[side], push)
            if isinstance(arch, str):
                return (), arch if arch.startswith("ties") else f"{side}.{arch}"
            found.append((side, arch))
        return tuple(found), ""

    def _at_corners(self, row: PushRow) -> Array:
        """What each side holds: half of what pushes on the walls beside, and the arch's thrust."""
        corners = corners_of(self.vault)
        to_next, before = along_sides(corners)
        forces = np.zeros((4, 2))
        for k, side in enumerate(SIDES):
            push, length = self._push(row, side), self.lengths[side]
            arch = frame_arch(self.job, self._wall(side), length, push)
            assert isinstance(arch, LevelArch)
            out = np.array([to_next[k][1], -to_next[k][0]])
            for corner, inward in ((k, to_next[k]), ((k + 1) % 4, before[(k + 1) % 4])):
                forces[corner] += push * length / 2 * out - arch.thrust * inward
        return held_by_sides(corners, forces)

    def _on_sides(self, held: list[tuple[str, float, float]], sides: Array) -> tuple[NetTie, ...]:
        found = []
        for k, (key, force, service) in enumerate(held):
            name = CORNERS[k] + CORNERS[(k + 1) % 4]
            walls = (self._wall_at(k, 0), self._wall_at(k, 1))
            found.append(self._tie(name, walls, key, force, service, float(sides[k])))
        return tuple(found)

    def _wall_at(self, k: int, end: int) -> Wall:
        """What stands at an end of side k: the pier of that corner, or the wall that runs into it."""
        if self.job.curve.on_corners:
            return wall_at(self.job, CORNERS[(k + end) % 4])[0]
        return wall_of(self.job, side_of(SIDES[(k - 1 + 2 * end) % 4]))

    def _across(self, spans: tuple[float, float]) -> tuple[NetTie, ...]:
        assert self.ties.spacing is not None
        found = []
        for axis, (ends, span) in enumerate(
            zip((("left", "right"), ("near", "far")), spans, strict=True)
        ):
            pushed = [(max(self._push(r, s) for s in ends), r) for r in self._ultimate()]
            design, row = max(pushed, key=lambda found: found[0])
            service = max(self._push(r, s) for s in ends for r in self._service())
            walls = (wall_of(self.job, side_of(ends[0])), wall_of(self.job, side_of(ends[1])))
            each = self.ties.spacing
            found.append(self._tie("xy"[axis], walls, row.key, design * each, service * each, span))
        return tuple(found)

    def _tie(
        self,
        name: str,
        walls: tuple[Wall, Wall],
        key: str,
        force: float,
        service: float,
        span: float,
    ) -> NetTie:
        """Its plates stand on the outer faces of what it holds."""
        piers = self.job.curve.on_corners
        outer = sum((outer_face(w) if piers else w.thickness) or 0.0 for w in walls)
        answer = tie_under(
            self.ties,
            self.job.loads.national,
            force=force,
            service=service,
            length=span + outer,
            rise=self.rise,
        )
        return NetTie(name, weaker_strength(self.job, walls), key, answer)

    def _told(
        self,
        ties: tuple[NetTie, ...],
        arches: tuple[tuple[str, LevelArch], ...],
        lacking: str,
        spans: tuple[float, float],
    ) -> NetTies:
        """With what their stretch costs."""
        grown = {tie.name: tie.answer.spread for tie in ties}
        bowed = {side: bow(arch, self._along(side, grown)) for side, arch in arches}
        apart = (
            max(grown[n] for n in ("AB", "CD", "x") if n in grown)
            + bowed.get("left", 0.0) + bowed.get("right", 0.0),
            max(grown[n] for n in ("BC", "DA", "y") if n in grown)
            + bowed.get("near", 0.0) + bowed.get("far", 0.0),
        )  # fmt: skip
        diagonal = math.hypot(*spans)
        halves = (diagonal, math.hypot(spans[0] + apart[0], spans[1] + apart[1]) - diagonal)
        if self.job.curve.family == "cloister":
            halves = max(
                zip(spans, apart, strict=True),
                key=lambda way: crown_drop(way[0], self.rise, way[1]),
            )
        return NetTies(
            *self.stated,
            ties,
            None,
            arches,
            lacking,
            self.ties.stay == "for good",
            spans,
            apart,
            self.rise,
            halves,
            crown_drop(halves[0], self.rise, halves[1]),
        )

    def _along(self, side: str, grown: dict[str, float]) -> float:
        k = SIDES.index(side_of(side))
        return grown[CORNERS[k] + CORNERS[(k + 1) % 4]]

    def _round_a_dome(self) -> NetTies:
        """N = h r; the ring grows, and rigid halves from the springing to the rim sink with it."""
        ties, national = self.ties, self.job.loads.national
        radius = float(self.vault.rings(0.0).radius)
        ultimate = self._ultimate()
        row = max(ultimate, key=lambda r: self._push(r, "ring"))
        force = self._push(row, "ring") * radius
        service = max(self._push(r, "ring") for r in self._service()) * radius
        area = gross_area(ties)
        thin = (
            ties.diameter if ties.kind == "bar" else min(ties.width or 0.0, ties.thickness or 0.0)
        )
        assert thin is not None
        grown = (service / (ties.modulus * area) + ties.expansion * ties.warmer) * radius
        resistance = min(
            ties.yield_strength * area / national.steel, net_resistance(ties, national)
        )
        eye = self.job.curve.oculus / 2
        ring = NetRing(
            row.key,
            force,
            service,
            resistance,
            radius,
            force / radius / thin,
            grown,
            STEEL_DENSITY * area * 2 * math.pi * radius,
        )
        across = 2 * (radius - eye)
        return NetTies(
            *self.stated,
            (),
            ring,
            (),
            "",
            ties.stay == "for good",
            (2 * radius, 2 * radius),
            (2 * grown, 2 * grown),
            self.rise,
            (across, 2 * grown),
            crown_drop(across, self.rise, 2 * grown),
        )
