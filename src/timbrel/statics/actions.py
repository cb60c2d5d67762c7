"""What acts on a strip of the vault: its own layers, what is laid on it, what walks over it.

Everything is per metre of strip, measured square to the section at a station of the vault, and
comes from the true section there: areas between the faces of each layer, columns of fill over the
extrados. The pressure of fill against the haunches is left out (it helps).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.backed import Backed
from timbrel.statics.backing import backed
from timbrel.statics.floor import GRAVITY, FillLevels, Floor
from timbrel.statics.imposed import imposed_load
from timbrel.statics.others import Other, other_actions
from timbrel.statics.patterns import Pattern, imposed_patterns
from timbrel.statics.placed import placed_loads, placed_on_strip, refuse_off_plan
from timbrel.statics.strip import Array, Strip, StripLoad
from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

JOINTS_A_TILE = 4
PIECES = 4  # parts of a voussoir over which areas are summed
MOST_JOINTS = 600
CROWN_STATIONS = (0.0, 0.5, 1.0)


@dataclass(frozen=True)
class StripActions:
    """The strip at a station and all that acts on it, unfactored.

    v: station. permanent: one load a cause. patterns: arrangements of the imposed load. others:
    snow, wind, water, level pushes. top: level of the top of the fill, None without fill. imposed:
    N/m2. imposed_source: clause.
    """

    v: float
    strip: Strip
    permanent: tuple[StripLoad, ...]
    patterns: tuple[Pattern, ...]
    others: tuple[Other, ...]
    top: float | None
    imposed: float
    imposed_source: str

    @property
    def dead(self) -> Array:
        """(n, 3) wrenches of all permanent loads together."""
        return np.asarray(sum(load.wrench for load in self.permanent))

    @property
    def variable(self) -> Array:
        """(p, n, 3) wrenches of the patterns."""
        count = self.strip.voussoirs
        if not self.patterns:
            return np.zeros((0, count, 3))
        return np.stack([p.load.wrench for p in self.patterns])


def joints_at(job: Job, vault: Barrel) -> Array:
    """Shares of arc of the joints: at least four a tile of the smallest module."""
    smallest = math.inf
    for layer in job.layers:
        tile = job.tiles[layer.tile]
        size = {
            "along axis": tile.width,
            "along arc": tile.length,
            "diagonal": (tile.width + tile.length) / math.sqrt(2),
        }[layer.direction]
        smallest = min(smallest, size + layer.joint.best)
    arc = max(vault.near.length, vault.far.length)
    count = min(max(JOINTS_A_TILE * math.ceil(arc / smallest), 24), MOST_JOINTS)
    return np.linspace(0.0, 1.0, count + 1)


def actions(job: Job, vault: Barrel, v: float) -> StripActions:
    """The strip at station v (0 near, 1 far) with its permanent loads and patterns.

    Raises TimbrelError when the fill has no level, or stands over the floor.
    """
    refuse_off_plan(vault, job.loads)
    return actions_under(job, vault, v, fill_levels(job, vault))


def actions_under(
    job: Job, vault: Barrel, v: float, fill: FillLevels, joints: Array | None = None
) -> StripActions:
    """As :func:`actions`, with the levels of the fill (and the joints) found before."""
    u = joints_at(job, vault) if joints is None else joints
    loads = job.loads
    section = _Section.of(vault, v, u)
    behind = backed(job, vault, section.intrados, section.extrados, PIECES)
    strip = _strip(job, section, behind)
    floor = Floor(job, section.extrados, PIECES, fill, behind)
    permanent = [_layers(job, vault, section)]
    if behind is not None:
        permanent.append(behind.load)
    if fill.top is not None:
        permanent.append(floor.fill())
    if loads.finish > 0:
        finish = floor.pressed(loads.finish, *floor.whole)
        permanent.append(StripLoad("finish", say("Finish"), *finish))
    imposed, source = imposed_load(loads)
    patterns = list(imposed_patterns(loads, floor, imposed))
    for key, placed in placed_loads(loads):
        load = placed_on_strip(vault, v, floor, key, placed)
        if load is not None and placed.permanent:
            permanent.append(load)
        elif load is not None:
            patterns.append(Pattern("placed", load))
    others = other_actions(loads, strip, floor, tuple(permanent))
    return StripActions(
        v, strip, tuple(permanent), tuple(patterns), others, fill.top, imposed, source
    )


@dataclass(frozen=True)
class _Section:
    """Both faces of the shell at a station, (m, 2) each, PIECES points a voussoir."""

    intrados: Array
    extrados: Array
    thickness: float

    @classmethod
    def of(cls, vault: Barrel, v: float, u: Array) -> _Section:
        n = len(u) - 1
        fine = np.interp(np.arange(n * PIECES + 1) / PIECES, np.arange(n + 1), u)
        return cls(*vault.joints(v, fine), vault.thickness)

    def face(self, offset: float) -> Array:
        """The face at an offset from the intrados; joints are straight."""
        return self.intrados + (self.extrados - self.intrados) * (offset / self.thickness)

    def areas(self, low: float, high: float) -> Array:
        """(n, 3) area and first moments (x, z) of each voussoir between two offsets."""
        a, b = self.face(low), self.face(high)
        corners = np.stack([a[:-1], b[:-1], b[1:], a[1:]], axis=1)
        ahead = np.roll(corners, -1, axis=1)
        cross = corners[:, :, 0] * ahead[:, :, 1] - ahead[:, :, 0] * corners[:, :, 1]
        area = -cross.sum(axis=1) / 2
        moment = -((corners + ahead) * cross[:, :, None]).sum(axis=1) / 6
        parts = np.column_stack([area, moment]).reshape(-1, PIECES, 3)
        return np.asarray(parts.sum(axis=1))


def _strip(job: Job, section: _Section, behind: Backed | None) -> Strip:
    """The shell's joints, carried on through what backs them."""
    inner, outer = section.intrados[::PIECES], section.extrados[::PIECES]
    beyond = None
    if behind is not None:
        beyond = behind.beyond
        way = (outer - inner) / np.linalg.norm(outer - inner, axis=1)[:, None]
        outer = outer + way * beyond[:, None]
    return Strip(inner, outer, job.masonry.friction, job.masonry.crushing, beyond)


