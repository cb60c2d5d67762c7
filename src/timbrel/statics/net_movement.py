"""Level accelerations and moving supports under a vault on a plan.

*Level share.* The greatest share of its weight that the net bears level, in each of four directions,
beside its dead load. A row that ends at a free edge has nothing to lean on along the web: only
friction and the lap of the layers would hold it, which a net does not have, so a groin is not judged.

*Spread and settlement.* What the net makes of them stands in :mod:`timbrel.statics.net_motions`. Beside
it is told what an arch on three hinges over the shorter way of the vault (the diagonal of a groin, the
ring of a dome) would do: two rigid halves keep their chords, the crown comes down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_solid import BlockSolid
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_others import level_pushes
from timbrel.verdict import Check, judge
from timbrel.words import say

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_crushing import Crushing

MOST = 1.0  # share of its weight: more is not looked for
NONE = 1e-6


@dataclass(frozen=True)
class NetLevelShare:
    """Share of the weight borne in one direction (right, left, far, near); more: at least that.
    None where the net cannot judge it."""

    direction: str
    share: float | None
    more: bool


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
    net: Net, acts: NetActions, crushing: Crushing | None = None
) -> tuple[NetLevelShare, ...]:
    """The share of weight borne level in four directions."""
    found: list[NetLevelShare] = []
    for push in level_pushes(net.grid, acts.bodies, 1.0, len(net.solid.beds)):
        question = NetQuestion(net, acts.dead, push.load, crushing=crushing)
        state = None if question.unheld else question.program.load_factor(MOST)
        share = 0.0 if state is None else min(state.factor, MOST)
        known = share if share > NONE else None
        more = state is not None and state.more
        found.append(NetLevelShare(push.load.key.removeprefix("level."), known, more))
    return tuple(found)


def level_check(job: Job, shares: tuple[NetLevelShare, ...]) -> tuple[Check, ...]:
    """The least of four directions; left out where it is not known and the job asks for none."""
    known = [s.share for s in shares if s.share is not None]
    wanted = job.loads.horizontal
    whole = len(known) == len(shares)
    if not whole and not wanted:
        return ()
    if not whole:
        reason = say(
            "A free edge leans on nothing level: friction and the lap of the layers alone would hold "
            "it, which a strut net does not have."
        )
    elif wanted:
        reason = say(
            "Least of four directions, of the vault alone. Its push and that of their own weight go "
            "into the checks of walls and piers."
        )
    else:
        reason = say("The job asks for none (loads.horizontal is 0); told for information.")
    return (
        judge(
            "supports.level",
            say("Level acceleration borne, share of weight"),
            min(known) if whole else None,
            wanted,
            kind="percent",
            reason=reason,
            source="strut net, docs/load-path.md; Heyman 1966",
        ),
    )


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
