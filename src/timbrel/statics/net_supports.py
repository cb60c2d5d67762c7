"""Walls, piers and rings under the thrust of a vault that is proved by a net.

Every support is asked under dead load alone and with the imposed load everywhere, in the state of
least thrust of the whole vault: supports give a little and the vault settles to it (Heyman 1995). On
piers the state of greatest thrust counts too. Walls all round face each other, struts from wall to
wall press without bound, and their greatest thrust says nothing. What arrives on a wall is spread
evenly over its length: its mean a metre, at its true mean place in the wall.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.job.sense_ties import framed
from timbrel.job.supports import Ties
from timbrel.shape.plan import SIDES
from timbrel.statics.built_walls import states_of
from timbrel.statics.corner_ties import rest_of_piers
from timbrel.statics.expressions import design_pairs
from timbrel.statics.level_arch import frame_arch
from timbrel.statics.net import Net, NetAnswer, NetQuestion
from timbrel.statics.net_actions import NetActions
from timbrel.statics.net_level import LevelLoad
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_solid import Array, Index, NetGrid, Support
from timbrel.statics.piers import PierState, pier_checks, pier_state
from timbrel.statics.support_push import SupportPush
from timbrel.statics.ties import THREAD, THREAD_FACTOR
from timbrel.statics.wall_checks import wall_checks
from timbrel.statics.walls import (
    AnySide,
    Bound,
    LoadCase,
    SpringingCase,
    SpringingForce,
    WallState,
    missing_data,
    wall_of,
)
from timbrel.verdict import Check
from timbrel.words import say


@dataclass(frozen=True)
class PushState:
    """One state of the whole net and the loads it carries, each with its multiple."""

    case: LoadCase
    answer: NetAnswer
    loads: tuple[tuple[NetLoad, float], ...]


@dataclass(frozen=True)
class RingTie:
    """The ring round a dome as the job states it: tension by design (N), and its resistance (N)."""

    tension: float
    resistance: float


@dataclass(frozen=True)
class NetSupports:
    """pushes: every support in every state. walls, piers: those whose data are known. ring: of a
    dome, when the job states ties. checks: all verdicts."""

    pushes: tuple[SupportPush, ...]
    walls: tuple[WallState, ...]
    piers: tuple[PierState, ...]
    ring: RingTie | None
    checks: tuple[Check, ...]


def net_supports(job: Job, vault: Any, net: Net, acts: NetActions) -> NetSupports:
    """Follow the thrust of a net into what carries it."""
    states = push_states(net, acts)
    pushes = tuple(
        push_on(vault, net, support, state) for support in net.grid.supports for state in states
    )
    walls: list[WallState] = []
    piers: list[PierState] = []
    checks: list[Check] = []
    ties = _holding(job, net, pushes)
    for support in net.grid.supports:
        mine = [p for p in pushes if p.support == support.name]
        if support.kind == "pier":
            wall, side = wall_at(job, support.name)
            known = wall.pier is not None and wall.height is not None
            beside = [_beside_ties(vault, ties, p, pushes) for p in mine]
            here = _pier_states(job, wall, beside) if known else ()
            piers += here
            checks += pier_checks(wall, support.name, side, here, job.loads.factors)
        elif not (support.name == "ring" and ties is not None):
            stood = _wall_states(job, support, mine, ties)
            walls += stood
            side_name = side_of(support.name)
            wall = wall_of(job, side_name)
            checks += wall_checks(wall, side_name, stood, job.loads.factors)
    return NetSupports(pushes, tuple(walls), tuple(piers), _ring(job, vault, pushes), tuple(checks))


def push_states(net: Net, acts: NetActions) -> tuple[PushState, ...]:
    """Least thrust, and on piers the greatest, under dead load and with the imposed load
    everywhere."""
    on_piers = all(support.kind == "pier" for support in net.grid.supports)
    full = next((p for p in acts.patterns if p.key == "full"), None)
    found: list[PushState] = []
    for load in (None, full) if full is not None else (None,):
        question = NetQuestion(net, acts.dead, load)
        key = "dead" if load is None else load.key
        title = say("dead load alone") if load is None else load.title
        loads = ((acts.dead, 1.0),) if load is None else ((acts.dead, 1.0), (load, 1.0))
        bounds: tuple[Bound, ...] = ("least", "greatest") if on_piers else ("least",)
        for bound in bounds:
            factor = 0.0 if load is None else 1.0
            answer = question.thrust(least=bound == "least", factor=factor)
            if answer is not None:
                found.append(PushState(LoadCase(key, title, bound), answer, loads))
    return tuple(found)


def push_on(vault: Any, net: Net, support: Support, state: PushState) -> SupportPush:
    """Forces at the ends of the struts that arrive, and loads on the held nodes themselves."""
    points, forces = arriving(net, support, state)
    total = forces.sum(axis=0)
    length = float(support.length.sum())
    if support.kind == "pier" or length <= 0:
        over = 0.0
        if support.kind == "pier":
            springing = float(np.asarray(vault.room.corners)["ABCD".index(support.name), 2])
            out = np.einsum("ka,a->k", forces[:, :2], support.outward[0])
            if out.sum() > 0:
                over = float(out @ (points[:, 2] - springing) / out.sum())
        return SupportPush(support.name, support.kind, state.case, total, None, over)
    inward, height, outward, along = _in_the_wall(vault, support, points, forces)
    level, down = float(outward.sum()), -float(total[2])
    return SupportPush(
        support.name,
        support.kind,
        state.case,
        total,
        SpringingForce(
            level / length,
            abs(float(along.sum())) / length,
            down / length,
            float(-forces[:, 2] @ inward) / down if down else 0.0,
            float(outward @ height) / level if level else 0.0,
        ),
    )


def arriving(net: Net, support: Support, state: PushState) -> tuple[Array, Array]:
    """Points (k, 3) and forces (k, 3) that the vault puts on a support."""
    grid, struts = net.grid, net.struts
    start, end = struts.ends(grid)
    push = (end - start) / np.linalg.norm(end - start, axis=1)[:, None]
    push = push * state.answer.force[:, None]
    used = state.answer.force > 0
    at_end, at_start = (used & np.isin(k, support.nodes) for k in (struts.j, struts.i))
    own, at = own_forces(grid, support.nodes, state.loads)
    nodes = np.concatenate([struts.j[at_end], struts.i[at_start], support.nodes])
    points = np.concatenate([end[at_end], start[at_start], at])
    forces = np.concatenate([push[at_end], -push[at_start], own])
    return points, np.einsum("kab,kb->ka", _shares(net, support)[nodes], forces)


def own_forces(
    grid: NetGrid, nodes: Index, loads: tuple[tuple[NetLoad, float], ...]
) -> tuple[Array, Array]:
    """Forces (k, 3) of loads on some nodes themselves, each with its multiple, and where on their
    lines (k, 3) they act."""
    force, couple = np.zeros((len(nodes), 3)), np.zeros((len(nodes), 3))
    for load, factor in loads:
        force[:, 2] -= factor * load.weight[nodes]
        if isinstance(load, LevelLoad):
            force[:, :2] += factor * load.level[nodes]
            couple += factor * load.couple[nodes]
    size = np.maximum(np.einsum("ka,ka->k", force, force), 1e-300)
    along = np.einsum("ka,ka->k", couple, force) / size
    return force, grid.middle[nodes] + along[:, None] * grid.half[nodes]


def _shares(net: Net, support: Support) -> Array:
    """(n, 3, 3) what a support takes of a force at each node: all of it, but in a corner where two
    walls meet half of the weight, and of the push the part square to it."""
    shares = np.broadcast_to(np.eye(3), (net.grid.size, 3, 3)).copy()
    own = dict(zip(support.nodes.tolist(), support.outward, strict=True))
    for other in net.grid.supports:
        if other is support:
            continue
        for node, beside in zip(other.nodes.tolist(), other.outward, strict=True):
            if node in own:
                # The push is a n1 + b n2 of both walls' directions; a n1 is this wall's.
                inverse = np.linalg.inv(np.stack([own[node], beside], axis=1))
                shares[node] = 0.0
                shares[node, :2, :2] = np.outer(own[node], inverse[0])
                shares[node, 2, 2] = 0.5
    return shares


def _in_the_wall(
    vault: Any, support: Support, points: Array, forces: Array
) -> tuple[Array, Array, Array, Array]:
    """Of each force: how far into the wall and how high over its springing it acts, and its parts
    square to the wall and along it."""
    if support.name == "ring":
        centre = np.asarray(vault.centre)
        away = points[:, :2] - centre[:2]
        radius = np.hypot(*away.T)
        out = away / radius[:, None]
        inward = radius - float(vault.rings(0.0).radius)
        height = points[:, 2] - centre[2]
    else:
        through, wall = vault.plan.wall(SIDES.index(support.name))
        out = np.broadcast_to(wall[:2], (len(points), 2))
        inward = (points - through) @ wall
        p, q = vault.plan.side(SIDES.index(support.name))
        share = ((points - p)[:, :2] @ (q - p)[:2]) / ((q - p)[:2] @ (q - p)[:2])
        height = points[:, 2] - (p[2] + share * (q[2] - p[2]))
    square = np.einsum("ka,ka->k", forces[:, :2], out)
    along = forces[:, 0] * -out[:, 1] + forces[:, 1] * out[:, 0]
    return inward, height, square, along


def side_of(name: str) -> AnySide:
    sides: dict[str, AnySide] = {
        "left": "left", "right": "right", "near": "near", "far": "far", "ring": "ring",
    }  # fmt: skip
    return sides[name]


def wall_at(job: Job, corner: str) -> tuple[Wall, str]:
    """The wall at whose end a pier stands."""
    return (job.walls.left, "left") if corner in "AD" else (job.walls.right, "right")


def side_beside(corner: str) -> AnySide:
    """The other wall at a pier's corner, whose buttress leans on the pier too."""
    return "near" if corner in "AB" else "far"