def _layers(job: Job, vault: Barrel, section: _Section) -> StripLoad:
    """Weight of tiles, joints and beds, each between its own faces."""
    sums = np.zeros(((len(section.intrados) - 1) // PIECES, 3))
    below = 0.0
    for place, layer in zip(vault.layers, job.layers, strict=True):
        if place.inner > below:
            bed = job.binders[layer.bed_binder or layer.binder].density
            sums += bed * section.areas(below, place.inner)
        tile = job.tiles[layer.tile]
        joint = layer.joint.best
        solid = tile.length * tile.width / ((tile.length + joint) * (tile.width + joint))
        density = solid * tile.density + (1 - solid) * job.binders[layer.binder].density
        sums += density * section.areas(place.inner, place.outer)
        below = place.outer
    mass, moment = sums[:, 0], sums[:, 1:]
    force = np.column_stack([np.zeros(len(mass)), -GRAVITY * mass])
    return StripLoad("layers", say("Tiles, joints and beds"), force, moment / mass[:, None])


def fill_levels(job: Job, vault: Barrel) -> FillLevels:
    """Level of the top of the fill and of its lifts.

    Raises TimbrelError when the fill has no level, or stands over the floor.
    """
    fill = job.loads.fill
    if fill.kind == "none":
        return FillLevels(None)
    chord = float(np.mean(np.asarray(vault.room.corners)[:, 2]))
    lifts = tuple(chord + lift.top for lift in fill.lifts)
    if lifts:
        top = lifts[-1]
        refuse_falling(lifts)
    elif fill.level is not None:
        top = chord + fill.level
    elif fill.to_crown_cover:
        top = _crown(vault) + job.levels.crown_cover
    else:
        raise TimbrelError(
            say(
                "The fill is not brought up to the crown cover and has no level: give "
                "loads.fill.level, the height of its top over the springing chord."
            ),
            key="loads.fill.level",
        )
    refuse_over_floor(job, top)
    return FillLevels(top, lifts)


def refuse_over_floor(job: Job, top: float) -> None:
    """Refuse a fill whose top (m) leaves the finish no room under the floor."""
    limit = job.levels.top
    if limit is not None and top + job.levels.finish > limit + 1e-9:
        raise TimbrelError(
            say(
                "levels.top is {limit:length}, but the fill stands up to {top:length} and the finish "
                "takes {finish:length}; accepted: levels.top from {least:length} up, or a lower "
                "loads.fill.level, levels.crown_cover or curve.rise.",
                limit=limit,
                top=top,
                finish=job.levels.finish,
                least=top + job.levels.finish,
            ),
            key="loads.fill.lifts" if job.loads.fill.lifts else "loads.fill.level",
        )


def top_of_fill(job: Job, vault: Barrel) -> float | None:
    """Level of the top of the fill, one for the whole vault; None without fill."""
    return fill_levels(job, vault).top


def _crown(vault: Barrel) -> float:
    """Highest level of the extrados."""
    sections = (vault.section(v, vault.thickness) for v in CROWN_STATIONS)
    return max(float(s[:, 1].max()) for s in sections)


def refuse_falling(lifts: tuple[float, ...]) -> None:
    for i, (below, above) in enumerate(pairwise(lifts)):
        if above <= below:
            raise TimbrelError(
                say(
                    "loads.fill.lifts.{number}.top is not over the lift under it; accepted: lifts "
                    "from the bottom up, each higher than the one before.",
                    number=i + 2,
                ),
                key=f"loads.fill.lifts.{i + 1}.top",
            )
