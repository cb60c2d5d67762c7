"""Walls round a vault on a plan under every combination of EN 1990, bed by bed and clause by clause.

The whole net is asked for its state of least thrust under each combination (supports give a little
and the vault settles to it, Heyman 1995): the imposed load everywhere and on each half leads once.
Least thrust grows in proportion with all loads, so the combination gG G + gQ Q is gG times the state
under G + (gQ/gG) Q, and combinations of one ratio share a state. What arrives on a wall is spread
evenly over it and goes down as that of a barrel does (:mod:`timbrel.statics.support_checks`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job, Loads
from timbrel.job.supports import Ties
from timbrel.statics.combinations import Situation
from timbrel.statics.descent import Push
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_crushing import SEAT
from timbrel.statics.net_supports import (
    PushState,
    SupportPush,
    push_on,
    side_beside,
    side_of,
    wall_at,
)
from timbrel.statics.notes import Note, Notebook
from timbrel.statics.pier_carrying import CarriedPier, carried_pier
from timbrel.statics.pier_notes import pier_notes
from timbrel.statics.pier_work import PierPush
from timbrel.statics.pushes import Pushes, beside_ties
from timbrel.statics.support_checks import SupportAnswer, support_answer
from timbrel.statics.supports import wall_profile
from timbrel.statics.wall_notes import support_notes
from timbrel.statics.walls import LoadCase, SpringingForce, missing_data, wall_of
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_loads import NetLoad
    from timbrel.statics.net_solid import Support

LEADING = ("full", "half.left", "half.right", "half.near", "half.far")


@dataclass(frozen=True)
class NetCombination:
    """Factors on everything permanent and on one arrangement of the imposed load.

    leading: key of the arrangement, None for the dead load alone. title: of what leads.
    """

    key: str
    situation: Situation
    leading: str | None
    title: Message
    dead: float
    variable: float

    @property
    def ratio(self) -> float:
        """Factor on the imposed load over that on the permanent ones."""
        return self.variable / self.dead


@dataclass(frozen=True)
class CombinedPush:
    """A combination and what it puts on every support; pushes are factored."""

    combination: NetCombination
    pushes: tuple[SupportPush, ...]


def net_combinations(loads: Loads, acts: NetActions) -> tuple[NetCombination, ...]:
    """All combinations of a vault on a plan: characteristic, STR and EQU (EN 1990 6.4.3, 6.5.3)."""
    factors, national = loads.factors, loads.national
    leading = tuple(p for p in acts.patterns if p.key in LEADING)
    parts: tuple[tuple[Situation, str, float, float], ...] = (
        ("characteristic", "", 1.0, 1.0),
        ("STR", "sup.", factors.permanent, factors.variable),
        ("STR", "inf.", factors.permanent_favourable, factors.variable),
        ("EQU", "sup.", national.equ_unfavourable, factors.variable),
        ("EQU", "inf.", national.equ_favourable, factors.variable),
    )
    return tuple(
        NetCombination(
            f"{situation}.{part}{load.key if load else 'dead'}",
            situation,
            load.key if load else None,
            load.title if load else say("Dead load alone"),
            dead,
            variable if load else 0.0,
        )
        for situation, part, dead, variable in parts
        for load in (None, *leading)
    )


def combined_pushes(job: Job, vault: Any, net: Net, acts: NetActions) -> tuple[CombinedPush, ...]:
    """What every combination puts on every support; those without a state are left out."""
    asked = net_combinations(job.loads, acts)
    found: dict[int, CombinedPush] = {}
    for load in (None, *(p for p in acts.patterns if p.key in LEADING)):
        question = NetQuestion(net, acts.dead, load)
        states: dict[float, PushState | None] = {}
        for i, c in enumerate(asked):
            if c.leading != (load.key if load else None):
                continue
            if c.ratio not in states:
                states[c.ratio] = _state(question, load, c)
            state = states[c.ratio]
            if state is not None:
                found[i] = CombinedPush(
                    c, tuple(_grown(push_on(vault, net, s, state), c) for s in net.grid.supports)
                )
    return tuple(found[i] for i in sorted(found))


def _state(question: NetQuestion, load: NetLoad | None, c: NetCombination) -> PushState | None:
    answer = question.thrust(least=True, factor=c.ratio)
    if answer is None:
        return None
    loads = [(question.dead, 1.0)]
    if load is not None:
        loads.append((load, c.ratio))
    return PushState(LoadCase(c.key, c.title, "least"), answer, tuple(loads))


def _grown(push: SupportPush, c: NetCombination) -> SupportPush:
    """The push under the dead load at 1, grown to the combination."""
    f, force = c.dead, push.force
    if force is not None:
        force = SpringingForce(
            force.level * f, force.along * f, force.down * f, force.into, force.over
        )
    case = LoadCase(c.key, push.case.title, push.case.bound)
    return SupportPush(push.support, push.kind, case, push.total * f, force)


def gathered(
    pushed: tuple[CombinedPush, ...], name: str, ties: Ties | None = None
) -> Pushes | None:
    """The pushes of every combination on one wall; None where there are none. ties: a ring round a
    dome, which leaves its drum only what it carries down and the couple of their heights."""
    rows = [
        (c.combination, p.force)
        for c in pushed
        for p in c.pushes
        if p.support == name and p.force is not None
    ]
    if not rows:
        return None

    def of(part: str) -> np.ndarray:
        return np.array([getattr(force, part) for _, force in rows])

    push = Push(
        of("level"), of("along"), of("down"), of("into"), of("over"),
        np.array([c.dead for c, _ in rows]),
    )  # fmt: skip
    rest = beside_ties(push, ties)
    return Pushes(
        push,
        rest,
        tuple(c.key for c, _ in rows),
        tuple(c.situation for c, _ in rows),
        ("least",) * len(rows),
        push.level - rest.level,
    )


def bearing_width(job: Job, net: Net, support: Support) -> float:
    """Width of the springing on its wall, m: its joint seen from above, or its seat."""
    across = 2 * np.abs(np.einsum("ka,ka->k", net.grid.half[support.nodes, :2], support.outward))
    return max(float(np.median(across)), job.seat.depth)


@dataclass(frozen=True)
class NetCarrying:
    """The load path of a vault on a plan, once it has been proved.

    pushed: every combination with what it puts on each support, factored. walls, piers: those whose
    data are known. notes: the calculation of walls and piers, step by step. checks: all verdicts.
    """

    pushed: tuple[CombinedPush, ...]
    walls: tuple[SupportAnswer, ...]
    piers: tuple[CarriedPier, ...]
    notes: tuple[Note, ...]
    checks: tuple[Check, ...]


def carry_net(job: Job, vault: Any, net: Net, acts: NetActions) -> NetCarrying:
    """Follow every combination into walls, piers and ground. Raises TimbrelError when the data of a
    wall contradict each other."""
    pushed = combined_pushes(job, vault, net, acts)
    walls = carried_walls(job, net, pushed)
    piers = carried_piers(job, net, pushed)
    book = Notebook()
    for support in walls:
        support_notes(book, job, support)
    for pier in piers:
        wall, _ = wall_at(job, pier.corner)
        pier_notes(book, job, wall, pier, pier_pushes(pushed, pier.corner))
    checks = [c for wall in walls for c in wall.checks]
    checks += [c for pier in piers for c in pier.checks]
    return NetCarrying(pushed, walls, piers, tuple(book.notes), (*checks, *_ties(job)))


def _ties(job: Job) -> tuple[Check, ...]:
    """Ties are judged across a strip and round a dome; elsewhere nothing leans on them."""
    if job.walls.ties is None or job.curve.family == "dome":
        return ()
    return (
        judge(
            "supports.ties",
            say("Ties under the springing"),
            None,
            1.0,
            kind="ratio",
            reason=say(
                "Ties are judged across a barrel or a flight and round a dome; here walls and piers "
                "are judged as if there were none."
            ),
            source="docs/load-path.md",
        ),
    )


def pier_pushes(pushed: tuple[CombinedPush, ...], corner: str) -> tuple[PierPush, ...]:
    """What every combination puts on one pier."""
    return tuple(
        PierPush(
            c.combination.key,
            c.combination.situation,
            c.combination.dead,
            p.total,
            bound=p.case.bound,
        )
        for c in pushed
        for p in c.pushes
        if p.support == corner
    )


def springer_side(job: Job, net: Net) -> float:
    """Side of the square bed that a corner of the vault has on its pier, m: how far it is built solid
    along both walls, as far as the net takes it to be where the job does not say."""
    return job.seat.springer or SEAT * net.solid.thickness


def carried_piers(job: Job, net: Net, pushed: tuple[CombinedPush, ...]) -> tuple[CarriedPier, ...]:
    """Every pier whose data are known, under every combination."""
    found = []
    for support in net.grid.supports:
        if support.kind != "pier":
            continue
        wall, side = wall_at(job, support.name)
        pushes = pier_pushes(pushed, support.name)
        beside = wall_of(job, side_beside(support.name))
        pier = carried_pier(
            job, wall, support.name, side, pushes, beside, springer=springer_side(job, net)
        )
        if pier is not None:
            found.append(pier)
    return tuple(found)


def carried_walls(
    job: Job, net: Net, pushed: tuple[CombinedPush, ...]
) -> tuple[SupportAnswer, ...]:
    """Every wall whose data are known, under every combination. Raises TimbrelError when the data
    of a wall contradict each other."""
    found = []
    for support in net.grid.supports:
        if support.kind == "pier":
            continue
        side = side_of(support.name)
        wall = wall_of(job, side)
        ring = job.walls.ties if support.name == "ring" else None
        pushes = gathered(pushed, support.name, ring)
        if missing_data(wall, side) is not None or pushes is None:
            continue
        profile = wall_profile(wall, side, float(support.length.sum()))
        found.append(
            support_answer(job, wall, side, profile, pushes, bearing_width(job, net, support))
        )
    return tuple(found)