def _holding(job: Job, net: Net, pushes: tuple[SupportPush, ...]) -> Ties | None:
    """The ties that supports lean on: those for good, and round four walls only where each wall bears
    its push to the corners."""
    ties = job.walls.ties
    if ties is None or ties.stay != "for good":
        return None
    for support in net.grid.supports if framed(ties, job.curve) else ():
        level = max(
            (p.force.level for p in pushes if p.support == support.name and p.force), default=0
        )
        wall = wall_of(job, side_of(support.name))
        arch = frame_arch(job, wall, float(support.length.sum()), level)
        if isinstance(arch, str) or arch.use > 1:
            return None
    return ties


def _beside_ties(
    vault: Any, ties: Ties | None, push: SupportPush, pushes: tuple[SupportPush, ...]
) -> SupportPush:
    """What is left of a push on a pier beside the ties from pier to pier."""
    together = [p for p in pushes if p.case == push.case]
    rest = rest_of_piers(vault, ties, together)[push.support]
    return replace(push, total=rest.force, couple=rest.couple, tied=rest.tied)


def _wall_states(
    job: Job, support: Support, pushes: list[SupportPush], ties: Ties | None
) -> tuple[WallState, ...]:
    """A wall as it is built, its leaves, openings and buttresses in it."""
    side = side_of(support.name)
    wall = wall_of(job, side)
    if missing_data(wall, side) is not None:
        return ()
    cases = [SpringingCase(side, p.case, p.force) for p in pushes if p.force is not None]
    return states_of(wall, side, float(support.length.sum()), cases, ties)


