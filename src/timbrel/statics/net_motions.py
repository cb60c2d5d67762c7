"""The ways in which the supports of a vault on a plan may give way, each followed by its net.

*Spread.* All supports move outward so that walls that face each other, corners of one side, or the
ends of a diameter come apart by what the job states; then each support by itself moves outward by
all of it. *Settlement.* Each support by itself sinks by what the job states. A drum that sinks
evenly, or tilts, leaves its dome as it was and is not followed. Supports that a symmetry of vault
and load makes alike are followed once. Loads: the dead load, and with all supports apart the
imposed load everywhere too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.corner_ties import along_sides, corners_of
from timbrel.statics.net import outward_of
from timbrel.statics.net_follow import Followed, UnfollowedError, follow
from timbrel.statics.net_level import together_with_level
from timbrel.statics.net_symmetry import of_loads
from timbrel.verdict import Check, judge
from timbrel.words import Message, say

if TYPE_CHECKING:
    from timbrel.statics.net import Net
    from timbrel.statics.net_actions import NetActions
    from timbrel.statics.net_loads import NetLoad
    from timbrel.statics.net_solid import Array, Support

WIDE = 3000  # struts for each symmetry: a finer net that has more is not asked
LESS = (0.5, 0.25, 0.1)  # shares of a motion that are tried where all of it is too much


What = tuple[str, Message, float, str]
"""Key, title, size and load of a motion."""


@dataclass(frozen=True)
class SupportMotion:
    """One way in which supports give way, and where the vault comes to. key: ``spread``,
    ``spread.left``, ``settlement.A``. size: of the motion, m. load: key of what lies on it,
    ``dead`` or ``full``. borne: share of the motion (at most 1) at which the vault is known to
    stand; None where that could not be told. drop: greatest sinking of the vault, m; thrust: on all
    supports together over what it was, where all of them moved apart; gap: the most that a strut
    under force stands open, m; stray: how far the masonry of a strut over a hinge may lie off the
    straight, m. Not numbers where the vault does not stand."""

    key: str
    title: Message
    size: float
    load: str
    borne: float | None
    drop: float
    thrust: float
    gap: float
    stray: float


def support_motions(
    job: Job, vault: Any, nets: tuple[tuple[Net, NetActions], ...]
) -> tuple[SupportMotion, ...]:
    """Every motion that the job asks for; none where it states neither itself. nets: the next one
    is asked where one does not show that the vault stands, unless it has too few symmetries to be
    quick."""
    if not asked_to_move(job):
        return ()
    found = []
    for k, asked in enumerate(_asked(job, vault, *nets[0])):
        motion = _followed(*asked)
        for net, acts in nets[1:]:
            if motion.borne != 1 and net.struts.size <= WIDE * len(net.group):
                motion = _followed(*list(_asked(job, vault, net, acts))[k])
        found.append(motion)
    return tuple(found)


def _asked(
    job: Job, vault: Any, net: Net, acts: NetActions
) -> Iterator[tuple[Net, NetLoad, What, Array]]:
    """Every motion with every load that is followed under it, on one net."""
    full = next((p for p in acts.patterns if p.key == "full"), None)
    for key, title, size, moved in _ways(job, vault, net, acts.dead):
        yield net, acts.dead, (key, title, size, "dead"), moved
        if full is not None and key == "spread":
            yield net, _both(acts.dead, full), (key, title, size, "full"), moved


def _both(dead: NetLoad, full: NetLoad) -> NetLoad:
    return together_with_level("full", full.title, ((dead, 1.0), (full, 1.0)))


def _followed(net: Net, load: NetLoad, what: What, moved: Array) -> SupportMotion:
    """As far as the vault stands: all of the motion, or a share of it, or as far as cannot be told."""
    found: Followed | None = None
    borne: float | None
    try:
        found = follow(net, load, moved)
        borne = 1.0
        if found is None and follow(net, load, moved, np.inf) is not None:
            borne = None  # its struts over hinges are too long to tell
        elif found is None:
            # Where not even a tenth can be followed it is the method that does not reach.
            borne = next((s for s in LESS if follow(net, load, s * moved) is not None), None)
    except UnfollowedError:
        borne = None
    if found is None:
        return SupportMotion(*what, borne, np.nan, np.nan, np.nan, np.nan)
    out = outward_of(net.grid)
    if what[0] != "spread":
        # Where struts press from wall to wall the thrust on those that stay says nothing.
        return SupportMotion(*what, borne, found.drop, np.nan, found.gap, found.stray)
    after, before = (
        float(np.einsum("na,na->", r[:, :2], out)) for r in (found.reaction, found.still)
    )
    return SupportMotion(*what, borne, found.drop, after / before, found.gap, found.stray)


def _ways(
    job: Job, vault: Any, net: Net, dead: NetLoad
) -> Iterator[tuple[str, Message, float, Array]]:
    """Key, title, size and (n, 3) motion of the supports of each way."""
    grid, spread, settlement = net.grid, job.loads.spread, job.loads.settlement
    supports = _unlike(net, dead)
    if spread:
        every = np.zeros((grid.size, 3))
        if any(s.kind == "pier" for s in grid.supports):
            for support in grid.supports:
                every += _outward(vault, net, support) * spread / 2
        else:
            every[:, :2] = outward_of(grid) * spread / 2
        yield "spread", say("All supports apart"), spread, every
        for support in supports:
            if support.name == "ring":
                continue
            title = say("{support} alone moves outward", support=_named(support.name))
            yield (
                f"spread.{support.name}", title, spread, _outward(vault, net, support) * spread,
            )  # fmt: skip
    for support in supports if settlement else ():
        if support.name == "ring":
            continue
        down = np.zeros((grid.size, 3))
        down[support.nodes, 2] = -settlement
        title = say("{support} alone sinks", support=_named(support.name))
        yield f"settlement.{support.name}", title, settlement, down


def _named(name: str) -> Message:
    names = {
        "left": say("Left wall"),
        "right": say("Right wall"),
        "near": say("Near wall"),
        "far": say("Far wall"),
    }
    return names.get(name) or say("Pier {corner}", corner=name)


def asked_to_move(job: Job) -> bool:
    """Does the job state a spread or a settlement itself."""
    return "spread" in job.loads.model_fields_set or job.loads.settlement > 0


def _outward(vault: Any, net: Net, support: Support) -> Array:
    """(n, 3) a support alone outward by 1: a wall square to itself, a pier along both of its sides."""
    found = np.zeros((net.grid.size, 3))
    if support.kind == "pier":
        to_next, before = along_sides(corners_of(vault))
        corner = "ABCD".index(support.name)
        found[support.nodes, :2] = -(to_next[corner] + before[corner])
    else:
        found[:, :2] = outward_of(net.grid, support)
    return found


def _unlike(net: Net, dead: NetLoad) -> list[Support]:
    """One support of all that symmetries of vault and dead load make alike."""
    found: list[Support] = []
    seen: set[frozenset[int]] = set()
    for support in net.grid.supports:
        if frozenset(support.nodes.tolist()) in seen:
            continue
        found.append(support)
        for g in of_loads(net.group, dead.weight):
            seen.add(frozenset(g[support.nodes].tolist()))
    return found


def motion_check(job: Job, vault: Any, motions: tuple[SupportMotion, ...]) -> tuple[Check, ...]:
    """Least share of all motions under which the vault is known to stand. Nothing where the job
    states neither; what its free edges may have made of it is not judged."""
    if not asked_to_move(job):
        return ()
    value, reason = _verdict(vault, motions)
    return (
        judge(
            "supports.spread",
            say("Stated spread and settlement that the vault follows and stands under, share"),
            value,
            1.0,
            kind="percent",
            reason=reason,
            source="least potential, struts that do not shorten (Heyman 1995); docs/statics-net.md",
            led=True,
        ),
    )


def _verdict(vault: Any, motions: tuple[SupportMotion, ...]) -> tuple[float | None, Message]:
    unknown = next((m for m in motions if m.borne is None), None)
    least = min((m for m in motions if m.borne is not None), key=_borne, default=None)
    if (
        least is not None
        and _borne(least) < 1
        and not (vault.family == "sail" and vault.on_corners)
    ):
        return _borne(least), say(
            "{what}, by {size:length}: no state of compression is left in the moved net at all of it.",
            what=least.title,
            size=least.size,
        )
    if least is not None and _borne(least) < 1:
        return None, say(
            "{what}, by {size:length}: the strips beside the open edges lean on nothing and leave the "
            "net; friction and the lap of the layers hold them, which it does not have.",
            what=least.title,
            size=least.size,
        )
    if unknown is not None or least is None:
        what = say("The supports") if unknown is None else unknown.title
        return None, say(
            "{what}: where the vault comes to could not be told by this net. Have an engineer look "
            "at it.",
            what=what,
        )
    worst = max(motions, key=lambda m: m.drop)
    return 1.0, say(
        "Of {count} motions the one that lets the vault down most is: {what}, by {size:length}. It "
        "comes down by {drop:length}.",
        count=len(motions),
        what=worst.title,
        size=worst.size,
        drop=worst.drop,
    )


def _borne(motion: SupportMotion) -> float:
    return 1.0 if motion.borne is None else motion.borne
