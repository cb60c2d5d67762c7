"""Least and greatest thrust of every support of a net, each asked for by itself.

The strength is left out, which makes the range a little wider. Where nothing else bounds the
greatest thrust (struts run straight from wall to wall through a flat corner), the coarsest net is
asked for it with the strength that the job states: a net holds some of the states of the masonry,
so the vault may push at least as hard as that. Without a strength there is none to tell.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from timbrel.statics.net import Net, NetAnswer, NetQuestion, outward_of
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_rungs import Rung
from timbrel.statics.net_solid import Array, Support
from timbrel.statics.net_symmetry import level_turn, of_loads


@dataclass(frozen=True)
class SupportThrust:
    """What one support takes at its own least and its own greatest thrust under the dead load.

    least, greatest: outward, N a metre of wall, or N on a pier; greatest: None where nothing but
    crushing bounds it. by_strength: then what the stated strength lets the coarsest net push, None
    where there is none or geometry bounds it. resultant_least, resultant_greatest: (3,) N that the
    vault puts on it.
    """

    support: str
    kind: str
    length: float
    least: float
    greatest: float | None
    resultant_least: Array
    resultant_greatest: Array | None
    by_strength: float | None = None


def support_thrusts(
    net: Net, dead: NetLoad, coarse: Rung | None = None
) -> tuple[SupportThrust, ...]:
    """Every support; what a symmetry of the vault and its load carries over is solved once.

    coarse: the net that is asked with the strength of the shell, where nothing else bounds a thrust.
    """
    found: list[SupportThrust] = []
    for support in net.grid.supports:
        told = _carried_over(net, dead, support, found)
        if told is None:
            told = _asked(net, dead, support)
        if told is None:
            return ()
        found.append(told)
    if coarse is None or coarse.crushing is None or all(one.greatest is not None for one in found):
        return tuple(found)
    bounds = _by_strength(coarse)
    return tuple(
        one if one.greatest is not None else replace(one, by_strength=bounds.get(one.support))
        for one in found
    )


def _by_strength(rung: Rung) -> dict[str, float]:
    """Greatest outward thrust of every support, by its name, that the strength lets a net push."""
    net, dead = rung.net, rung.acts.dead
    found: dict[str, float] = {}
    for support in net.grid.supports:
        alike = next((i for i in _images(net, dead, support) if i[0] in found), None)
        if alike is not None:
            found[support.name] = found[alike[0]]
            continue
        state = NetQuestion(net, dead, support=support, crushing=rung.crushing).thrust(least=False)
        if state is not None:
            outward = outward_of(net.grid, support)[support.nodes]
            found[support.name] = _outward(support, outward, state)[0]
    return found


def _asked(net: Net, dead: NetLoad, support: Support) -> SupportThrust | None:
    question = NetQuestion(net, dead, support=support)
    least, greatest = question.thrust(least=True), question.thrust(least=False)
    if least is None:
        return None
    outward = outward_of(net.grid, support)[support.nodes]
    low, most = _outward(support, outward, least), None
    if greatest is not None:
        most = _outward(support, outward, greatest)
    return SupportThrust(
        support.name,
        support.kind,
        float(support.length.sum()),
        low[0],
        most[0] if most else None,
        low[1],
        most[1] if most else None,
    )


def _outward(support: Support, outwards: Array, state: NetAnswer) -> tuple[float, Array]:
    """Thrust (a metre of a wall) and resultant on a support."""
    on = -state.reaction[support.nodes]
    outward = float(np.einsum("ka,ka->", on[:, :2], outwards))
    length = float(support.length.sum())
    return outward / length if length else outward, np.asarray(on.sum(axis=0))


def _carried_over(
    net: Net, dead: NetLoad, support: Support, found: list[SupportThrust]
) -> SupportThrust | None:
    """The thrust of a support that a symmetry makes of one already asked."""
    known = {one.support: one for one in found}
    for name, turn in _images(net, dead, support):
        if name not in known:
            continue
        most = known[name].resultant_greatest
        return replace(
            known[name],
            support=support.name,
            resultant_least=turn @ known[name].resultant_least,
            resultant_greatest=None if most is None else turn @ most,
        )
    return None


def _images(net: Net, dead: NetLoad, support: Support) -> Iterator[tuple[str, Array]]:
    """Supports that a symmetry of the vault and its load turns this one into, each with the turn
    (3, 3) that brings a push on it here."""
    centred = net.grid.middle - net.grid.middle.mean(axis=0)
    wanted = np.sort(support.nodes)
    for other in net.grid.supports:
        for g in of_loads(net.group, dead.weight):
            if len(other.nodes) == len(wanted) and (np.sort(g[other.nodes]) == wanted).all():
                yield other.name, level_turn(centred, centred[g])
