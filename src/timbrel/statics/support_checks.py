"""One support under every combination: what it comes to, and its verdicts clause by clause."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.statics.block import block_area
from timbrel.statics.buttressed_wall import buttressed_resistance
from timbrel.statics.descent import Descent, descend, level_borne, overturning_factor
from timbrel.statics.footing import Bearing, footing_state
from timbrel.statics.pushes import Pushes
from timbrel.statics.slenderness import Slenderness, wall_slenderness
from timbrel.statics.support_verdicts import Governed, support_verdicts
from timbrel.statics.support_work import (
    BaseWork,
    BedWork,
    SupportWork,
    SwayWork,
    base_work,
    bed_work,
    ground_work,
    sway_work,
)
from timbrel.statics.supports import Profile
from timbrel.statics.wall_en1996 import (
    Strength,
    VerticalResistance,
    bed_shear_strength,
    springer_enhancement,
    vertical_resistance,
    wall_strength,
)
from timbrel.statics.walls import AnySide
from timbrel.verdict import Check


@dataclass(frozen=True)
class SupportAnswer:
    """A wall (with its buttresses) under every combination.

    Values are None where data are missing. overturning: multiple of the design thrust that the
    cracked support bears under EQU. opens: depth under the springing where it opens under the
    characteristic loads. crushing, vertical, shear, springer, bearing: share of the resistance
    used. ground_sliding: friction over push. work: the figures behind them. pier: is it the pier at
    the ends of a wall. governing: (m,) depth, normal force, distance of the resultant from the
    inner face and inner edge of the pressed part, under what governs overturning, for drawing. level:
    multiple of a level acceleration that the cracked support bears, its own push in it; None where the
    job asks for none.
    """

    side: AnySide
    thickness: float
    tributary: float
    strength: Strength | None
    slender: Slenderness
    overturning: Governed
    opens: float | None
    crushing: Governed | None
    vertical: Governed | None
    resistance: VerticalResistance | None
    shear: Governed | None
    springer: Governed | None
    enhancement: float
    bearing_width: float
    bearing: Governed | None
    ground_sliding: Governed
    base_eccentricity: Governed
    governing: tuple[tuple[float, float, float, float], ...]
    work: SupportWork
    checks: tuple[Check, ...]
    pier: bool = False
    level: Governed | None = None


def support_answer(
    job: Job,
    wall: Wall,
    side: AnySide,
    profile: Profile,
    pushes: Pushes,
    bearing_width: float,
    *,
    pier: bool = False,
) -> SupportAnswer:
    """Follow every combination down a support and judge it.

    bearing_width: of the springing on the wall, m. pier: the profile is that of a corner pier.
    """
    judged = _Judged(job, wall, side, profile, pushes, bearing_width)
    judged.pier = pier
    return judged.answer()


class _Judged:
    def __init__(
        self,
        job: Job,
        wall: Wall,
        side: AnySide,
        profile: Profile,
        pushes: Pushes,
        bearing_width: float,
    ) -> None:
        self.job, self.wall, self.side = job, wall, side
        self.profile, self.pushes = profile, pushes
        self.bearing_width = bearing_width
        self.pier = False
        self.national = job.loads.national
        self.strength = wall_strength(wall.masonry, self.national)
        self.slender = wall_slenderness(wall, profile)
        self.ultimate = pushes.of("STR", "accidental")
        self.under = descend(profile, pushes.picked(self.ultimate))
        self.service = descend(profile, pushes.picked(pushes.of("characteristic")))

    def answer(self) -> SupportAnswer:
        over, picture, base = self._overturning()
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
        crushing, crushed = self._crushing()
        shear, sheared = self._shear()
        springer, load = self._springer(beta)
        slides = int(np.argmin(ground.sliding))
        sliding = self._governed(float(ground.sliding[slides]), slides)
        bears = int(np.argmax(ground.pressure))
        push = self.pushes.picked(self.ultimate)
        borne, swaying = self._level()
        values = {
            "crushing": crushing,
            "vertical": vertical,
            "shear": shear,
            "springer": springer,
            "bearing": self._bearing(ground),
        }
        return SupportAnswer(
            self.side,
            float(self.profile.thickness[-1]),
            self.profile.tributary,
            self.strength,
            self.slender,
            over,
            crack,
            crushing,
            vertical,
            resistance,
            shear,
            springer,
            beta,
            self.bearing_width,
            values["bearing"],
            sliding,
            self._worst(np.abs(ground.eccentricity) / ground.width),
            picture,
            SupportWork(
                base,
                crushed,
                sheared,
                load,
                ground_work(self.profile, push, ground, bears),
                ground_work(self.profile, push, ground, slides),
                swaying,
            ),
            support_verdicts(
                self.job, self.side, self.slender, over, values, sliding, borne, pier=self.pier
            ),
            self.pier,
            borne,
        )

    # -- values --------------------------------------------------------------------------------

    def _governed(self, value: float, place: int) -> Governed:
        index = int(self.ultimate[place])
        return Governed(value, self.pushes.keys[index], self.pushes.bounds[index])

    def _worst(self, use: np.ndarray) -> Governed:
        place = int(np.argmax(use))
        return self._governed(float(use[place]), place)

    def _overturning(
        self,
    ) -> tuple[Governed, tuple[tuple[float, float, float, float], ...], BaseWork]:
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
        drawn = picture[:: max(len(picture) // 24, 1)]
        return found, drawn, base_work(self.profile, push, state, worst)

    def _level(self) -> tuple[Governed | None, SwayWork | None]:
        """The level acceleration that is borne least of, outward or inward. Those that lean furthest
        are asked: the others lean less."""
        every = self.pushes.rest
        if every.sway is None:
            return None, None
        found: list[tuple[float, int]] = []
        for outward in (True, False):
            places = np.flatnonzero(every.sway > 0 if outward else every.sway < 0)
            if not len(places):
                continue
            push = every.picked(places)
            state = descend(self.profile, push)
            leans = state.at[-1] if outward else -state.at.min(axis=0)
            leans = np.where(state.fallen, np.inf, leans)
            index = int(places[np.argmax(leans)])
            found.append((level_borne(self.profile, every, index), index))
        if not found:
            return None, None
        factor, index = min(found)
        by = Governed(factor, self.pushes.keys[index], self.pushes.bounds[index])
        one = every.only(index)
        return by, sway_work(self.profile, one, descend(self.profile, one))

    def _crushing(self) -> tuple[Governed | None, BedWork | None]:
        """Block of stress around the resultant at every bed."""
        if self.strength is None:
            return None, None
        d = self.under
        block = np.maximum(block_area(self.profile, d.at), 1e-9)
        return self._worst_bed(d.normal / (block * self.strength.design), block)

    def _worst_bed(self, use: np.ndarray, area: np.ndarray) -> tuple[Governed, BedWork]:
        """The thrust and the bed of greatest use (m, k); a support that falls bears nothing."""
        found = self._worst(np.where(self.under.fallen, np.inf, use.max(axis=0)))
        place = int(np.argmax(np.where(self.under.fallen, np.inf, use.max(axis=0))))
        return found, bed_work(self.under, use, area, place)

    def _resistance(self) -> VerticalResistance | None:
        """By clause 6.1.2; buttresses count by the block of stress over wall and buttress."""
        if self.strength is None:
            return None
        d = self.under
        beds = [0, len(d.depth) // 2, -1]
        T = self.profile.flange[beds][:, None]
        if self.wall.buttress is not None:
            outside = d.thickness[beds][:, None] + 1.0
            at = np.where(d.fallen, outside, d.at[beds])
            return buttressed_resistance(
                self.profile, d.normal[beds], at, self.slender, self.strength, self.national
            )
        solid = self.profile.width[beds][:, None] / self.profile.tributary
        normal = d.normal[beds] / self.profile.tributary / solid
        eccentricity = np.where(d.fallen, T, d.at[beds] - T / 2)
        height = float(d.depth[-1])
        return vertical_resistance(
            normal,
            eccentricity,
            T[:, 0],
            height,
            self.wall.masonry.head,
            self.strength,
            self.national,
        )

    def _shear(self) -> tuple[Governed | None, BedWork | None]:
        """Shear of every bed over its pressed part (6.2)."""
        if self.strength is None:
            return None, None
        d = self.under
        pressed = np.maximum(_pressed_area(self.profile, d), 1e-9)
        strengths = bed_shear_strength(d.normal / pressed, self.strength, self.national)
        use = d.shear * self.national.masonry / np.maximum(strengths * pressed, 1e-9)
        return self._worst_bed(use, pressed)

    def _springer(self, beta: float) -> tuple[Governed | None, float | None]:
        if self.strength is None:
            return None, None
        down = self.pushes.picked(self.ultimate).down
        use = self._worst(down / (beta * self.bearing_width * self.strength.design))
        return use, float(down.max())

    def _ground(self) -> Bearing:
        push = self.pushes.picked(self.ultimate)
        d, profile = self.under, self.profile
        at = np.where(d.fallen, profile.thickness[-1], d.at[-1])
        level, sway = d.level[-1], 0.0 if push.sway is None else push.sway
        return footing_state(self.wall.ground, profile, d.normal[-1], at, level, push.dead, sway)

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
    # A resultant near the inner face presses three times its distance, the outer part is open.
    inner = profile.width[:, None] * 3 * np.clip(d.at, 0.0, None)
    return np.asarray(np.where(d.at < T / 3, np.minimum(inner, flange + web), flange + web))
