"""One pass through the work: the states that it comes through, answered one after another."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from timbrel.bond.layout import Bond
from timbrel.job.model import Job
from timbrel.job.set_times import set_start, times_in_use
from timbrel.shape.opened import place_openings
from timbrel.shape.vault import Barrel
from timbrel.statics.actions import top_of_fill
from timbrel.statics.backing import backed
from timbrel.statics.building.lifts import Lifts, check_lifts, unit_weight_of_fill
from timbrel.statics.building.opened_arches import (
    OpenedArches,
    on_box,
    opened_section,
    share_without_box,
)
from timbrel.statics.building.orders import Order, Pace
from timbrel.statics.building.section import ShellSection, shell_section
from timbrel.statics.building.sequence import (
    Arching,
    Way,
    arch_states,
    as_laid,
    closing_joints,
    layer_states,
    resting_states,
    way_of_arches,
)
from timbrel.statics.building.state import Arches, State, StateAnswer, answer_states
from timbrel.statics.maturity import BondStrength, bond_by_tests
from timbrel.verdict import Verdict
from timbrel.words import Progress, say

Array = NDArray[np.float64]
PIECES = 96


class Work:
    """The work on one barrel or flight. `answers` grows with each operation that is followed."""

    def __init__(self, job: Job, vault: Barrel, bond: Bond, progress: Progress) -> None:
        self.job, self.vault, self.bond = job, vault, bond
        self.progress = progress
        self.strength = strength_of(job)
        self.arching = arching_of(job, bond)
        self.answers: list[StateAnswer] = []
        self.worst_v = 0.5
        building = job.building
        self._arches = Arches(building.modulus, building.spread, building.buckling_least)
        self.way = way_of_arches(job)
        self._young = closing_joints(PIECES, 1 / max(bond.layers[0].courses, 1), self.way)
        self._old = np.zeros_like(self._young)
        self._sections: dict[float, ShellSection] = {}

    def section_at(self, v: float) -> ShellSection:
        """The shell cut at a station."""
        if v not in self._sections:
            self._sections[v] = shell_section(self.job, self.vault, v, PIECES)
        return self._sections[v]

    @property
    def worst_section(self) -> ShellSection:
        """The shell where its first layer asks most."""
        return self.section_at(self.worst_v)

    def arches(self) -> list[StateAnswer]:
        """Each arch of the first layer as it closes; finds the worst station."""
        found: list[StateAnswer] = []
        for arch in range(self.arching.count):
            self.progress(say("arches of the first layer"), 0.4 * arch / self.arching.count)
            section = self.section_at(self.arching.station(arch))
            states = arch_states(section, self.job, self.arching, arch, self._young)
            found += self._follow(section, states)
        self.worst_v = max(found, key=lambda a: (a.tension, -a.buckling)).state.v
        return found

    def resting(self) -> list[StateAnswer]:
        """What leans, kneels and is set down, on one closed layer, on two, on all."""
        found: list[StateAnswer] = []
        count = len(self.job.layers)
        for done in range(1, count + 1):
            self.progress(say("loads that rest on the work"), 0.4 + 0.1 * done / count)
            young = self._young if done == 1 else self._old
            states = resting_states(
                self.worst_section, self.job, self.worst_v, done, young, self.arching.length
            )
            found += self._follow(self.worst_section, states)
        return found

    def later_layers(self) -> dict[tuple[Way, bool], Array]:
        """Later layers as they advance; tension that each step of the second asks of the joints."""
        job, steps = self.job, self.job.building.steps
        demand = {(way, fresh): np.zeros(steps) for way in Way for fresh in (False, True)}
        arc = float(np.hypot(*np.diff(self.worst_section.outer, axis=0).T).sum())
        for layer in range(2, len(job.layers) + 1):
            lead = job.tiles[job.layers[layer - 1].tile].width / arc
            sets = self._sets_behind(layer)
            for way, fresh in demand if layer == 2 else [(way, False) for way in Way]:
                self.progress(say("later layers"), 0.5 + 0.4 * (layer - 1) / len(job.layers))
                young, age = (self._young, 0.0) if fresh else (self._old, job.site.wait_later_layer)
                states = layer_states(
                    self.worst_section, steps, layer, way, self.worst_v, lead, age, young, sets
                )
                for answer in self._follow(self.worst_section, states):
                    if layer == 2:
                        k = round(answer.state.progress * steps) - 1
                        demand[way, fresh][k] = max(demand[way, fresh][k], answer.tension)
        return demand

    def opened(self, orders: Sequence[Order]) -> tuple[OpenedArches, ...]:
        """Arches that openings cut, on their boxes, as the proposed order comes through them."""
        job, steps = self.job, self.job.building.steps
        found = []
        for opening in place_openings(job, self.vault) if job.openings else ():
            struck = share_without_box(job, self.vault, opening)
            if job.openings[opening.number - 1].trimmer.until_cured == "centring":
                found.append(OpenedArches(opening, (), struck))
                continue
            v = sum(opening.v) / 2
            section = opened_section(self.section_at(v), opening)
            arch = min(int(v * self.arching.count), self.arching.count - 1)
            # The last joints of a cut arch are those at the box, which take no tension at any age.
            states = list(arch_states(section, job, self.arching, arch, self._old))
            arc = float(np.hypot(*np.diff(section.outer, axis=0).T).sum())
            for layer in range(2, len(job.layers) + 1):
                lead = job.tiles[job.layers[layer - 1].tile].width / arc
                fresh = layer == 2 and not orders[0].whole
                age = 0.0 if fresh else job.site.wait_later_layer
                sets = self._sets_behind(layer)
                states += layer_states(
                    section, steps, layer, orders[0].way, v, lead, age, self._old, sets
                )
            # The next arch is laid one way; the other is told in the states.
            cut = [on_box(s, opening) for s in states]
            answers = self._follow(section, cut)
            counted = tuple(a for a in answers if as_laid(a.state, self.way))
            found.append(OpenedArches(opening, counted, struck))
        return tuple(found)

    def lifts(self) -> Lifts | None:
        """The fill as it rises, None without fill."""
        top = top_of_fill(self.job, self.vault)
        if top is None:
            return None
        self.progress(say("fill in lifts"), 0.95)
        weight = unit_weight_of_fill(self.job)
        section = self.worst_section
        behind = backed(self.job, self.vault, section.inner, section.outer, 1)
        return check_lifts(self.job, section, self.worst_v, weight, top, behind)

    def _follow(self, section: ShellSection, states: Iterable[State]) -> list[StateAnswer]:
        answered = answer_states(section, list(states), self._arches)
        found = [judged(answer, self.job, self.strength) for answer in answered]
        self.answers += found
        return found

    def _sets_behind(self, layer: int) -> bool:
        """Does the bed set before the next step is laid? Only one with set times is sure to."""
        stated = self.job.layers[layer - 1]
        times = times_in_use(self.job.binders[stated.bed_binder or stated.binder])
        start = set_start(times, self.job.site.temperature_c) if times else None
        laying = self.bond.layers[layer - 1].count / Pace.of(self.job, 1).later
        return start is not None and start <= laying / self.job.building.steps


def strength_of(job: Job) -> BondStrength | None:
    """Bond of the first layer's binder by its own tests, None when there are none."""
    layer = job.layers[0]
    binder = job.binders[layer.binder]
    tests = binder.bond
    if tests is None:
        return None
    times = times_in_use(binder)
    # Outside the data of the set the tests alone speak: strength grows from the first moment.
    start = (set_start(times, tests.at_c) or 0.0) if times else 0.0
    return bond_by_tests(
        tests.ages_h,
        tests.strengths,
        tests.at_c,
        tests.activation_kj_mol * 1e3,
        start,
        tests.origin,
        f"binders.{layer.binder}.bond",
    )


