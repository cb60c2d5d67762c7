"""What would help a support that does not do: side by side, with what each costs.

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

from timbrel.job.model import Job, Wall, Walls
from timbrel.job.supports import AnchorPlate, Backing, Buttress, Ties
from timbrel.shape.levels import level_budget
from timbrel.shape.vault import shape_vault
from timbrel.statics.backing import backing_top
from timbrel.statics.carried_length import wall_length
from timbrel.statics.carrying import Carrying
from timbrel.statics.envelope import Envelope
from timbrel.statics.floor import GRAVITY, UNIT_WEIGHT
from timbrel.statics.proof import SIDES
from timbrel.statics.pushes import Pushes, gather
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
from timbrel.statics.tie_checks import DROP_SHARE, PLATE_ENHANCEMENT, tie_span
from timbrel.statics.ties import TieAnswer, tie_answer
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.statics.walls import Side, missing_data, wall_frame
from timbrel.verdict import Verdict
from timbrel.words import Message, TimbrelError, say

if TYPE_CHECKING:
    from timbrel.shape.vault import Barrel

STEP = 0.05  # sizes are rounded up to this, m
THICKEST, DEEPEST = 2.5, 3.0
MORE = 0.10  # thickness added to a wall that does already, m
BUTTRESS = (0.45, 2.4)  # width and spacing, m (common practice, no source)
LEAST_BUTTRESS = 0.30
TIE_SPACING = 1.5
DIAMETERS = (0.012, 0.016, 0.020, 0.024, 0.030, 0.036, 0.042)
PLATES = (0.15, 0.20, 0.25, 0.30, 0.40)
PLATE_STEP = 0.005  # thicknesses of plate that are rolled, m
RISES = (1.1, 1.25, 1.5, 1.75, 2.0)
LIGHT_FILL = 6e3
HIGH = 0.3  # rise over span from which haunches are backed (common practice, no source)
BACKED = (0.3, 0.5, 0.7)


@dataclass(frozen=True)
class Alternative:
    """One way to help.

    key: stated, thicker, buttress, tie, rise, fill or backing. size: of it (m; N/m3 for fill), None
    when no size would do. reserve: the design push that both supports bear, cracked, over the push
    (EQU); None where it is not known, infinite without a push. thrust: greatest characteristic
    thrust with it, N/m. material: what is added. masonry: m3; steel: kg. cost: in the job's
    currency, None when its price is not stated.
    """

    key: str
    title: Message
    size: float | None
    reserve: float | None
    thrust: float | None
    material: Message
    masonry: float
    steel: float
    cost: float | None

    @property
    def serves(self) -> bool:
        return self.size is not None


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
        self.untied = _with_walls(job, ties=None)
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
        size = None if self.now is None else 0.0
        title = say("As stated")
        return Alternative(
            "stated",
            title,
            size,
            self.now,
            greatest_thrust(self.every),
            say("nothing"),
            0.0,
            0.0,
            0.0,
        )

    def thicker(self) -> Alternative:
        """Both walls thickened, as one leaf each; footings as much wider."""

        def change(thickness: float) -> _Case:
            def thick(wall: Wall) -> Wall:
                now = wall.thickness or 0.0
                wide = max(thickness, now)
                ground = wall.ground
                if ground.footing is not None:
                    footing = ground.footing + wide - now
                    ground = ground.model_copy(update={"footing": footing})
                new = {"thickness": wide, "leaves": (), "buttress": None, "ground": ground}
                return wall.model_copy(update=new)

            return self._walled(_both(self.untied, thick))

        start = min(_thickness(self.job, side) for side in SIDES)
        if self.now is not None:
            start = max(_thickness(self.job, side) for side in SIDES) + MORE
        start = math.ceil(start / STEP - 1e-9) * STEP
        size, reserve = self._least(change, start, THICKEST)
        masonry = 0.0
        if size is not None:
            masonry = sum(
                max(size - _thickness(self.job, side), 0.0)
                * ((_wall(self.job, side).height or 0.0) + _wall(self.job, side).above)
                * wall_length(self.vault, side)
                for side in SIDES
            )
        return self._priced("thicker", say("Thicker walls"), size, reserve, self.every, masonry)

    def buttressed(self) -> Alternative:
        """Even buttresses on both walls, up to the springing."""
        width, spacing = BUTTRESS

        def change(depth: float) -> _Case:
            built = Buttress.model_construct(width=width, spacing=spacing, depth=depth)
            return self._walled(
                _both(self.untied, lambda wall: wall.model_copy(update={"buttress": built}))
            )

        size, reserve = self._least(change, LEAST_BUTTRESS, DEEPEST)
        masonry = 0.0
        if size is not None:
            for side in SIDES:
                count = math.ceil(wall_length(self.vault, side) / spacing)
                masonry += count * width * size * (_wall(self.job, side).height or 0.0)
        title = say(
            "Buttresses {width:length} wide at {spacing:length}, outside both walls",
            width=width,
            spacing=spacing,
        )
        return self._priced("buttress", title, size, reserve, self.every, masonry)

    def tied(self) -> Alternative:
        """Bars across the vault with plates at their ends, at the springing."""
        title = say("Ties at {spacing:length}, at the springing", spacing=TIE_SPACING)
        pushes: Pushes = gather(self.every, wall_frame(self.vault, self.v, "left"), None)
        design = float(pushes.push.level[pushes.of("STR", "accidental")].max(initial=0.0))
        service = float(pushes.push.level[pushes.of("characteristic")].max(initial=0.0))
        for diameter in DIAMETERS:
            made = self._bar(diameter, design, service)
            if made is None:
                continue
            ties, found = made
            reserve = self._reserve(self._walled(_with_walls(self.job, ties=ties)))
            if reserve is None:
                break
            count = math.ceil(self.vault.axis_length / TIE_SPACING) + 1
            return self._priced(
                "tie", title, diameter, reserve, self.every, steel=count * found.mass
            )
        return self._priced("tie", title, None, None, self.every)

    def _bar(self, diameter: float, design: float, service: float) -> tuple[Ties, TieAnswer] | None:
        """A bar with the least plate that spreads its force and does not bend; None when its
        section or its stretch will not do."""
        strengths = [
            wall_strength(_wall(self.job, side).masonry, self.job.loads.national) for side in SIDES
        ]
        bears = [PLATE_ENHANCEMENT * s.design for s in strengths if s is not None]
        for side in PLATES:
            if side < 6 * diameter:
                continue
            ties = _ties(diameter, side, PLATE_STEP)
            found = self._tie(ties, design, service)
            if found.use > 1 or found.drop > tie_span(self.job) * DROP_SHARE:
                return None
            if bears and found.plate_pressure > min(bears):
                continue
            thick = math.ceil(found.plate_needed / PLATE_STEP - 1e-9) * PLATE_STEP
            ties = _ties(diameter, side, max(thick, 2 * PLATE_STEP))
            return ties, self._tie(ties, design, service)
        return None

    def _tie(self, ties: Ties, design: float, service: float) -> TieAnswer:
        spans = (self.vault.near.span, self.vault.far.span)
        return tie_answer(
            ties,
            self.job.loads.national,
            design=design,
            service=service,
            length=max(spans) + sum(_thickness(self.job, s) for s in SIDES),
            rise=self.vault.near.rise,
        )

    def higher(self) -> Alternative:
        """The same curve with more rise, where the level budget lets it."""
        title = say("More rise")
        stated = self.job.curve.rise
        if stated is None:
            none = say("the curve has no rise to choose")
            return Alternative("rise", title, None, None, None, none, 0.0, 0.0, None)
        for more in RISES:
            curve = self.untied.curve.model_copy(update={"rise": stated * more})
            changed = self.untied.model_copy(update={"curve": curve})
            try:
                raised = shape_vault(changed, self.vault.room)
                budget = level_budget(changed, raised)
                every = equilibrium_rows(changed, raised, self.v)
            except TimbrelError:
                continue
            if any(c.verdict is Verdict.FAILS for c in budget.checks):
                break
            reserve = self._reserve(_Case(changed, raised, every))
            if reserve is not None:
                return self._raised(title, stated * more, reserve, every, raised)
        return self._priced("rise", title, None, None, None)

    def _raised(
        self, title: Message, rise: float, reserve: float, every: Envelope, raised: Barrel
    ) -> Alternative:
        """More rise is paid in tiles: those of the greater surface, layer by layer."""
        area = raised.area(0.0) - self.vault.area(0.0)
        tiles, cost = 0.0, 0.0
        priced = True
        for layer in self.job.layers:
            tile, joint = self.job.tiles[layer.tile], layer.joint.best
            count = area / ((tile.length + joint) * (tile.width + joint)) * (1 + tile.breakage)
            tiles += count
            priced = priced and tile.price is not None
            cost += count * (tile.price or 0.0)
        material = say(
            "{area:area} more of vault, {tiles:count} tiles; its labour and the rest of the order "
            "come with a new plan",
            area=area,
            tiles=math.ceil(tiles),
        )
        return Alternative(
            "rise", title, rise, reserve, greatest_thrust(every), material,
            raised.volume - self.vault.volume, 0.0, cost if priced else None,
        )  # fmt: skip

    def lighter(self) -> Alternative:
        """Light fill in the place of what is there."""
        title = say("Light fill, {weight:unit_weight}", weight=LIGHT_FILL)
        fill = self.untied.loads.fill
        weight = fill.unit_weight or UNIT_WEIGHT.get(fill.kind, 0.0)
        if fill.kind in ("none", "sleeper walls") or (not fill.lifts and weight <= LIGHT_FILL):
            none = say("there is no heavier fill to take out")
            return Alternative("fill", title, None, None, None, none, 0.0, 0.0, None)
        light = fill.model_copy(update={"kind": "light", "unit_weight": LIGHT_FILL, "lifts": ()})
        loads = self.untied.loads.model_copy(update={"fill": light})
        changed = self.untied.model_copy(update={"loads": loads})
        every = equilibrium_rows(changed, self.vault, self.v)
        reserve = self._reserve(_Case(changed, self.vault, every))
        size = None if reserve is None else LIGHT_FILL
        volume = weight_of(changed, self.vault, self.v, "fill") * GRAVITY / LIGHT_FILL
        material = say("{volume:volume} of light fill in the place of it", volume=volume)
        if reserve is None:
            material = say("will not do by itself")
        return Alternative(
            "fill", title, size, reserve, greatest_thrust(every), material, 0.0, 0.0, None
        )

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
        return (self._priced("backing", title, None, None, None),)

    # -- judging -------------------------------------------------------------------------------

    def _walled(self, job: Job) -> _Case:
        return _Case(job, self.vault, self.every)

    def _least(
        self, change: Callable[[float], _Case], low: float, high: float
    ) -> tuple[float | None, float | None]:
        """Least multiple of STEP from low up that does, and its reserve.

        Where the walls stand at all is halved for; from there all verdicts are asked for.
        """
        steps = max(round((high - low) / STEP), 0)

        def stands(step: int) -> bool:
            case = change(low + step * STEP)
            return walls_stand(case.job, case.vault, self.v, case.every)

        if not stands(steps):
            return None, None
        first, last = 0, steps
        while first < last:
            middle = (first + last) // 2
            if stands(middle):
                last = middle
            else:
                first = middle + 1
        for step in range(last, steps + 1):
            reserve = self._reserve(change(low + step * STEP))
            if reserve is not None:
                return low + step * STEP, reserve
        return None, None

    def _reserve(self, case: _Case) -> float | None:
        """Least factor of both supports against overturning; None when any verdict fails."""
        if case.every.fallen:
            return None
        found: list[SupportAnswer] = []
        for side in SIDES:
            wall = _wall(case.job, side)
            profile = wall_profile(wall, side, wall_length(case.vault, side)).coarser(COARSE)
            pushes = gather(case.every, wall_frame(case.vault, self.v, side), case.job.walls.ties)
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
        every: Envelope | None,
        masonry: float = 0.0,
        steel: float = 0.0,
    ) -> Alternative:
        prices = self.job.prices
        material = say("will not do by itself") if size is None else say("nothing")
        price, amount = None, 0.0
        if masonry > 0:
            material = say("{volume:volume} of masonry", volume=masonry)
            price, amount = prices.masonry_m3, masonry
        elif steel > 0:
            material = say("{mass:mass} of steel", mass=steel)
            price, amount = prices.steel_kg, steel
        cost = None if price is None or size is None else price * amount
        thrust = None if every is None else greatest_thrust(every)
        return Alternative(key, title, size, reserve, thrust, material, masonry, steel, cost)


def _wall(job: Job, side: Side) -> Wall:
    wall: Wall = getattr(job.walls, side)
    return wall


def _ties(diameter: float, side: float, thickness: float) -> Ties:
    plate = AnchorPlate.model_construct(side=side, thickness=thickness)
    return Ties.model_construct(spacing=TIE_SPACING, diameter=diameter, anchor=plate)


def _with_walls(job: Job, **changes: object) -> Job:
    return job.model_copy(update={"walls": job.walls.model_copy(update=changes)})


def _both(job: Job, change: Callable[[Wall], Wall]) -> Job:
    """The job with both springing walls changed alike."""
    walls: Walls = job.walls
    return _with_walls(job, left=change(walls.left), right=change(walls.right))


def _thickness(job: Job, side: Side) -> float:
    return float(getattr(job.walls, side).thickness)
