"""What acts on a strip of the vault: its own layers, what is laid on it, what walks over it.

Everything is per metre of strip, measured square to the section at a station of the vault, and
comes from the true section there: areas between the faces of each layer, columns of fill over the
extrados. The pressure of fill against the haunches is left out (it helps).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from timbrel.job.model import Fill, Job
from timbrel.statics.imposed import imposed_load
from timbrel.statics.strip import Array, Strip, StripLoad
from timbrel.words import TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

GRAVITY = 9.81
UNIT_WEIGHT = {"solid": 16e3, "light": 6e3}  # N/m3, common practice, no source
JOINTS_A_TILE = 4
PIECES = 4  # parts of a voussoir over which areas are summed
WALKED = 20  # places of the line load along the span
MOST_JOINTS = 600
CROWN_STATIONS = (0.0, 0.5, 1.0)

PatternKind = Literal["full", "half", "line"]


@dataclass(frozen=True)
class Pattern:
    """One arrangement of the imposed load; x is where a line load stands, m."""

    kind: PatternKind
    load: StripLoad
    x: float | None = None


@dataclass(frozen=True)
class StripActions:
    """The strip at a station and all that acts on it, unfactored.

    v: station. permanent: one load a cause. patterns: arrangements of the imposed load. top: level
    of the top of the fill, None without fill. imposed: N/m2. imposed_source: clause.
    """

    v: float
    strip: Strip
    permanent: tuple[StripLoad, ...]
    patterns: tuple[Pattern, ...]
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
    return actions_under(job, vault, v, top_of_fill(job, vault))


def actions_under(
    job: Job, vault: Barrel, v: float, top: float | None, joints: Array | None = None
) -> StripActions:
    """As :func:`actions`, with the level of the top of the fill (and the joints) found before."""
    u = joints_at(job, vault) if joints is None else joints
    section = _Section.of(vault, v, u)
    strip = Strip(
        section.intrados[::PIECES],
        section.extrados[::PIECES],
        job.masonry.friction,
        job.masonry.crushing,
    )
    permanent = [_layers(job, vault, section)]
    floor = _Floor(job, section.extrados, top)
    if top is not None:
        permanent.append(floor.fill())
    if job.loads.finish > 0:
        finish = job.loads.finish
        permanent.append(StripLoad("finish", say("Finish"), *floor.pressed(finish, *floor.whole)))
    imposed, source = imposed_load(job.loads)
    return StripActions(v, strip, tuple(permanent), floor.patterns(imposed), top, imposed, source)


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


def top_of_fill(job: Job, vault: Barrel) -> float | None:
    """Level of the top of the fill, one for the whole vault; None without fill."""
    fill = job.loads.fill
    if fill.kind == "none":
        return None
    if fill.level is not None:
        top = float(np.mean(vault.room.corners[:, 2])) + fill.level
    elif fill.to_crown_cover:
        crown = max(float(vault.section(v, vault.thickness)[:, 1].max()) for v in CROWN_STATIONS)
        top = crown + job.levels.crown_cover
    else:
        raise TimbrelError(
            say(
                "The fill is not brought up to the crown cover and has no level: give "
                "loads.fill.level, the height of its top over the springing chord."
            ),
            key="loads.fill.level",
        )
    limit = job.levels.top
    if limit is not None and top + job.levels.finish > limit + 1e-9:
        raise TimbrelError(
            say(
                "The fill stands up to {top:metres} and the finish needs {finish:length}, but the "
                "floor may not be higher than {limit:metres}: lower loads.fill.level, the crown "
                "cover or the rise.",
                top=top,
                finish=job.levels.finish,
                limit=limit,
            ),
            key="loads.fill.level",
        )
    return top


class _Floor:
    """What stands on the extrados of one section, by columns over it."""

    def __init__(self, job: Job, extrados: Array, top: float | None) -> None:
        self.loads = job.loads
        self.extrados = extrados
        self.outer = extrados[::PIECES]
        self.top = top
        self.whole = (float(extrados[0, 0]), float(extrados[-1, 0]))
        self.middle = (self.whole[0] + self.whole[1]) / 2
        self.walls = self._walls(job.loads.fill)

    def _walls(self, fill: Fill) -> Array:
        """(k, 2) left and right faces of the sleeper walls, set out from the crown."""
        if fill.kind != "sleeper walls":
            return np.zeros((0, 2))
        half = fill.sleeper_thickness / 2
        reach = (self.whole[1] - self.whole[0]) / 2 - half
        count = math.floor(reach / fill.sleeper_spacing)
        centres = self.middle + fill.sleeper_spacing * np.arange(-count, count + 1)
        return np.column_stack([centres - half, centres + half])

    def fill(self) -> StripLoad:
        """Weight of the fill, or of the sleeper walls, up to its top."""
        fill = self.loads.fill
        if fill.kind == "sleeper walls":
            weight = fill.sleeper_density * GRAVITY
            title = say("Sleeper walls")
            ranges = self.walls
        else:
            weight = fill.unit_weight or UNIT_WEIGHT[fill.kind]
            title = say("Fill over the haunches")
            ranges = np.array([self.whole])
        return StripLoad("fill", title, *self._columns(ranges, weight))

    def _columns(self, ranges: Array, unit_weight: float) -> tuple[Array, Array]:
        """Columns of material between the extrados and the top, inside ranges of x."""
        assert self.top is not None
        x = np.union1d(self.extrados[:, 0], ranges.ravel())
        x = x[(x >= self.whole[0]) & (x <= self.whole[1])]
        high = np.maximum(self.top - np.interp(x, self.extrados[:, 0], self.extrados[:, 1]), 0.0)
        middle, width = (x[1:] + x[:-1]) / 2, np.diff(x)
        inside = ((middle[:, None] > ranges[:, 0]) & (middle[:, None] < ranges[:, 1])).any(axis=1)
        weight = unit_weight * width * (high[1:] + high[:-1]) / 2 * inside
        lean = width * (high[1:] - high[:-1]) / 6 / np.maximum(high[1:] + high[:-1], 1e-12)
        return self._gather(middle + lean, weight, middle)

    def _gather(self, x: Array, weight: Array, owner: Array) -> tuple[Array, Array]:
        """Forces and points on voussoirs from weights at x, owned by the voussoir at `owner`."""
        n = len(self.outer) - 1
        which = np.clip(np.searchsorted(self.outer[:, 0], owner, side="right") - 1, 0, n - 1)
        total = np.bincount(which, weight, n)
        first = np.bincount(which, weight * x, n)
        middle = (self.outer[1:] + self.outer[:-1]) / 2
        at = middle.copy()
        loaded = total > 0
        at[loaded, 0] = first[loaded] / total[loaded]
        return np.column_stack([np.zeros(n), -total]), at

    def pressed(self, pressure: float, start: float, end: float) -> tuple[Array, Array]:
        """A pressure on plan between two x; with sleeper walls, each takes half a bay a side."""
        if len(self.walls):
            spacing = self.loads.fill.sleeper_spacing
            centre = self.walls.mean(axis=1)
            low = np.maximum(centre - spacing / 2, start)
            high = np.minimum(centre + spacing / 2, end)
            weight = pressure * np.maximum(high - low, 0.0)
            return self._spread(self.walls, weight)
        edges = np.union1d(self.outer[:, 0], [start, end])
        edges = edges[(edges >= start - 1e-12) & (edges <= end + 1e-12)]
        middle = (edges[1:] + edges[:-1]) / 2
        return self._gather(middle, pressure * np.diff(edges), middle)

    def _spread(self, ranges: Array, weight: Array) -> tuple[Array, Array]:
        """Weights spread evenly over ranges of x."""
        edges = np.union1d(self.outer[:, 0], ranges.ravel())
        middle, width = (edges[1:] + edges[:-1]) / 2, np.diff(edges)
        inside = (middle[:, None] > ranges[:, 0]) & (middle[:, None] < ranges[:, 1])
        density = inside @ (weight / (ranges[:, 1] - ranges[:, 0]))
        return self._gather(middle, density * width, middle)

    def patterns(self, imposed: float) -> tuple[Pattern, ...]:
        """Full, either half, and the line load walked across, as the job asks."""
        found: list[Pattern] = []
        left, right = self.whole
        if imposed > 0 and "full" in self.loads.patterns:
            load = StripLoad("full", say("Imposed, full span"), *self.pressed(imposed, left, right))
            found.append(Pattern("full", load))
        if imposed > 0 and "half" in self.loads.patterns:
            halves = (
                ("half.left", say("Imposed, left half"), (left, self.middle)),
                ("half.right", say("Imposed, right half"), (self.middle, right)),
            )
            for key, title, (start, end) in halves:
                load = StripLoad(key, title, *self.pressed(imposed, start, end))
                found.append(Pattern("half", load))
        if self.loads.line > 0 and "line" in self.loads.patterns:
            found += [self._line(i, x) for i, x in enumerate(self._walk())]
        return tuple(found)

    def _walk(self) -> Array:
        """Where the line load is set down: on each sleeper wall, or at even steps."""
        if len(self.walls):
            return np.asarray(self.walls.mean(axis=1))
        left, right = self.whole
        return left + (right - left) * (np.arange(WALKED) + 0.5) / WALKED

    def _line(self, index: int, x: float) -> Pattern:
        spot = np.array([x])
        force, at = self._gather(spot, np.array([self.loads.line]), spot)
        title = say("Line load {x:length} from the left springing", x=x)
        return Pattern("line", StripLoad(f"line.{index}", title, force, at), x)
