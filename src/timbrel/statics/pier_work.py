"""What every combination comes to in one pier: each clause at the bed and the push that govern it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.statics.combinations import Situation
from timbrel.statics.cracked_pier import (
    PierDescent,
    PierLoads,
    descend_pier,
    inward_factor,
    pier_factor,
    rigid_factor,
)
from timbrel.statics.floor import GRAVITY
from timbrel.statics.pier_en1996 import PierReduction, pier_resistance
from timbrel.statics.pier_shape import PierShape
from timbrel.statics.piers import pier_loads
from timbrel.statics.strip import Array
from timbrel.statics.wall_en1996 import Strength, bed_shear_strength


def _nothing() -> Array:
    return np.zeros(2)


@dataclass(frozen=True)
class PierPush:
    """A combination at one pier. key, situation: its own. dead: its factor on the pier's weight.
    force: (3,) N of the vault, factored, beside what ties take. couple: (2,) N m of the level
    forces about the springing. bound: least or greatest thrust. tied: N of level push that ties
    take. sway: (2,) level push of the pier's own weight, as a share of it."""

    key: str
    situation: Situation
    dead: float
    force: Array
    couple: Array = field(default_factory=_nothing)
    bound: str = "least"
    tied: float = 0.0
    sway: Array = field(default_factory=_nothing)

    @property
    def level(self) -> float:
        return float(np.hypot(*self.force[:2]))


@dataclass(frozen=True)
class PierBed:
    """A bed under the push that governs it. push: key of the combination. depth: under the
    springing, m. normal: N. at: (2,) of the resultant from the middle of the shaft, m. area: that is
    counted on, m2. use: share of the resistance used. level: force along the bed, N."""

    push: str
    bound: str
    depth: float
    normal: float
    at: Array
    area: float
    use: float
    level: float


@dataclass(frozen=True)
class PierGround:
    """The footing under a push. sizes: (2,) of the footing along x and y. normal: N, its own weight
    in it. away: (2,) of the load from its middle, m. area: that bears, m2. pressure: N/m2. sliding:
    friction over push. level: push, N."""

    push: str
    bound: str
    sizes: Array
    normal: float
    away: Array
    area: float
    pressure: float
    sliding: float
    level: float


