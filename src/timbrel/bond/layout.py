"""What the bond is made of: tiles with names, courses, rods, laps and the cut list.

Flat coordinates of a layer are those of its development at the inner face of its tiles, where the
gauge rod lies and where the joints are least: X along the axis, Y along the arc from the left
springing (barrel). Corners in space lie on the middle surface of the layer.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from timbrel.verdict import Check
from timbrel.words import Message

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


class Piece(IntEnum):
    """What a tile is cut to: nothing, a half (across its length), anything else."""

    WHOLE = 0
    HALF = 1
    CUT = 2


@dataclass(frozen=True)
class Rod:
    """One gauge rod: marks from its start, one at the lower edge of each course or tile, in m.

    key: where it stands (``near``, ``far``, ``left``, ``right``, ``row whole``, ``row half``).
    title: the same in words. size: the tile's measure along the rod. joint: the gauged joint.
    marks: (n+1,) the near edge of each tile, and last the far edge of the last one.
    length: the whole length between the faces that the rod stands between.
    """

    key: str
    title: Message
    size: float
    joint: float
    marks: Floats
    length: float


@dataclass(frozen=True)
class Gauge:
    """The rods of one layer: one for each end wall (courses) and one for each kind of row."""

    rods: tuple[Rod, ...]

    def rod(self, key: str) -> Rod:
        """The rod of that key; KeyError when there is none."""
        for rod in self.rods:
            if rod.key == key:
                return rod
        raise KeyError(key)


@dataclass(frozen=True)
class LayerBond:
    """One layer, tile by tile, in the order of laying: course by course, each from its start.

    layer: from 1, the seen one. tile: its name in the job. direction: as the job states it. webs:
    letters of the vault's webs ("" for the only one).
    courses: how many. bed_joint, perpend_joint: gauged, means (m). joint_least, joint_most: the
    extremes met anywhere in the layer (m). names: "layer-course-number". web: (n,) which web of
    the vault the tile lies in (0 for one web). course, number: (n,) from 1. kind: (n,) of
    :class:`Piece`. arch: (n,) which arch (ring from springing to springing, one tile long along
    the axis) the tile belongs to; 0 is built first. points: (m, 2) flat corners, anticlockwise;
    start: (n+1,) where each tile begins in them. corners: (m, 3) the same corners in space, on the
    layer's middle surface. area: (n,) flat area (m2). length, width: (n,) mean measures along and
    across the course (m). solid: area left to springers and crown, where courses are shorter than
    the least closer (m2). facet: greatest sagitta of a flat tile on the curve (m). joints:
    (k, 2, 2) centre lines of the joints inside the layer as pairs of (u, v), joint_width (k,) how
    wide (m), joint_web (k,) their webs, joint_tile (k,) the tile that
    each follows.
    """

    layer: int
    tile: str
    direction: str
    courses: int
    bed_joint: float
    perpend_joint: float
    joint_least: float
    joint_most: float
    names: tuple[str, ...]
    webs: tuple[str, ...]
    web: Ints
    course: Ints
    number: Ints
    kind: Ints
    arch: Ints
    points: Floats
    start: Ints
    corners: Floats
    area: Floats
    length: Floats
    width: Floats
    solid: float
    facet: float
    gauge: Gauge
    joints: Floats
    joint_width: Floats
    joint_web: Ints
    joint_tile: Ints

    @property
    def count(self) -> int:
        """How many pieces."""
        return len(self.names)

    def polygon(self, i: int) -> Floats:
        """Flat corners of tile i: (k, 2)."""
        return self.points[self.start[i] : self.start[i + 1]]

    def solid_corners(self, i: int) -> Floats:
        """Corners of tile i in space, on the middle surface of the layer: (k, 3)."""
        return self.corners[self.start[i] : self.start[i + 1]]

    def number_of(self, kind: Piece) -> int:
        """How many pieces of one kind."""
        return int(np.count_nonzero(self.kind == kind))


@dataclass(frozen=True)
class Lap:
    """How two layers that lie on each other break their joints.

    lower, upper: layer numbers. reached: least distance between joints that run the same way (m);
    None when none do. wanted: the least that is asked for; aim: what good work aims at. tiles:
    names of the two tiles where it is least; where: that place in space (x, y, z).
    over_share: share of the length of the upper layer's joints that lies over a joint of the lower
    layer (crossings included). over_longest: longest run of joint over joint (m).
    """

    lower: int
    upper: int
    reached: float | None
    wanted: float
    aim: float
    tiles: tuple[str, ...]
    where: tuple[float, float, float] | None
    over_share: float
    over_longest: float


@dataclass(frozen=True)
class CutGroup:
    """Equal pieces to cut, to 1 mm.

    length, width: the rectangle that they are cut from (m). sides: lengths of the edges, going
    round (m, rounded to 1 mm; empty for rectangles). names: of the pieces.
    """

    layer: int
    tile: str
    kind: Piece
    length: float
    width: float
    sides: tuple[float, ...]
    names: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many equal pieces."""
        return len(self.names)