def arching_of(job: Job, bond: Bond) -> Arching:
    """The first layer as arches, from its bond."""
    first = bond.layers[0]
    count = int(first.arch.max()) + 1
    tile = job.tiles[job.layers[0].tile]
    along = tile.width if job.layers[0].direction == "along arc" else tile.length
    return Arching(count, first.count / count, along + first.perpend_joint, 1 / first.courses)


def judged(answer: StateAnswer, job: Job, strength: BondStrength | None) -> StateAnswer:
    """Compare what a state asks with the bond that is there by then."""
    limit = job.building.ratio_most
    if answer.line is not None:
        if answer.buckling < job.building.buckling_least:
            return replace(
                answer,
                verdict=Verdict.FAILS,
                reason=say("it may buckle: factor {factor:ratio}", factor=answer.buckling),
            )
        return replace(answer, ratio=0.0, wait=0.0, verdict=Verdict.HOLDS, reason=answer.case)
    if strength is None:
        return replace(
            answer,
            reason=say(
                "asks {tension:stress} of the bond ({case}); the binder has no bond tests",
                tension=answer.tension,
                case=answer.case,
            ),
        )
    wait = strength.age_for(answer.tension / limit, job.site.temperature_c)
    age = answer.state.age if answer.state.age is not None else wait
    # An endless wait meets the most the bond ever has.
    there = strength.at_age(age, job.site.temperature_c)
    ratio = answer.tension / there if there > 0 else math.inf
    holds = ratio <= limit * (1 + 1e-6) and answer.buckling >= job.building.buckling_least
    reason = say(
        "asks {tension:stress} of {there:stress} bond ({case})",
        tension=answer.tension,
        there=there,
        case=answer.case,
    )
    return replace(
        answer,
        strength=there,
        ratio=ratio,
        wait=wait,
        verdict=Verdict.HOLDS if holds else Verdict.FAILS,
        reason=reason,
    )