def _pier_states(job: Job, wall: Wall, pushes: list[SupportPush]) -> tuple[PierState, ...]:
    """A pier under every push; a factor against overturning over the least so far is told as that,
    so the hardest push comes first."""
    found: list[PierState] = []
    for p in sorted(pushes, key=lambda p: -float(np.hypot(*p.total[:2]))):
        enough = min((state.overturning for state in found), default=np.inf)
        beside = wall_of(job, side_beside(p.support))
        found.append(
            pier_state(wall, p.support, p.case, p.total, p.couple, beside=beside, enough=enough)
        )
    return tuple(found)


def _ring(job: Job, vault: Any, pushes: tuple[SupportPush, ...]) -> RingTie | None:
    """T = h r round the ring, from the least thrust: a tie that gives lets the dome settle to it
    (Heyman 1995). Permanent and variable loads by the job's factors, taken together."""
    ties = job.walls.ties
    found = [p for p in pushes if p.support == "ring" and p.case.bound == "least" and p.force]
    if ties is None or not found:
        return None
    level = {p.case.load: p.force.level for p in found if p.force}
    dead = level["dead"]
    full = max(level.get("full", dead), dead)
    radius = float(vault.rings(0.0).radius)
    pushes_out = [p.permanent * dead + p.imposed * (full - dead) for p in design_pairs(job.loads)]
    tension = max(pushes_out) * radius
    steel = job.loads.national
    if ties.kind == "bar":
        area = math.pi * (ties.diameter or 0.0) ** 2 / 4
        net = THREAD_FACTOR * ties.ultimate_strength * THREAD * area / steel.steel_net
    else:
        area = (ties.width or 0.0) * (ties.thickness or 0.0)
        left = ((ties.width or 0.0) - ties.hole) * (ties.thickness or 0.0)
        net = THREAD_FACTOR * ties.ultimate_strength * left / steel.steel_net
    return RingTie(tension, min(ties.yield_strength * area / steel.steel, net))
