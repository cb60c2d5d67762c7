"""The load path of a vault on a plan under every combination of EN 1990, down to the ground.

States of the whole net (:mod:`timbrel.statics.net_states`) put their pushes on walls, piers and ring.
What arrives on a wall is spread evenly over it and goes down as that of a barrel does
(:mod:`timbrel.statics.support_checks`). Beside the supports stand the vault's own verdicts: the
combination that governs it, what it bears level, and what moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job, Wall
from timbrel.job.supports import Ties
from timbrel.statics.corner_ties import Rest, rest_of_piers
from timbrel.statics.descent import Push
from timbrel.statics.net_bases import SupportFoot, pier_foot, wall_foot
from timbrel.statics.net_crushing import SEAT
from timbrel.statics.net_envelope import NetEnvelope, envelope_check, net_envelope
from timbrel.statics.net_load_notes import load_notes
from timbrel.statics.net_motions import (
    SupportMotion,
    motion_check,
    support_motions,
)
from timbrel.statics.net_movement import (
    NetLevelShare,
    NetMovement,
    level_check,
    level_shares,
    movement,
)
from timbrel.statics.net_springing import SpringingPlace, springing_places
from timbrel.statics.net_states import CombinedPush, NetStates, net_states
from timbrel.statics.net_supports import side_beside, side_of, wall_at
from timbrel.statics.net_tie_checks import net_tie_checks
from timbrel.statics.net_tie_notes import net_tie_notes
from timbrel.statics.net_ties import net_ties
from timbrel.statics.notes import Note, Notebook
from timbrel.statics.pier_carrying import CarriedPier, carried_pier
from timbrel.statics.pier_notes import pier_notes
from timbrel.statics.pier_shape import pier_shape
from timbrel.statics.pier_twins import Turning
from timbrel.statics.pier_work import PierPush
from timbrel.statics.pushes import Pushes, beside_ties, swayed
from timbrel.statics.support_checks import SupportAnswer, support_answer
from timbrel.statics.support_push import SupportPush
from timbrel.statics.supports import Profile, wall_profile
from timbrel.statics.sway import way_of
from timbrel.statics.tied_plan import NetTies, PushRow
from timbrel.statics.unlike_pushes import beside_mean, unlike
from timbrel.statics.wall_en1996 import wall_strength
from timbrel.statics.wall_notes import support_notes
from timbrel.statics.walls import AnySide, missing_data, wall_of
from timbrel.verdict import Check

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_crushing import Crushing
    from timbrel.statics.net_solid import Support


def gathered(
    pushed: tuple[CombinedPush, ...],
    name: str,
    ties: Ties | None = None,
    *,
    outward: np.ndarray | None = None,
    share: float = 0.0,
) -> Pushes | None:
    """The pushes of every combination on one wall; None where there are none. ties: that hold it;
    they leave it only what it carries down, the couple of their heights, and what nothing pushes
    against on the other side of the vault. outward: (2,) square to the wall in plan, None of a
    ring; share: of a level acceleration, under which its own weight pushes too."""
    found = [(c, p) for c in pushed for p in c.pushes if p.support == name and p.force is not None]
    rows = [(c, p.force) for c, p in found if p.force is not None]
    if not rows:
        return None

    def of(part: str) -> np.ndarray:
        return np.array([getattr(force, part) for _, force in rows])

    level = of("level") + np.array([beside_mean(c, p) for c, p in found])
    push = Push(
        level, of("along"), of("down"), of("into"), of("over"),
        np.array([c.combination.dead for c, _ in rows]),
    )  # fmt: skip
    keys = tuple(c.combination.key for c, _ in rows)
    if outward is None:
        # Round a drum some metre of it faces any direction.
        ways = np.array([float(np.hypot(*way_of(key))) for key in keys])
        push = replace(push, sway=ways * share) if ways.any() and share else push
    else:
        push = swayed(push, keys, outward, share)
    rest = beside_ties(push, ties, np.array([unlike(c, p) for c, p in found]))
    return Pushes(
        push,
        rest,
        keys,
        tuple(c.combination.situation for c, _ in rows),
        tuple(c.bound for c, _ in rows),
        push.level - rest.level,
    )


def bearing_width(job: Job, net: Net, support: Support) -> float:
    """Width of the springing on its wall, m: its joint seen from above, or its seat."""
    across = 2 * np.abs(np.einsum("ka,ka->k", net.grid.half[support.nodes, :2], support.outward))
    return max(float(np.median(across)), job.seat.depth)


@dataclass(frozen=True)
class NetCarrying:
    """The load path of a vault on a plan, once it has been proved.

    pushed: every combination with what it puts on each support, factored. envelope: what the vault
    bears of each. springing: least and greatest thrust of every stretch, unfactored. level: shares
    of the weight borne level. movement: an arch on three hinges under the stated spread; motions:
    how the vault follows what the job states of spread and settlement, none where it states
    neither. walls, piers: those whose data are known, beside what ties take; ties: of the job;
    feet: of walls and piers. notes: the calculation, step by step. checks: all verdicts.
    """

    pushed: tuple[CombinedPush, ...]
    envelope: NetEnvelope
    springing: tuple[SpringingPlace, ...]
    level: tuple[NetLevelShare, ...]
    movement: NetMovement
    motions: tuple[SupportMotion, ...]
    walls: tuple[SupportAnswer, ...]
    piers: tuple[CarriedPier, ...]
    ties: NetTies | None
    feet: tuple[SupportFoot, ...]
    notes: tuple[Note, ...]
    checks: tuple[Check, ...]


def carry_net(
    job: Job,
    vault: Any,
    net: Net,
    acts: NetActions,
    *,
    crushing: Crushing | None = None,
    known: Mapping[str, float] | None = None,
    states: NetStates | None = None,
    coarse: tuple[Net, NetActions] | None = None,
) -> NetCarrying:
    """Follow every combination into walls, piers and ground.

    crushing: strength of the same net, where it is limited. known: load factors that the proof has
    found, by arrangement. states: of every combination, where they are known. coarse: a net that
    follows supports which give way, this one if left out. Raises TimbrelError when the data of a
    wall contradict each other.
    """
    states = states or net_states(job, vault, net, acts)
    pushed = states.pushed
    every = net_envelope(job, net, acts, states.fallen, crushing=crushing, known=known)
    stands = bool(pushed) or not states.fallen
    shares = level_shares(job, net, acts, crushing, stands=stands)
    moved = movement(job, vault)
    motions = support_motions(job, vault, (coarse, (net, acts)) if coarse else ((net, acts),))
    tied = net_ties(job, vault, net, push_rows(pushed))
    left = beside_plan_ties(job, vault, pushed, tied)
    walls = carried_walls(job, net, left, tied)
    piers = carried_piers(job, net, left)
    book, share = Notebook(), job.loads.horizontal
    load_notes(book, job, acts, every, states)
    for support in walls:
        support_notes(book, job, support)
    for pier in piers:
        wall, _ = wall_at(job, pier.corner)
        pier_notes(book, job, wall, pier, pier_pushes(left, pier.corner, share))
    if tied is not None:
        net_tie_notes(book, job, tied)
    checks = [*envelope_check(every)]
    checks += [c for wall in walls for c in wall.checks]
    checks += [c for pier in piers for c in pier.checks]
    checks += [*level_check(job, shares), *motion_check(job, vault, motions)]
    checks += net_tie_checks(job, tied)
    return NetCarrying(
        pushed,
        every,
        springing_places(vault, net, states.bare),
        shares,
        moved,
        motions,
        walls,
        piers,
        tied,
        support_feet(job, net, left, tied),
        tuple(book.notes),
        tuple(checks),
    )


def push_rows(pushed: tuple[CombinedPush, ...]) -> tuple[PushRow, ...]:
    """Every combination as the ties see it."""
    return tuple(
        PushRow(c.combination.key, c.combination.situation, c.bound, c.pushes) for c in pushed
    )


def beside_plan_ties(
    job: Job, vault: Any, pushed: tuple[CombinedPush, ...], tied: NetTies | None
) -> tuple[CombinedPush, ...]:
    """What every combination leaves to the piers beside the ties from pier to pier."""
    ties = job.walls.ties if tied is not None and tied.helps else None
    found = []
    for c in pushed:
        rests = rest_of_piers(vault, ties, c.pushes)
        found.append(replace(c, pushes=tuple(left_of(p, rests) for p in c.pushes)))
    return tuple(found)


def left_of(push: SupportPush, rests: dict[str, Rest]) -> SupportPush:
    """What ties from pier to pier leave of a push on a pier; a push on a wall is left as it is."""
    rest = rests.get(push.support)
    if rest is None:
        return push
    return replace(push, total=rest.force, couple=rest.couple, tied=rest.tied)


def pier_pushes(
    pushed: tuple[CombinedPush, ...], corner: str, share: float
) -> tuple[PierPush, ...]:
    """What every combination puts on one pier. share: of a level acceleration, under which its own
    weight pushes too."""
    return tuple(
        PierPush(
            c.combination.key,
            c.combination.situation,
            c.combination.dead,
            p.total,
            p.couple,
            p.case.bound,
            p.tied,
            share * way_of(c.combination.key),
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
    found: list[CarriedPier] = []
    known: list[Turning] = []
    for support in net.grid.supports:
        if support.kind != "pier":
            continue
        wall, side = wall_at(job, support.name)
        pushes = pier_pushes(pushed, support.name, job.loads.horizontal)
        beside = wall_of(job, side_beside(support.name))
        pier = carried_pier(
            job,
            wall,
            support.name,
            side,
            pushes,
            beside,
            springer=springer_side(job, net),
            known=known,
        )
        if pier is not None:
            found.append(pier)
    return tuple(found)


def carried_walls(
    job: Job, net: Net, pushed: tuple[CombinedPush, ...], tied: NetTies | None = None
) -> tuple[SupportAnswer, ...]:
    """Every wall whose data are known, under every combination. Raises TimbrelError when the data
    of a wall contradict each other."""
    return tuple(
        support_answer(job, wall, side, profile, pushes, bearing_width(job, net, support))
        for support, wall, side, profile, pushes in _walls(job, net, pushed, tied)
    )


def support_feet(
    job: Job, net: Net, pushed: tuple[CombinedPush, ...], tied: NetTies | None = None
) -> tuple[SupportFoot, ...]:
    """The feet of all supports whose data are known, under every combination for strength."""
    national = job.loads.national
    found = []
    for support, wall, _, profile, pushes in _walls(job, net, pushed, tied):
        strength = wall_strength(wall.masonry, national)
        design = None if strength is None else strength.design
        found.append(wall_foot(support.name, profile, pushes, design))
    for support in net.grid.supports:
        if support.kind != "pier":
            continue
        wall, _ = wall_at(job, support.name)
        on = pier_pushes(pushed, support.name, job.loads.horizontal)
        if wall.pier is None or wall.height is None or not on:
            continue
        strength = wall_strength(wall.masonry, national)
        design = None if strength is None else strength.design
        shape = pier_shape(wall, support.name, wall_of(job, side_beside(support.name)))
        found.append(pier_foot(wall, support.name, shape, on, design))
    return tuple(found)


def _walls(
    job: Job, net: Net, pushed: tuple[CombinedPush, ...], tied: NetTies | None = None
) -> Iterator[tuple[Support, Wall, AnySide, Profile, Pushes]]:
    """Every wall whose data are known, as it is built, with all that pushes on it."""
    for support in net.grid.supports:
        if support.kind == "pier":
            continue
        side = side_of(support.name)
        wall = wall_of(job, side)
        holds = support.name == "ring" or (tied is not None and tied.helps)
        pushes = gathered(
            pushed,
            support.name,
            job.walls.ties if holds else None,
            outward=None if support.name == "ring" else support.outward.mean(axis=0)[:2],
            share=job.loads.horizontal,
        )
        if missing_data(wall, side) is not None or pushes is None:
            continue
        yield support, wall, side, wall_profile(wall, side, float(support.length.sum())), pushes