class PierWork:
    """One pier followed down under its pushes."""

    def __init__(
        self, job: Job, wall: Wall, corner: str, shape: PierShape, pushes: tuple[PierPush, ...]
    ) -> None:
        self.national, self.wall, self.corner, self.shape = job.loads.national, wall, corner, shape
        self.ultimate = [p for p in pushes if p.situation in ("STR", "accidental")]
        self.static = [p for p in pushes if p.situation == "EQU"]
        self.service = [p for p in pushes if p.situation == "characteristic"]
        self.down = [descend_pier(shape, self.loads(p)) for p in self.ultimate]

    def loads(self, push: PierPush) -> PierLoads:
        return pier_loads(self.wall, self.corner, push.force, push.couple, push.dead, push.sway)

    def overturning(self) -> tuple[float, PierPush]:
        """Least multiple of a push that the cracked pier bears under EQU. Those that stand at the
        least so far are followed no further."""
        best, by = np.inf, self.static[0]
        for push in sorted(self.static, key=lambda p: rigid_factor(self.shape, self.loads(p))):
            factor = pier_factor(self.shape, self.loads(push), best)
            if factor < best:
                best, by = factor, push
        return best, by

    def inward(self) -> tuple[float, PierPush]:
        """Least multiple of what the vault puts down, its least push kept, that the cracked pier
        bears under EQU before it turns into the room."""
        least = [p for p in self.static if p.bound == "least"] or self.static
        best, by = np.inf, least[0]
        for push in sorted(least, key=lambda p: float(p.force[2])):
            factor = inward_factor(self.shape, self.loads(push), best)
            if factor < best:
                best, by = factor, push
        return best, by

    def opens(self) -> float | None:
        """Least depth under the springing where a bed opens under the characteristic loads."""
        found = []
        for push in self.service:
            down = descend_pier(self.shape, self.loads(push))
            pairs = zip(self.shape.beds, down.at, strict=True)
            open_ = np.flatnonzero([not float(bed.kern_use(at)) <= 1 for bed, at in pairs])
            if len(open_):
                found.append(float(down.depth[open_[0]]))
        return min(found, default=None)

    def crushing(self, strength: Strength) -> PierBed:
        """Block of stress about both middle lines, at every bed (6.1.1)."""
        found = []
        for push, down in zip(self.ultimate, self.down, strict=True):
            area = np.array([
                float(bed.block(at)) if np.isfinite(at).all() else 0.0
                for bed, at in zip(self.shape.beds, down.at, strict=True)
            ])  # fmt: skip
            with np.errstate(divide="ignore", invalid="ignore"):
                use = down.normal / (area * strength.design)
            found.append(self._worst(push, down, use, area))
        return max(found, key=lambda b: b.use)

    def shear(self, strength: Strength) -> PierBed:
        """Shear of every bed over its pressed part (6.2, 3.6.2(3))."""
        found = []
        for push, down in zip(self.ultimate, self.down, strict=True):
            with np.errstate(divide="ignore", invalid="ignore"):
                bears = bed_shear_strength(down.normal / down.pressed, strength, self.national)
                use = np.hypot(*down.level.T) * strength.factor / (bears * down.pressed)
            found.append(self._worst(push, down, use, down.pressed))
        return max(found, key=lambda b: b.use)

    def vertical(self, strength: Strength) -> tuple[PierReduction, PierPush]:
        """Vertical resistance at head, middle and base (6.1.2); the level that governs."""
        worst: tuple[PierReduction, PierPush] | None = None
        for push, down in zip(self.ultimate, self.down, strict=True):
            levels = pier_resistance(
                self.shape, down.normal, down.at, self.wall.masonry.head, strength, self.national
            )
            found = max(levels, key=lambda level: level.use)
            if worst is None or found.use > worst[0].use:
                worst = found, push
        assert worst is not None
        return worst

    def springer(self) -> tuple[float, PierPush]:
        """Greatest load down of the vault, N."""
        push = max(self.ultimate, key=lambda p: -float(p.force[2]))
        return -float(push.force[2]), push

    def ground(self) -> list[PierGround]:
        """The footing under every push: as much wider than the pier as that of the wall is than the
        wall. Even pressure on the part about the load (Meyerhof 1953); sliding on it."""
        data, wall = self.wall.ground, self.wall
        wider = 0.0
        if data.footing is not None and wall.thickness is not None:
            base = wall.thickness + max((s.out for s in wall.setoffs), default=0.0)
            wider = max(data.footing - base, 0.0)
        footing = self.shape.beds[-1].grown(wider / 2)
        found = []
        for push, down in zip(self.ultimate, self.down, strict=True):
            own = push.dead * data.density * GRAVITY * footing.area * data.depth
            total = float(down.normal[-1]) + own
            turning = down.normal[-1] * down.at[-1] + own * footing.middle
            turning = turning + down.level[-1] * data.depth + push.sway * own * data.depth / 2
            at = turning / total
            level = float(np.hypot(*(down.level[-1] + push.sway * own)))
            area = float(footing.block(at)) if np.isfinite(at).all() else 0.0
            found.append(
                PierGround(
                    push.key,
                    push.bound,
                    footing.sizes,
                    total,
                    at - footing.middle,
                    area,
                    total / area if area > 0 else np.inf,
                    data.friction * total / level if level > 0 else np.inf,
                    level,
                )
            )
        return found

    def _worst(self, push: PierPush, down: PierDescent, use: Array, area: Array) -> PierBed:
        """The bed of greatest use; a pier that falls bears nothing."""
        sure = np.where(np.isnan(use), np.inf, use)
        j = int(np.argmax(sure))
        return PierBed(
            push.key,
            push.bound,
            float(down.depth[j]),
            float(down.normal[j]),
            down.at[j],
            float(area[j]),
            np.inf if down.fallen else float(sure[j]),
            float(np.hypot(*down.level[j])),
        )
