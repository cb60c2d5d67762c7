"""What would help a support of a strip that does not do: side by side, with what each costs.

Each is the least of its kind with which no verdict on either support fails and the resultant stays
inside under every EQU combination: a thicker wall, buttresses, ties, a higher rise, a lighter fill.
Where the supports do as stated, each is one plain step more, to see what it would bring. Material
and money are what is added to the job as stated.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from timbrel.job.model import Job, Wall
from timbrel.job.supports import Backing
from timbrel.shape.levels import level_budget
from timbrel.shape.vault import shape_vault
from timbrel.statics.alternative import (
    DEEPEST,
    LEAST_BUTTRESS,
    LIGHT_FILL,
    MORE,
    RISES,
    STEP,
    THICKEST,
    TIE_SPACING,
    Alternative,
    as_stated,
    least_step,
    not_offered,
    priced,
)
from timbrel.statics.backing import backing_top
from timbrel.statics.bar_choice import DIAMETERS, fitting_bar
from timbrel.statics.carried_length import wall_length
from timbrel.statics.carrying import Carrying
from timbrel.statics.envelope import Envelope
from timbrel.statics.floor import GRAVITY
from timbrel.statics.other_fill import fill_title, lighter_fill
from timbrel.statics.proof import SIDES
from timbrel.statics.pushes import Pushes, gather
from timbrel.statics.raised import raised, raising
from timbrel.statics.standing import (
    COARSE,
    bearing_widths,
    equilibrium_rows,
    greatest_thrust,
    walls_stand,
    weight_of,
)
from timbrel.statics.support_checks import SupportAnswer, support_answer
from timbrel.statics.supports import wall_profile
from timbrel.statics.tie_checks import tie_span
from timbrel.statics.wall_changes import (
    buttress_title,
    buttressed,
    buttressing,
    every_wall,
    thickened,
    thickening,
    with_walls,
)
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.statics.walls import Side, missing_data, wall_frame
from timbrel.verdict import Verdict
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

HIGH = 0.3  # rise over span from which haunches are backed (common practice, no source)
BACKED = (0.3, 0.5, 0.7)


def alternatives(job: Job, vault: Barrel, carrying: Carrying) -> tuple[Alternative, ...]:
    """The job as stated and every way of helping, for walls whose sizes are known; else nothing."""
    if any(missing_data(getattr(job.walls, side), side) for side in SIDES):
        return ()
    asked = _Asked(job, vault, carrying)
    return (
        asked.stated(),
        asked.thicker(),
        asked.buttressed(),
        asked.tied(),
        asked.higher(),
        asked.lighter(),
        *asked.backed(),
    )


@dataclass(frozen=True)
class _Case:
    """A job with its vault and what its strip answers."""

    job: Job
    vault: Barrel
    every: Envelope


class _Asked:
    """Looks for the least of every kind, for one job."""

    def __init__(self, job: Job, vault: Barrel, carrying: Carrying) -> None:
        self.job, self.vault, self.v = job, vault, carrying.v
        self.every = carrying.envelope
        self.bearing = bearing_widths(job, vault, carrying.v)
        self.untied = with_walls(job, ties=None)
        self.now = self._stated(carrying)

    def _stated(self, carrying: Carrying) -> float | None:
        """The reserve that the load path found; None when any verdict on a support fails."""
        walls = [s for s in carrying.supports if not s.pier]
        failing = any(c.verdict is Verdict.FAILS for s in carrying.supports for c in s.checks)
        if failing or self.every.fallen or len(walls) < len(SIDES):
            return None
        return min(s.overturning.value for s in walls)

    def stated(self) -> Alternative:
        """The job as it is."""
        return as_stated(self.now, greatest_thrust(self.every))

    def thicker(self) -> Alternative:
        """Both walls thickened, as one leaf each; footings as much wider."""

        def change(thickness: float) -> _Case:
            return self._walled(every_wall(self.untied, lambda wall: thickened(wall, thickness)))

        start = min(_thickness(self.job, side) for side in SIDES)
        if self.now is not None:
            start = max(_thickness(self.job, side) for side in SIDES) + MORE
        start = math.ceil(start / STEP - 1e-9) * STEP
        size, reserve = self._least(change, start, THICKEST)
        masonry = 0.0
        if size is not None:
            masonry = sum(
                thickening(_wall(self.job, s), size, wall_length(self.vault, s)) for s in SIDES
            )
        return self._priced("thicker", say("Thicker walls"), size, reserve, masonry)

    def buttressed(self) -> Alternative:
        """Even buttresses on both walls, up to the springing."""

        def change(depth: float) -> _Case:
            return self._walled(every_wall(self.untied, lambda wall: buttressed(wall, depth)))

        size, reserve = self._least(change, LEAST_BUTTRESS, DEEPEST)
        masonry = 0.0
        if size is not None:
            masonry = sum(
                buttressing(_wall(self.job, s), size, wall_length(self.vault, s)) for s in SIDES
            )
        return self._priced("buttress", buttress_title(), size, reserve, masonry)

    def tied(self) -> Alternative:
        """Bars across the vault with plates at their ends, at the springing."""
        title = say("Ties at {spacing:length}, at the springing", spacing=TIE_SPACING)
        pushes: Pushes = gather(
            self.every, wall_frame(self.vault, self.v, "left"), None, self.job.loads.horizontal
        )
        spans = (self.vault.near.span, self.vault.far.span)
        strengths = [
            wall_strength(_wall(self.job, side).masonry, self.job.loads.national) for side in SIDES
        ]
        for diameter in DIAMETERS:
            made = fitting_bar(
                self.job,
                TIE_SPACING,
                diameter,
                design=float(pushes.push.level[pushes.of("STR", "accidental")].max(initial=0.0)),
                service=float(pushes.push.level[pushes.of("characteristic")].max(initial=0.0)),
                length=max(spans) + sum(_thickness(self.job, s) for s in SIDES),
                span=tie_span(self.job),
                rise=self.vault.near.rise,
                bears=min((s.design for s in strengths if s is not None), default=None),
            )
            if made is None:
                continue
            ties, found = made
            reserve = self._reserve(self._walled(with_walls(self.job, ties=ties)))
            if reserve is None:
                break
            count = math.ceil(self.vault.axis_length / TIE_SPACING) + 1
            return self._priced("tie", title, diameter, reserve, steel=count * found.mass)
        return self._priced("tie", title, None, None)

    def higher(self) -> Alternative:
        """The same curve with more rise, where the level budget lets it."""
        title = say("More rise")
        stated = self.job.curve.rise
        if stated is None:
            return not_offered("rise", title, say("the curve has no rise to choose"))
        for more in RISES:
            changed = raised(self.untied, more)
            try:
                vault = shape_vault(changed, self.vault.room)
                budget = level_budget(changed, vault)
                every = equilibrium_rows(changed, vault, self.v)
            except TimbrelError:
                continue
            if any(c.verdict is Verdict.FAILS for c in budget.checks):
                break
            reserve = self._reserve(_Case(changed, vault, every))
            if reserve is not None:
                thrust = greatest_thrust(every)
                return raising(self.job, self.vault, vault, stated * more, reserve, thrust)
        return priced(self.job.prices, "rise", title, None, None, None)

    def lighter(self) -> Alternative:
        """Light fill in the place of what is there."""
        changed = lighter_fill(self.untied)
        if changed is None:
            return not_offered("fill", fill_title(), say("there is no heavier fill to take out"))
        every = equilibrium_rows(changed, self.vault, self.v)
        reserve = self._reserve(_Case(changed, self.vault, every))
        size = None if reserve is None else LIGHT_FILL
        volume = weight_of(changed, self.vault, self.v, "fill") * GRAVITY / LIGHT_FILL
        material = say("{volume:volume} of light fill in the place of it", volume=volume)
        if reserve is None:
            material = say("will not do by itself")
        thrust = greatest_thrust(every)
        return Alternative("fill", fill_title(), size, reserve, thrust, material, 0.0, 0.0, None)

    def backed(self) -> tuple[Alternative, ...]:
        """Haunches of a high barrel backed with masonry, higher than they are; nothing else."""
        rise, fill = self.vault.near.rise, self.untied.loads.fill
        if self.vault.family != "barrel" or rise < HIGH * self.vault.near.span:
            return ()
        title = say("Haunches backed with masonry, to this height")
        now = backing_top(self.job, self.vault)
        stated = fill.backing or Backing.model_validate({})
        for share in BACKED:
            higher = stated.model_copy(update={"level": None, "share": share})
            loads = self.untied.loads.model_copy(
                update={"fill": fill.model_copy(update={"backing": higher})}
            )
            changed = self.untied.model_copy(update={"loads": loads})
            top = backing_top(changed, self.vault)
            if now is not None and (top is None or top <= now + STEP):
                continue
            every = equilibrium_rows(changed, self.vault, self.v)
            reserve = self._reserve(_Case(changed, self.vault, every))
            if reserve is not None:
                volume = weight_of(changed, self.vault, self.v, "backing") / stated.density
                price = self.job.prices.backing_m3
                return (
                    Alternative(
                        "backing", title, share * rise, reserve, greatest_thrust(every),
                        say("{volume:volume} of masonry", volume=volume), volume, 0.0,
                        None if price is None else price * volume,
                    ),
                )  # fmt: skip
        return (priced(self.job.prices, "backing", title, None, None, None),)

    # -- judging -------------------------------------------------------------------------------

    def _walled(self, job: Job) -> _Case:
        return _Case(job, self.vault, self.every)

    def _least(
        self, change: Callable[[float], _Case], low: float, high: float
    ) -> tuple[float | None, float | None]:
        """Least multiple of STEP from low up that does, and its reserve."""

        def stands(size: float) -> bool:
            case = change(size)
            return walls_stand(case.job, case.vault, self.v, case.every)

        return least_step(low, high, stands, lambda size: self._reserve(change(size)))

    def _reserve(self, case: _Case) -> float | None:
        """Least factor of both supports against overturning; None when any verdict fails."""
        if case.every.fallen:
            return None
        found: list[SupportAnswer] = []
        for side in SIDES:
            wall = _wall(case.job, side)
            profile = wall_profile(wall, side, wall_length(case.vault, side)).coarser(COARSE)
            frame = wall_frame(case.vault, self.v, side)
            share = case.job.loads.horizontal
            pushes = gather(case.every, frame, case.job.walls.ties, share)
            answer = support_answer(case.job, wall, side, profile, pushes, self.bearing[side])
            if any(c.verdict is Verdict.FAILS for c in answer.checks):
                return None
            found.append(answer)
        return min(answer.overturning.value for answer in found)

    def _priced(
        self,
        key: str,
        title: Message,
        size: float | None,
        reserve: float | None,
        masonry: float = 0.0,
        steel: float = 0.0,
    ) -> Alternative:
        """A change of the supports: the thrust stays."""
        thrust = greatest_thrust(self.every)
        return priced(self.job.prices, key, title, size, reserve, thrust, masonry, steel)


def _wall(job: Job, side: Side) -> Wall:
    wall: Wall = getattr(job.walls, side)
    return wall


def _thickness(job: Job, side: Side) -> float:
    return float(getattr(job.walls, side).thickness)
