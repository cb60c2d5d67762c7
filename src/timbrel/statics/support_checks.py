"""One support under every combination: what it comes to, and its verdicts clause by clause."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.statics.descent import Descent, descend, overturning_factor
from timbrel.statics.footing import Bearing, footing_state
from timbrel.statics.pushes import Pushes
from timbrel.statics.support_verdicts import Governed, support_verdicts
from timbrel.statics.supports import Profile
from timbrel.statics.wall_en1996 import (
    Strength,
    VerticalResistance,
    bed_shear_strength,
    springer_enhancement,
    vertical_resistance,
    wall_strength,
)
from timbrel.statics.walls import Side
from timbrel.verdict import Check


@dataclass(frozen=True)
class SupportAnswer:
    """A wall (with its buttresses) under every combination.

    Values are None where data are missing. overturning: multiple of the design thrust that the
    cracked support bears under EQU. opens: depth under the springing where it opens under the
    characteristic loads. crushing, vertical, shear, springer, bearing: share of the resistance
    used. ground_sliding: friction over push. governing: (m,) depth, normal force, distance of the
    resultant from the inner face and inner edge of the pressed part, under the combination that
    governs overturning, for drawing.
    """

    side: Side
    thickness: float
    tributary: float
    strength: Strength | None
    overturning: Governed
    opens: float | None
    crushing: Governed | None
    vertical: Governed | None
    resistance: VerticalResistance | None
    shear: Governed | None
    springer: Governed | None
    enhancement: float
    bearing: Governed | None
    ground_sliding: Governed
    base_eccentricity: Governed
    governing: tuple[tuple[float, float, float, float], ...]
    checks: tuple[Check, ...]


def support_answer(
    job: Job, wall: Wall, side: Side, profile: Profile, pushes: Pushes, bearing_width: float
) -> SupportAnswer:
    """Follow every combination down a support and judge it.

    bearing_width: of the springing on the wall, m.
    """
    judged = _Judged(job, wall, side, profile, pushes, bearing_width)
    return judged.answer()


class _Judged:
    def __init__(
        self,
        job: Job,
        wall: Wall,
        side: Side,
        profile: Profile,
        pushes: Pushes,
        bearing_width: float,
    ) -> None:
        self.job, self.wall, self.side = job, wall, side
        self.profile, self.pushes = profile, pushes
        self.bearing_width = bearing_width
        self.national = job.loads.national
        self.strength = wall_strength(wall.masonry, self.national)
        self.ultimate = pushes.of("STR", "accidental")
        self.under = descend(profile, pushes.picked(self.ultimate))
        self.service = descend(profile, pushes.picked(pushes.of("characteristic")))

    def answer(self) -> SupportAnswer:
        over, picture = self._overturning()
        opens = self.service.opens
        crack = None if np.isnan(opens).all() else float(np.nanmin(opens))
        resistance = self._resistance()
        vertical = None
        if resistance is not None:
            level, place = resistance.governs
            vertical = self._governed(float(getattr(resistance, level)[place]), place)
        beta = springer_enhancement(
            self.bearing_width,
            float(self.profile.flange[0]),
            0.0,
            float(self.profile.depth[-1]),
        )
        ground = self._ground()
        sliding = self._worst(-ground.sliding)
        values = {
            "crushing": self._crushing(),
            "vertical": vertical,
            "shear": self._shear(),
            "springer": self._springer(beta),
            "bearing": self._bearing(ground),
        }
        sliding = Governed(-sliding.value, sliding.combination, sliding.bound)
        eccentric = self._worst(np.abs(ground.eccentricity) / ground.width)
        return SupportAnswer(
            self.side,
            float(self.profile.thickness[-1]),
            self.profile.tributary,
            self.strength,
            over,
            crack,
            values["crushing"],
            vertical,
            resistance,
            values["shear"],
            values["springer"],
            beta,
            values["bearing"],
            sliding,
            eccentric,
            picture,
            support_verdicts(
                self.wall, self.side, self.strength is not None, over, values, sliding
            ),
        )

    # -- values --------------------------------------------------------------------------------

    def _governed(self, value: float, place: int) -> Governed:
        index = int(self.ultimate[place])
        return Governed(value, self.pushes.keys[index], self.pushes.bounds[index])

    def _worst(self, use: np.ndarray) -> Governed:
        place = int(np.argmax(use))
        return self._governed(float(use[place]), place)

    def _overturning(self) -> tuple[Governed, tuple[tuple[float, float, float, float], ...]]:
        """The combination whose resultant goes furthest out at the base, and its factor."""
        places = self.pushes.of("EQU")
        push = self.pushes.picked(places)
        state = descend(self.profile, push)
        reach = np.where(state.fallen, np.inf, state.at[-1])
        worst = int(np.argmax(reach))
        if np.isinf(reach[worst]):
            fallen = np.flatnonzero(state.fallen)
            worst = int(fallen[np.argmax(push.level[fallen])])
        factor = overturning_factor(self.profile, push, worst)
        index = int(places[worst])
        picture = tuple(
            (float(y), float(n), float(a), float(e))
            for y, n, a, e in zip(
                state.depth,
                state.normal[:, worst],
                state.at[:, worst],
                state.edge[:, worst],
                strict=True,
            )
        )
        found = Governed(factor, self.pushes.keys[index], self.pushes.bounds[index])
        return found, picture[:: max(len(picture) // 24, 1)]

    def _crushing(self) -> Governed | None:
        """Block of stress around the resultant, f_d over the width that stands there."""
        if self.strength is None:
            return None
        d = self.under
        T = d.thickness[:, None]
        arm = np.maximum(np.minimum(T - d.at, d.at), 1e-9)
        inner = np.minimum(2 * arm, T)
        width = np.where(
            (self.profile.web_width[:, None] > 0) & (d.at > self.profile.flange[:, None] / 2),
            np.maximum(self.profile.web_width[:, None], 1e-9),
            self.profile.width[:, None],
        )
        use = np.where(
            d.fallen, np.inf, np.max(d.normal / (inner * width * self.strength.design), axis=0)
        )
        return self._worst(use)

    def _resistance(self) -> VerticalResistance | None:
        """By clause 6.1.2, for walls without buttresses."""
        if self.strength is None or self.wall.buttress is not None:
            return None
        d = self.under
        T = float(self.profile.flange[0])
        beds = [0, len(d.depth) // 2, -1]
        solid = self.profile.width[beds][:, None] / self.profile.tributary
        normal = d.normal[beds] / self.profile.tributary / solid
        eccentricity = np.where(d.fallen, T, d.at[beds] - T / 2)
        height = float(d.depth[-1])
        return vertical_resistance(
            normal,
            eccentricity,
            T,
            height,
            self.wall.masonry.head,
            self.strength,
            self.national,
        )

    def _shear(self) -> Governed | None:
        """Shear of every bed over its pressed part (6.2)."""
        if self.strength is None:
            return None
        d = self.under
        pressed = np.maximum(_pressed_area(self.profile, d), 1e-9)
        stress = d.normal / pressed
        strengths = bed_shear_strength(stress, self.strength, self.national)
        use = np.where(
            d.fallen,
            np.inf,
            np.max(d.shear * self.national.masonry / (strengths * pressed), axis=0),
        )
        return self._worst(use)

    def _springer(self, beta: float) -> Governed | None:
        if self.strength is None:
            return None
        push = self.pushes.picked(self.ultimate)
        use = push.down / (beta * self.bearing_width * self.strength.design)
        return self._worst(use)

    def _ground(self) -> Bearing:
        push = self.pushes.picked(self.ultimate)
        d, profile = self.under, self.profile
        at = np.where(d.fallen, profile.thickness[-1], d.at[-1])
        level = push.level * profile.tributary
        return footing_state(self.wall.ground, profile, d.normal[-1], at, level, push.dead)

    def _bearing(self, ground: Bearing) -> Governed | None:
        limit = self.wall.ground.bearing
        return None if limit is None else self._worst(ground.pressure / limit)


def _pressed_area(profile: Profile, d: Descent) -> np.ndarray:
    """(m, k) area of every bed beyond the inner edge of its pressed part, m2."""
    T = profile.flange[:, None]
    flange = profile.width[:, None] * np.maximum(T - d.edge, 0.0)
    web = profile.web_width[:, None] * np.maximum(
        np.minimum(profile.web[:, None], T + profile.web[:, None] - d.edge), 0.0
    )
    return np.asarray(flange + web)