@dataclass(frozen=True)
class Pattern:
    """One way to saw a tile, and how many tiles are sawn so.

    groups: index of the group of each piece that comes out of it. times: how many tiles.
    """

    groups: tuple[int, ...]
    times: int


@dataclass(frozen=True)
class Nest:
    """Tiles of one kind to buy.

    whole: laid whole. sawn: tiles that are cut. patterns: how. bound: least number of tiles that
    any sawing could need, whole ones included. used = whole + sawn. breakage: tiles added for it.
    bought = used + breakage.
    """

    tile: str
    whole: int
    sawn: int
    patterns: tuple[Pattern, ...]
    bound: int
    breakage: int

    @property
    def used(self) -> int:
        """Whole tiles and sawn ones."""
        return self.whole + self.sawn

    @property
    def bought(self) -> int:
        """What is ordered."""
        return self.used + self.breakage


@dataclass(frozen=True)
class CutList:
    """Equal pieces grouped, and nested into whole tiles. kerf: width of the saw cut (m)."""

    groups: tuple[CutGroup, ...]
    nests: tuple[Nest, ...]
    kerf: float

    def nest(self, tile: str) -> Nest:
        """The nest of one kind of tile; KeyError when it is not used."""
        for nest in self.nests:
            if nest.tile == tile:
                return nest
        raise KeyError(tile)


@dataclass(frozen=True)
class TrimmedOpening:
    """An opening as it is built.

    number, name, use, round: as stated. plan: (k, 2) outline on plan; points: (k, 3) its corners
    on the intrados. along, across: clear size along the axis and on the curve (m). areas: of the
    opening in each layer (m2), from the seen one. ring: its layers of tiles, from the shell
    upward. ring_width: m. thickness: of shell and ring together (m). ring_area: of one ring layer
    (m2). mortar: of the ring, beds and joints (m3). kerb_length, kerb_volume: of its upstand
    (m, m3). bars: how many, bar_length: of each (m), bar: diameter, None for none. corner_lap:
    least distance of a ring perpend from a corner (m); None where it has no corners.
    """

    number: int
    name: str
    use: str
    round: bool
    plan: Floats
    points: Floats
    along: float
    across: float
    areas: tuple[float, ...]
    ring: tuple[LayerBond, ...]
    ring_width: float
    thickness: float
    ring_area: float
    mortar: float
    kerb_length: float
    kerb_volume: float
    bars: int
    bar_length: float
    bar: float | None
    corner_lap: float | None

    @property
    def tiles(self) -> int:
        """Ring tiles in all."""
        return sum(layer.count for layer in self.ring)


@dataclass(frozen=True)
class Bond:
    """All layers, the laps between them, what is cut, the openings, and the checks."""

    layers: tuple[LayerBond, ...]
    laps: tuple[Lap, ...]
    cuts: CutList
    checks: tuple[Check, ...]
    openings: tuple[TrimmedOpening, ...] = ()
