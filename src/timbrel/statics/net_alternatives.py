"""What would help the supports of a vault on a plan: side by side, with what each costs.

As for a strip (:mod:`timbrel.statics.alternatives`): the least of its kind with which no verdict on any
support fails, or one plain step more where they do already. Where only walls, piers or a ring change,
the pushes of the proof stay and the supports alone are asked again; more rise and lighter fill are
asked of a net of the changed vault as fine as that of the pushes.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from timbrel.job.model import Job, Wall
from timbrel.job.sense_ties import layout_of, layouts_of
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
from timbrel.statics.net_rungs import Rung, Rungs
from timbrel.statics.net_standing import (
    Supported,
    supports_reserve,
    supports_stand,
    thrust_most,
)
from timbrel.statics.net_states import combined_pushes
from timbrel.statics.net_supports import side_of, wall_at
from timbrel.statics.net_vaults import solid_of
from timbrel.statics.other_fill import fill_title, lighter_fill
from timbrel.statics.plan_tie_choice import (
    TieChoice,
    closer_ties,
    heavier_ties,
    least_ties,
    ties_across,
)
from timbrel.statics.raised import raised, raising
from timbrel.statics.ties import section_of
from timbrel.statics.wall_changes import (
    buttress_title,
    buttressed,
    buttressing,
    every_wall,
    stouter_pier,
    thickened,
    thickening,
    with_pier,
    with_walls,
)
from timbrel.statics.walls import missing_data, wall_of
from timbrel.verdict import Verdict
from timbrel.words import Message, Progress, TimbrelError, say, silent

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_carrying import NetCarrying


def net_alternatives(
    job: Job, vault: Any, net: Net, carried: NetCarrying, progress: Progress = silent
) -> tuple[Alternative, ...]:
    """The job as stated and every way of helping, for supports whose sizes are known; else nothing.

    net: that the pushes were asked of.
    """
    if not carried.pushed or not _known(job, net):
        return ()
    asked = _Asked(job, vault, net, carried)
    ways = asked.ways()
    found = []
    for k, way in enumerate(ways):
        found.append(way())
        progress(say("What would help the supports"), (k + 1) / len(ways))
    return tuple(found)


def _known(job: Job, net: Net) -> bool:
    for support in net.grid.supports:
        if support.kind == "pier":
            wall, _ = wall_at(job, support.name)
            if wall.pier is None or wall.height is None:
                return False
        else:
            side = side_of(support.name)
            if missing_data(wall_of(job, side), side) is not None:
                return False
    return True


class _Asked:
    """Looks for the least of every kind, for one job."""

    def __init__(self, job: Job, vault: Any, net: Net, carried: NetCarrying) -> None:
        self.job, self.vault, self.net = job, vault, net
        self.untied = with_walls(job, ties=None)
        self.pushed = carried.pushed
        self.bounds = frozenset(c.bound for c in carried.pushed)
        self.carried = carried
        self.thrust = thrust_most(self.pushed)
        failing = any(c.verdict is Verdict.FAILS for c in carried.checks)
        known: list[Any] = [*carried.walls, *carried.piers]
        self.now = None if failing else min(one.overturning.value for one in known)

    def ways(self) -> list[Any]:
        """What is offered to this family, in order."""
        on_piers = any(s.kind == "pier" for s in self.net.grid.supports)
        held = [self.stouter] if on_piers else [self.thicker, self.buttressed]
        return [self.stated, *held, *self._ties(), self.higher, self.lighter]

    def _ties(self) -> list[Any]:
        """New ones where the job states none that stay; else heavier ones, and closer where they lie
        across."""
        ties = self.job.walls.ties
        if ties is None or ties.stay != "for good":
            walled = "across" in layouts_of(self.job.curve)
            return [self.tied, self.across] if walled else [self.tied]
        across = layout_of(ties, self.job.curve) == "across"
        return [self.heavier, self.closer] if across else [self.heavier]

    def stated(self) -> Alternative:
        """The job as it is."""
        return as_stated(self.now, self.thrust)

    def thicker(self) -> Alternative:
        """All walls, or the drum, thickened as one leaf each; footings as much wider."""
        own = [(self._wall(s.name), float(s.length.sum())) for s in self._supports("wall")]

        def change(thickness: float) -> Supported:
            return self._with(every_wall(self.untied, lambda w: thickened(w, thickness)))

        size, reserve = self._least(change, self._start([w.thickness for w, _ in own]), THICKEST)
        masonry = sum(thickening(w, size, length) for w, length in own) if size else 0.0
        return self._priced("thicker", say("Thicker walls"), size, reserve, masonry)

    def buttressed(self) -> Alternative:
        """Even buttresses round the walls or the drum, up to the springing."""
        own = [(self._wall(s.name), float(s.length.sum())) for s in self._supports("wall")]

        def change(depth: float) -> Supported:
            return self._with(every_wall(self.untied, lambda w: buttressed(w, depth)))

        size, reserve = self._least(change, LEAST_BUTTRESS, DEEPEST)
        masonry = sum(buttressing(w, size, length) for w, length in own) if size else 0.0
        return self._priced("buttress", buttress_title(), size, reserve, masonry)

    def stouter(self) -> Alternative:
        """All piers with a greater side; footings stand out as far as before."""
        own = [wall_at(self.job, s.name)[0] for s in self._supports("pier")]

        def change(side: float) -> Supported:
            return self._with(every_wall(self.untied, lambda w: with_pier(w, side)))

        size, reserve = self._least(change, self._start([w.pier for w in own]), THICKEST)
        masonry = sum(stouter_pier(w, size) for w in own) if size else 0.0
        return self._priced("pier", say("Stouter piers, side"), size, reserve, masonry)

    def tied(self) -> Alternative:
        """Bars along the four sides, or a ring round a dome, where the job states none that stay."""
        title = (
            say("Ring of flat steel round the springing, width")
            if self.vault.family == "dome"
            else say("Ties along the four sides, at the springing")
        )
        return self._held_by(title, least_ties(self.untied, self.vault, self.net, self.pushed))

    def across(self) -> Alternative:
        """Bars from wall to wall both ways, where a vault stands on four walls."""
        title = say("Ties across both ways at {spacing:length}, diameter", spacing=TIE_SPACING)
        made = ties_across(self.untied, self.vault, self.net, self.pushed, TIE_SPACING)
        return self._held_by(title, made, "across")

    def heavier(self) -> Alternative:
        """Ties of the stated kind in the place of the stated ones: the next heavier that does."""
        ties = self.job.walls.ties
        title = (
            say("Heavier flats in the place of the stated ones, width")
            if ties is not None and ties.kind == "flat"
            else say("Heavier bars in the place of the stated ones, diameter")
        )
        done = self.now is not None
        made = heavier_ties(self.job, self.vault, self.net, self.pushed, more=done)
        return self._held_by(title, made)

    def closer(self) -> Alternative:
        """The stated ties across, closer together."""
        title = say("The stated ties closer together, axis to axis")
        done = self.now is not None
        made = closer_ties(self.job, self.vault, self.net, self.pushed, more=done)
        return self._held_by(title, made, "spacing")

    def _held_by(self, title: Message, made: TieChoice | None, key: str = "tie") -> Alternative:
        reserve = None
        if made is not None:
            reserve = supports_reserve(self._with(with_walls(self.job, ties=made.ties)))
        if made is None or reserve is None:
            return self._priced(key, title, None, None)
        one = self._priced(key, title, made.size, reserve, steel=made.mass)
        if not made.mass:
            return one
        told = say("{section}: {mass:mass} of steel", section=section_of(made.ties), mass=made.mass)
        return replace(one, material=told)

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
                if any(c.verdict is Verdict.FAILS for c in level_budget(changed, vault).checks):
                    break
                case, _ = _redrawn(changed, vault, self.net, self.bounds)
            except TimbrelError:
                continue
            reserve = supports_reserve(case)
            if reserve is not None:
                thrust = thrust_most(case.pushed)
                return raising(self.job, self.vault, vault, stated * more, reserve, thrust)
        return priced(self.job.prices, "rise", title, None, None, None)

    def lighter(self) -> Alternative:
        """Light fill in the place of what is there."""
        changed = lighter_fill(self.untied)
        if changed is None:
            return not_offered("fill", fill_title(), say("there is no heavier fill to take out"))
        case, rung = _redrawn(changed, self.vault, self.net, self.bounds)
        reserve = supports_reserve(case)
        fill = sum(load.total for load in rung.acts.permanent if load.key == "fill")
        material = say("{volume:volume} of light fill in the place of it", volume=fill / LIGHT_FILL)
        if reserve is None:
            material = say("will not do by itself")
        size, thrust = None if reserve is None else LIGHT_FILL, thrust_most(case.pushed)
        return Alternative("fill", fill_title(), size, reserve, thrust, material, 0.0, 0.0, None)

    # -- judging -------------------------------------------------------------------------------

    def _with(self, job: Job) -> Supported:
        return Supported(job, self.vault, self.net, self.pushed)

    def _supports(self, kind: str) -> list[Any]:
        return [s for s in self.net.grid.supports if s.kind == kind]

    def _wall(self, name: str) -> Wall:
        return wall_of(self.job, side_of(name))

    def _start(self, sizes: list[float | None]) -> float:
        """First size tried: the least there is, or a step more than the greatest where all do."""
        known = [size for size in sizes if size is not None]
        start = min(known) if self.now is None else max(known) + MORE
        return math.ceil(start / STEP - 1e-9) * STEP

    def _least(self, change: Any, low: float, high: float) -> tuple[float | None, float | None]:
        return least_step(
            low,
            high,
            lambda size: supports_stand(change(size)),
            lambda size: supports_reserve(change(size)),
        )

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
        return priced(self.job.prices, key, title, size, reserve, self.thrust, masonry, steel)


def _redrawn(job: Job, vault: Any, net: Net, bounds: frozenset[str]) -> tuple[Supported, Rung]:
    """A changed vault by a net as fine as one of the stated vault, under the bounds of thrust that are
    judged as stated: a greatest thrust that nothing but crushing bounds there is not judged here."""
    rungs = Rungs(job, solid_of(vault))
    k = 0
    while k + 1 < len(rungs) and rungs[k].net.grid.size < net.grid.size:
        k += 1
    rung = rungs[k]
    pushed = combined_pushes(job, vault, rung.net, rung.acts)
    kept = tuple(c for c in pushed if c.bound in bounds)
    return Supported(job, vault, rung.net, kept), rung
