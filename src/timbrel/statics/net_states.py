"""States of a whole net under every combination, each solved once.

The net is asked for its state of least thrust under each combination (supports give a little and the
vault settles to it, Heyman 1995) and for its greatest. Where struts press from wall to wall without
bound nothing but crushing limits the greatest thrust; it says nothing then and is not judged.

Thrusts grow in proportion with all loads, so gG G + gQ Q is gG times the state under G + (gQ/gG) Q:
combinations of one mixture of variable loads share a model, and those of one ratio a state. A
mixture that a symmetry of the vault makes of another takes its states from it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net import NetAnswer, NetQuestion, reactions
from timbrel.statics.net_combinations import NetCombination, net_combinations
from timbrel.statics.net_images import image_between, turned
from timbrel.statics.net_lap import LapNet, lap_net
from timbrel.statics.net_level import LevelLoad, together_with_level
from timbrel.statics.net_others import NetOther, level_pushes
from timbrel.statics.net_rungs import STANDS
from timbrel.statics.net_supports import PushState, push_on
from timbrel.statics.support_push import SupportPush
from timbrel.statics.walls import Bound, LoadCase, SpringingForce

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_loads import NetLoad
    from timbrel.statics.net_solid import Index

Mixture = tuple[tuple[str, float], ...]
BOUNDS: tuple[Bound, ...] = ("least", "greatest")


@dataclass(frozen=True)
class CombinedPush:
    """A combination and what it puts on every support in one state; pushes are factored."""

    combination: NetCombination
    pushes: tuple[SupportPush, ...]
    bound: Bound = "least"


@dataclass(frozen=True)
class NetStates:
    """Every combination on one net.

    pushed: combinations with what they put on the supports, least and, where it is bounded, greatest.
    fallen: combinations under which the net has no state. bare: unfactored states, those of the
    characteristic combinations.
    """

    pushed: tuple[CombinedPush, ...]
    fallen: tuple[NetCombination, ...]
    bare: tuple[PushState, ...]


def combined_pushes(job: Job, vault: Any, net: Net, acts: NetActions) -> tuple[CombinedPush, ...]:
    """What every combination puts on every support; those without a state are left out."""
    return net_states(job, vault, net, acts).pushed


def asked_pushes(job: Job, net: Net, acts: NetActions) -> tuple[NetOther, ...]:
    """Level accelerations that the job wants borne; none where it asks for none."""
    share = job.loads.horizontal
    return level_pushes(net.grid, acts.bodies, share, len(net.solid.beds)) if share else ()


def net_states(job: Job, vault: Any, net: Net, acts: NetActions) -> NetStates:
    """Ask the net for every combination. A vault that does not stand under its dead load is asked for
    no other: each has fallen."""
    pushes = asked_pushes(job, net, acts)
    asked = net_combinations(job.loads, acts, pushes)
    solved = _Solved(net, acts, job.masonry.lap_tension)
    if not solved.stands:
        return NetStates((), tuple(asked), ())
    found: dict[tuple[int, int], CombinedPush] = {}
    fallen: set[int] = set()
    bare: list[PushState] = []
    for mixture, places in _by_mixture(asked):
        variable = mixed(acts, pushes, mixture)
        for i in places:
            c = asked[i]
            for k, bound in enumerate(BOUNDS):
                answer = solved.answer(variable, c.ratio, bound)
                if answer is None:
                    if bound == "least":
                        fallen.add(i)
                    continue
                loads = [(acts.dead, 1.0)]
                if variable is not None:
                    loads.append((variable, c.ratio))
                state = PushState(LoadCase(c.key, c.title, bound), answer, tuple(loads))
                if c.situation == "characteristic":
                    bare.append(state)
                on = tuple(_grown(push_on(vault, net, s, state), c) for s in net.grid.supports)
                found[i, k] = CombinedPush(c, on, bound)
    return NetStates(
        tuple(found[key] for key in sorted(found)),
        tuple(asked[i] for i in sorted(fallen)),
        tuple(bare),
    )


class _Solved:
    """States of a net that were asked for, one a mixture, ratio and bound. lap: tension that the lap of
    the layers carries, N/m, where it is stated."""

    def __init__(self, net: Net, acts: NetActions, lap: float | None = None) -> None:
        self.net, self.dead, self.lap = net, acts.dead, lap
        self._mixtures: list[_Mixture] = []
        # What bounds the thrust under the dead load alone bounds it under every other.
        alone = NetQuestion(net, acts.dead)
        self._bounded = alone.thrust(least=False) is not None
        self.stands = self._bounded or alone.share_of_dead() >= STANDS

    def answer(self, variable: NetLoad | None, ratio: float, bound: Bound) -> NetAnswer | None:
        """The state; None where there is none, or no bound on a greatest thrust."""
        if bound == "greatest" and not self._bounded:
            return None
        return self._mixture(variable).answer(ratio, bound)

    def _mixture(self, variable: NetLoad | None) -> _Mixture:
        for one in self._mixtures:
            if one.variable is variable:
                return one
        alike = None
        for one in self._mixtures:
            if one.image is None and one.variable is not None and variable is not None:
                g = image_between(self.net, self.dead, one.variable, variable)
                if g is not None:
                    alike = one, g
                    break
        made = _Mixture(self.net, self.dead, variable, alike, self.lap)
        self._mixtures.append(made)
        return made


class _Mixture:
    """A mixture of variable loads. image: the one whose image it is, and the symmetry."""

    def __init__(
        self,
        net: Net,
        dead: NetLoad,
        variable: NetLoad | None,
        image: tuple[_Mixture, Index] | None,
        lap: float | None,
    ) -> None:
        self.net, self.variable, self.image, self.lap = net, variable, image, lap
        self._dead = dead
        self._question: NetQuestion | None = None
        self._lap: LapNet | None = None
        self._answers: dict[tuple[float, Bound], NetAnswer | None] = {}

    def answer(self, ratio: float, bound: Bound) -> NetAnswer | None:
        known = (ratio, bound)
        if known not in self._answers:
            self._answers[known] = self._asked(ratio, bound)
        return self._answers[known]

    def _asked(self, ratio: float, bound: Bound) -> NetAnswer | None:
        if self.image is not None:
            one, g = self.image
            other = one.answer(ratio, bound)
            found = None if other is None else turned(self.net, g, other)
            if other is None or found is not None:
                return found
        if self._question is None:
            self._question = NetQuestion(self.net, self._dead, self.variable)
        if self._question.unheld:
            return self._lapped(self._question, ratio, bound)
        return self._question.thrust(least=bound == "least", factor=ratio)

    def _lapped(self, question: NetQuestion, ratio: float, bound: Bound) -> NetAnswer | None:
        """A state in which the lap of the layers pulls beside open edges: as much as the job says
        that it carries, or as it takes."""
        if self._lap is None:
            self._lap = lap_net(self.net, self._dead, self.variable)
        if self._lap is None or not isinstance(self.variable, LevelLoad):
            return None
        rows = question.rows
        cost = (question.thrust_cost() / rows.members)[rows.orbit]
        force = self._lap.thrust(cost if bound == "least" else -cost, ratio, self.lap)
        if force is None:
            return None
        load = ratio * self.variable.force
        load[:, 2] -= self._dead.weight
        none = np.zeros_like(load)
        return NetAnswer(
            ratio, ratio, force, reactions(self.net, force, load), none, none, 1, 0.0, np.nan
        )


def mixed(acts: NetActions, pushes: tuple[NetOther, ...], mixture: Mixture) -> NetLoad | None:
    """The variable loads of a mixture as one load; None for the dead load alone."""
    if not mixture:
        return None
    loads = {load.key: load for load in acts.patterns}
    loads |= {other.load.key: other.load for other in (*acts.others, *pushes)}
    leading = max(mixture, key=lambda part: part[1])[0]
    parts = tuple((loads[key], share) for key, share in mixture)
    return together_with_level(leading, loads[leading].title, parts)


def _by_mixture(
    asked: tuple[NetCombination, ...],
) -> Iterator[tuple[Mixture, list[int]]]:
    """Places of the combinations of every mixture of variable loads."""
    groups: dict[Mixture, list[int]] = {}
    for i, c in enumerate(asked):
        groups.setdefault(c.mixture, []).append(i)
    yield from groups.items()


def _grown(push: SupportPush, c: NetCombination) -> SupportPush:
    """The push under the dead load at 1, grown to the combination."""
    f, force = c.dead, push.force
    if force is not None:
        force = SpringingForce(
            force.level * f, force.along * f, force.down * f, force.into, force.over
        )
    case = LoadCase(c.key, push.case.title, push.case.bound)
    return replace(push, case=case, total=push.total * f, force=force)
