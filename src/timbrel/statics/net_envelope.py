"""The envelope of all combinations over a vault on a plan: which governs, and by how much it stands.

A combination gG G + gQ V stands as long as the net carries the multiple m of its variable part
V beside gG G. With k the load factor of V beside the dead load alone, m = k gG / gQ: one program
a mixture of variable loads answers for all its combinations. An arrangement of the imposed load whose
load factor the proof has found already is not asked again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.net import NetQuestion
from timbrel.statics.net_combinations import NetCombination, net_combinations
from timbrel.statics.net_lap import lap_net
from timbrel.statics.net_rungs import STANDS
from timbrel.statics.net_states import asked_pushes, mixed
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_crushing import Crushing
    from timbrel.statics.net_loads import NetLoad

FOLLOWED = 4.0  # multiples of a combination's variable part: more is not looked for
STRENGTH = ("STR", "accidental")


@dataclass(frozen=True)
class VaultReserve:
    """The multiple of its variable part that the vault bears under a combination; more: at least."""

    combination: NetCombination
    multiple: float
    more: bool


@dataclass(frozen=True)
class NetEnvelope:
    """reserves: of every combination for strength that has variable loads. fallen: keys of
    combinations without a state of equilibrium."""

    reserves: tuple[VaultReserve, ...]
    fallen: tuple[str, ...]

    @property
    def governing(self) -> VaultReserve | None:
        return min(self.reserves, key=lambda r: r.multiple, default=None)


def net_envelope(
    job: Job,
    net: Net,
    acts: NetActions,
    fallen: tuple[NetCombination, ...],
    *,
    crushing: Crushing | None = None,
    known: Mapping[str, float] | None = None,
) -> NetEnvelope:
    """Every combination for strength. known: load factors found by the proof, by arrangement."""
    pushes = asked_pushes(job, net, acts)
    factors: dict[tuple[tuple[str, float], ...], tuple[float, bool]] = {}
    found, lap = [], job.masonry.lap_tension
    down = {c.key for c in fallen}
    stands = not down or NetQuestion(net, acts.dead).share_of_dead() >= STANDS
    for c in net_combinations(job.loads, acts, pushes):
        if c.situation not in STRENGTH or not c.factors:
            continue
        if c.mixture not in factors:
            if not stands:
                found.append(VaultReserve(c, 0.0, False))
                continue
            alone = len(c.factors) == 1 and known is not None and c.leading in known
            if alone and known is not None and c.leading is not None:
                followed = FOLLOWED * max(c.ratio, 1.0)
                factor = known[c.leading]
                factors[c.mixture] = min(factor, followed), factor > followed
            else:
                load = mixed(acts, pushes, c.mixture)
                if lap is None and c.key not in down and NetQuestion(net, acts.dead, load).unheld:
                    continue  # what the lap has to carry is told with the level share, not judged here
                factors[c.mixture] = _factor(net, acts, load, crushing, c, lap)
        factor, more = factors[c.mixture]
        found.append(VaultReserve(c, factor / c.ratio, more))
    return NetEnvelope(tuple(found), tuple(c.key for c in fallen))


def _factor(
    net: Net,
    acts: NetActions,
    variable: NetLoad | None,
    crushing: Crushing | None,
    c: NetCombination,
    lap: float | None,
) -> tuple[float, bool]:
    """Greatest multiple of a mixture beside the dead load, and whether it was followed no further.
    lap: tension that the lap of the layers carries, N/m."""
    question = NetQuestion(net, acts.dead, variable, crushing=crushing)
    followed = FOLLOWED * max(c.ratio, 1.0)
    if question.unheld:
        lapped = lap_net(net, acts.dead, variable)
        if lapped is None or lap is None:
            return 0.0, False
        share = lapped.share(lap, followed)
        return share, share >= followed * (1 - 1e-6)
    found = question.program.load_factor(followed)
    if found is None:
        return 0.0, False
    return min(found.factor, followed), found.more


def envelope_check(found: NetEnvelope) -> tuple[Check, ...]:
    """Does the vault stand under every combination for strength; none where nothing is variable."""
    worst = found.governing
    if worst is None and not found.fallen:
        return ()
    value = worst.multiple if worst else 0.0
    reason: Message
    if found.fallen:
        keys = ", ".join(found.fallen[:3])
        reason = say("No state of compression was found under {combinations}.", combinations=keys)
        value = min(value, 0.999)
    elif worst is not None and worst.more:
        reason = say(
            "Governed by {combination}; followed no further than this.",
            combination=worst.combination.key,
        )
    else:
        reason = say(
            "Governed by {combination}.", combination=worst.combination.key if worst else ""
        )
    source = worst.combination.source if worst else "EN 1990 6.4.3"
    return (
        judge(
            "supports.combinations",
            say("Multiple of its variable loads that the vault bears, worst combination"),
            value if np.isfinite(value) else FOLLOWED,
            1.0,
            kind="ratio",
            reason=reason,
            source=source,
        ),
    )
