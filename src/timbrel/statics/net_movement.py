"""Level accelerations and moving supports under a vault on a plan.

*Level share.* The greatest share of its weight that the net bears level, in each of four
directions, beside its dead load. A row that ends at a free edge has nothing to lean on along the
web: what holds it is the lap of the layers (:mod:`timbrel.statics.net_lap`). Where the job says
what that carries the share is judged with it; else what it has to carry at the wanted share is
told.

*Spread and settlement.* What the net makes of them stands in :mod:`timbrel.statics.net_motions`. Beside
it is told what an arch on three hinges over the shorter way of the vault (the diagonal of a groin, the
ring of a dome) would do: two rigid halves keep their chords, the crown comes down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_images import image_between
from timbrel.statics.net_lap import lap_net
from timbrel.statics.net_others import level_pushes
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_crushing import Crushing
    from timbrel.statics.net_loads import NetLoad

MOST = 1.0  # share of its weight: more is not looked for
NONE = 1e-6


@dataclass(frozen=True)
class NetLevelShare:
    """Share of the weight borne in one direction (right, left, far, near); more: at least that.
    None where the net cannot judge it. tension: that the lap of the layers has to carry across joints
    beside open edges at the wanted share, N/m; None where nothing has to, or no tension would do."""

    direction: str
    share: float | None
    more: bool
    tension: float | None = None


@dataclass(frozen=True)
class NetMovement:
    """An arch on three hinges in the place of a vault whose supports move.

    reach: half its span, m. rise: m. spread: of its feet, m. drop: of its crown, m. share: of the
    thickness of the shell.
    """

    reach: float
    rise: float
    spread: float
    drop: float
    share: float


def level_shares(
    job: Job, net: Net, acts: NetActions, crushing: Crushing | None = None, *, stands: bool = True
) -> tuple[NetLevelShare, ...]:
    """The share of weight borne level in four directions; none is known of a vault that does not
    stand under its dead load."""
    found: list[NetLevelShare] = []
    lapped: list[tuple[NetLoad, NetLevelShare]] = []
    for push in level_pushes(net.grid, acts.bodies, 1.0, len(net.solid.beds)):
        direction = push.load.key.removeprefix("level.")
        if not stands:
            found.append(NetLevelShare(direction, None, more=False))
            continue
        question = NetQuestion(net, acts.dead, push.load, crushing=crushing)
        if question.unheld:
            # A direction that a symmetry makes of one that is known is as that one.
            alike = (
                one
                for load, one in lapped
                if image_between(net, acts.dead, load, push.load) is not None
            )
            known = next(alike, None) or _lapped(job, net, acts, push.load, direction)
            lapped.append((push.load, known))
            found.append(replace(known, direction=direction))
            continue
        state = question.program.load_factor(MOST)
        share = 0.0 if state is None else min(state.factor, MOST)
        borne = share if share > NONE else None
        found.append(NetLevelShare(direction, borne, state is not None and state.more))
    return tuple(found)


def _lapped(job: Job, net: Net, acts: NetActions, push: NetLoad, direction: str) -> NetLevelShare:
    """The share with what the lap of the layers carries, or what it has to carry."""
    wanted, stated = job.loads.horizontal, job.masonry.lap_tension
    lapped = lap_net(net, acts.dead, push) if wanted or stated is not None else None
    if lapped is None:
        return NetLevelShare(direction, None, more=False)
    tension = lapped.least_tension(wanted) if wanted else None
    if stated is None:
        return NetLevelShare(direction, None, more=False, tension=tension)
    share = lapped.share(stated, MOST)
    return NetLevelShare(direction, share, share >= MOST * (1 - NONE), tension)


def level_check(job: Job, shares: tuple[NetLevelShare, ...]) -> tuple[Check, ...]:
    """The least of four directions; left out where it is not known and the job asks for none."""
    known = [s.share for s in shares if s.share is not None]
    wanted = job.loads.horizontal
    whole = len(known) == len(shares)
    if not whole and not wanted:
        return ()
    return (
        judge(
            "supports.level",
            say("Level acceleration borne, share of weight"),
            min(known) if whole else None,
            wanted,
            kind="percent",
            reason=_why(wanted, shares, whole=whole),
            source="strut net, docs/load-path.md; Heyman 1966",
        ),
    )


def _why(wanted: float, shares: tuple[NetLevelShare, ...], *, whole: bool) -> Message:
    tensions = [s.tension for s in shares if s.tension is not None]
    if not whole and len(tensions) + sum(s.share is not None for s in shares) == len(shares):
        return say(
            "Strips beside open edges lean on nothing level: at the wanted share the lap of the "
            "layers has to carry a tension of {tension:line_load} across their joints. State what it "
            "carries, by tests, in masonry.lap_tension.",
            tension=max(tensions),
        )
    if not whole:
        return say(
            "A free edge leans on nothing level: friction and the lap of the layers alone would hold "
            "it, which a strut net does not have."
        )
    if wanted and tensions:
        return say(
            "Least of four directions, with what the job says that the lap of the layers carries; at "
            "the wanted share it has to carry {tension:line_load} beside open edges. The strength of "
            "the masonry is not looked at. Its push and that of their own weight go into the checks "
            "of walls and piers.",
            tension=max(tensions),
        )
    if wanted:
        return say(
            "Least of four directions, of the vault alone. Its push and that of their own weight go "
            "into the checks of walls and piers."
        )
    return say("The job asks for none (loads.horizontal is 0); told for information.")


def movement(job: Job, vault: Any) -> NetMovement:
    """What the stated spread would do to an arch on three hinges."""
    reach, rise = _arch(vault)
    spread = job.loads.spread * (math.sqrt(2) if vault.on_corners else 1.0)
    drop = crown_drop(reach, rise, spread)
    return NetMovement(reach, rise, spread, drop, drop / float(vault.thickness))


def crown_drop(reach: float, rise: float, spread: float) -> float:
    """Drop of the crown of two rigid halves, each with half span `reach`, whose feet move apart."""
    left = reach**2 + rise**2 - (reach + spread / 2) ** 2
    return rise - math.sqrt(left) if left > 0 else rise


def _arch(vault: Any) -> tuple[float, float]:
    """Half span and rise of the arch whose crown drops most: the shorter way of the plan, the diagonal
    of a vault on its corners, the ring of a dome."""
    if vault.family == "dome":
        base = vault.base
        top = float(base.at(np.array([base.length / 2]))[0, 1])
        return float(base.span) / 2, top
    corners = np.asarray(vault.room.corners, float)
    plan = corners[:, :2]
    if vault.on_corners:
        half = min(np.hypot(*(plan[2] - plan[0])), np.hypot(*(plan[3] - plan[1]))) / 2
    else:
        sides = np.hypot(*(np.roll(plan, -1, axis=0) - plan).T)
        half = float(sides.min()) / 2
    middle = plan.mean(axis=0)
    crown = float(BlockSolid(vault).levels(middle[None], float(vault.thickness) / 2)[0])
    return float(half), crown - float(corners[:, 2].mean())
