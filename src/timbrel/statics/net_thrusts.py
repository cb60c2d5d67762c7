"""Least and greatest thrust of every support of a net, each asked for by itself.

The strength is left out, which makes the range a little wider. Where nothing else bounds the
greatest thrust (struts run straight from wall to wall through a flat corner) there is none to tell.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from timbrel.statics.net import Net, NetAnswer, NetQuestion, outward_of
from timbrel.statics.net_loads import NetLoad
from timbrel.statics.net_solid import Array, Support
from timbrel.statics.net_symmetry import level_turn, of_loads


@dataclass(frozen=True)
class SupportThrust:
    """What one support takes at its own least and its own greatest thrust under the dead load.

    least, greatest: outward, N a metre of wall, or N on a pier; greatest: None where nothing but
    crushing bounds it. resultant_least, resultant_greatest: (3,) N that the vault puts on it.
    """

    support: str
    kind: str
    length: float
    least: float
    greatest: float | None
    resultant_least: Array
    resultant_greatest: Array | None


def support_thrusts(net: Net, dead: NetLoad) -> tuple[SupportThrust, ...]:
    """Every support; what a symmetry of the vault and its load carries over is solved once."""
    found: list[SupportThrust] = []
    for support in net.grid.supports:
        told = _carried_over(net, dead, support, found)
        if told is None:
            told = _asked(net, dead, support)
        if told is None:
            return ()
        found.append(told)
    return tuple(found)


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
    centred = net.grid.middle - net.grid.middle.mean(axis=0)
    wanted = np.sort(support.nodes)
    for known in found:
        other = next(s for s in net.grid.supports if s.name == known.support)
        for g in of_loads(net.group, dead.weight):
            if len(other.nodes) != len(wanted) or (np.sort(g[other.nodes]) != wanted).any():
                continue
            turn = level_turn(centred, centred[g])
            most = known.resultant_greatest
            return replace(
                known,
                support=support.name,
                resultant_least=turn @ known.resultant_least,
                resultant_greatest=None if most is None else turn @ most,
            )
    return None
