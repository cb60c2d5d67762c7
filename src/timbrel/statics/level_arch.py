"""A wall as a flat arch lying level in its own thickness, which bears the push of a vault to its ends.

The straight tie along a wall cannot hold what pushes on the wall between its ends. The wall has to
bear that to the corners: as an arch whose thrust line starts at the tie, in the middle of the wall's
thickness, and runs up to its inner face half way, its block of stress N/(f_d b) deep (derived):

    N (T/2 - N/(2 f_d b)) = h L^2/8,    N = f_d b T/2 (1 - sqrt(1 - h L^2/(f_d b T^2)))

h the push on a metre, L the length between the corners, T the thickness, b the height of wall that
arches. There is no arch where h L^2 is over f_d b T^2.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from timbrel.job.model import Job, Wall
from timbrel.statics.ties import crown_drop
from timbrel.statics.wall_en1996 import wall_strength


@dataclass(frozen=True)
class LevelArch:
    """A wall that arches level. length, thickness, band: m. strength: design, N/m2. push: N/m.

    use: share of the greatest push that it bears, over 1 there is no arch. thrust: N, along the
    wall, infinite without an arch. rise: of its line, m.
    """

    length: float
    thickness: float
    band: float
    strength: float
    push: float

    @property
    def use(self) -> float:
        return self.push * self.length**2 / (self.strength * self.band * self.thickness**2)

    @property
    def thrust(self) -> float:
        if self.use > 1:
            return math.inf
        half = self.strength * self.band * self.thickness / 2
        return half * (1 - math.sqrt(1 - self.use))

    @property
    def rise(self) -> float:
        if self.use > 1:
            return 0.0
        return (self.thickness - self.thrust / (self.strength * self.band)) / 2


def frame_arch(job: Job, wall: Wall, length: float, push: float) -> LevelArch | str:
    """The level arch of a wall that stands inside a frame of ties, under a push (N a metre); or the
    key of what the job does not state of it.

    As high as the job says; else what goes up over the springing, as high as the wall is thick.
    """
    assert job.walls.ties is not None
    strength = wall_strength(wall.masonry, job.loads.national)
    if wall.thickness is None:
        return "thickness"
    if strength is None:
        return "masonry"
    band = job.walls.ties.band or min(wall.above, wall.thickness)
    if band <= 0:
        return "ties.band"
    return LevelArch(length, wall.thickness, band, strength.design, push)


def bow(arch: LevelArch, grown: float) -> float:
    """How far the middle of a level arch goes out when its ends move apart by `grown`, m: rigid
    halves about three hinges."""
    return crown_drop(arch.length, arch.rise, grown)
