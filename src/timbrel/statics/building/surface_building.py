"""The whole building of a groin, cloister, sail or dome, stage by stage, and what it asks of bond
and crew."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.job.set_times import set_start, times_in_use
from timbrel.statics.building.laying import Array, Laying, layings
from timbrel.statics.building.lifts import Lifts
from timbrel.statics.building.orders import Pace
from timbrel.statics.building.sequence import Way, way_told
from timbrel.statics.building.settling import Settling, crown_after
from timbrel.statics.building.stage_judge import StageJudge
from timbrel.statics.building.stage_model import StageModel
from timbrel.statics.building.surface_checks import surface_checks, unjudged
from timbrel.statics.building.surface_holding import SurfaceHolding, hold_on_surface
from timbrel.statics.building.surface_lifts import surface_lifts
from timbrel.statics.building.surface_orders import (
    SurfaceOrder,
    asks_while_laid,
    compare_surface_orders,
)
from timbrel.statics.building.surface_stage import (
    Stage,
    StageAnswer,
    StageStruts,
)
from timbrel.statics.building.surface_states import (
    LATER_STEPS,
    later_stages,
    laying_stages,
    resting_stages,
    spread_stages,
    struck_stages,
    whole_stage,
)
from timbrel.statics.building.work import strength_of
from timbrel.statics.maturity import BondStrength
from timbrel.statics.net_solid import NetGrid
from timbrel.verdict import Check
from timbrel.words import Message, Progress, say, silent

DRAWN = ("course", "eased", "layer")
"""Operations whose governing net is kept, to be drawn."""
SPREADS = (0.001, 0.002, 0.005, 0.010)
EASE = 0.005
"""Beyond what the shell follows, the drop of the wedges that is seen to be free (m; common
practice, no source)."""


@dataclass(frozen=True)
class SurfaceBuilding:
    """Every stage looked at and what follows from it.

    layings: orders of the first layer. stages: all answers in the order of the work. worst: the
    governing one of each operation. free_from: by order, the share of the layer from which on it
    stands by compression with nothing under it (1: only when closed; None: not even then).
    ease_after: age of the last tile at which the guides may be eased (s); wedge_drop: by how much
    their wedges are dropped (m); next_after, walk_after: waits as in
    :class:`timbrel.statics.building.stages.Building`, None without bond tests. orders: the proposed
    first. struts: of the governing stages that stand by a net and are drawn, None of the others.
    corners: of the cells that the stages speak of. guides: (g, 3) nodes that rest on guides while
    they stand. props: greatest load on the props under the box of each opening, N; empty without
    openings, or where the stages could not go round them.
    """

    layings: tuple[Laying, ...]
    stages: tuple[StageAnswer, ...]
    worst: tuple[StageAnswer, ...]
    free_from: tuple[float | None, ...]
    holding: SurfaceHolding
    ease_after: float | None
    wedge_drop: float
    next_after: float | None
    walk_after: float | None
    orders: tuple[SurfaceOrder, ...]
    order_note: Message
    way_note: Message
    lifts: Lifts | None
    settling: tuple[Settling, ...]
    bond: BondStrength | None
    struts: tuple[StageStruts | None, ...]
    corners: tuple[Array, ...]
    guides: Array
    props: tuple[float, ...]
    checks: tuple[Check, ...]

    @property
    def proposed(self) -> Laying:
        """The order of the first layer that is proposed."""
        return next(order for order in self.layings if order.key == self.orders[0].laying)


class SurfaceWork:
    """The work on one vault. `answers` grows with each operation that is followed."""

    def __init__(self, job: Job, vault: Any, bond: Bond, progress: Progress) -> None:
        self.job, self.bond, self.progress = job, bond, progress
        progress(say("Drawing the nets of the stages"), 0.0)
        self.model = StageModel(job, vault, bond)
        self.strength = strength_of(job)
        self.judge = StageJudge(job, self.model, self.strength)
        self.answers: list[StageAnswer] = []
        self._last: list[StageAnswer] = []

    def first_layer(self, orders: Sequence[Laying]) -> dict[str, list[StageAnswer]]:
        """The first layer in each order."""
        found: dict[str, list[StageAnswer]] = {}
        for k, laying in enumerate(orders):
            self.progress(laying.title, 0.05 + 0.4 * k / len(orders))
            found[laying.key] = self._follow(laying_stages(self.model, self.bond, laying))
        return found

    def resting(self) -> list[StageAnswer]:
        """What kneels and is set down on one closed layer and on all."""
        self._follow(spread_stages(self.model, self.bond))
        count = len(self.job.layers)
        found: list[StageAnswer] = []
        # Without the boxes first: what stands without them need not be asked with them.
        struck: list[StageAnswer] = []
        if self.model.opened is not None:
            bare = resting_stages(self.model, self.bond, self.job, count, struck=True)
            struck = [self.judge.answer(stage) for stage in bare]
            self._last = [
                self.judge.answer(s) for s in struck_stages(self.model, self.bond)
            ] + struck
        for done in sorted({1, count}):
            self.progress(say("loads that rest on the work"), 0.45 + 0.1 * done / count)
            found += self._follow(resting_stages(self.model, self.bond, self.job, done))
        return found + struck

    def later_layers(self) -> dict[Way, Array]:
        """Later layers as they advance; tension that each step of the second asks of the joints."""
        count = len(self.job.layers)
        demand = {way: np.zeros(LATER_STEPS) for way in Way} if count > 1 else {}
        for layer in range(2, count + 1):
            for way in Way:
                self.progress(say("later layers"), 0.55 + 0.3 * (layer - 1) / count)
                stages = later_stages(self.model, self.bond, layer, way, self._sets_behind(layer))
                for answer in self._follow(stages):
                    if layer == 2:
                        k = round(answer.stage.progress * LATER_STEPS) - 1
                        demand[way][k] = max(demand[way][k], answer.tension)
        return demand

    def without_boxes(self) -> None:
        """What comes last: the opened shell without its boxes. Asked with what rests on it."""
        self.answers += self._last

    def props(self) -> tuple[float, ...]:
        """Greatest load (N) on the props of each opening in all stages, and with all layers and the
        kerbs lying on the first layer alone."""
        if self.model.opened is None:
            return ()
        whole = whole_stage(self.model, self.bond, 1, "props", say("finished shell"))
        heavy = np.full_like(whole.weight, float(self.model.weights.sum()))
        all_on = self.judge.on_props(replace(whole, weight=heavy, kerbs=True))
        every = [a.props for a in self.answers if a.props]
        return tuple(float(most) for most in np.max([all_on, *every], axis=0))

    def _follow(self, stages: Iterable[Stage]) -> list[StageAnswer]:
        found = [self.judge.answer(stage) for stage in stages]
        self.answers += found
        return found

    def _sets_behind(self, layer: int) -> bool:
        """Does the bed set before the next step is laid? Only one with set times is sure to."""
        stated = self.job.layers[layer - 1]
        times = times_in_use(self.job.binders[stated.bed_binder or stated.binder])
        start = set_start(times, self.job.site.temperature_c) if times else None
        laying = self.bond.layers[layer - 1].count / Pace.of(self.job, 1).later
        return start is not None and start <= laying / LATER_STEPS


def check_surface_building(
    job: Job, vault: Any, bond: Bond, progress: Progress = silent
) -> SurfaceBuilding:
    """Follow the work from the first course to the filled vault.

    Raises TimbrelError when the binder's bond tests cannot be used.
    """
    work = SurfaceWork(job, vault, bond, progress)
    orders = layings(vault, bond)
    found = work.first_layer(orders)
    eased = max((answers[-1] for answers in found.values()), key=lambda a: a.tension)
    rest = work.resting()
    demand = work.later_layers()
    work.without_boxes()
    second = float(bond.layers[1].count) if len(job.layers) > 1 else 0.0
    compared = compare_surface_orders(job, orders, found, eased, demand, second, work.strength)
    lifts = surface_lifts(work.model, lambda what, share: progress(what, 0.85 + 0.15 * share))
    holding = hold_on_surface(job, vault, bond, work.strength)
    proposed = next(order for order in orders if order.key == compared[0].laying)
    worst = _worst_of_each(work.answers, proposed, compared[0].way)
    checks = surface_checks(job, worst, holding, lifts, work.strength)
    if job.openings and work.model.opened is None:
        checks = unjudged(checks)
    progress(say("stages of building"), 1.0)
    grid = work.model.grid
    return SurfaceBuilding(
        orders,
        tuple(work.answers),
        worst,
        tuple(_free_from(found[order.key]) for order in orders),
        holding,
        eased.wait if work.strength else (0.0 if eased.net else None),
        (eased.sinks or 0.0) + EASE,
        compared[0].wait_next,
        _walk_after(job, rest, work.strength),
        compared,
        _order_note(orders, found),
        _way_note(demand),
        lifts,
        _settling(vault),
        work.strength,
        tuple(
            work.judge.struts(a.stage) if a.net and a.stage.operation in DRAWN else None
            for a in worst
        ),
        tuple(_corners(grid, k) for k in range(len(grid.cells))),
        grid.middle[work.model.guides],
        work.props(),
        checks,
    )


def _corners(grid: NetGrid, cell: int) -> Array:
    """(3 or 4, 3) corners of a cell, going round."""
    a, b, c, d = grid.cells[cell].tolist()
    return np.asarray(grid.middle[[a, b, c] if c == d else [a, b, c, d]])


def _free_from(answers: Sequence[StageAnswer]) -> float | None:
    """The least share of the layer from which on every stage looked at has a net."""
    free: float | None = None
    for answer in answers:
        stage = answer.stage
        if stage.operation in ("course", "eased") and not stage.guides:
            free = (stage.progress if free is None else free) if answer.net else None
    return free


def _walk_after(
    job: Job, rest: Sequence[StageAnswer], strength: BondStrength | None
) -> float | None:
    asked = max(
        a.tension for a in rest if a.stage.layer == len(job.layers) and ".kneeling." in a.stage.key
    )
    if asked <= 0:
        return 0.0
    if strength is None:
        return None
    return strength.age_for(asked / job.building.ratio_most, job.site.temperature_c)


def _worst_of_each(
    answers: Sequence[StageAnswer], laying: Laying, way: Way | None
) -> tuple[StageAnswer, ...]:
    """The governing stage of each operation; first and later layers by the order proposed."""
    groups: dict[tuple[str, int, str], list[StageAnswer]] = {}
    for answer in answers:
        stage = answer.stage
        if stage.laying and stage.laying != laying.key:
            continue
        if stage.operation == "eased" and stage.progress < 1:
            continue
        if stage.operation == "layer" and (way is None or f".{way.name.lower()}." not in stage.key):
            continue
        kind = stage.key.split(".")[2] if stage.operation == "use" else ""
        groups.setdefault((stage.operation, stage.layer, kind), []).append(answer)

    def governs(answer: StageAnswer) -> tuple[float, ...]:
        stage = answer.stage
        buckling = -(answer.buckling or 0.0)
        return answer.ratio or 0.0, answer.tension, buckling, stage.force, stage.progress

    return tuple(max(group, key=governs) for group in groups.values())


def _order_note(orders: Sequence[Laying], found: dict[str, list[StageAnswer]]) -> Message:
    worst = {
        order.key: max((a.tension for a in found[order.key] if asks_while_laid(a)), default=0.0)
        for order in orders
    }
    least = min(orders, key=lambda order: worst[order.key])
    most = max(orders, key=lambda order: worst[order.key])
    return say(
        "First layer: least is asked of the bond {least}, {low:stress}; most {most}, {high:stress}.",
        least=least.title,
        low=worst[least.key],
        most=most.title,
        high=worst[most.key],
    )


def _way_note(demand: dict[Way, Array]) -> Message:
    if not demand:
        return say("There is one layer only; no later layer presses on it.")
    worst = {way: float(asked.max()) for way, asked in demand.items()}
    if max(worst.values()) <= 0:
        return say(
            "The second layer may come up in any order: at every step a net of struts lies inside "
            "the first. From both springings stays the common practice."
        )
    return way_told(worst)


def _settling(vault: Any) -> tuple[Settling, ...]:
    """Crown drop of a strip from springing to springing through the crown, hinged at its intrados
    below and its extrados at the crown: over the diagonal of a groin, from wall to wall elsewhere.
    An oculus has no crown to hinge at."""
    if vault.family == "dome" and vault.oculus:
        return ()
    corners = np.asarray(vault.room.corners)
    if vault.on_corners:
        left, right = corners[0], corners[2]
    elif vault.family == "dome":
        radius = float(vault.rings(0.0).radius)
        centre = np.asarray(vault.centre)
        out = np.array([radius, 0.0, 0.0])
        left, right = centre - out, centre + out
    else:
        left, right = (corners[0] + corners[3]) / 2, (corners[1] + corners[2]) / 2
        if vault.family == "sail":
            left[2], right[2] = (vault.height(*p[:2, None])[0] for p in (left, right))
    span = float(np.linalg.norm((right - left)[:2]))
    middle = (left + right) / 2
    crown = float(vault.height(*middle[:2, None])[0]) + vault.thickness
    if not math.isfinite(crown):
        return ()
    points = (np.array([0.0, left[2]]), np.array([span / 2, crown]), np.array([span, right[2]]))
    return tuple(crown_after(points[0], points[1], points[2], spread) for spread in SPREADS)
